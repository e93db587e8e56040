//! A limit as a pack's file writes it.

use schemars::JsonSchema;
use serde::de::{self, Deserializer};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A limit: a value, a table, another fact, a parameter, or what an expression comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitFile {
    /// `0.045 Btu/(h·ft²·°F)`, `3`.
    Value(String),
    /// `{by: site.climate_zone, "4-8": …, else: …}`.
    Table {
        /// The name whose value chooses the row.
        by: String,
        /// Whether values between two rows are interpolated.
        interpolate: bool,
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
    /// `{parameter: greatest-leakage}`.
    Parameter {
        /// The parameter of the pack.
        parameter: String,
        /// A factor.
        times: f64,
    },
    /// `{expression: "0.03 cfm/ft² * takeoff.floor_area + 7.5 cfm * (takeoff.bedrooms + 1)"}`.
    Expression {
        /// Over facts, fields of the subject and of the home, and parameters.
        expression: String,
    },
}

const FORMS: &str = "a limit is a value, a table with 'by', a 'fact', a 'parameter' or an 'expression'";

impl LimitFile {
    fn read(value: Value) -> Result<LimitFile, String> {
        let Value::Object(map) = value else {
            return scalar(&value).map(LimitFile::Value).ok_or_else(|| FORMS.to_owned());
        };
        if let Some(by) = map.get("by") {
            let by = by.as_str().ok_or("'by' names a field or a fact")?.to_owned();
            let interpolate = match map.get("interpolate") {
                None => false,
                Some(Value::Bool(flag)) => *flag,
                Some(_) => return Err("'interpolate' is true or false".to_owned()),
            };
            let mut rows = Vec::new();
            for (key, value) in map.iter().filter(|(key, _)| !matches!(key.as_str(), "by" | "interpolate")) {
                let value = scalar(value).ok_or_else(|| format!("the row '{key}' is not a value"))?;
                rows.push((key.clone(), value));
            }
            if rows.is_empty() {
                return Err("the table has no rows".to_owned());
            }
            return Ok(LimitFile::Table { by, interpolate, rows });
        }
        let of_parameter = map.contains_key("parameter");
        let known: &[&str] = match (map.contains_key("expression"), of_parameter) {
            (true, _) => &["expression"],
            (false, true) => &["parameter", "times"],
            (false, false) => &["fact", "of", "times"],
        };
        if let Some(extra) = map.keys().find(|key| !known.contains(&key.as_str())) {
            return Err(format!("unknown key '{extra}' in a limit; a table begins with 'by', a reference with 'fact'"));
        }
        let text = |key: &str| map.get(key).and_then(Value::as_str).map(str::to_owned);
        if map.contains_key("expression") {
            return Ok(LimitFile::Expression { expression: text("expression").ok_or("'expression' is a text")? });
        }
        let times = map.get("times").map_or(Some(1.0), Value::as_f64).filter(|times| times.is_finite());
        let times = times.ok_or("'times' is not a number")?;
        if of_parameter {
            return Ok(LimitFile::Parameter { parameter: text("parameter").ok_or("'parameter' is a name")?, times });
        }
        Ok(LimitFile::Fact { fact: text("fact").ok_or(FORMS)?, of: text("of"), times })
    }

    fn write(&self) -> Value {
        match self {
            LimitFile::Value(text) => text.clone().into(),
            LimitFile::Table { by, interpolate, rows } => {
                let how = interpolate.then(|| ("interpolate".to_owned(), Value::from(true)));
                let rows = rows.iter().map(|(key, value)| (key.clone(), Value::from(value.clone())));
                [("by".to_owned(), Value::from(by.clone()))]
                    .into_iter()
                    .chain(how)
                    .chain(rows)
                    .collect::<serde_json::Map<_, _>>()
                    .into()
            }
            LimitFile::Fact { fact, of: Some(of), times } => {
                serde_json::json!({ "fact": fact, "of": of, "times": times })
            }
            LimitFile::Fact { fact, of: None, times } => serde_json::json!({ "fact": fact, "times": times }),
            LimitFile::Parameter { parameter, times } => {
                serde_json::json!({ "parameter": parameter, "times": times })
            }
            LimitFile::Expression { expression } => serde_json::json!({ "expression": expression }),
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
            "description": "A value with its unit, a table chosen `by` a field or fact, another fact, a parameter, or an expression over facts, fields and parameters.",
            "anyOf": [
                { "type": ["string", "number"] },
                {
                    "type": "object",
                    "required": ["by"],
                    "properties": { "by": { "type": "string" }, "interpolate": { "type": "boolean" } },
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
                },
                {
                    "type": "object",
                    "required": ["parameter"],
                    "properties": { "parameter": { "type": "string" }, "times": { "type": "number" } },
                    "additionalProperties": false
                },
                {
                    "type": "object",
                    "required": ["expression"],
                    "properties": { "expression": { "type": "string" } },
                    "additionalProperties": false
                }
            ]
        })
    }
}
