//! What was measured on the modules, during set and at the end.

use super::{Date, Id, Name, Own};
use crate::quantity::{ActivityConcentration, Density, Duration, Flow, FlowPerArea, Length, Pressure, Temperature};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One test. Which fields it needs follows from its kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// What was measured.
    #[serde(default)]
    pub kind: MeasurementKind,
    /// When in the course of the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// The day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<Date>,
    /// Who measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Name>,
    /// The box, for a test of one box in the plant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "modules"))]
    pub module: Option<Id>,
    /// Standard or method.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<Name>,
    /// Pressures and flows of a blower-door test; negative pressure is depressurisation.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<TestPoint>,
    /// Pressure differences with the fan sealed, before and after.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-below-zero" = true))]
    pub zero_flow: Vec<Pressure>,
    /// Indoor air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the reading is taken as it is, at no difference of temperature"))]
    pub indoor: Option<Temperature>,
    /// Outdoor air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the reading is taken as it is, at no difference of temperature"))]
    pub outdoor: Option<Temperature>,
    /// Barometric pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barometer: Option<Pressure>,
    /// Height above the sea, where no barometer was read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-below-zero" = true))]
    pub elevation: Option<Length>,
    /// Wind speed on the site during the test, in m/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<FlowPerArea>,
    /// Parts still open during the test that will be closed later: seams, openings, penetrations.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub still_open: Vec<Name>,
    /// Flow measured at each ventilation terminal, by room.
    #[serde(default)]
    #[schemars(extend("x-keys" = "spaces"))]
    pub flows: super::Elements<Flow>,
    /// The compound whose concentration was measured, by name or CAS number; `TVOC` for all volatile ones together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compound: Option<Name>,
    /// The room in whose air it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "spaces"))]
    pub space: Option<Id>,
    /// Concentration found in the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub concentration: Option<Density>,
    /// Radon activity, `4 pCi/L` or `148 Bq/m³`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radon: Option<ActivityConcentration>,
    /// How long the sample ran.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<Duration>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

/// What was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MeasurementKind {
    /// Air leakage with a fan.
    #[default]
    BlowerDoor,
    /// Flows at ventilation terminals.
    VentilationFlows,
    /// Radon.
    Radon,
    /// A compound in the air.
    AirSample,
}

/// When in the course of the work a test is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// One box, in the plant.
    InFactory,
    /// The boxes set, seams closed.
    AfterSet,
    /// Before cladding, while the air barrier can still be reached.
    BeforeCladding,
    /// The finished home.
    Final,
}

/// One reading of a blower-door test.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TestPoint {
    /// Pressure difference, inside less outside.
    #[schemars(extend("x-below-zero" = true))]
    pub pressure: Pressure,
    /// Air flow through the fan.
    pub flow: Flow,
}
