//! Windows, doors, skylights, and the linear junctions between parts.

use super::{Face, Id, Name, Own};
use crate::quantity::{Angle, Conductivity, FlowPerArea, Length, Ratio, ThermalResistance, ThermalTransmittance};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One or several equal openings in the enclosure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// What it is.
    pub kind: OpeningKind,
    /// The box whose face it is in, or `foundation`.
    #[schemars(extend("x-names" = "modules", "x-or" = "foundation"))]
    pub module: Id,
    /// The face.
    pub face: Face,
    /// Width of the rough opening.
    pub width: Length,
    /// Height of the rough opening.
    pub height: Length,
    /// How many of them.
    #[serde(default = "one")]
    #[schemars(extend("x-absent" = "one"))]
    pub count: u32,
    /// Height of the sill above the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sill: Option<Length>,
    /// Distance of the first opening from the left end of the face, seen from outside; others of it stand beside it.
    /// Where not given, drawings spread the openings along their face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_left: Option<Length>,
    /// Whole-product U-factor, frame included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_factor: Option<ThermalTransmittance>,
    /// Lowest surface temperature factor fRsi of frame and glass edge, tested or calculated with 0.13 m²·K/W inside (ISO
    /// 13788, ISO 10077-2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_factor: Option<Ratio>,
    /// Solar heat gain coefficient of the whole product.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shgc: Option<Ratio>,
    /// What shades it from the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "nothing shades it"))]
    pub shade: Option<Box<Shade>>,
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
    #[schemars(extend("x-names" = "spaces"))]
    pub space: Option<Id>,
    /// Counted among the small areas that the energy code exempts from its U-factor and SHGC limits.
    #[serde(default)]
    #[schemars(extend("x-absent" = "it is held to the limits with the others"))]
    pub code_exempt: bool,
    /// The product's name, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Who makes it, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maker: Option<Name>,
    /// The model or article number, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<Name>,
    /// Whether it is built on site, so that no test of its leakage is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site_built: Option<bool>,
    /// Records that back the values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-names" = "evidence"))]
    pub evidence: Vec<Id>,
    /// Number or name of the detail it is built by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Name>,
    /// Number or name of the drawing that shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

fn one() -> u32 {
    1
}

/// What stands between a window and the sun.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shade {
    /// How far an overhang above it stands out from the glass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "there is no overhang"))]
    pub overhang: Option<Length>,
    /// From the upper edge of the window up to the overhang; none where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the overhang begins at the window"))]
    pub overhang_above: Option<Length>,
    /// How far fins, or the reveal, on both sides stand out from the glass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "there are no fins"))]
    pub fins: Option<Length>,
    /// From the side of the window to the fin; none where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the fins begin at the window"))]
    pub fins_beside: Option<Length>,
    /// Angle above the horizon up to which hills, trees or neighbours stand all along in front of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the horizon is free"))]
    pub horizon: Option<Angle>,
    /// Share of the sun that a blind lets through while it is drawn: whenever rooms are above 23 °C and more than 150 W/m² fall
    /// on the window.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "there is no blind"))]
    pub blind: Option<Ratio>,
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
    #[schemars(extend("x-below-zero" = true))]
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
    /// Sizes and assemblies of the section that is drawn and solved where ψ is not given, where they are not the usual
    /// ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<Box<JunctionSection>>,
    /// A section of its own, instead of one drawn from the assemblies: rectangles that neither overlap nor leave gaps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rectangles: Vec<SectionRectangle>,
    /// What the open edges of the rectangles touch. Edges that touch nothing are cuts that no heat crosses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub boundaries: Vec<SectionBoundary>,
    /// The parts of the envelope that meet in the section of its own: ψ is what it loses beyond them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub flanks: Vec<SectionFlank>,
    /// Number or name of the detail it is built by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Name>,
    /// Number or name of the drawing that shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

/// Sizes and assemblies of a junction's section. What is not given is the usual one, stated with the result.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JunctionSection {
    /// The wall, where it is not that of `enclosure.walls`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Id>,
    /// The ceiling, where it is not that of `enclosure.ceilings`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ceiling: Option<Id>,
    /// The floor, where it is not that of `enclosure.floors`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<Id>,
    /// Members at the junction: studs of a corner, of each box at a mate line, or beside an opening.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub studs: Option<u32>,
    /// Gap between two boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap: Option<Length>,
    /// What fills the gap: a material, or `air`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_fill: Option<Name>,
    /// Depth of the gasket in the gap; none where it is zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gasket: Option<Length>,
    /// Whether the insulation outside the boxes goes on across the joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint_insulated: Option<bool>,
    /// Thickness of rim boards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_thickness: Option<Length>,
    /// Thickness of the insulation behind rim boards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_insulation: Option<Length>,
    /// Material of the insulation behind rim boards; that between the wall's studs where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_fill: Option<Name>,
    /// Depth of the ceiling framing of the lower box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ceiling_depth: Option<Length>,
    /// Depth of the attic insulation above the outer face of the wall framing; its full depth where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub eave_depth: Option<Length>,
    /// Thickness of the buck around an opening.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buck_thickness: Option<Length>,
    /// Depth of the window's or door's frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame_depth: Option<Length>,
    /// How far the frame's outer face stands behind the outer face of the wall's insulation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame_inset: Option<Length>,
    /// Thickness of the sill plate on the foundation wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sill_thickness: Option<Length>,
    /// Thickness of the insulation along the edge of a slab.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_insulation: Option<Length>,
    /// How far the edge insulation reaches down from grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_depth: Option<Length>,
    /// Material of the edge insulation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_material: Option<Name>,
}

/// A rectangle of material in a section: x to the right, y upwards, from a corner of your choice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionRectangle {
    /// A material of the library or of the home, or `air` for a closed cavity.
    pub material: Name,
    /// Its left edge.
    pub x: Length,
    /// Its lower edge.
    pub y: Length,
    /// From left to right.
    pub width: Length,
    /// From below to above.
    pub height: Length,
}

/// A stretch of the outline of a section, as a line or as a rectangle that holds several edges.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionBoundary {
    /// What lies behind these edges.
    pub touches: SectionSide,
    /// Its left end.
    pub x: Length,
    /// Its lower end.
    pub y: Length,
    /// From left to right; none for an upright line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Length>,
    /// From below to above; none for a level line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
    /// Surface resistance; 0.13 m²·K/W inside and 0.04 m²·K/W outside where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance: Option<ThermalResistance>,
}

/// What lies behind an edge of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SectionSide {
    /// Inside the thermal envelope.
    Inside,
    /// Outside of it.
    Outside,
}

/// A part of the envelope in a section, up to the cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionFlank {
    /// U-factor of the part away from the junction.
    pub u_factor: ThermalTransmittance,
    /// Its length in the section by exterior dimensions.
    pub exterior: Length,
    /// Its length in the section by interior dimensions; as outside where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interior: Option<Length>,
}

/// What meets what at a junction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
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
