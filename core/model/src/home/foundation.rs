//! What the boxes stand on.

use super::{Id, Name, Party};
use crate::quantity::{Area, Flow, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The foundation, under the whole outline of the lowest boxes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Foundation {
    /// What it is.
    pub kind: FoundationKind,
    /// Whether the space below is inside the thermal envelope. Basements are, where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditioned: Option<bool>,
    /// Assembly of its walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Id>,
    /// Assembly of its floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<Id>,
    /// Height from its floor or ground cover to the underside of the boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
    /// How far its floor lies below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_below_grade: Option<Length>,
    /// Whether pipes, ducts and cables hang below the boxes' floor framing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub services_below_floor: Option<bool>,
    /// Clear height below the lowest pipe or duct.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_below_services: Option<Length>,
    /// Footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footing: Option<Footing>,
    /// Distance between anchor bolts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub anchor_spacing: Option<Length>,
    /// Out-of-level allowed over the bearing line when the boxes are set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub levelness: Option<Length>,
    /// Whether a bearing line stands under every mate line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_mate_lines: Option<bool>,
    /// Drain at the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drainage: Option<Drainage>,
    /// Treatment of the outside of walls below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_protection: Option<WaterProtection>,
    /// Sump and its pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sump: Option<Sump>,
    /// Whether a sewage ejector lifts drains that lie below the sewer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ejector: Option<bool>,
    /// Whether a fixture stands below the level of the sewer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixtures_below_sewer: Option<bool>,
    /// Ground cover or retarder under a slab: thickness of the sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground_cover: Option<Length>,
    /// Net free area of foundation vents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent_area: Option<Area>,
    /// Air flow that conditions an unvented crawl space.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditioning_flow: Option<Flow>,
    /// Opening for access, smaller side and larger side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub access: Option<AccessOpening>,
    /// Provisions against radon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radon: Option<RadonProvisions>,
    /// Window wells.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub window_well: Option<WindowWell>,
}

impl Foundation {
    /// Whether the space below the boxes is inside the thermal envelope.
    pub fn is_conditioned(&self) -> bool {
        self.conditioned.unwrap_or(self.kind == FoundationKind::Basement)
    }
}

/// What a foundation is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FoundationKind {
    /// A full basement.
    Basement,
    /// A crawl space.
    CrawlSpace,
    /// A slab on grade.
    Slab,
    /// Piers, with or without a skirt.
    Piers,
}

/// A footing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Footing {
    /// Width.
    pub width: Length,
    /// Thickness.
    pub thickness: Length,
    /// Depth of its underside below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<Length>,
}

/// A footing drain.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drainage {
    /// Where it leads.
    pub discharge: Discharge,
    /// Whether filter fabric covers the gravel.
    #[serde(default)]
    pub filter_fabric: bool,
    /// How far the gravel reaches beyond the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_beyond_footing: Option<Length>,
    /// Gravel above the top of the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_above_footing: Option<Length>,
}

/// Where a drain leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum Discharge {
    Daylight,
    Sump,
    StormSewer,
    DryWell,
}

/// Treatment of walls below grade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WaterProtection {
    /// None.
    None,
    /// Against damp ground.
    Dampproofing,
    /// Against standing water.
    Waterproofing,
}

/// A sump.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sump {
    /// Whether its lid is sealed against soil gas.
    #[serde(default)]
    pub sealed_lid: bool,
    /// Whether a pump is installed.
    #[serde(default)]
    pub pump: bool,
    /// How far from the home it discharges.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub discharge_distance: Option<Length>,
}

/// An opening to a crawl space.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AccessOpening {
    /// Width.
    pub width: Length,
    /// Height.
    pub height: Length,
    /// Through the floor rather than through the wall.
    #[serde(default)]
    pub through_floor: bool,
}

/// Provisions against radon.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RadonProvisions {
    /// Thickness of the gas-permeable layer below the slab.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permeable_layer: Option<Length>,
    /// Diameter of the vent pipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent_pipe: Option<Length>,
    /// Whether power and room for a fan are provided.
    #[serde(default)]
    pub fan_ready: bool,
    /// Who installs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
    /// Anything a reader should know.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Name>,
}

/// A window well.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindowWell {
    /// Along the wall.
    pub width: Length,
    /// Away from the wall.
    pub projection: Length,
    /// Depth below grade.
    pub depth: Length,
    /// Whether it has a ladder or steps.
    #[serde(default)]
    pub ladder: bool,
}
