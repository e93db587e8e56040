//! Layered constructions, their materials, and where they stand on the boxes.

use super::{Face, Id, LumberSize, Name, OneOrMany, Own};
use crate::quantity::{
    Area, Conductance, Conductivity, Density, Length, Permeance, Rate, Ratio, SpecificHeat, ThermalResistance, Volume,
};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A material of the project's or the firm's own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Name on schedules; the id where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// A name it had before: a layer that still says that one is given this material, and a remark names the new.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub formerly: Option<Name>,
    /// Design thermal conductivity λ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conductivity: Option<Conductivity>,
    /// Resistance of a layer of fixed thickness, such as lapped siding; used instead of conductivity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance: Option<ThermalResistance>,
    /// Resistance on its label, of a batt: between members it has no more than this, however deep they are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labelled_resistance: Option<ThermalResistance>,
    /// What a batt resists that is pressed into members less deep than it is thick, as its maker's chart gives it: between
    /// two rows in proportion, below the last by the conductivity of that row.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pressed: Vec<Pressed>,
    /// Density.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density: Option<Density>,
    /// Specific heat capacity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub specific_heat: Option<SpecificHeat>,
    /// Water-vapour resistance factor μ (dry cup).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-above-one" = true))]
    pub vapour_resistance: Option<Ratio>,
    /// Water-vapour permeance of a membrane or coating, used instead of μ (dry cup, ASTM E96 procedure A).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permeance: Option<Permeance>,
    /// Its permeance by the wet cup (ASTM E96 procedure B), beside `permeance`: higher where it opens in humid air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wet_cup_permeance: Option<Permeance>,
    /// Whether outdoor air passes at its laps and behind it, as it does at hung vinyl or aluminium siding: it holds no
    /// vapour back, and what lies next inside of it is vented.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_open: Option<bool>,
    /// What it is, for schedules, figures and moisture checks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<MaterialKind>,
    /// Where the values come from.
    pub source: Name,
    /// How sure the values are: `looked up`, `from memory, high`, `maker's data` …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub provenance: Option<Name>,
}

/// A row of the chart of a batt.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pressed {
    /// Depth that it is pressed into.
    pub into: Length,
    /// What it resists there.
    pub resistance: ThermalResistance,
}

/// What a material is, as far as drawings and checks tell materials apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of material kinds")]
pub enum MaterialKind {
    Board,
    Wood,
    FoamInsulation,
    FibreInsulation,
    Masonry,
    Metal,
    Membrane,
    Cladding,
    Finish,
    Ground,
    Other,
}

/// A layered construction, described from inside to outside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Assembly {
    /// What it is, which fixes the direction of heat flow and the rules that apply.
    pub kind: AssemblyKind,
    /// What lies on its outer side, where the kind does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adjoins: Option<Boundary>,
    /// Layers from inside to outside.
    pub layers: Vec<Layer>,
    /// Whether more than half of the insulation of a mass wall lies on the inner side of the mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulated_inside: Option<bool>,
    /// How cladding is fastened through insulation outside of the sheathing: furring and fasteners, and whose table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cladding_fastening: Option<Name>,
    /// Anything a reader should know.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
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

impl Assembly {
    /// What lies on the outer side: as given, or as the kind implies.
    pub fn boundary(&self) -> Boundary {
        self.adjoins.unwrap_or(match self.kind {
            AssemblyKind::Wall | AssemblyKind::MassWall | AssemblyKind::Roof | AssemblyKind::ExposedFloor => {
                Boundary::Outdoor
            }
            AssemblyKind::Ceiling => Boundary::Attic,
            AssemblyKind::Floor => Boundary::CrawlSpace,
            AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::Slab => Boundary::Ground,
            AssemblyKind::Interior => Boundary::Conditioned,
        })
    }
}

/// What an assembly is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AssemblyKind {
    /// An above-grade frame wall.
    Wall,
    /// An above-grade wall of masonry, concrete or solid timber.
    MassWall,
    /// A ceiling below an attic.
    Ceiling,
    /// A roof with no attic below it.
    Roof,
    /// A floor over a crawl space or another unheated space.
    Floor,
    /// A floor over outdoor air, such as under an overhang.
    ExposedFloor,
    /// A basement wall.
    BasementWall,
    /// The wall of a crawl space.
    CrawlWall,
    /// A floor on the ground.
    Slab,
    /// A partition, party wall or floor inside the home.
    Interior,
}

impl AssemblyKind {
    /// The kind in tables by where it stands: a wall below grade is one of a basement or of a crawl space by what is inside of
    /// it, and around both one of a basement, whose limits are the stricter ones.
    #[must_use]
    pub fn around(self, basement: bool, crawl_space: bool) -> AssemblyKind {
        match self {
            AssemblyKind::CrawlWall if basement => AssemblyKind::BasementWall,
            AssemblyKind::BasementWall if crawl_space && !basement => AssemblyKind::CrawlWall,
            kind => kind,
        }
    }

    /// Names under which tables of U-factors may hold it, the most particular first.
    pub fn in_tables(self) -> &'static [&'static str] {
        match self {
            AssemblyKind::Wall | AssemblyKind::Interior => &["wall"],
            AssemblyKind::MassWall => &["mass-wall", "wall"],
            AssemblyKind::Ceiling => &["ceiling"],
            AssemblyKind::Roof => &["roof", "ceiling"],
            AssemblyKind::Floor => &["floor"],
            AssemblyKind::ExposedFloor => &["exposed-floor", "floor"],
            AssemblyKind::BasementWall => &["basement-wall"],
            AssemblyKind::CrawlWall => &["crawl-wall"],
            AssemblyKind::Slab => &["slab"],
        }
    }
}

/// What lies on the outer side of a surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Boundary {
    /// Outdoor air.
    Outdoor,
    /// A vented attic.
    Attic,
    /// The ground.
    Ground,
    /// A crawl space outside the thermal envelope.
    CrawlSpace,
    /// A basement outside the thermal envelope.
    UnheatedBasement,
    /// A garage.
    Garage,
    /// Another unheated space.
    Unheated,
    /// The inside of the home, or a neighbouring dwelling.
    Conditioned,
}

impl std::fmt::Display for Boundary {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Boundary::Outdoor => "outdoor",
            Boundary::Attic => "attic",
            Boundary::Ground => "ground",
            Boundary::CrawlSpace => "crawl-space",
            Boundary::UnheatedBasement => "unheated-basement",
            Boundary::Garage => "garage",
            Boundary::Unheated => "unheated",
            Boundary::Conditioned => "conditioned",
        })
    }
}

/// One layer. It is a material with a thickness, or framing with what fills it, or an air space.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// A material of the library or of the home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "materials"))]
    pub material: Option<Name>,
    /// How thick the material is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Length>,
    /// Framing and what fills the space between the members.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub framed: Option<Framing>,
    /// Depth of an unventilated air space.
    #[serde(default, rename = "air-space", skip_serializing_if = "Option::is_none")]
    pub air_space: Option<Length>,
    /// Depth of a cavity ventilated with outdoor air: it and what lies outside it add no resistance.
    #[serde(default, rename = "vented-cavity", skip_serializing_if = "Option::is_none")]
    pub vented_cavity: Option<Length>,
    /// What the layer does beside insulating or covering.
    #[serde(default, skip_serializing_if = "OneOrMany::is_empty")]
    pub role: OneOrMany<Role>,
    /// Fasteners that go through this layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fasteners: Option<Fasteners>,
    /// How carefully the layer is fitted, for the air-gap correction of ISO 6946: 0 none, 1 gaps, 2 gaps and air
    /// movement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_level: Option<u8>,
}

/// What a layer is, once it is clear which.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LayerKind<'a> {
    /// A material and its thickness, if it has one.
    Material(&'a Name, Option<Length>),
    /// Framing.
    Framed(&'a Framing),
    /// A closed air space of this depth.
    AirSpace(Length),
    /// A cavity ventilated with outdoor air, of this depth.
    VentedCavity(Length),
}

impl Layer {
    /// Which of the four kinds this layer is.
    ///
    /// # Errors
    /// When none or several are named.
    pub fn kind(&self) -> Result<LayerKind<'_>, String> {
        match (&self.material, &self.framed, self.air_space, self.vented_cavity) {
            (Some(material), None, None, None) => Ok(LayerKind::Material(material, self.thickness)),
            (None, Some(framing), None, None) if self.thickness.is_none() => Ok(LayerKind::Framed(framing)),
            (None, None, Some(depth), None) if self.thickness.is_none() => Ok(LayerKind::AirSpace(depth)),
            (None, None, None, Some(depth)) if self.thickness.is_none() => Ok(LayerKind::VentedCavity(depth)),
            (None, None, None, None) => {
                Err("the layer names neither material, framed, air-space nor vented-cavity".to_owned())
            }
            (None, ..) if self.thickness.is_some() => {
                Err("thickness belongs to a material; framing has its member size and cavities their depth".to_owned())
            }
            _ => Err("the layer is more than one of material, framed, air-space and vented-cavity".to_owned()),
        }
    }
}

/// Members at a spacing, with something between them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Framing {
    /// The members' material.
    #[schemars(extend("x-names" = "materials"))]
    pub member: Name,
    /// The members' size, `2x6`.
    pub size: LumberSize,
    /// Distance from centre to centre.
    pub spacing: Length,
    /// What fills the space between: a material, or `air`.
    #[schemars(extend("x-names" = "materials", "x-or" = "air"))]
    pub fill: Name,
    /// Share of the face that is framing. Counted from the members where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fraction: Option<Ratio>,
    /// Plates along the bottom of the wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bottom_plates: Option<u32>,
    /// Plates along the top of the wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_plates: Option<u32>,
    /// Depth of the headers over openings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub header_depth: Option<Length>,
    /// Jack studs at each side of an opening.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jacks: Option<u32>,
    /// Studs at each outside corner of the boxes, beside the regular ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner_studs: Option<u32>,
    /// Studs where a mate line meets the wall, beside the regular ones: one set per box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mate_line_studs: Option<u32>,
    /// Rows of blocking between the members.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blocking_rows: Option<u32>,
    /// Height of a storey's wall that floor and ceiling rims fill solid; none where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_height: Option<Length>,
}

/// Metal or plastic pins through an insulation layer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fasteners {
    /// How many per square metre.
    #[schemars(extend("x-above-one" = true))]
    pub per_square_metre: f64,
    /// Shank diameter.
    pub diameter: Length,
    /// Conductivity of the shank; carbon steel, 50 W/(m·K), where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conductivity: Option<Conductivity>,
    /// How deep the fastener reaches into the layer, where it does not go all the way through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub penetration: Option<Length>,
}

/// What a layer does beside insulating or covering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The plane that is sealed against air.
    AirBarrier,
    /// A second plane that is made tight.
    AirControl,
    /// Slows water vapour.
    VapourRetarder,
    /// Unbroken insulation outside or inside the framing.
    ContinuousInsulation,
    /// Keeps rain out behind the cladding.
    WaterBarrier,
    /// Keeps ground water out.
    Waterproofing,
    /// Stops capillary rise.
    CapillaryBreak,
    /// Carries load.
    Structure,
    /// The surface a person sees or touches.
    Finish,
}

/// Which assembly stands on which faces of the boxes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Enclosure {
    /// Exposed sides.
    #[schemars(extend("x-names" = "assemblies"))]
    pub walls: Id,
    /// Tops with no box above.
    #[schemars(extend("x-names" = "assemblies"))]
    pub ceilings: Id,
    /// Undersides over the foundation.
    #[schemars(extend("x-names" = "assemblies"))]
    pub floors: Id,
    /// Undersides over outdoor air, where an upper box overhangs; `floors` where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "assemblies"))]
    pub exposed_floors: Option<Id>,
    /// Tops of lower boxes that no upper box covers while the home goes on above; `ceilings` where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "assemblies"))]
    pub lower_roofs: Option<Id>,
    /// Faces that are built otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<EnclosureException>,
    /// Whether air barrier and insulation are inspected by the list of the energy code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inspected_by_list: Option<bool>,
    /// Whether flashing is drawn at openings, roof edges and mate lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flashing: Option<bool>,
    /// Unheated spaces beside the home, for the balance of heat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "each is as cold as outdoors"))]
    pub unheated: Option<UnheatedSpaces>,
}

/// Unheated spaces beside the home. What lies below its floor is described under `foundation`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UnheatedSpaces {
    /// The attic over its ceilings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "it is as cold as outdoors"))]
    pub attic: Option<UnheatedSpace>,
    /// The garage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "it is as cold as outdoors"))]
    pub garage: Option<UnheatedSpace>,
    /// Any other, which assemblies adjoin as `unheated`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "it is as cold as outdoors"))]
    pub other: Option<UnheatedSpace>,
}

/// What keeps an unheated space from being as cold as outdoors.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UnheatedSpace {
    /// Heat loss coefficient of its own outer parts, to outdoor air and to the ground, without its air: the sum of area times
    /// U-factor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the space is as cold as outdoors"))]
    pub outer_loss: Option<Conductance>,
    /// Volume of its air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the space is as cold as outdoors"))]
    pub volume: Option<Volume>,
    /// How often outdoor air takes the place of its air: `3 ACH` with some open joints or vents, `10 ACH` with many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the space is as cold as outdoors"))]
    pub air_changes: Option<Rate>,
}

/// One face of one box that is built otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EnclosureException {
    /// The box.
    #[schemars(extend("x-names" = "modules"))]
    pub module: Id,
    /// The face.
    pub face: Face,
    /// What stands on it.
    #[schemars(extend("x-names" = "assemblies"))]
    pub assembly: Id,
    /// What lies behind it, where it is not what the assembly adjoins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adjoins: Option<Boundary>,
    /// The area concerned, where it is not the whole exposed face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Area>,
}
