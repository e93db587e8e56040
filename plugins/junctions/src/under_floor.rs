//! Floors over crawl spaces and unheated basements, with the ground and the air below them.

use crate::facts;
use crate::ground::{
    Basement, Deeper, Floor, OverSpace, Slab, UnderFloor, WallBelow, WallsAndVents, WithEdge, suspended,
    suspended_with_edge,
};
use crate::ground_facts::{above_grade, begin, edge, edge_steps, layers, named, of, shell, wall_thickness, write_loss};
use crate::ground_seasons;
use crate::ground_unheated::{
    AIR_CHANGES, BasementAir, BasementToAir, DeepBase, OverBasement, UnheatedBasement, deep, deep_base,
};
use crate::lack::Lack;
use crate::plot::Plot;
use mateline_model::home::{Foundation, JunctionKind, Shielding};
use mateline_model::quantity::{Conductance, Length, ThermalResistance, ThermalTransmittance};
use mateline_model::{Basis, Step, Subject};
use mateline_sdk::{Findings, Request};

/// Mean wind speed at 10 m (m/s; common practice, no source).
const WIND: f64 = 4.0;
/// U-factor of the walls around a crawl space that the home does not describe (W/(m²·K)).
///
/// Source: default of a product approval (looked up).
const CRAWL_WALL: f64 = 1.5;
/// Depth below grade up to which a crawl space counts as shallow (m): ISO 13370 (from memory).
const SHALLOW: f64 = 0.5;

pub(crate) fn crawl_space(
    request: &Request<'_>,
    foundation: &Foundation,
    findings: &mut Findings,
) -> Result<Conductance, Lack> {
    let plot = Plot::of(request)?;
    let enclosure = request.home.enclosure.as_ref().ok_or_else(|| Lack::new("the home names no floor assembly"))?;
    let (height, depth) = height_and_depth(foundation)?;
    let vents = foundation.vent_area.ok_or_else(|| Lack::at("foundation.vent_area is not given", "foundation"))?;
    let (wall_thickness, note) = wall_thickness(request, foundation)?;
    let thick = of(request, &enclosure.floors, "envelope.thickness")?;
    let (walls, wall_note, wall_step) = match &foundation.wall {
        Some(id) => {
            let (u, step) = above_grade(request, id)?;
            (u.si(), None, Some(step))
        }
        None => (
            CRAWL_WALL,
            Some(
                "walls around the space are taken at 1.5 W/(m²·K), the default of a product approval (looked up)"
                    .to_owned(),
            ),
            None,
        ),
    };
    let (shielding, exposure) = match request.home.site.shielding {
        Some(Shielding::Sheltered) => (0.02, "sheltered"),
        Some(Shielding::Exposed) => (0.10, "exposed"),
        Some(Shielding::Average) => (0.05, "average"),
        None => (0.05, "average, since site.shielding is not given"),
    };
    let floor = Floor {
        area: plot.area,
        perimeter: plot.perimeter,
        wall_thickness,
        resistance: ThermalResistance::default(),
        ground: plot.conductivity(),
    };
    let below = UnderFloor {
        floor: ThermalTransmittance::from_si(of(request, &enclosure.floors, "envelope.u_factor")?),
        height: Length::from_si((height.si() - depth.si() + thick).max(0.0)),
        walls: ThermalTransmittance::from_si(walls),
        vents: vents.si() / plot.perimeter.si(),
        wind: WIND,
        shielding,
    };
    let edge = edge(request, JunctionKind::FloorRim)?;
    let is_edged = edge.is_some();
    let (ground, found, how) = if depth.si() > SHALLOW {
        let id = named(foundation.wall.as_ref(), "wall")?;
        let base = Basement { floor, depth, walls: layers(request, id)? };
        let how = "deeper than 0.5 m: base and walls below ground as those of a basement; edge insulation is left out";
        let given = "foundation.depth_below_grade";
        let mut steps = basement_steps(&base, given);
        steps.push(deep_base(&base).step().1.given(DeepBase::z, given));
        (steps, deep(&base, &below), Some(how))
    } else if let Some(edge) = edge {
        let how = "edge insulation that the floor rim's section names stands on the foundation wall";
        let (bare, step) = floor.below().step();
        let mut steps = vec![step.meaning(Slab::U, "without edge insulation").named(Slab::U, "U0")];
        steps.extend(edge_steps(&floor, &edge));
        let step = floor.with_edge(bare, &edge).step().1;
        steps.push(step.meaning(WithEdge::U, "through the ground").named(WithEdge::U, "Ug"));
        (steps, suspended_with_edge(&floor, &below, &edge), Some(how))
    } else {
        let step = floor.below().step().1.meaning(Slab::U, "through the ground").named(Slab::U, "Ug");
        (vec![step], suspended(&floor, &below), None)
    };
    let floor_subject = Subject::element("assemblies", &enclosure.floors);
    let around = below.walls_and_vents(floor.characteristic_dimension()).step().1;
    let whole = OverSpace { Uf: below.floor, Ug: found.ground, Ux: found.around }.step().1;
    let basis = begin("suspended floor over a vented crawl space", &plot, &floor, "cover on the ground");
    let mut basis = ground
        .into_iter()
        .chain(wall_step)
        .fold(basis, Basis::step)
        .step(around.meaning(WallsAndVents::fw, format!("wind shielding, {exposure}")))
        .step(whole.fact(OverSpace::Uf, &floor_subject, "envelope.u_factor"))
        .assuming("wind of 4 m/s at 10 m (common practice, no source)");
    basis.assumptions.extend(note.into_iter().chain(wall_note).chain(how.map(str::to_owned)));
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, found.whole, basis);
    if depth.si() > SHALLOW {
        let because = "the seasons are reckoned for crawl spaces no more than 0.5 m below outside ground";
        findings.missing(&Subject::home(), &facts::GROUND_SEASONAL, because, None);
    } else {
        ground_seasons::crawl_space(&plot, &floor, (below.floor, found.around), is_edged, findings);
    }
    Ok(write_loss(&plot, found.whole, findings))
}

/// How the U-factors of floor and walls of what lies below grade follow.
fn basement_steps(base: &Basement, given: &str) -> Vec<Step> {
    let floor = base.floor_step().1.named(Slab::U, "Ubf");
    let wall = base.wall().step().1.given(WallBelow::z, given).named(WallBelow::U, "Ubw");
    vec![base.deeper().step().1.given(Deeper::z, given), floor, base.wall_equivalent().step().1, wall]
}

/// Height of the space from its floor, and how far that lies below grade.
fn height_and_depth(foundation: &Foundation) -> Result<(Length, Length), Lack> {
    let give = |field: Option<Length>, name: &str| {
        field.ok_or_else(|| Lack::at(format!("foundation.{name} is not given"), "foundation"))
    };
    Ok((give(foundation.height, "height")?, give(foundation.depth_below_grade, "depth_below_grade")?))
}

pub(crate) fn unheated_basement(
    request: &Request<'_>,
    foundation: &Foundation,
    findings: &mut Findings,
) -> Result<Conductance, Lack> {
    let plot = Plot::of(request)?;
    let enclosure = request.home.enclosure.as_ref().ok_or_else(|| Lack::new("the home names no floor assembly"))?;
    let (wall, floor) = (named(foundation.wall.as_ref(), "wall")?, named(foundation.floor.as_ref(), "floor")?);
    let (height, depth) = height_and_depth(foundation)?;
    if depth.si() <= 0.0 {
        return Err(Lack::at("foundation.depth_below_grade is not above zero", "foundation.depth_below_grade"));
    }
    let shell = shell(request, &plot, wall, Some(floor), depth)?;
    let (walls, wall_step) = above_grade(request, wall)?;
    let thick = of(request, &enclosure.floors, "envelope.thickness")?;
    let basement = UnheatedBasement {
        shell,
        floor: ThermalTransmittance::from_si(of(request, &enclosure.floors, "envelope.u_factor")?),
        height: Length::from_si((height.si() - depth.si() + thick).max(0.0)),
        walls,
        clear: height,
        air_changes: AIR_CHANGES,
    };
    let floor_subject = Subject::element("assemblies", &enclosure.floors);
    let given = "foundation.depth_below_grade";
    let air = basement.air().step().1.given(BasementAir::z, given);
    let whole = basement.whole().step().1.fact(OverBasement::Uf, &floor_subject, "envelope.u_factor");
    let basis =
        begin("floor over an unheated basement", &plot, &basement.shell.floor, "layers of the basement's floor");
    let basis = basement_steps(&basement.shell, given)
        .into_iter()
        .fold(basis, Basis::step)
        .step(wall_step)
        .step(basement.outdoor_air().step().1.published(BasementToAir::n, "ISO 13370 (from memory)"))
        .step(air)
        .step(whole);
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, basement.u(), basis);
    ground_seasons::unheated_basement(&plot, &basement, findings);
    Ok(write_loss(&plot, basement.u(), findings))
}
