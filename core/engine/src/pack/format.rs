//! A rule pack as its file writes it.

use indexmap::IndexMap;
use mateline_model::Severity;
use mateline_model::home::{Id, Name};
use schemars::JsonSchema;
use serde::de::{self, Deserializer};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A rule pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackFile {
    /// The pack's id.
    pub pack: Id,
    /// Its title.
    pub title: Name,
    /// What it restates: a code with its edition, a programme, a firm's standard.
    pub source: Name,
    /// What a reader has to bear in mind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Name>,
    /// A pack whose rules come along.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extends: Option<Name>,
    /// Rules of the extended pack that do not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drop: Vec<Id>,
    /// Quantities read in place of others: `envelope.u_factor: envelope.u_parallel_path`.
    #[serde(default)]
    pub reads_as: IndexMap<Name, Name>,
    /// Settings handed to plugins, by plugin.
    #[serde(default)]
    pub uses: IndexMap<Name, Value>,
    /// The rules.
    #[serde(default)]
    pub rules: IndexMap<Id, RuleFile>,
}

/// A rule: one requirement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RuleFile {
    /// What it requires, in a few words.
    pub title: Name,
    /// The section whose elements it judges; the whole home where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub for_each: Option<Name>,
    /// When it concerns an element; always where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Name>,
    /// The value judged: a quantity, or an expression.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Name>,
    /// The value must be at least this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<LimitFile>,
    /// The value must be at most this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<LimitFile>,
    /// The value must lie between these two, ends included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between: Option<Vec<LimitFile>>,
    /// The value must be one of these words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_of: Option<Vec<Name>>,
    /// The value must be given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub present: Option<bool>,
    /// This expression must be true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub requires: Option<Name>,
    /// Source clause.
    pub source: Name,
    /// How sure the limit is: `looked up`, `from memory, high`, `common practice, no source` …
    pub provenance: Name,
    /// Whether a shortfall fails the run.
    #[serde(default)]
    pub severity: Severity,
    /// What a designer can do; begins with a verb.
    pub if_short: Name,
    /// Another rule of the pack which, met for the home, satisfies this one too.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub satisfied_by: Option<Id>,
    /// Cases with their outcome, run by `mateline rules test`.
    #[serde(default)]
    pub examples: Vec<ExampleFile>,
}

/// A case with its outcome.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExampleFile {
    /// Facts and fields, by name. What is not given is missing.
    pub given: IndexMap<Name, Value>,
    /// The outcome.
    pub expect: mateline_model::Outcome,
    /// Why the case is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Name>,
}

/// A limit: a value, a table, or another fact.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitFile {
    /// `0.045 Btu/(h·ft²·°F)`, `3`.
    Value(String),
    /// `{by: site.climate_zone, "4-8": …, else: …}`.
    Table {
        /// The name whose value chooses the row.
        by: String,
        /// Keys and values, in the order of the file.
        rows: Vec<(String, String)>,
    },
    /// `{fact: envelope.reference_ua, of: home, times: 1.15}`.
    Fact {
        /// The quantity.
        fact: String,
        /// The subject, where it is not the one judged.
        of: Option<String>,
        /// A factor.
        times: f64,
    },
}

impl LimitFile {
    fn read(value: Value) -> Result<LimitFile, String> {
        let Value::Object(map) = value else {
            return scalar(&value)
                .map(LimitFile::Value)
                .ok_or_else(|| "a limit is a value, a table with 'by', or a 'fact'".to_owned());
        };
        if let Some(by) = map.get("by") {
            let by = by.as_str().ok_or("'by' names a field or a fact")?.to_owned();
            let mut rows = Vec::new();
            for (key, value) in map.iter().filter(|(key, _)| *key != "by") {
                let value = scalar(value).ok_or_else(|| format!("the row '{key}' is not a value"))?;
                rows.push((key.clone(), value));
            }
            if rows.is_empty() {
                return Err("the table has no rows".to_owned());
            }
            return Ok(LimitFile::Table { by, rows });
        }
        if let Some(extra) = map.keys().find(|key| !["fact", "of", "times"].contains(&key.as_str())) {
            return Err(format!("unknown key '{extra}' in a limit; a table begins with 'by', a reference with 'fact'"));
        }
        let text = |key: &str| map.get(key).and_then(Value::as_str).map(str::to_owned);
        let fact = text("fact").ok_or("a limit is a value, a table with 'by', or a 'fact'")?;
        let times = map.get("times").map_or(Some(1.0), Value::as_f64).filter(|times| times.is_finite());
        Ok(LimitFile::Fact { fact, of: text("of"), times: times.ok_or("'times' is not a number")? })
    }

    fn write(&self) -> Value {
        match self {
            LimitFile::Value(text) => text.clone().into(),
            LimitFile::Table { by, rows } => {
                let rows = rows.iter().map(|(key, value)| (key.clone(), Value::from(value.clone())));
                [("by".to_owned(), Value::from(by.clone()))]
                    .into_iter()
                    .chain(rows)
                    .collect::<serde_json::Map<_, _>>()
                    .into()
            }
            LimitFile::Fact { fact, of, times } => serde_json::json!({ "fact": fact, "of": of, "times": times }),
        }
    }
}

fn scalar(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    }
}

impl<'de> Deserialize<'de> for LimitFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<LimitFile, D::Error> {
        LimitFile::read(Value::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

impl Serialize for LimitFile {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.write().serialize(serializer)
    }
}

impl JsonSchema for LimitFile {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Limit".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "A value with its unit, a table chosen `by` a field or fact, or another fact.",
            "anyOf": [
                { "type": ["string", "number"] },
                {
                    "type": "object",
                    "required": ["by"],
                    "properties": { "by": { "type": "string" } },
                    "additionalProperties": { "type": ["string", "number"] }
                },
                {
                    "type": "object",
                    "required": ["fact"],
                    "properties": {
                        "fact": { "type": "string" },
                        "of": { "type": "string" },
                        "times": { "type": "number" }
                    },
                    "additionalProperties": false
                }
            ]
        })
    }
}
