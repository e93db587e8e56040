//! The part of SARIF 2.1.0 that mateline writes, as types. Names and meanings are the standard's; an optional property
//! that is not known is left out.
//!
//! Source: OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0, section 3 (from memory, high); the
//! tests hold what is written against the published JSON Schema.

use mateline_model::Traced;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A log file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Log {
    /// Where the schema is published.
    #[serde(rename = "$schema")]
    pub schema: String,
    /// The version of the format.
    pub version: String,
    /// The runs: one a home.
    pub runs: Vec<Run>,
}

/// A run: one home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Run {
    /// What ran.
    pub tool: Tool,
    /// Which of several runs this is.
    pub automation_details: AutomationDetails,
    /// How it ran.
    pub invocations: Vec<Invocation>,
    /// What relative addresses start from.
    pub original_uri_base_ids: BTreeMap<String, BaseId>,
    /// What a column counts.
    pub column_kind: String,
    /// What was found.
    pub results: Vec<Found>,
    /// What else is to be known.
    pub properties: RunProperties,
}

/// What ran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tool {
    /// Its main part.
    pub driver: Driver,
}

/// The program.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Driver {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// The rules with a result.
    pub rules: Vec<Descriptor>,
}

/// A rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Descriptor {
    /// Its full name.
    pub id: String,
    /// Its title.
    pub short_description: Text,
    /// Its title, source and how sure the limit is.
    pub full_description: Text,
    /// What a designer can do, where the limit comes from and what has to be borne in mind.
    pub help: Text,
    /// Its level.
    pub default_configuration: Configuration,
    /// The pack, for filters.
    pub properties: RuleProperties,
}

/// Text, and perhaps the same with markup.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Text {
    /// As plain text.
    pub text: String,
    /// As Markdown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub markdown: Option<String>,
}

/// How a rule is set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Configuration {
    /// The level of a result, unless it says otherwise.
    pub level: Grade,
}

/// How grave a result is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// Fails the run.
    Error,
    /// Fails the run for want of proof.
    Warning,
    /// Does not fail the run.
    Note,
    /// Is none: it is excepted.
    None,
}

/// What is to be known of a rule beside what the standard names.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleProperties {
    /// For filters: the pack.
    pub tags: Vec<String>,
    /// How sure the limit is.
    pub provenance: String,
}

/// Which of several runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AutomationDetails {
    /// `mateline/` and the file of the home.
    pub id: String,
}

/// How it ran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Invocation {
    /// Whether the input could be used and every plugin ran to its end.
    pub execution_successful: bool,
    /// The exit code of a check of this home.
    pub exit_code: i32,
    /// Plugins that failed, and remarks on the run.
    pub tool_execution_notifications: Vec<Notification>,
}

/// A remark on the run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Notification {
    /// What is to be said.
    pub message: Text,
    /// How grave it is.
    pub level: Grade,
    /// Where.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub locations: Vec<Location>,
}

/// What relative addresses start from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BaseId {
    /// In words: its address differs from machine to machine.
    pub description: Text,
}

/// A result.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Found {
    /// The rule's full name.
    pub rule_id: String,
    /// Where the rule stands among the run's.
    pub rule_index: usize,
    /// `fail`, and `informational` for what is waived: what is met is no result.
    pub kind: String,
    /// How grave it is.
    pub level: Grade,
    /// One sentence with the numbers.
    pub message: Text,
    /// Where.
    pub locations: Vec<Location>,
    /// What makes it the same result after other lines were edited.
    pub partial_fingerprints: BTreeMap<String, String>,
    /// Why it does not count.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub suppressions: Vec<Suppression>,
    /// What else is to be known.
    pub properties: FoundProperties,
}

/// Why a result does not count.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Suppression {
    /// `external`: agreed outside of the line.
    pub kind: String,
    /// Who agreed and why.
    pub justification: String,
}

/// What is to be known of a result beside what the standard names.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FoundProperties {
    /// `short`, `unproven` or `waived`; none for an input that cannot be used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<String>,
    /// What a designer can do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}

/// A place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Location {
    /// In a file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub physical_location: Option<PhysicalLocation>,
    /// In the home.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub logical_locations: Vec<LogicalLocation>,
}

/// A place in a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct PhysicalLocation {
    /// The file.
    pub artifact_location: ArtifactLocation,
    /// The place in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub region: Option<Region>,
}

/// A file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ArtifactLocation {
    /// Its address.
    pub uri: String,
    /// What a relative address starts from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uri_base_id: Option<String>,
}

/// A place in a file. Lines and columns count from 1; the end column is the one after the last character.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Region {
    /// Its line.
    pub start_line: u32,
    /// Its column.
    pub start_column: u32,
    /// The column after it, where its length is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_column: Option<u32>,
}

/// A part of the home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct LogicalLocation {
    /// The subject: `assemblies.wall`.
    pub fully_qualified_name: String,
}

/// What is to be known of a run beside what the standard names.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunProperties {
    /// The project's name.
    pub home: String,
    /// The revision checked; none for a home that cannot be used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<String>,
    /// Requirements met, which are no results.
    pub met: usize,
    /// Rules that do not concern the home.
    pub not_applicable: usize,
    /// The packs, tables and lists that it rests on, each with its digest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<Traced>,
}
