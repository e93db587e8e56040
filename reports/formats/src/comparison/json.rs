//! The comparison for other programs: typed, with every edit, fact, rule and verdict; version 3, in which rules that changed
//! are told, and what was short and is further from its limit.
//!
//! Numbers stand in the SI unit that `unit` names; shares are fractions of one. What is not known is `null`.

use super::facts;
use crate::json::{JsonPlace, JsonRemark, JsonRevision, JsonValue, Writer, place, si_unit, value};
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{
    Cause, Comparison, Corners, Direction, Edit, Moved, Outcome, RuleChange, RuleTurn, Severity, Shorter, Side, Turned,
};
use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};

/// The version of this format; a change that a reader has to know of, additions among them, raises it.
pub const SCHEMA_VERSION: u32 = 3;

/// Two revisions side by side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonComparison {
    /// What wrote the comparison.
    pub mateline: Writer,
    /// The earlier revision.
    pub old: JsonSide,
    /// The later revision.
    pub new: JsonSide,
    /// How much of everything there is.
    pub summary: JsonCounts,
    /// Verdicts that turned.
    pub verdicts: Vec<JsonTurned>,
    /// Verdicts that were short and are further from their limit.
    pub shorter: Vec<JsonShorter>,
    /// Rules that came, went, or ask for something else.
    pub rules: Vec<JsonRuleChange>,
    /// How many required verdicts are short or unproven by either set of rules, where rules changed.
    pub corners: Option<Corners>,
    /// What was edited, by element in the order of the later file.
    pub edits: Vec<JsonEdit>,
    /// Facts that moved, by subject and quantity.
    pub facts: Vec<JsonMoved>,
    /// The share of the limit below which a margin that shrank is thin.
    pub margin_threshold: f64,
    /// Margins that shrank below the threshold.
    pub thin_margins: Vec<JsonThin>,
    /// Records that ended between the two dates.
    pub ended_records: Vec<JsonEnded>,
    /// Remarks on the later run that were not made on the earlier one.
    pub remarks: Vec<JsonRemark>,
    /// Plugins that failed; what is said of their facts does not hold.
    pub failures: Vec<JsonFailure>,
}

/// One side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonSide {
    /// The project's name.
    pub home: String,
    /// The revision.
    pub revision: JsonRevision,
}

/// How much of everything there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonCounts {
    /// Verdicts that turned to short or unproven, advice included.
    pub worse: usize,
    /// Of these, required ones.
    pub worse_required: usize,
    /// Verdicts that were short or unproven and are no longer.
    pub better: usize,
    /// Edits of the description.
    pub edits: usize,
    /// Facts that moved.
    pub facts: usize,
    /// What fails a check of the later revision.
    pub failing: usize,
}

/// A verdict that turned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonTurned {
    /// The rule's full name, pack/rule.
    pub rule: String,
    /// The rule's title.
    pub title: String,
    /// What is judged.
    pub subject: String,
    /// Whether it fails a run.
    pub severity: Severity,
    /// Which way it turned.
    pub direction: Direction,
    /// The earlier outcome; `null` when there was no such verdict.
    pub old: Option<Outcome>,
    /// The later outcome; `null` when there is none any more.
    pub new: Option<Outcome>,
    /// What turned it, where rules changed.
    pub by: Option<Cause>,
    /// What the later verdict says; of one that is gone, the earlier.
    pub message: String,
    /// Where in the later file.
    pub at: Option<JsonPlace>,
}

/// An edit of the description.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonEdit {
    /// The element: `assemblies.wall`.
    pub element: String,
    /// The field within it: `layers.3.thickness`; empty when the whole element came or went.
    pub field: String,
    /// The word by which the item of a list is known.
    pub item: Option<String>,
    /// The earlier text; `null` when it came.
    pub old: Option<String>,
    /// The later text; `null` when it went.
    pub new: Option<String>,
    /// Where in the later file.
    pub at: Option<JsonPlace>,
}

/// A verdict that was short and is further from its limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonShorter {
    /// The rule's full name, pack/rule.
    pub rule: String,
    /// What is judged.
    pub subject: String,
    /// Whether it fails a run.
    pub severity: Severity,
    /// What the later verdict says.
    pub message: String,
    /// How far from the limit it was, in `unit`.
    pub old: Option<JsonValue>,
    /// How far from the limit it is.
    pub new: Option<JsonValue>,
    /// The SI unit of the two.
    pub unit: String,
    /// Where in the later file.
    pub at: Option<JsonPlace>,
}

/// A rule that changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonRuleChange {
    /// The rule's full name, pack/rule.
    pub rule: String,
    /// Its title.
    pub title: String,
    /// How.
    pub turn: RuleTurn,
    /// What it asked; `null` when it came.
    pub old: Option<String>,
    /// What it asks now; `null` when it went.
    pub new: Option<String>,
    /// What is looser, or why that cannot be told.
    pub why: Option<String>,
}

/// A fact that moved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonMoved {
    /// What it is about.
    pub subject: String,
    /// The quantity's full name.
    pub quantity: String,
    /// The earlier value.
    pub old: Option<JsonValue>,
    /// The later value.
    pub new: Option<JsonValue>,
    /// The SI unit of the values; empty for plain numbers, words and flags.
    pub unit: String,
    /// The earlier value as a person reads it.
    pub old_shown: String,
    /// The later value as a person reads it.
    pub new_shown: String,
    /// Later less earlier, in `unit`; of temperatures in K.
    pub difference: Option<JsonValue>,
    /// The difference as a person reads it.
    pub difference_shown: Option<String>,
    /// The difference as a share of the earlier value.
    pub change: Option<f64>,
}

/// A margin that shrank below the threshold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonThin {
    /// The rule's full name, pack/rule.
    pub rule: String,
    /// What is judged.
    pub subject: String,
    /// What the later verdict says.
    pub message: String,
    /// The earlier margin, as a share of the limit.
    pub old: f64,
    /// The later margin, as a share of the limit; negative where another requirement makes up for this one.
    pub new: f64,
}

/// A record that ended between the two dates.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonEnded {
    /// The record's id.
    pub record: String,
    /// Its last day.
    pub expired: String,
    /// The elements it backs.
    pub backs: Vec<String>,
}

/// A plugin that failed on one of the sides.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonFailure {
    /// The plugin.
    pub plugin: String,
    /// The revision it failed on.
    pub revision: String,
    /// Whether that is the later one.
    pub on_later: bool,
    /// The error.
    pub message: String,
}

/// The comparison for machines, as written by mateline of the given version.
pub fn json(comparison: &Comparison, version: &str) -> JsonComparison {
    let count = |direction: Direction| comparison.turned.iter().filter(|t| t.direction() == direction).count();
    JsonComparison {
        mateline: Writer { version: version.to_owned(), schema: SCHEMA_VERSION },
        old: side(&comparison.old),
        new: side(&comparison.new),
        summary: JsonCounts {
            worse: count(Direction::Worse),
            worse_required: comparison.turned.iter().filter(|turned| turned.is_worse()).count(),
            better: count(Direction::Better),
            edits: comparison.edits.len(),
            facts: comparison.moved.len(),
            failing: comparison.failing,
        },
        verdicts: comparison.turned.iter().map(turned).collect(),
        shorter: comparison.shorter.iter().map(shorter).collect(),
        rules: comparison.rules.iter().map(rule).collect(),
        corners: comparison.corners,
        edits: comparison.edits.iter().map(edit).collect(),
        facts: comparison.moved.iter().map(|fact| moved(fact, comparison)).collect(),
        margin_threshold: comparison.threshold,
        thin_margins: comparison
            .thin
            .iter()
            .map(|thin| JsonThin {
                rule: thin.rule.clone(),
                subject: thin.subject.to_string(),
                message: thin.message.clone(),
                old: thin.old,
                new: thin.new,
            })
            .collect(),
        ended_records: comparison
            .ended
            .iter()
            .map(|ended| JsonEnded {
                record: ended.record.clone(),
                expired: ended.expired.to_string(),
                backs: ended.backs.clone(),
            })
            .collect(),
        remarks: comparison
            .remarks
            .iter()
            .map(|remark| JsonRemark {
                message: remark.message.clone(),
                fails: remark.fails,
                about: remark.about,
                at: remark.at.as_ref().map(place),
            })
            .collect(),
        failures: comparison
            .failures
            .iter()
            .map(|failure| JsonFailure {
                plugin: failure.plugin.clone(),
                revision: failure.revision.clone(),
                on_later: failure.on_later,
                message: failure.message.clone(),
            })
            .collect(),
    }
}

/// The schema of [`JsonComparison`].
pub fn schema() -> Schema {
    schema_for!(JsonComparison)
}

fn side(side: &Side) -> JsonSide {
    JsonSide {
        home: side.home.clone(),
        revision: JsonRevision { id: side.revision.clone(), date: side.date.to_string(), note: side.note.clone() },
    }
}

fn turned(turned: &Turned) -> JsonTurned {
    JsonTurned {
        rule: turned.rule.clone(),
        title: turned.title.clone(),
        subject: turned.subject.to_string(),
        severity: turned.severity,
        direction: turned.direction(),
        old: turned.old,
        new: turned.new,
        by: turned.by,
        message: turned.message.clone(),
        at: turned.at.as_ref().map(place),
    }
}

fn shorter(one: &Shorter) -> JsonShorter {
    let distance = |quantity: Quantity| value(&quantity.into(), Some(&one.units));
    JsonShorter {
        rule: one.rule.clone(),
        subject: one.subject.to_string(),
        severity: one.severity,
        message: one.message.clone(),
        old: distance(one.old),
        new: distance(one.new),
        unit: si_unit(one.new, Some(&one.units)),
        at: one.at.as_ref().map(place),
    }
}

fn rule(change: &RuleChange) -> JsonRuleChange {
    JsonRuleChange {
        rule: change.rule.clone(),
        title: change.title.clone(),
        turn: change.turn,
        old: change.old.clone(),
        new: change.new.clone(),
        why: change.why.clone(),
    }
}

fn edit(edit: &Edit) -> JsonEdit {
    JsonEdit {
        element: edit.element.clone(),
        field: edit.field.clone(),
        item: edit.item.clone(),
        old: edit.old.clone(),
        new: edit.new.clone(),
        at: edit.at.as_ref().map(place),
    }
}

fn moved(moved: &Moved, comparison: &Comparison) -> JsonMoved {
    let shown = facts::row(moved, comparison.units);
    let units = Some(&moved.units);
    let number = moved.new.as_ref().or(moved.old.as_ref()).and_then(mateline_model::Value::number);
    let difference = moved.difference().and_then(|difference| {
        let of_scale = Units::new("K", 1, "Δ°F", 0);
        let on_scale = difference.dimension == mateline_model::quantity::Dimension::TEMPERATURE_DIFFERENCE;
        value(&difference.into(), if on_scale { Some(&of_scale) } else { units })
    });
    JsonMoved {
        subject: moved.subject.to_string(),
        quantity: moved.quantity.clone(),
        old: moved.old.as_ref().and_then(|old| value(old, units)),
        new: moved.new.as_ref().and_then(|new| value(new, units)),
        unit: number.map_or_else(String::new, |quantity| si_unit(quantity, units)),
        old_shown: shown.old,
        new_shown: shown.new,
        difference,
        difference_shown: Some(shown.difference).filter(|text| !text.is_empty()),
        change: moved.change(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comparison::sample;

    #[test]
    fn everything_is_there_in_si() {
        let written = serde_json::to_value(json(&sample::comparison(), "1.2.3")).expect("it is JSON");
        assert_eq!(written["mateline"], serde_json::json!({"version": "1.2.3", "schema": SCHEMA_VERSION}));
        assert_eq!(written["old"]["revision"]["id"], "B");
        let counts =
            serde_json::json!({"worse": 2, "worse_required": 1, "better": 1, "edits": 4, "facts": 3, "failing": 1});
        assert_eq!(written["summary"], counts);
        assert_eq!(written["facts"].as_array().map(Vec::len), Some(3), "facts of every section are there");
        let ua = &written["facts"][0];
        assert_eq!(
            (&ua["old"], &ua["new"], &ua["unit"]),
            (&serde_json::json!(220.0), &serde_json::json!(210.0), &serde_json::json!("W/K"))
        );
        assert_eq!(
            (&ua["difference"], &ua["difference_shown"]),
            (&serde_json::json!(-10.0), &serde_json::json!("-10.0 W/K"))
        );
        assert_eq!(written["facts"][1]["old"], serde_json::json!(null));
        assert_eq!(written["verdicts"][0]["direction"], "worse");
        assert_eq!(written["ended_records"][0]["backs"], serde_json::json!(["finishes.paint"]));
    }

    #[test]
    fn every_comparison_fits_the_schema_and_reads_back() {
        let schema = serde_json::to_value(schema()).expect("a schema is JSON");
        let validator = jsonschema::validator_for(&schema).expect("the schema is one");
        for one in [sample::comparison(), sample::quiet(), sample::broken(), sample::hostile("\u{1b}</script>\"'")] {
            let written = json(&one, "1.2.3");
            let value = serde_json::to_value(&written).expect("it is JSON");
            let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
            assert!(faults.is_empty(), "{faults:?}");
            assert_eq!(serde_json::from_value::<JsonComparison>(value).expect("it reads back"), written);
        }
        assert!(!validator.is_valid(&serde_json::json!({"old": 3})));
    }
}
