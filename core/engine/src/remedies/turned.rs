//! A verdict by its names, as it turns.

use mateline_model::{Report, Severity, Verdict};
use serde::Serialize;
use std::collections::BTreeSet;

/// A verdict that turns.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Turned {
    /// The rule, `pack/rule`.
    pub rule: String,
    /// What it judges.
    pub subject: String,
    /// Whether it is advice.
    pub is_advice: bool,
}

impl Turned {
    /// A verdict by its names.
    pub fn of(verdict: &Verdict) -> Turned {
        Turned {
            rule: verdict.full_name(),
            subject: verdict.subject.to_string(),
            is_advice: verdict.severity == Severity::Advice,
        }
    }

    /// Whether a verdict is this one.
    pub fn is_of(&self, verdict: &Verdict) -> bool {
        verdict.subject.as_str() == self.subject
            && self.rule.split_once('/').is_some_and(|(pack, rule)| verdict.pack == pack && verdict.rule == rule)
    }

    /// What is open on a home.
    pub(super) fn open(report: &Report) -> BTreeSet<Turned> {
        report.verdicts.iter().filter(|verdict| verdict.is_open()).map(Turned::of).collect()
    }
}
