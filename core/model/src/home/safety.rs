//! Fire, alarms and ways out, as far as neither rooms nor assemblies say it.

use super::Name;
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What keeps people safe from fire and gets them out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Safety {
    /// Smoke alarms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smoke_alarms: Option<SmokeAlarms>,
    /// Whether carbon monoxide alarms stand outside of every sleeping area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_monoxide_alarms: Option<bool>,
    /// Whether the home has fire sprinklers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sprinklers: Option<bool>,
    /// Whether people leave the basement by two ways, one of them a stair or door that is a way out and the other that too
    /// or an opening to escape through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basement_two_ways_out: Option<bool>,
    /// What separates the home from an attached garage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub garage: Option<GarageSeparation>,
    /// The drawing of what separates the home from an attached dwelling in a fire.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwelling_separation: Option<Name>,
    /// Whether foam in attics and crawl spaces is covered against ignition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition_barriers: Option<bool>,
    /// Fire-blocking of hidden spaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fire_blocking: Option<FireBlocking>,
    /// What protects the underside of framed floors from fire.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_protection: Option<FloorProtection>,
    /// The door that is the way out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exit_door: Option<ExitDoor>,
    /// Stairs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stairs: Option<Stairs>,
}

/// Where smoke alarms are.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SmokeAlarms {
    /// Whether there is one in every bedroom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_bedrooms: Option<bool>,
    /// Whether there is one outside of every sleeping area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_bedrooms: Option<bool>,
    /// Whether there is one on every storey, a basement included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub each_storey: Option<bool>,
    /// Whether one that sounds sets off all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interconnected: Option<bool>,
}

/// What separates the home from an attached garage.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GarageSeparation {
    /// Thickness of gypsum board on the garage side of walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_board: Option<Length>,
    /// Whether rooms lie above the garage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rooms_above: Option<bool>,
    /// Thickness of gypsum board on the garage's ceiling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ceiling_board: Option<Length>,
    /// The door between home and garage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub door: Option<GarageDoor>,
    /// Whether that door closes by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub door_closes_itself: Option<bool>,
}

/// A door between home and garage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum GarageDoor {
    /// There is none.
    None,
    /// Solid wood of 1 3/8 in or more.
    SolidWood,
    /// Steel with a solid or honeycomb core of 1 3/8 in or more.
    Steel,
    /// Rated for 20 minutes of fire.
    #[serde(rename = "rated-20-min")]
    Rated20Min,
    /// Any other.
    Other,
}

/// Where hidden spaces are closed against fire.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FireBlocking {
    /// Whether walls are blocked at every floor and ceiling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_storeys: Option<bool>,
    /// Whether hidden spaces of walls are blocked along their length at 10 ft or less.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_walls: Option<bool>,
    /// Whether the space between boxes that stand beside or on one another is blocked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between_boxes: Option<bool>,
}

/// What protects the underside of framed floors from fire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FloorProtection {
    /// Gypsum board of 1/2 in or more.
    GypsumBoard,
    /// Wood structural panels of 5/8 in or more.
    WoodPanel,
    /// The joists themselves: sawn or structural composite lumber, 2x10 or larger.
    Joists,
    /// Fire sprinklers below it.
    Sprinklers,
    /// Nothing.
    None,
}

/// The door that is the way out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExitDoor {
    /// Clear width, with the door open at 90°.
    pub clear_width: Length,
    /// Clear height.
    pub clear_height: Length,
    /// Whether it turns on side hinges.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side_hinged: Option<bool>,
}

/// Stairs inside the home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stairs {
    /// Greatest height of a riser.
    pub riser: Length,
    /// Least depth of a tread.
    pub tread: Length,
    /// Clear width above the handrail.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Length>,
    /// Least clear height above the line of the treads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub headroom: Option<Length>,
    /// Whether a handrail runs along them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handrail: Option<bool>,
}
