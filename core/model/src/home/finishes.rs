//! Finishes, boards, adhesives, sealants and coatings, and the records that back what is said of them.

use super::{Date, Id, Name, OneOrMany, Own, Party};
use crate::quantity::{Area, Density, Duration, EmissionRate, Length, Mass, Rate, Ratio};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One product in one use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finish {
    /// What it is used as, in the terms of the rule that limits it.
    pub category: Name,
    /// What it is, where the category does not say so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<FinishKind>,
    /// The product's name, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Who makes it, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maker: Option<Name>,
    /// The model or article number, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<Name>,
    /// The day on which it was built in; the day of judging where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_on: Option<Date>,
    /// The lot it came from, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<Name>,
    /// Whether it stands in the air of the rooms; it does where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub indoors: Option<bool>,
    /// Rooms it is in.
    #[serde(default, rename = "in", skip_serializing_if = "OneOrMany::is_empty")]
    #[schemars(extend("x-names" = "spaces", "x-absent" = "it is in the whole home"))]
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
    /// VOC that the colourant adds, per volume of colourant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colourant_voc: Option<Density>,
    /// Emission factor of each compound, by name or CAS number.
    #[serde(default)]
    pub emissions: IndexMap<Name, EmissionRate>,
    /// Age of the specimen at which the emissions were measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested_at: Option<Duration>,
    /// Emission factors of the same specimen when it was older.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub later_emissions: Vec<LaterEmissions>,
    /// How the emissions die away; where not given, this follows from `later_emissions`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decay: Option<Decay>,
    /// The finish whose emission test took this product in, such as the paint over a primer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested_with: Option<Id>,
    /// Formaldehyde class of a composite wood panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub composite_wood: Option<CompositeWoodClass>,
    /// Whether the largest faces of all its composite wood come to 144 in² or less.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub little_composite_wood: Option<bool>,
    /// What panel a composite wood is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<Panel>,
    /// Formaldehyde in the air of the panel's chamber test: `0.05 ppm`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_formaldehyde: Option<Ratio>,
    /// Substances it contains, by name or CAS number.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contains: Vec<Name>,
    /// Records that back this entry.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-names" = "evidence"))]
    pub evidence: Vec<Id>,
    /// Who applies it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
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
    /// There is no composite wood in it.
    NoCompositeWood,
}

/// A composite wood panel (40 CFR 770).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Panel {
    /// Hardwood plywood with a veneer or composite core.
    HardwoodPlywood,
    /// Medium-density fibreboard thicker than 8 mm.
    Mdf,
    /// Medium-density fibreboard of at most 8 mm.
    ThinMdf,
    /// Particleboard.
    Particleboard,
}

/// A compound that the list of compounds that comes with mateline has no level for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnCompound {
    /// Its CAS number, by which emissions and air samples name it.
    pub cas: Name,
    /// Its name on reports; the CAS number where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// The concentration that the mean of a year in a room is held against.
    pub chronic_level: Density,
    /// Where the level comes from.
    pub source: Name,
    /// How sure it is: `looked up`, `from memory, high`, `from memory, med` … Only a sure one binds.
    pub provenance: Name,
}

/// What a finish is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FinishKind {
    /// Paint, varnish, primer, stain.
    Coating,
    /// Adhesive.
    Adhesive,
    /// Sealant, caulk or foam that fills a joint.
    Sealant,
    /// What covers a floor.
    Flooring,
    /// A board of a wall or ceiling.
    Board,
    /// Cabinets, doors, shelves, trim: joinery that may hold composite wood.
    Joinery,
    /// A composite wood panel.
    Panel,
    /// Insulation.
    Insulation,
    /// Pipe and its fittings.
    Pipe,
    /// Anything else.
    Other,
}

/// Emission factors at a later age.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LaterEmissions {
    /// Age of the specimen.
    pub tested_at: Duration,
    /// Emission factor of each compound, by name or CAS number.
    pub emissions: IndexMap<Name, EmissionRate>,
}

/// How emissions die away: by a power of age (`power`), or as a fast and a slow part (the other three together).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Decay {
    /// Exponent n of E = E₀ (t/t₀)⁻ⁿ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-above-one" = true))]
    pub power: Option<Ratio>,
    /// Share of the emission at the tested age that dies away fast.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fast_share: Option<Ratio>,
    /// Rate at which the fast part dies away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fast_rate: Option<Rate>,
    /// Rate at which the rest dies away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slow_rate: Option<Rate>,
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
    /// Maker it names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maker: Option<Name>,
    /// Models or article numbers it names.
    #[serde(default, skip_serializing_if = "OneOrMany::is_empty")]
    pub model: OneOrMany<Name>,
    /// Categories it is for, in the words of the finishes; any where not given.
    #[serde(default, skip_serializing_if = "OneOrMany::is_empty")]
    pub category: OneOrMany<Name>,
    /// Lot it names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<Name>,
    /// Who has to provide it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub owed_by: Option<Party>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
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
