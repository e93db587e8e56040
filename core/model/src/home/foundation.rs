//! What the boxes stand on.

use super::{Id, Name, OneOrMany, Party, Slope};
use crate::quantity::{Area, Density, Flow, Length, Pressure, Ratio, ThermalResistance, Volume};
use indexmap::IndexMap;
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
    #[schemars(extend("x-absent" = "a basement is, any other space is not"))]
    pub conditioned: Option<bool>,
    /// Assembly of its walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "assemblies"))]
    pub wall: Option<Id>,
    /// Assembly of its floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "assemblies"))]
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
    /// What keeps frost from lifting the footing; its depth where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frost_protection: Option<FrostProtection>,
    /// Drawing or design that shows a protection from frost other than depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frost_detail: Option<Name>,
    /// Whether slab and footing are poured as one, without a wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub monolithic: Option<bool>,
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
    /// How far finished grade falls away from the wall, for the distance over which it falls: `5 %` is 6 in within 10 ft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade_fall: Option<Ratio>,
    /// Whether drains or swales lead water away where lot lines or walls leave no room for the fall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swale: Option<bool>,
    /// Whether the ground within 10 ft of the wall is paved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paved_beside: Option<bool>,
    /// Whether the floor that holds the tops of the walls is in place and anchored before earth is filled against them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_before_backfill: Option<bool>,
    /// Whether the walls are braced until the floor holds them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walls_braced: Option<bool>,
    /// Reinforcement of the walls that hold earth, as drawn: bars and spacing, or `none`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_reinforcement: Option<Name>,
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
    /// Ground cover or retarder under a slab: thickness of the sheet; nought where the ground is bare.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground_cover: Option<Length>,
    /// Net free area of foundation vents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent_area: Option<Area>,
    /// Air flow that conditions an unvented crawl space.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditioning_flow: Option<Flow>,
    /// Water that a dehumidifier in an unvented crawl space takes out, by its rating: `70 pint/d`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dehumidifier: Option<Flow>,
    /// Opening for access, smaller side and larger side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub access: Option<AccessOpening>,
    /// Whether the wood of the floor that is close to the ground is treated or durable by nature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub durable_floor: Option<bool>,
    /// Insulation at the edge of a slab on grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slab_edge: Option<SlabEdge>,
    /// Whether a slab on grade is heated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated_slab: Option<bool>,
    /// What protects the home from termites.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub termite_protection: Option<TermiteProtection>,
    /// Whether foam on the soil's side of concrete is protected from termites as the authority accepts, or all framing is
    /// treated, of steel or of concrete.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam_protected: Option<bool>,
    /// Provisions against radon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radon: Option<RadonProvisions>,
    /// Window wells.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub window_well: Option<WindowWell>,
    /// Load of people and furniture on every floor, where the authority gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub live_load: Option<Pressure>,
    /// Boxes of the lowest level that stand on something else. What lies on the underside of such a box is named
    /// under `enclosure.except`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<FoundationException>,
    /// How the ground is dug, filled and carried away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earthwork: Option<Earthwork>,
    /// Sizes of the other foundations this one is compared with.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub alternatives: IndexMap<FoundationKind, AlternativeSizes>,
}

impl Foundation {
    /// Whether the space below the boxes that no exception names is inside the thermal envelope.
    pub fn is_conditioned(&self) -> bool {
        self.conditions(self.kind)
    }

    /// Whether a space of this kind below some of the boxes is inside the thermal envelope: as the home says of its own
    /// kind of foundation; of another kind, basements are.
    pub fn conditions(&self, kind: FoundationKind) -> bool {
        let stated = self.conditioned.filter(|_| kind == self.kind);
        stated.unwrap_or(kind == FoundationKind::Basement)
    }

    /// The exception that a box stands on, with its position.
    pub fn exception(&self, id: &Id) -> Option<(usize, &FoundationException)> {
        self.except.iter().enumerate().find(|(_, except)| except.under.iter().any(|other| other == id))
    }

    /// Whether the space below a box of the lowest level is inside the thermal envelope.
    pub fn is_conditioned_below(&self, id: &Id) -> bool {
        self.conditions(self.exception(id).map_or(self.kind, |(_, except)| except.kind))
    }
}

/// What a foundation is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
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

/// Boxes that stand on another kind of foundation than the rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundationException {
    /// The boxes, all of the lowest level.
    pub under: OneOrMany<Id>,
    /// What they stand on. A space of the foundation's own kind is as that is, inside the thermal envelope or outside; of
    /// another kind, basements are inside.
    pub kind: FoundationKind,
    /// Height from its floor or ground cover to the underside of the boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
    /// How far its floor lies below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_below_grade: Option<Length>,
    /// Its footing, where it differs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footing: Option<Footing>,
}

/// How the ground is dug, filled and carried away. What is not given is stated with every result that uses it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Earthwork {
    /// Room to work between the outside of the wall and the foot of the slope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub working_space: Option<Length>,
    /// Slope of the sides, rise to run: `1:1.5`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sides: Option<Slope>,
    /// Whether the sides are held upright by shoring.
    #[serde(default)]
    #[schemars(extend("x-absent" = "the sides slope"))]
    pub shored: bool,
    /// Thickness of the topsoil, which is stripped and kept apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub topsoil: Option<Length>,
    /// How much the soil grows when it is dug, as a share of its volume in the ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swell: Option<Ratio>,
    /// Volume after compaction as a share of the volume in the ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compacted: Option<Ratio>,
    /// What one truck carries, loose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub truck: Option<Volume>,
    /// Concrete ordered beyond what is placed, as a share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub concrete_waste: Option<Ratio>,
    /// Reinforcement in a volume of concrete of footings and walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reinforcement: Option<Density>,
}

/// Sizes of a foundation that the chosen one is compared with.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AlternativeSizes {
    /// Height from its floor or ground cover to the underside of the boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
    /// How far its floor lies below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_below_grade: Option<Length>,
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

/// What keeps frost from lifting a footing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FrostProtection {
    /// It reaches below the frost.
    Depth,
    /// Insulation around a shallow foundation of a heated home keeps the ground from freezing.
    Insulated,
    /// A design by the standard for frost-protected shallow foundations.
    Designed,
    /// It stands on solid rock.
    Rock,
}

/// Insulation at the edge of a slab on grade.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlabEdge {
    /// Its resistance.
    pub resistance: ThermalResistance,
    /// How far it goes from the top of the slab, down or down and inward together.
    pub depth: Length,
}

/// What protects a home from termites.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TermiteProtection {
    /// Soil that is treated.
    TreatedSoil,
    /// Baits around the home.
    Baits,
    /// Wood that is treated or durable by nature.
    Wood,
    /// A barrier of metal, mesh or graded stone.
    Barrier,
    /// Steel framing.
    Steel,
    /// Nothing.
    None,
}

/// A footing drain.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drainage {
    /// Where it leads.
    pub discharge: Discharge,
    /// Whether filter fabric covers the gravel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filter_fabric: Option<bool>,
    /// How far the gravel reaches beyond the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_beyond_footing: Option<Length>,
    /// Gravel above the top of the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_above_footing: Option<Length>,
    /// Whether a perforated pipe lies in the gravel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pipe: Option<bool>,
    /// Gravel below the pipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_below_pipe: Option<Length>,
    /// Gravel above the pipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel_above_pipe: Option<Length>,
    /// Whether filter fabric is wrapped around the pipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pipe_wrapped: Option<bool>,
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sealed_lid: Option<bool>,
    /// Whether a pump is installed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pump: Option<bool>,
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub through_floor: Option<bool>,
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fan_ready: Option<bool>,
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ladder: Option<bool>,
}
