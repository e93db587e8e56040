//! Which codes are in force at the place, and what has been approved.

use super::Name;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the authority has adopted, as it says itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AdoptedCodes {
    /// Year of the edition of the model energy code that is in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy: Option<u32>,
    /// Year of the edition of the model residential code that is in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residential: Option<u32>,
    /// Whether the radon appendix of the residential code is adopted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radon_appendix: Option<bool>,
    /// The path of the energy code that the home takes; every path that can be worked out is tried where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_path: Option<EnergyPath>,
}

/// A way to show that a home keeps to the energy code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EnergyPath {
    /// Each component by its own U-factor or R-value.
    ByComponent,
    /// All components together, by the sum of U-factor times area.
    WholeEnvelope,
    /// Simulated energy of the year.
    Performance,
    /// An energy rating index.
    RatingIndex,
}

/// How likely termites are, by the map of the residential code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TermiteRisk {
    /// None to slight.
    Slight,
    /// Slight to moderate.
    Moderate,
    /// Moderate to heavy.
    Heavy,
    /// Very heavy.
    VeryHeavy,
}

/// Approvals, and the choices that go with them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Approvals {
    /// The state's programme for factory-built homes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state_programme: Option<StateProgramme>,
    /// The additional efficiency package that the home takes, 2021 edition of the energy code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency_package: Option<EfficiencyPackage>,
    /// The record of the certified ratings of equipment that the package asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub package_report: Option<Name>,
    /// Efficiency credits together, 2024 edition of the energy code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency_credits: Option<u32>,
    /// Whether the energy certificate that is posted at the panel is drawn up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_certificate: Option<bool>,
    /// The report of a path of the energy code that is worked out elsewhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_report: Option<Name>,
    /// The energy rating index that the rater's report states for the home; nought where it lies below.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_index: Option<u32>,
    /// Whether the rater has confirmed the index on the finished home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_confirmed: Option<bool>,
}

/// What a state's programme for factory-built homes asks for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StateProgramme {
    /// The programme.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Whether the plans are approved for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plans_approved: Option<bool>,
    /// Whether an independent body inspects in the plant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inspected_in_plant: Option<bool>,
    /// Whether every box carries the state's insignia.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insignia: Option<bool>,
    /// Whether a data plate is drawn up for the home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub data_plate: Option<bool>,
}

/// An additional efficiency package of the energy code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EfficiencyPackage {
    /// A better envelope.
    Envelope,
    /// More efficient heating and cooling.
    HeatingAndCooling,
    /// More efficient hot water.
    HotWater,
    /// Ducts inside the envelope, or none.
    Ducts,
    /// Airtightness with heat recovery.
    AirtightVentilation,
    /// None.
    None,
}
