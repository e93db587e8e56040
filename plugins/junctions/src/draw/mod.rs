//! Sections drawn from the home: one file for each kind of place where parts of the envelope meet.

mod corner;
mod eave;
mod footing;
mod free;
mod jamb;
mod mate_line;
mod rim;
mod sizes;

use crate::lack::Lack;
use crate::layers::Layers;
use mateline_conduction::section::Section;
use mateline_model::home::{Home, Id, Junction, JunctionKind};
use mateline_sdk::Request;

pub(crate) use free::{own_section, problems as own_problems};
pub(crate) use sizes::Sizes;

/// What a gasket is called in a section.
pub(crate) const GASKET: &str = "gasket";

/// A part of the envelope in a section, up to the cut.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Flank {
    /// `assemblies.wall`.
    pub name: String,
    /// U-factor away from the junction, between members (W/(m²·K)).
    pub u: f64,
    /// Length by exterior dimensions (m).
    pub exterior: f64,
    /// Length by interior dimensions (m).
    pub interior: f64,
}

/// Members in the section that the assembly's own share of framing holds already.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Counted {
    pub what: String,
    /// Face width of all of them (m).
    pub width: f64,
    /// What they add to the U-factor over their width (W/(m²·K)).
    pub extra: f64,
}

/// A section with all that ψ needs.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Drawn {
    pub section: Section,
    pub flanks: Vec<Flank>,
    pub counted: Vec<Counted>,
    /// What was assumed.
    pub notes: Vec<String>,
    /// The section without the junction, where ψ is the difference of two solutions.
    pub without: Option<Section>,
    /// Whether the section reaches through the ground.
    pub in_ground: bool,
    /// Why ψ cannot be told from the heat flow, where the plane parts are not known.
    pub no_flanks: Option<Lack>,
}

/// What a section is drawn for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wanted<'a> {
    pub kind: JunctionKind,
    pub junction: Option<&'a Junction>,
    /// The seam, for mate lines.
    pub seam: Option<&'a str>,
    /// Whether the foundation wall's top is a junction of its own, so that the rim is drawn without it.
    pub top_is_apart: bool,
    /// Whether the box overhangs, with outdoor air below it.
    pub over_air: bool,
}

/// All that is looked at while drawing.
#[derive(Clone, Copy)]
pub(crate) struct Scene<'a> {
    pub request: &'a Request<'a>,
    pub home: &'a Home,
    pub wanted: Wanted<'a>,
}

impl<'a> Scene<'a> {
    pub(crate) fn sizes(&self) -> Sizes<'a> {
        Sizes { given: self.wanted.junction.and_then(|junction| junction.section.as_deref()) }
    }

    fn assembly(
        &self,
        own: Option<&'a Id>,
        usual: impl Fn(&'a mateline_model::home::Enclosure) -> &'a Id,
        what: &str,
    ) -> Result<Layers<'a>, Lack> {
        let id = own.or_else(|| self.home.enclosure.as_ref().map(usual)).ok_or_else(|| {
            Lack::undescribed(format!("the home names no {what} to draw the section from"), "enclosure")
        })?;
        Layers::of(self.home, id)
    }

    pub(crate) fn wall(&self) -> Result<Layers<'a>, Lack> {
        self.assembly(self.sizes().given.and_then(|given| given.wall.as_ref()), |enclosure| &enclosure.walls, "wall")
    }

    pub(crate) fn ceiling(&self) -> Result<Layers<'a>, Lack> {
        let own = self.sizes().given.and_then(|given| given.ceiling.as_ref());
        self.assembly(own, |enclosure| &enclosure.ceilings, "ceiling")
    }

    pub(crate) fn floor(&self) -> Result<Layers<'a>, Lack> {
        let own = self.sizes().given.and_then(|given| given.floor.as_ref());
        let exposed = self.wanted.over_air;
        let usual = |enclosure: &'a mateline_model::home::Enclosure| match &enclosure.exposed_floors {
            Some(floor) if exposed => floor,
            _ => &enclosure.floors,
        };
        self.assembly(own, usual, "floor")
    }
}

/// Draws the section of a kind of junction.
pub(crate) fn draw(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    match scene.wanted.kind {
        JunctionKind::OutsideCorner => corner::outside(scene),
        JunctionKind::InsideCorner => corner::inside(scene),
        JunctionKind::MateWall => mate_line::wall(scene),
        JunctionKind::MateFloor => mate_line::floor(scene),
        JunctionKind::MateRoof => mate_line::roof(scene),
        JunctionKind::FloorRim if scene.wanted.over_air => rim::over_air(scene),
        JunctionKind::FloorRim => rim::floor(scene),
        JunctionKind::StackedRim => rim::stacked(scene),
        JunctionKind::FoundationTop => rim::foundation_top(scene),
        JunctionKind::WallToAttic => eave::wall_to_attic(scene),
        JunctionKind::WindowJamb => jamb::window(scene),
        JunctionKind::DoorJamb => jamb::door(scene),
        JunctionKind::Footing => footing::footing(scene),
        JunctionKind::SlabEdge => footing::slab_edge(scene),
    }
}

/// How far a section reaches from the junction to the cut (m): 1 m, and three times the thickness.
///
/// Source: ISO 10211:2017, 5.2, cut-off planes (from memory).
fn reach(thickness: f64) -> f64 {
    (3.0 * thickness).max(1.0)
}

/// Widest row of members at a junction (m): more of them are a mistake.
const WIDEST: f64 = 0.5;

/// Width of a row of members (m).
fn row(count: u32, width: f64, what: &str) -> Result<f64, Lack> {
    let whole = f64::from(count) * width;
    if whole > WIDEST {
        return Err(Lack::new(format!("{count} {what} are {whole:.2} m wide together, more than {WIDEST} m")));
    }
    Ok(whole)
}

/// A number of things, in words.
fn some(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Members that the part's own share of framing holds.
fn counted(layers: &Layers<'_>, what: impl Into<String>, width: f64) -> Counted {
    Counted { what: what.into(), width, extra: layers.u_through_members() - layers.u() }
}

fn flank(layers: &Layers<'_>, exterior: f64, interior: f64) -> Flank {
    Flank { name: format!("assemblies.{}, between members", layers.id), u: layers.u(), exterior, interior }
}
