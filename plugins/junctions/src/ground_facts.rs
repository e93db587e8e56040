//! Floors on the ground and heated basements, and what every calculation of the ground shares.

use crate::facts;
use crate::films::still;
use crate::ground::{Basement, EdgeInsulation, Floor};
use crate::lack::Lack;
use crate::plot::Plot;
use mateline_films::surface::Direction;
use mateline_model::home::{Foundation, Id, JunctionKind};
use mateline_model::quantity::{Conductance, Conductivity, Length, ThermalResistance, ThermalTransmittance, Units};
use mateline_model::{Basis, Step, Subject, Term};
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

/// Resistance of an assembly's layers without its inner film; ground has none outside.
pub(crate) fn layers(request: &Request<'_>, id: &Id, flow: Direction) -> Result<ThermalResistance, Lack> {
    let r = of(request, id, "envelope.r_effective")? - still(flow);
    Ok(ThermalResistance::from_si(r.max(0.0)))
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
    floor: &Id,
    depth: Length,
) -> Result<Basement, Lack> {
    let floor = Floor {
        area: plot.area,
        perimeter: plot.perimeter,
        wall_thickness: Length::from_si(of(request, wall, "envelope.thickness")?),
        resistance: layers(request, floor, Direction::Down)?,
        ground: plot.conductivity(),
    };
    Ok(Basement { floor, depth, walls: layers(request, wall, Direction::Level)? })
}

/// The steps that all floors share: characteristic dimension and equivalent thickness.
pub(crate) fn begin(method: &'static str, plot: &Plot, floor: &Floor, what: &str) -> Basis {
    let r = |symbol: &'static str, meaning: &str, value: ThermalResistance| {
        Term::new(symbol, meaning.to_owned(), value, Units::RESISTANCE)
    };
    let home = Subject::home();
    Basis::new(method, SOURCE)
        .provenance("formulas from memory")
        .step(
            Step::new("B' = A/(0.5 P)")
                .term(Term::new("A", "floor", plot.area, Units::AREA).fact(&home, "takeoff.footprint_area"))
                .term(
                    Term::new("P", "perimeter", plot.perimeter, Units::LENGTH)
                        .fact(&home, "takeoff.foundation_perimeter"),
                )
                .result(Term::new("B'", "characteristic dimension", floor.characteristic_dimension(), Units::LENGTH)),
        )
        .step(
            Step::new("dt = w + λ (Rsi + Rf + Rse)")
                .term(Term::new("w", "thickness of the walls", floor.wall_thickness, Units::LENGTH))
                .term(Term::new("λ", "soil", plot.conductivity(), Units::CONDUCTIVITY).published(plot.soil.1))
                .term(r("Rsi", "inner film", crate::ground::RSI_FLOOR).published("ISO 6946 (from memory)"))
                .term(r("Rf", what, floor.resistance))
                .term(r("Rse", "outer film", crate::ground::RSE).published("ISO 6946 (from memory)"))
                .result(Term::new("dt", "equivalent thickness", floor.equivalent_thickness(), Units::LENGTH)),
        )
        .assuming("steady state over the year; exterior dimensions")
}

pub(crate) fn u_term(symbol: &'static str, meaning: &str, value: ThermalTransmittance) -> Term {
    Term::new(symbol, meaning.to_owned(), value, Units::TRANSMITTANCE)
}

pub(crate) fn write_loss(plot: &Plot, u: ThermalTransmittance, findings: &mut Findings) -> Conductance {
    let home = Subject::home();
    let loss = u * plot.area;
    let step = Step::new("H = U A")
        .term(u_term("U", "floor", u).fact(&home, facts::GROUND_U_FLOOR.name))
        .term(Term::new("A", "floor", plot.area, Units::AREA).fact(&home, "takeoff.footprint_area"))
        .result(Term::new("H", "through the ground", loss, Units::CONDUCTANCE));
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
    let resistance = layers(request, id, Direction::Down)?;
    let ground = plot.conductivity();
    let floor = Floor { area: plot.area, perimeter: plot.perimeter, wall_thickness, resistance, ground };
    let mut basis = begin("slab on the ground", &plot, &floor, "layers of the floor");
    let equation = if floor.equivalent_thickness() < floor.characteristic_dimension() {
        "U0 = 2λ/(π B' + dt) ln(π B'/dt + 1)"
    } else {
        "U0 = λ/(0.457 B' + dt)"
    };
    basis = basis.step(Step::new(equation).result(u_term("U0", "slab without edge insulation", floor.slab())));
    let mut u = floor.slab();
    if let Some(edge) = edge(request, JunctionKind::SlabEdge)? {
        u = floor.slab_with_edge(&edge);
        let psi = edge.psi(floor.equivalent_thickness(), ground);
        basis = basis.step(
            Step::new("ψ = -(λ/π) [ln(2D/dt + 1) - ln(2D/(dt + d') + 1)]")
                .term(Term::new("D", "depth of the edge insulation", edge.extent, Units::LENGTH))
                .term(Term::new("Rn", "its resistance", edge.resistance, Units::RESISTANCE))
                .result(Term::new("ψ", "edge insulation", psi, facts::PSI_UNITS)),
        );
        basis = basis.step(Step::new("U = U0 + 2 ψ/B'").result(u_term("U", "floor", u)));
    }
    basis.assumptions.extend(note);
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, u, basis);
    Ok(write_loss(&plot, u, findings))
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

pub(crate) fn basement(
    request: &Request<'_>,
    foundation: &Foundation,
    findings: &mut Findings,
) -> Result<Conductance, Lack> {
    let plot = Plot::of(request)?;
    let (wall, floor) = (named(foundation.wall.as_ref(), "wall")?, named(foundation.floor.as_ref(), "floor")?);
    let depth = foundation.depth_below_grade.filter(|depth| depth.si() > 0.0);
    let depth = depth.ok_or_else(|| Lack::at("foundation.depth_below_grade is not given", "foundation"))?;
    let basement = shell(request, &plot, wall, floor, depth)?;
    let home = Subject::home();
    let z = Term::new("z", "depth below grade", depth, Units::LENGTH).given("foundation.depth_below_grade");
    let basis = begin("floor of a heated basement", &plot, &basement.floor, "layers of the floor");
    let log = (basement.floor.equivalent_thickness() + depth * 0.5) < basement.floor.characteristic_dimension();
    let equation =
        if log { "U = 2λ/(π B' + dt + z/2) ln(π B'/(dt + z/2) + 1)" } else { "U = λ/(0.457 B' + dt + z/2)" };
    let step = Step::new(equation).term(z.clone()).result(u_term("U", "floor", basement.floor_u()));
    findings.fact(&home, &facts::GROUND_U_FLOOR, basement.floor_u(), basis.step(step));
    let basis = begin("walls of a heated basement", &plot, &basement.floor, "layers of the floor")
        .step(
            Step::new("dw = λ (Rsi + Rw + Rse)")
                .term(Term::new("Rw", "layers of the wall", basement.walls, Units::RESISTANCE))
                .result(Term::new("dw", "equivalent thickness", basement.wall_thickness(), Units::LENGTH)),
        )
        .step(Step::new("U = 2λ/(π z) (1 + 0.5 dt/(dt + z)) ln(z/dw + 1)").term(z.clone()).result(u_term(
            "U",
            "walls below grade",
            basement.wall_u(),
        )))
        .assuming("dt is no more than dw in the last step");
    findings.fact(&home, &facts::GROUND_U_WALL, basement.wall_u(), basis);
    let loss: Conductance = basement.loss();
    let step = Step::new("H = A Uf + z P Uw")
        .term(Term::new("A", "floor", plot.area, Units::AREA).fact(&home, "takeoff.footprint_area"))
        .term(u_term("Uf", "floor", basement.floor_u()).fact(&home, facts::GROUND_U_FLOOR.name))
        .term(z)
        .term(Term::new("P", "perimeter", plot.perimeter, Units::LENGTH).fact(&home, "takeoff.foundation_perimeter"))
        .term(u_term("Uw", "walls", basement.wall_u()).fact(&home, facts::GROUND_U_WALL.name))
        .result(Term::new("H", "through the ground", loss, Units::CONDUCTANCE));
    let basis = Basis::new("heated basement", SOURCE).provenance("formulas from memory").step(step);
    findings.fact(&home, &facts::GROUND_LOSS, loss, basis.assuming("the footing's ψ is a junction of its own"));
    Ok(loss)
}
