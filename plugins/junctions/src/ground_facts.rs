//! Heat through the ground below a home, where its foundation gives enough.

use crate::air_cavity::Flow;
use crate::facts;
use crate::films::still;
use crate::ground::{Basement, EdgeInsulation, Floor, UnderFloor, suspended};
use crate::lack::Lack;
use crate::plot::Plot;
use mateline_model::home::{Foundation, FoundationKind, Id, JunctionKind, Shielding};
use mateline_model::quantity::{Conductance, Conductivity, Length, ThermalResistance, ThermalTransmittance, Units};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

const SOURCE: &str = "ISO 13370:2017";
/// Mean wind speed at 10 m (m/s; common practice, no source).
const WIND: f64 = 4.0;
/// U-factor of the walls around a crawl space that the home does not describe (W/(m²·K)).
///
/// Source: default of a product approval (looked up).
const CRAWL_WALL: f64 = 1.5;

/// Writes the ground's facts, or what they lack.
pub(crate) fn write(request: &Request<'_>, findings: &mut Findings) {
    let Some(foundation) = &request.home.foundation else {
        lacking(findings, &Lack::new("the home has no foundation"), true);
        return;
    };
    let result = match foundation.kind {
        FoundationKind::Slab => slab(request, foundation, findings),
        FoundationKind::Basement | FoundationKind::CrawlSpace if foundation.is_conditioned() => {
            basement(request, foundation, findings)
        }
        FoundationKind::CrawlSpace => crawl_space(request, foundation, findings),
        FoundationKind::Basement => Err(Lack::new("no method is built in for an unheated basement")),
        FoundationKind::Piers => Err(Lack::new("a home on piers stands over outdoor air")),
    };
    if let Err(lack) = result {
        lacking(findings, &lack, foundation.is_conditioned());
    }
}

fn lacking(findings: &mut Findings, lack: &Lack, with_walls: bool) {
    let home = Subject::home();
    for definition in [&facts::GROUND_U_FLOOR, &facts::GROUND_LOSS] {
        findings.missing(&home, definition, lack.because.clone(), lack.at.clone());
    }
    if with_walls {
        findings.missing(&home, &facts::GROUND_U_WALL, lack.because.clone(), lack.at.clone());
    }
}

fn named<'a>(id: Option<&'a Id>, what: &str) -> Result<&'a Id, Lack> {
    id.ok_or_else(|| Lack::at(format!("foundation.{what} is not given"), "foundation"))
}

/// A number of an assembly.
fn of(request: &Request<'_>, id: &Id, quantity: &str) -> Result<f64, Lack> {
    let subject = Subject::element("assemblies", id);
    let unknown = || Lack::at(format!("{quantity} of {subject} is not known"), subject.as_str());
    request.number(&subject, quantity).ok_or_else(unknown)
}

/// Resistance of an assembly's layers without its inner film; ground has none outside.
fn layers(request: &Request<'_>, id: &Id, flow: Flow) -> Result<ThermalResistance, Lack> {
    let r = of(request, id, "envelope.r_effective")? - still(flow);
    Ok(ThermalResistance::from_si(r.max(0.0)))
}

fn wall_thickness(request: &Request<'_>, foundation: &Foundation) -> Result<(Length, Option<String>), Lack> {
    match &foundation.wall {
        Some(id) => Ok((Length::from_si(of(request, id, "envelope.thickness")?), None)),
        None => {
            let usual = Length::from_si(8.0 * 0.0254);
            Ok((usual, Some("walls around the floor are taken as 8 in thick (common practice, no source)".to_owned())))
        }
    }
}

/// The steps that all floors share: characteristic dimension and equivalent thickness.
fn begin(method: &'static str, plot: &Plot, floor: &Floor, what: &str) -> Basis {
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

fn u_term(symbol: &'static str, meaning: &str, value: ThermalTransmittance) -> Term {
    Term::new(symbol, meaning.to_owned(), value, Units::TRANSMITTANCE)
}

fn write_loss(plot: &Plot, u: ThermalTransmittance, findings: &mut Findings) {
    let home = Subject::home();
    let loss = u * plot.area;
    let step = Step::new("H = U A")
        .term(u_term("U", "floor", u).fact(&home, facts::GROUND_U_FLOOR.name))
        .term(Term::new("A", "floor", plot.area, Units::AREA).fact(&home, "takeoff.footprint_area"))
        .result(Term::new("H", "through the ground", loss, Units::CONDUCTANCE));
    findings.fact(&home, &facts::GROUND_LOSS, loss, Basis::new("floor over the ground", SOURCE).step(step));
}

fn slab(request: &Request<'_>, foundation: &Foundation, findings: &mut Findings) -> Result<(), Lack> {
    let plot = Plot::of(request)?;
    let id = named(foundation.floor.as_ref(), "floor")?;
    let (wall_thickness, note) = wall_thickness(request, foundation)?;
    let resistance = layers(request, id, Flow::Down)?;
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
    if let Some(edge) = edge(request)? {
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
    write_loss(&plot, u, findings);
    Ok(())
}

/// Edge insulation that a slab edge's section names.
fn edge(request: &Request<'_>) -> Result<Option<EdgeInsulation>, Lack> {
    let edges = request.home.junctions.iter().filter(|(_, junction)| junction.kind == JunctionKind::SlabEdge);
    for (id, section) in edges.filter_map(|(id, junction)| Some((id, junction.section.as_deref()?))) {
        let (Some(thickness), Some(extent), Some(name)) =
            (section.edge_insulation, section.edge_depth, section.edge_material.as_ref())
        else {
            continue;
        };
        let path = format!("junctions.{id}.section.edge_material");
        let matter = crate::layers::matter(request.home, name, thickness.si(), Flow::Level, &path)?;
        let resistance = thickness / Conductivity::from_si(matter.conductivity);
        return Ok(Some(EdgeInsulation { resistance, thickness, extent, is_upright: true }));
    }
    Ok(None)
}

fn basement(request: &Request<'_>, foundation: &Foundation, findings: &mut Findings) -> Result<(), Lack> {
    let plot = Plot::of(request)?;
    let (wall, floor) = (named(foundation.wall.as_ref(), "wall")?, named(foundation.floor.as_ref(), "floor")?);
    let depth = foundation.depth_below_grade.filter(|depth| depth.si() > 0.0);
    let depth = depth.ok_or_else(|| Lack::at("foundation.depth_below_grade is not given", "foundation"))?;
    let floor = Floor {
        area: plot.area,
        perimeter: plot.perimeter,
        wall_thickness: Length::from_si(of(request, wall, "envelope.thickness")?),
        resistance: layers(request, floor, Flow::Down)?,
        ground: plot.conductivity(),
    };
    let basement = Basement { floor, depth, walls: layers(request, wall, Flow::Level)? };
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
    Ok(())
}

fn crawl_space(request: &Request<'_>, foundation: &Foundation, findings: &mut Findings) -> Result<(), Lack> {
    let plot = Plot::of(request)?;
    let enclosure = request.home.enclosure.as_ref().ok_or_else(|| Lack::new("the home names no floor assembly"))?;
    let give = |field: Option<Length>, name: &str| {
        field.ok_or_else(|| Lack::at(format!("foundation.{name} is not given"), "foundation"))
    };
    let (height, depth) =
        (give(foundation.height, "height")?, give(foundation.depth_below_grade, "depth_below_grade")?);
    let vents = foundation.vent_area.ok_or_else(|| Lack::at("foundation.vent_area is not given", "foundation"))?;
    if depth.si() > 0.5 {
        let because = format!("the crawl space lies {:.2} m below grade; the method holds to 0.5 m", depth.si());
        return Err(Lack::at(because, "foundation.depth_below_grade"));
    }
    let (wall_thickness, note) = wall_thickness(request, foundation)?;
    let thick = of(request, &enclosure.floors, "envelope.thickness")?;
    let (walls, wall_note) = match &foundation.wall {
        Some(id) => (of(request, id, "envelope.u_factor")?, None),
        None => (
            CRAWL_WALL,
            Some(
                "walls around the space are taken at 1.5 W/(m²·K), the default of a product approval (looked up)"
                    .to_owned(),
            ),
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
    let found = suspended(&floor, &below);
    let floor_subject = Subject::element("assemblies", &enclosure.floors);
    let plain = |symbol: &'static str, meaning: String, value: f64| Term::new(symbol, meaning, value, Units::plain(4));
    let mut basis = begin("suspended floor over a vented crawl space", &plot, &floor, "cover on the ground")
        .step(Step::new("Ug = 2λ/(π B' + dt) ln(π B'/dt + 1)").result(u_term("Ug", "through the ground", found.ground)))
        .step(
            Step::new("Ux = 2 h Uw/B' + 1450 ε v fw/B'")
                .term(Term::new("h", "floor's upper face above grade", below.height, Units::LENGTH))
                .term(u_term("Uw", "walls around the space", below.walls))
                .term(plain("ε", "vents (m²) per metre of perimeter".to_owned(), below.vents))
                .term(plain("v", "wind at 10 m (m/s)".to_owned(), below.wind))
                .term(plain("fw", format!("wind shielding, {exposure}"), below.shielding))
                .result(u_term("Ux", "through walls and vents", found.around)),
        )
        .step(
            Step::new("1/U = 1/Uf + 1/(Ug + Ux)")
                .term(u_term("Uf", "the floor", below.floor).fact(&floor_subject, "envelope.u_factor"))
                .result(u_term("U", "floor with the ground", found.whole)),
        )
        .assuming("wind of 4 m/s at 10 m (common practice, no source)");
    basis.assumptions.extend(note.into_iter().chain(wall_note));
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, found.whole, basis);
    write_loss(&plot, found.whole, findings);
    Ok(())
}
