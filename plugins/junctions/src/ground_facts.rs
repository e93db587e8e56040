//! Floors on the ground and heated basements, and what every calculation of the ground shares.

use crate::facts;
use crate::ground::{
    AboveGrade, Basement, BasementLoss, Characteristic, Deeper, EdgeInsulation, Equivalent, Floor, FloorLoss, RSE,
    RSI_WALL, Slab, WallBelow, WallEquivalent,
};
use crate::ground_seasons;
use crate::lack::Lack;
use crate::plot::Plot;
use mateline_films::surface::{Direction, OuterSide, handbook};
use mateline_layers::Body;
use mateline_model::home::{Foundation, FoundationKind, Id, JunctionKind, MaterialKind};
use mateline_model::quantity::{Area, Conductance, Conductivity, Length, ThermalResistance, ThermalTransmittance};
use mateline_model::{Basis, Step, Subject};
use mateline_sdk::{Findings, Request};

const SOURCE: &str = "ISO 13370:2017";

pub(crate) fn named<'a>(id: Option<&'a Id>, what: &str) -> Result<&'a Id, Lack> {
    id.ok_or_else(|| Lack::at(format!("foundation.{what} is not given"), "foundation"))
}

/// A number of an assembly.
pub(crate) fn of(request: &Request<'_>, id: &Id, quantity: &str) -> Result<f64, Lack> {
    let subject = Subject::element("assemblies", id);
    let unknown = || Lack::at(format!("{quantity} of {subject} is not known"), subject.as_str());
    request.number(&subject, quantity).ok_or_else(unknown)
}

/// Resistance of an assembly's layers without films, as they stand between inside and ground.
///
/// The envelope's films go by what most of the assembly adjoins, so that a basement wall that mostly stands above grade
/// has the wind's. Hardcore below a slab conducts as the ground does, and is not counted.
///
/// Source: ISO 13370:2017, thermal resistance of the floor (from memory).
pub(crate) fn layers(request: &Request<'_>, id: &Id) -> Result<ThermalResistance, Lack> {
    let subject = Subject::element("assemblies", id);
    let unknown = || Lack::at(format!("there is no assembly {id}"), "assemblies");
    let assembly = request.home.assemblies.get(id).ok_or_else(unknown)?;
    let found = mateline_layers::Layers::of(request.home, id, assembly)?;
    let word = request.text(&subject, "takeoff.boundary");
    let boundary = word.and_then(|word| serde_json::from_value(serde_json::Value::String(word.to_owned())).ok());
    let outer = OuterSide::beyond(found.is_ventilated(), boundary.unwrap_or_else(|| assembly.boundary()));
    let films = handbook(found.flow, outer);
    let mut resistance = of(request, id, "envelope.r_effective")? - films.inner.si() - films.outer.si();
    for layer in found.closed() {
        if let Body::Plain(matter) = &layer.body
            && matter.kind() == Some(MaterialKind::Ground)
        {
            resistance -= matter.thermal()?.resistance.si();
        }
    }
    Ok(ThermalResistance::from_si(resistance.max(0.0)))
}

/// U-factor of a wall of an unheated space above grade, with its step.
pub(crate) fn above_grade(request: &Request<'_>, wall: &Id) -> Result<(ThermalTransmittance, Step), Lack> {
    let wall = AboveGrade { Rsi: RSI_WALL, Rw: layers(request, wall)?, Rse: RSE };
    let (u, step) = wall.step();
    let films = "ISO 6946 (from memory)";
    Ok((u, step.published(AboveGrade::Rsi, films).published(AboveGrade::Rse, films)))
}

pub(crate) fn wall_thickness(request: &Request<'_>, foundation: &Foundation) -> Result<(Length, Option<String>), Lack> {
    match &foundation.wall {
        Some(id) => Ok((Length::from_si(of(request, id, "envelope.thickness")?), None)),
        None => {
            let usual = Length::from_si(8.0 * 0.0254);
            Ok((usual, Some("walls around the floor are taken as 8 in thick (common practice, no source)".to_owned())))
        }
    }
}

/// What of a basement lies below grade.
pub(crate) fn shell(
    request: &Request<'_>,
    plot: &Plot,
    wall: &Id,
    floor: Option<&Id>,
    depth: Length,
) -> Result<Basement, Lack> {
    let floor = Floor {
        area: plot.area,
        perimeter: plot.perimeter,
        wall_thickness: Length::from_si(of(request, wall, "envelope.thickness")?),
        resistance: floor.map_or(Ok(ThermalResistance::default()), |floor| layers(request, floor))?,
        ground: plot.conductivity(),
    };
    Ok(Basement { floor, depth, walls: layers(request, wall)? })
}

/// The steps that all floors share: characteristic dimension and equivalent thickness.
pub(crate) fn begin(method: &'static str, plot: &Plot, floor: &Floor, what: &str) -> Basis {
    let home = Subject::home();
    let characteristic = floor.characteristic().step().1;
    let equivalent = floor.equivalent().step().1.meaning(Equivalent::Rf, what);
    Basis::new(method, SOURCE)
        .provenance("formulas from memory")
        .step(characteristic.fact(Characteristic::A, &home, "takeoff.footprint_area").fact(
            Characteristic::P,
            &home,
            "takeoff.foundation_perimeter",
        ))
        .step(
            equivalent
                .published(Equivalent::λ, plot.soil.1)
                .published(Equivalent::Rsi, "ISO 6946 (from memory)")
                .published(Equivalent::Rse, "ISO 6946 (from memory)"),
        )
        .assuming("steady state over the year; exterior dimensions")
}

pub(crate) fn write_loss(plot: &Plot, u: ThermalTransmittance, findings: &mut Findings) -> Conductance {
    let home = Subject::home();
    let (loss, step) = FloorLoss { U: u, A: plot.area }.step();
    let step =
        step.fact(FloorLoss::U, &home, facts::GROUND_U_FLOOR.name).fact(FloorLoss::A, &home, "takeoff.footprint_area");
    findings.fact(&home, &facts::GROUND_LOSS, loss, Basis::new("floor over the ground", SOURCE).step(step));
    loss
}

pub(crate) fn slab(
    request: &Request<'_>,
    foundation: &Foundation,
    findings: &mut Findings,
) -> Result<Conductance, Lack> {
    let plot = Plot::of(request)?;
    let id = named(foundation.floor.as_ref(), "floor")?;
    let (wall_thickness, note) = wall_thickness(request, foundation)?;
    let resistance = layers(request, id)?;
    let ground = plot.conductivity();
    let floor = Floor { area: plot.area, perimeter: plot.perimeter, wall_thickness, resistance, ground };
    let mut basis = begin("slab on the ground", &plot, &floor, "layers of the floor");
    let (bare, step) = floor.slab_step();
    let step = step.meaning(Slab::U, "slab without edge insulation").named(Slab::U, "U0");
    basis = basis.step(step);
    let mut u = bare;
    let edge = edge(request, JunctionKind::SlabEdge)?;
    ground_seasons::slab(&plot, &floor, edge.as_ref(), findings);
    if let Some(edge) = edge {
        let (whole, step) = floor.with_edge(bare, &edge).step();
        basis = edge_steps(&floor, &edge).into_iter().fold(basis, Basis::step).step(step);
        u = whole;
    }
    basis.assumptions.extend(note);
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, u, basis);
    Ok(write_loss(&plot, u, findings))
}

/// How the linear transmittance of edge insulation follows.
pub(crate) fn edge_steps(floor: &Floor, edge: &EdgeInsulation) -> [Step; 2] {
    [edge.extra(floor.ground).step().1, edge.psi_step(floor.equivalent_thickness(), floor.ground).1]
}

/// Edge insulation that the section of a junction of this kind names.
pub(crate) fn edge(request: &Request<'_>, kind: JunctionKind) -> Result<Option<EdgeInsulation>, Lack> {
    let edges = request.home.junctions.iter().filter(|(_, junction)| junction.kind == kind);
    for (id, section) in edges.filter_map(|(id, junction)| Some((id, junction.section.as_deref()?))) {
        let (Some(thickness), Some(extent), Some(name)) =
            (section.edge_insulation, section.edge_depth, section.edge_material.as_ref())
        else {
            continue;
        };
        let path = format!("junctions.{id}.section.edge_material");
        let matter = crate::layers::matter(request.home, name, thickness.si(), Direction::Level, &path)?;
        let resistance = thickness / Conductivity::from_si(matter.conductivity);
        return Ok(Some(EdgeInsulation { resistance, thickness, extent, is_upright: true }));
    }
    Ok(None)
}

/// Openings of the walls below grade, in window wells: the envelope counts them.
fn below_grade_openings(request: &Request<'_>) -> Area {
    let below = |subject: &&Subject| {
        request.text(subject, "takeoff.boundary") == Some("ground")
            && request.text(subject, "takeoff.orientation") == Some("below-grade")
    };
    let found = request.subjects("surfaces").filter(below);
    Area::from_si(found.filter_map(|subject| request.number(subject, "takeoff.opening_area")).sum())
}

pub(crate) fn basement(
    request: &Request<'_>,
    foundation: &Foundation,
    findings: &mut Findings,
) -> Result<Conductance, Lack> {
    let plot = Plot::of(request)?;
    let wall = named(foundation.wall.as_ref(), "wall")?;
    // The covered ground of a crawl space needs no floor.
    let is_bare = foundation.kind == FoundationKind::CrawlSpace && foundation.ground_cover.is_some();
    let floor = if is_bare { foundation.floor.as_ref() } else { Some(named(foundation.floor.as_ref(), "floor")?) };
    let depth = foundation.depth_below_grade.filter(|depth| depth.si() > 0.0);
    let depth = depth.ok_or_else(|| Lack::at("foundation.depth_below_grade is not given", "foundation"))?;
    let basement = shell(request, &plot, wall, floor, depth)?;
    ground_seasons::basement(&plot, &basement, findings);
    let home = Subject::home();
    let given = "foundation.depth_below_grade";
    let (floor_u, step) = basement.floor_step();
    let basis = begin("floor of a heated basement", &plot, &basement.floor, "layers of the floor");
    let basis = basis.step(basement.deeper().step().1.given(Deeper::z, given)).step(step);
    findings.fact(&home, &facts::GROUND_U_FLOOR, floor_u, basis);
    let (wall_u, step) = basement.wall().step();
    let basis = begin("walls of a heated basement", &plot, &basement.floor, "layers of the floor")
        .step(basement.wall_equivalent().step().1.published(WallEquivalent::λ, plot.soil.1))
        .step(step.given(WallBelow::z, given));
    findings.fact(&home, &facts::GROUND_U_WALL, wall_u, basis);
    let openings = below_grade_openings(request);
    let (loss, step) = if openings.si() > 0.0 { basement.heat_beside(openings).step() } else { basement.heat().step() };
    let step = step
        .fact(BasementLoss::A, &home, "takeoff.footprint_area")
        .fact(BasementLoss::Uf, &home, facts::GROUND_U_FLOOR.name)
        .given(BasementLoss::z, given)
        .fact(BasementLoss::P, &home, "takeoff.foundation_perimeter")
        .fact(BasementLoss::Uw, &home, facts::GROUND_U_WALL.name);
    let basis = Basis::new("heated basement", SOURCE).provenance("formulas from memory").step(step);
    findings.fact(&home, &facts::GROUND_LOSS, loss, basis.assuming("the footing's ψ is a junction of its own"));
    Ok(loss)
}
