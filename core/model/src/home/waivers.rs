//! Agreed exceptions from rules.

use super::{Date, Name, Own, are_one_seam};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An exception from one rule for one subject, for a reason, until an end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Waiver {
    /// The rule's full name, `pack/rule`.
    pub rule: Name,
    /// The subject it is waived for: one element, never a whole section.
    pub subject: Name,
    /// Why.
    pub reason: Name,
    /// Who agreed.
    pub agreed_with: Name,
    /// The issue from which it no longer holds, one of the home's `issues`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Name>,
    /// The day from which it no longer holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_date: Option<Date>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

impl Waiver {
    /// Whether it is of a rule, `pack/rule`, for a subject. A mate line goes by either order of its boxes.
    pub fn is_of(&self, rule: &str, subject: &str) -> bool {
        let seams = self.subject.strip_prefix("seams.").zip(subject.strip_prefix("seams."));
        let is_same_seam = || seams.is_some_and(|(one, other)| are_one_seam(one, other));
        *self.rule == *rule && (*self.subject == *subject || is_same_seam())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn a_mate_line_is_waived_by_either_order_of_its_boxes() {
        let waiver: Waiver = serde_json::from_str(
            r#"{"rule": "office/one", "subject": "seams.A-B", "reason": "agreed", "agreed_with": "owner"}"#,
        )
        .unwrap();
        for (rule, subject, is_of) in [
            ("office/one", "seams.A-B", true),
            ("office/one", "seams.B-A", true),
            ("office/two", "seams.B-A", false),
            ("office/one", "seams.A-C", false),
            ("office/one", "openings.B-A", false),
        ] {
            assert_eq!(waiver.is_of(rule, subject), is_of, "{rule} {subject}");
        }
    }
}
