//! Finishes, boards, adhesives, sealants and coatings, and the records that back what is said of them.

use super::{Date, Id, Name, OneOrMany, Party};
use crate::quantity::{Area, Density, Duration, EmissionRate, Length, Mass};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One product in one use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finish {
    /// What it is used as, in the terms of the rule that limits it.
    pub category: Name,
    /// Rooms it is in; the whole home where not given.
    #[serde(default, rename = "in", skip_serializing_if = "OneOrMany::is_empty")]
    pub within: OneOrMany<Id>,
    /// Area exposed to the room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Area>,
    /// Length of a bead or strip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Mass used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Mass>,
    /// VOC content, less water and exempt compounds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voc_content: Option<Density>,
    /// Emission factor of each compound, by name.
    #[serde(default)]
    pub emissions: IndexMap<Name, EmissionRate>,
    /// Age of the specimen at which the emissions were measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested_at: Option<Duration>,
    /// Formaldehyde class of a composite wood panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub composite_wood: Option<CompositeWoodClass>,
    /// Substances it contains, by name or CAS number.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contains: Vec<Name>,
    /// Records that back this entry.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub evidence: Vec<Id>,
    /// Who applies it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
}

/// Formaldehyde class of a composite wood panel (40 CFR 770).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CompositeWoodClass {
    /// Certified to the emission limits.
    Certified,
    /// Ultra-low-emitting formaldehyde resin.
    UltraLowEmitting,
    /// No-added-formaldehyde resin.
    NoAddedFormaldehyde,
    /// Not certified.
    Uncertified,
}

/// A record: certificate, test report, label or photograph.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// What it is.
    pub kind: EvidenceKind,
    /// Method or standard it was made to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<Name>,
    /// When it was issued.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub issued: Option<Date>,
    /// When it ends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expires: Option<Date>,
    /// The file, inside the project folder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<Name>,
    /// Product it names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Lot it names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<Name>,
    /// Who has to provide it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub owed_by: Option<Party>,
}

/// What a record is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of records")]
pub enum EvidenceKind {
    EmissionCertificate,
    CompositeWoodLabel,
    ContentStatement,
    ProductLabel,
    TestReport,
    Photograph,
    Calculation,
    ChainOfCustody,
}
