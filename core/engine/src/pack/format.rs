//! A rule pack as its file writes it.

use super::limit_file::LimitFile;
use super::value_file::ValueFile;
use indexmap::IndexMap;
use mateline_model::Severity;
use mateline_model::home::{Date, Id, Name, OneOrMany, Scalar};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A rule pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackFile {
    /// The pack's id.
    pub pack: Id,
    /// Its version, raised whenever it asks for something else. A home asks for one as `PACK@VERSION`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version: Option<u32>,
    /// The edition of its source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edition: Option<Name>,
    /// Its title.
    pub title: Name,
    /// What it restates: a code with its edition, a programme, a firm's standard.
    pub source: Name,
    /// What a reader has to bear in mind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Name>,
    /// Ways to meet its requirements that it does not judge: what stays open to the designer where every path is short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open_paths: Option<Name>,
    /// A pack whose rules come along.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extends: Option<Name>,
    /// Rules of the extended pack that do not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drop: Vec<Id>,
    /// Limits of the extended pack that are stricter here.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub tighten: IndexMap<Id, TightenFile>,
    /// Rules that stand in place of those of the extended pack. One that is looser is named in every report.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub replace: IndexMap<Id, RuleFile>,
    /// When the pack is in force; always where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effective: Option<EffectiveFile>,
    /// Values a home may set, read as `parameter.NAME`.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub parameters: IndexMap<Id, ParameterFile>,
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
    /// The value judged: a quantity, an expression, or a figure over the elements of a section.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<ValueFile>,
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
    /// Whether an agreed exception may except from it; it may where not given.
    #[serde(default = "yes", skip_serializing_if = "is_yes")]
    pub waivable: bool,
    /// When the rule is in force; as long as its pack where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effective: Option<EffectiveFile>,
    /// What a designer can do; begins with a verb.
    pub if_short: Name,
    /// What to file, measure or state where it is unproven; begins with a verb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub if_unproven: Option<Name>,
    /// Rules on which this one stands, of this pack by their id or of another as `PACK/RULE`. While one of them is open
    /// for the same element, or for the home, a verdict that is open too is counted under it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<Name>,
    /// Other rules of the pack, any of which, met for the same element or for the home, satisfies this one too.
    #[serde(default, skip_serializing_if = "OneOrMany::is_empty")]
    pub satisfied_by: OneOrMany<Id>,
    /// Other rules of the pack without which it is not met, for the same element or for the home: those of a package or a
    /// path that a home only names. Where one is short it is short; where one is not shown, or is short of a limit that is
    /// marked as remembered in doubt, it is unproven; one that does not apply is left aside.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub together_with: Vec<Id>,
    /// When a requirement that is met is met provisionally only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub provisional: Option<ProvisionalFile>,
    /// Paths of the home, `*` for any element or item, without which there is less to judge or nothing, each with the
    /// reason why that is no lack: `finishes.*.colourant_voc: a colour without a colourant adds none`. What stands at any
    /// other path never improves a verdict by being left out.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub without: IndexMap<Name, Name>,
    /// Cases with their outcome, run by `mateline rules test`.
    #[serde(default)]
    pub examples: Vec<ExampleFile>,
}

/// What a met verdict rests on for the time being.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProvisionalFile {
    /// True once the requirement is met for good.
    pub unless: Name,
    /// What the verdict says until then.
    pub says: Name,
}

fn yes() -> bool {
    true
}

fn is_yes(flag: &bool) -> bool {
    *flag
}

/// What is stricter about a rule of the extended pack. The new limit must be at least as strict as the old one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TightenFile {
    /// The value must be at least this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<LimitFile>,
    /// The value must be at most this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<LimitFile>,
    /// The value must lie between these two, ends included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between: Option<Vec<LimitFile>>,
    /// `required`, where a shortfall was a note so far.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub severity: Option<Severity>,
    /// Source of the stricter limit; the pack's own where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Name>,
    /// How sure the stricter limit is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub provenance: Option<Name>,
    /// What a designer can do; begins with a verb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub if_short: Option<Name>,
    /// Cases with their outcome, in place of the old ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub examples: Vec<ExampleFile>,
}

/// When something is in force, judged on the revision's date.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EffectiveFile {
    /// The first day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    /// The day from which it no longer is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
}

/// A value that a home may set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ParameterFile {
    /// The value where the home sets none. What it measures holds for the home's value too.
    pub default: Scalar,
    /// What it is.
    pub meaning: Name,
}

/// A case with its outcome, or a value that lies on the limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExampleFile {
    /// Facts and fields, by name; a list of such mappings for the elements of a section. What is not given is missing.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub given: IndexMap<Name, Value>,
    /// The value judged where it lies exactly on the limit, or a table of such values `by` another name. In place of
    /// `expect`: just inside and on the limit the rule is met, just outside it is short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<LimitFile>,
    /// The outcome.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expect: Option<mateline_model::Outcome>,
    /// Why the case is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Name>,
}
