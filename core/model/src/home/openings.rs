//! Windows, doors, skylights, and the linear junctions between parts.

use super::{Face, Id, Name};
use crate::quantity::{Conductivity, FlowPerArea, Length, Ratio, ThermalTransmittance};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One or several equal openings in the enclosure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// What it is.
    pub kind: OpeningKind,
    /// The box whose face it is in, or `foundation`.
    pub module: Id,
    /// The face.
    pub face: Face,
    /// Width of the rough opening.
    pub width: Length,
    /// Height of the rough opening.
    pub height: Length,
    /// How many of them.
    #[serde(default = "one")]
    pub count: u32,
    /// Height of the sill above the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sill: Option<Length>,
    /// Distance of the first opening from the left end of the face, seen from outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_left: Option<Length>,
    /// Whole-product U-factor, frame included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_factor: Option<ThermalTransmittance>,
    /// Solar heat gain coefficient of the whole product.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shgc: Option<Ratio>,
    /// Tested air leakage per area of the product.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_leakage: Option<FlowPerArea>,
    /// How a window opens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub operation: Option<Operation>,
    /// Clear width when open, for escape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_width: Option<Length>,
    /// Clear height when open, for escape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<Length>,
    /// The room it serves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub space: Option<Id>,
    /// Counted among the small areas that the energy code exempts from its U-factor and SHGC limits.
    #[serde(default)]
    pub code_exempt: bool,
    /// Records that back the values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub evidence: Vec<Id>,
}

fn one() -> u32 {
    1
}

/// What an opening is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OpeningKind {
    /// A window.
    Window,
    /// A door with glass in more than half of its area, sliding doors included.
    GlazedDoor,
    /// A side-hinged door with little or no glass.
    OpaqueDoor,
    /// A skylight.
    Skylight,
    /// A hatch through the enclosure.
    Hatch,
}

/// How a window opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of window types")]
pub enum Operation {
    Fixed,
    Casement,
    Awning,
    TiltTurn,
    DoubleHung,
    Slider,
}

/// A linear thermal bridge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Junction {
    /// What meets what.
    pub kind: JunctionKind,
    /// Linear thermal transmittance ψ for exterior dimensions, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub psi: Option<Conductivity>,
    /// Where the value comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Name>,
    /// Length, where it does not follow from the boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Lowest surface temperature factor fRsi, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_factor: Option<Ratio>,
    /// The seam it belongs to, for mate lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam: Option<Id>,
}

/// What meets what at a junction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of junctions")]
pub enum JunctionKind {
    OutsideCorner,
    InsideCorner,
    MateWall,
    MateFloor,
    MateRoof,
    FloorRim,
    StackedRim,
    WallToAttic,
    WindowJamb,
    DoorJamb,
    FoundationTop,
    Footing,
    SlabEdge,
}
