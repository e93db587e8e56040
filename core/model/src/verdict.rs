//! Verdicts: what a rule says of a subject.

use crate::fact::Value;
use crate::quantity::Units;
use crate::subject::Subject;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What came out of judging a subject by a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The requirement is missed.
    Short,
    /// An input, a certificate or a test is missing: nothing can be said.
    Unproven,
    /// Missed or unproven, and excepted by agreement.
    Waived,
    /// The requirement is met.
    Met,
    /// The rule does not concern this subject.
    NotApplicable,
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Outcome::Short => "short",
            Outcome::Unproven => "unproven",
            Outcome::Waived => "waived",
            Outcome::Met => "met",
            Outcome::NotApplicable => "not-applicable",
        })
    }
}

/// Whether a shortfall fails the run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// A shortfall fails the run.
    #[default]
    Required,
    /// A shortfall is a note.
    Advice,
}

/// A place in a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub struct Place {
    /// The file, relative to the project folder.
    pub file: String,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// How many characters are meant; 0 when unknown.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub length: u32,
}

fn is_zero(length: &u32) -> bool {
    *length == 0
}

/// What a rule says of a subject, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The pack.
    pub pack: String,
    /// The rule within the pack.
    pub rule: String,
    /// The rule's title.
    pub title: String,
    /// What was judged.
    pub subject: Subject,
    /// The outcome.
    pub outcome: Outcome,
    /// Whether a shortfall fails the run.
    pub severity: Severity,
    /// The value judged.
    pub value: Option<Value>,
    /// The quantity's full name, where the value is a fact.
    pub quantity: Option<String>,
    /// The limit.
    pub limit: Option<Value>,
    /// The comparison in words: `at least`, `at most` …
    pub comparison: String,
    /// How far the value is on the right side of the limit; negative when short.
    pub margin: Option<Value>,
    /// How value, limit and margin are shown.
    pub units: Units,
    /// Source and clause.
    pub source: String,
    /// How sure the limit is.
    pub provenance: String,
    /// One sentence with the numbers, or what is missing.
    pub message: String,
    /// What a designer can do, for a verdict that is not met.
    pub help: Option<String>,
    /// Where in the home.
    pub at: Option<Place>,
    /// What is to be seen at that place.
    pub at_note: Option<String>,
    /// What a met verdict rests on for the time being: `final test owed`.
    pub provisional: Option<String>,
    /// What it waits for, where it is unproven; empty where that has no name.
    pub owed: Vec<Owed>,
    /// The open verdict under which this one is counted.
    pub under: Option<Under>,
}

/// Something that is not given, for want of which a verdict is unproven.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub struct Owed {
    /// What is missing.
    pub what: String,
    /// The path of the home where it belongs, or the subject it is about.
    pub at: String,
}

/// An open verdict that stands for others.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub struct Under {
    /// Its rule's full name.
    pub rule: String,
    /// What it judges.
    pub subject: Subject,
}

impl Verdict {
    /// The rule's full name.
    pub fn full_name(&self) -> String {
        format!("{}/{}", self.pack, self.rule)
    }

    /// Whether the requirement is neither met nor excepted.
    pub fn is_open(&self) -> bool {
        matches!(self.outcome, Outcome::Short | Outcome::Unproven)
    }

    /// Whether this verdict fails the run.
    pub fn fails(&self) -> bool {
        self.severity == Severity::Required && self.is_open()
    }
}
