//! Agreed exceptions from rules.

use super::{Date, Name};
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
}
