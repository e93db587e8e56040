//! The JSON report: a contract with other programs, version 4, in which a report names the texts it rests on.
//!
//! Numbers stand in the SI unit that `unit` names (temperatures in °C); `shown` is what a person reads, in the units of
//! the report. A key is always there; what is not known is `null`. Text stands as it came, escaped as JSON asks.

use crate::shown;
use mateline_model::quantity::{Quantity, Units, unit};
use mateline_model::{
    Entry, Fact, Missing, Outcome, Owed, PackSummary, Place, PluginStatus, Read, RemarkAbout, Report, Severity, Traced,
    Under, Verdict, Whose,
};
use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The version of this format; a change that a reader has to know of, additions among them, raises it.
pub const SCHEMA_VERSION: u32 = 4;

/// Everything a check found out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonReport {
    /// What wrote the report.
    pub mateline: Writer,
    /// The project's name.
    pub home: String,
    /// The revision checked.
    pub revision: JsonRevision,
    /// Facts by subject and quantity, those that could not be found among them.
    pub facts: BTreeMap<String, BTreeMap<String, JsonFact>>,
    /// Verdicts, in the order of the packs, their rules and subjects.
    pub verdicts: Vec<JsonVerdict>,
    /// The packs that judged.
    pub packs: Vec<JsonPack>,
    /// The tables and lists that it rests on beside the packs: the firm's, and those that come with mateline.
    pub tables: Vec<Traced>,
    /// Whose each material is that the home names, by id.
    pub materials: BTreeMap<String, Whose>,
    /// The plugins that ran.
    pub plugins: Vec<JsonPlugin>,
    /// Counts by outcome.
    pub summary: JsonSummary,
    /// Remarks on the run itself, such as a waiver that matches nothing.
    pub remarks: Vec<JsonRemark>,
}

/// What wrote the report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Writer {
    /// The version of mateline.
    pub version: String,
    /// The version of this format.
    pub schema: u32,
}

/// A revision of the design.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonRevision {
    /// Its letter or number.
    pub id: String,
    /// Its date, as year-month-day.
    pub date: String,
    /// What changed.
    pub note: Option<String>,
}

/// A number, a word, or yes or no.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum JsonValue {
    /// Yes or no.
    Flag(bool),
    /// A number in the SI unit named beside it.
    Number(f64),
    /// A word.
    Text(String),
}

/// A fact, or why it could not be found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonFact {
    /// Its value; a number stands in `unit`. `null` where it could not be found.
    pub value: Option<JsonValue>,
    /// Why it could not be found; `null` where it was.
    pub missing: Option<String>,
    /// The SI unit; empty for plain numbers, words and flags.
    pub unit: String,
    /// What a person reads.
    pub shown: String,
    /// The method by which it was found.
    pub method: String,
    /// The place in the home that matters most for it.
    pub at: Option<JsonPlace>,
}

/// A verdict.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonVerdict {
    /// The pack.
    pub pack: String,
    /// The rule within the pack.
    pub rule: String,
    /// What was judged.
    pub subject: String,
    /// The outcome.
    pub verdict: Outcome,
    /// Whether a shortfall fails the run.
    pub severity: Severity,
    /// The value judged.
    pub value: Option<JsonValue>,
    /// The limit.
    pub limit: Option<JsonValue>,
    /// The SI unit of value, limit and margin.
    pub unit: String,
    /// How far the value is on the right side of the limit; negative when short.
    pub margin: Option<JsonValue>,
    /// Source and clause.
    pub source: String,
    /// How sure the limit is.
    pub provenance: String,
    /// One sentence with the numbers, or what is missing.
    pub message: String,
    /// What a designer can do.
    pub help: Option<String>,
    /// Where in the home.
    pub at: Option<JsonPlace>,
    /// What a met verdict rests on for the time being.
    pub provisional: Option<String>,
    /// What it waits for, where it is unproven.
    pub owed: Vec<Owed>,
    /// The open verdict under which this one is counted.
    pub under: Option<Under>,
}

/// A place in a file of the project.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonPlace {
    /// The file, relative to the project folder.
    pub file: String,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// A pack that judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonPack {
    /// Its id.
    pub id: String,
    /// Its version.
    pub version: Option<u32>,
    /// The edition of its source.
    pub edition: Option<String>,
    /// Its title.
    pub title: String,
    /// What it restates.
    pub source: String,
    /// The texts that it is made of: its own, then those of the packs that it extends.
    pub texts: Vec<Traced>,
    /// Which facts its rules weigh, by rule: `QUANTITY` of the subject judged, or `QUANTITY of SUBJECT`.
    pub reads: BTreeMap<String, Vec<String>>,
}

/// How a plugin fared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonPlugin {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Whether it ran to its end.
    pub status: PluginOutcome,
    /// The error, when it failed.
    pub message: Option<String>,
}

/// Whether a plugin ran to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PluginOutcome {
    /// It did.
    Ran,
    /// It failed; its facts are missing.
    Failed,
}

/// How many verdicts had each outcome.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonSummary {
    /// Requirements met.
    pub met: usize,
    /// Requirements missed, advice included.
    pub short: usize,
    /// Requirements that cannot be shown, advice included.
    pub unproven: usize,
    /// Requirements excepted by agreement.
    pub waived: usize,
    /// Rules that do not concern this home.
    pub not_applicable: usize,
}

/// A remark on the run itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonRemark {
    /// What is to be said.
    pub message: String,
    /// Whether it fails the run.
    pub fails: bool,
    /// What it is about.
    pub about: RemarkAbout,
    /// Where.
    pub at: Option<JsonPlace>,
}

/// The report for machines, as written by mateline of the given version.
pub fn report(report: &Report, version: &str) -> JsonReport {
    let mut facts: BTreeMap<String, BTreeMap<String, JsonFact>> = BTreeMap::new();
    for entry in report.entries() {
        let (subject, quantity, fact) = match entry {
            Entry::Known(fact) => (&fact.subject, &fact.quantity, json_fact(report, fact)),
            Entry::Unknown(missing) => (&missing.subject, &missing.quantity, json_missing(report, missing)),
        };
        facts.entry(subject.to_string()).or_default().insert(quantity.to_string(), fact);
    }
    let summary = report.summary();
    let revision = report.revision();
    JsonReport {
        mateline: Writer { version: version.to_owned(), schema: SCHEMA_VERSION },
        home: report.name().to_string(),
        revision: JsonRevision {
            id: revision.id.to_string(),
            date: revision.date.to_string(),
            note: revision.note.clone(),
        },
        facts,
        verdicts: report.verdicts.iter().map(verdict).collect(),
        packs: report.packs.iter().map(pack).collect(),
        tables: report.tables.clone(),
        materials: report.materials.clone(),
        plugins: report.plugins.iter().map(plugin).collect(),
        summary: JsonSummary {
            met: summary.met,
            short: summary.short,
            unproven: summary.unproven,
            waived: summary.waived,
            not_applicable: summary.not_applicable,
        },
        remarks: report
            .remarks
            .iter()
            .map(|remark| JsonRemark {
                message: remark.message.clone(),
                fails: remark.fails,
                about: remark.about,
                at: remark.at.as_ref().map(place),
            })
            .collect(),
    }
}

/// The schema of [`JsonReport`].
pub fn schema() -> Schema {
    schema_for!(JsonReport)
}

fn json_fact(report: &Report, fact: &Fact) -> JsonFact {
    let units = report.quantities.get(&*fact.quantity).map(|definition| &definition.units);
    JsonFact {
        value: value(&fact.value, units),
        missing: None,
        unit: fact.value.number().map_or_else(String::new, |quantity| si_unit(quantity, units)),
        shown: shown::fact(report, fact),
        method: fact.basis.method.to_string(),
        at: fact.at.as_ref().and_then(|pointer| report.places.get(&pointer.path)).map(place),
    }
}

fn json_missing(report: &Report, missing: &Missing) -> JsonFact {
    JsonFact {
        value: None,
        missing: Some(missing.because.clone()),
        unit: String::new(),
        shown: shown::NOT_KNOWN.to_owned(),
        method: String::new(),
        at: missing.at.as_ref().and_then(|pointer| report.places.get(&pointer.path)).map(place),
    }
}

fn verdict(verdict: &Verdict) -> JsonVerdict {
    let units = Some(&verdict.units);
    let of = |side: &Option<mateline_model::Value>| side.as_ref().and_then(|side| value(side, units));
    let number = [&verdict.value, &verdict.limit, &verdict.margin]
        .into_iter()
        .find_map(|side| side.as_ref().and_then(mateline_model::Value::number));
    JsonVerdict {
        pack: verdict.pack.clone(),
        rule: verdict.rule.clone(),
        subject: verdict.subject.to_string(),
        verdict: verdict.outcome,
        severity: verdict.severity,
        value: of(&verdict.value),
        limit: of(&verdict.limit),
        unit: number.map_or_else(String::new, |quantity| si_unit(quantity, units)),
        margin: of(&verdict.margin),
        source: verdict.source.clone(),
        provenance: verdict.provenance.clone(),
        message: verdict.message.clone(),
        help: verdict.help.clone(),
        at: verdict.at.as_ref().map(place),
        provisional: verdict.provisional.clone(),
        owed: verdict.owed.clone(),
        under: verdict.under.clone(),
    }
}

fn pack(pack: &PackSummary) -> JsonPack {
    let read = |read: &Read| match &read.of {
        Some(of) => format!("{} of {of}", read.quantity),
        None => read.quantity.clone(),
    };
    let reads = pack.reads.iter().filter(|(_, reads)| !reads.is_empty());
    JsonPack {
        id: pack.id.clone(),
        version: pack.version,
        edition: pack.edition.clone(),
        title: pack.title.clone(),
        source: pack.source.clone(),
        texts: pack.texts.clone(),
        reads: reads.map(|(rule, reads)| (rule.clone(), reads.iter().map(read).collect())).collect(),
    }
}

fn plugin(plugin: &PluginStatus) -> JsonPlugin {
    JsonPlugin {
        name: plugin.name.clone(),
        version: plugin.version.clone(),
        status: if plugin.failure.is_some() { PluginOutcome::Failed } else { PluginOutcome::Ran },
        message: plugin.failure.clone(),
    }
}

pub(crate) fn place(place: &Place) -> JsonPlace {
    JsonPlace { file: place.file.clone(), line: place.line, column: place.column }
}

/// A value in the SI unit of its definition; a number that is not finite has no form in JSON and is `null`.
pub(crate) fn value(value: &mateline_model::Value, units: Option<&Units>) -> Option<JsonValue> {
    match value {
        mateline_model::Value::Number(quantity) => {
            let number = si_factor(*quantity, units).map_or(quantity.si, |unit| unit.of_si(quantity.si));
            number.is_finite().then_some(JsonValue::Number(number + 0.0))
        }
        mateline_model::Value::Text(text) => Some(JsonValue::Text(text.clone())),
        mateline_model::Value::Flag(flag) => Some(JsonValue::Flag(*flag)),
    }
}

/// The name of the unit a number stands in: the definition's, or none when that does not fit the number.
pub(crate) fn si_unit(quantity: Quantity, units: Option<&Units>) -> String {
    match (units, si_factor(quantity, units)) {
        (Some(units), Some(_)) => units.si.to_string(),
        _ => String::new(),
    }
}

fn si_factor(quantity: Quantity, units: Option<&Units>) -> Option<mateline_model::quantity::Unit> {
    unit(&units?.si).filter(|unit| unit.dimension == quantity.dimension)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;
    use serde_json::json;

    #[test]
    fn a_fact_stands_in_the_unit_it_names() {
        let written = serde_json::to_value(report(&fixture::report(), "1.2.3")).expect("a report is JSON");
        assert_eq!(written["mateline"], json!({"version": "1.2.3", "schema": SCHEMA_VERSION}));
        assert_eq!(written["home"], "Heron Lane");
        assert_eq!(written["revision"]["id"], "C");
        let u = &written["facts"]["assemblies.wall"]["envelope.u_factor"];
        let si = u["value"].as_f64().expect("a number");
        // 0.052 Btu/(h·ft²·°F) in SI: factor 5.678 263 (NIST SP 811, appendix B.8, from memory).
        assert!((si - 0.295_269_7).abs() < 1e-6, "{si}");
        assert_eq!(u["unit"], "W/(m²·K)");
        assert_eq!(u["shown"], "0.0520 Btu/(h·ft²·°F)");
        assert_eq!(u["at"], json!({"file": "home.yaml", "line": 8, "column": 7}));
        // A quantity whose SI unit is a millimetre stands in millimetres, not in metres.
        let thickness = &written["facts"]["assemblies.wall"]["envelope.thickness"];
        assert_eq!(thickness["unit"], "mm");
        assert!((thickness["value"].as_f64().expect("a number") - 180.0).abs() < 1e-9);
        // A temperature on a scale stands in °C.
        assert_eq!(written["facts"]["home"]["envelope.design_temperature"]["value"], -22.5);
        assert_eq!(written["facts"]["home"]["envelope.design_temperature"]["unit"], "°C");
        // One that could not be found is there with its reason.
        let unknown = &written["facts"]["assemblies.wall"]["envelope.thickness_outside"];
        assert_eq!((&unknown["value"], &unknown["shown"]), (&json!(null), &json!("not known")));
        assert_eq!(unknown["missing"], "assemblies.wall.layers.3 has no thickness");
        assert_eq!(thickness["missing"], json!(null));
        assert_eq!(written["facts"]["seams.A-B"]["takeoff.seam_kind"]["value"], "side-by-side");
    }

    #[test]
    fn verdicts_plugins_and_counts_are_there() {
        let written = serde_json::to_value(report(&fixture::report(), "1.2.3")).expect("a report is JSON");
        let wall = &written["verdicts"][0];
        assert_eq!((&wall["rule"], &wall["verdict"]), (&json!("wall-u-factor"), &json!("short")));
        assert!(wall["margin"].as_f64().is_some_and(|margin| margin < 0.0));
        assert_eq!(written["summary"], json!({"met": 1, "short": 2, "unproven": 1, "waived": 1, "not_applicable": 2}));
        assert_eq!(written["plugins"][1]["status"], "failed");
        let pack = &written["packs"][0];
        assert_eq!((&pack["version"], &pack["edition"]), (&json!(2), &json!("2021")));
        assert_eq!(pack["texts"][0]["sha256"].as_str().map(str::len), Some(64));
        assert_eq!(written["tables"][0]["name"], "<mateline>/materials.yaml");
        let keys: Vec<&String> = wall.as_object().expect("an object").keys().collect();
        for key in
            "pack rule subject verdict value limit unit margin source provenance message help at".split_whitespace()
        {
            assert!(keys.iter().any(|known| *known == key), "{key}");
        }
    }

    #[test]
    fn every_report_fits_the_schema() {
        let schema = serde_json::to_value(schema()).expect("a schema is JSON");
        let validator = jsonschema::validator_for(&schema).expect("the schema is one");
        let mut nan = fixture::report();
        nan.quantities.clear();
        for home in [fixture::report(), fixture::hostile("\u{1b}</script>\"'\u{202e}🏠"), nan] {
            let written = report(&home, "1.2.3");
            let value = serde_json::to_value(&written).expect("a report is JSON");
            let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
            assert!(faults.is_empty(), "{faults:?}");
            let again: JsonReport = serde_json::from_value(value).expect("it reads back");
            assert_eq!(again, written);
        }
        let wrong = json!({"mateline": {"version": "1", "schema": "one"}});
        assert!(!validator.is_valid(&wrong));
    }

    #[test]
    fn a_number_that_is_none_is_null() {
        let infinite = mateline_model::Value::Number(Quantity::plain(f64::INFINITY));
        assert_eq!(value(&infinite, None), None);
    }
}
