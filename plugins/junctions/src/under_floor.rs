//! Floors over crawl spaces and unheated basements, with the ground and the air below them.

use crate::facts;
use crate::ground::{Basement, Floor, UnderFloor, suspended, suspended_with_edge};
use crate::ground_facts::{begin, edge, layers, named, of, shell, u_term, wall_thickness, write_loss};
use crate::ground_unheated::{AIR_CHANGES, UnheatedBasement, deep};
use crate::lack::Lack;
use crate::plot::Plot;
use mateline_films::surface::Direction;
use mateline_model::home::{Foundation, JunctionKind, Shielding};
use mateline_model::quantity::{Conductance, Length, ThermalResistance, ThermalTransmittance, Units};
use mateline_model::{Step, Subject, Term};
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
    let edge = edge(request, JunctionKind::FloorRim)?;
    let (found, equation, how) = if depth.si() > SHALLOW {
        let id = named(foundation.wall.as_ref(), "wall")?;
        let base = Basement { floor, depth, walls: layers(request, id, Direction::Level)? };
        let how = "deeper than 0.5 m: base and walls below ground as those of a basement; edge insulation is left out";
        (deep(&base, &below), "Ug = Ubf + z P Ubw/A", Some(how))
    } else if let Some(edge) = edge {
        let how = "edge insulation that the floor rim's section names stands on the foundation wall";
        (suspended_with_edge(&floor, &below, &edge), "Ug = 2λ/(π B' + dt) ln(π B'/dt + 1) + 2 ψ/B'", Some(how))
    } else {
        (suspended(&floor, &below), "Ug = 2λ/(π B' + dt) ln(π B'/dt + 1)", None)
    };
    let floor_subject = Subject::element("assemblies", &enclosure.floors);
    let plain = |symbol: &'static str, meaning: String, value: f64| Term::new(symbol, meaning, value, Units::plain(4));
    let mut basis = begin("suspended floor over a vented crawl space", &plot, &floor, "cover on the ground")
        .step(Step::new(equation).result(u_term("Ug", "through the ground", found.ground)))
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
    basis.assumptions.extend(note.into_iter().chain(wall_note).chain(how.map(str::to_owned)));
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, found.whole, basis);
    Ok(write_loss(&plot, found.whole, findings))
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
    let shell = shell(request, &plot, wall, floor, depth)?;
    let thick = of(request, &enclosure.floors, "envelope.thickness")?;
    let basement = UnheatedBasement {
        shell,
        floor: ThermalTransmittance::from_si(of(request, &enclosure.floors, "envelope.u_factor")?),
        height: Length::from_si((height.si() - depth.si() + thick).max(0.0)),
        walls: ThermalTransmittance::from_si(of(request, wall, "envelope.u_factor")?),
        clear: height,
        air_changes: AIR_CHANGES,
    };
    let length = |symbol: &'static str, meaning: &str, value: Length| {
        Term::new(symbol, meaning.to_owned(), value, Units::LENGTH)
    };
    let floor_subject = Subject::element("assemblies", &enclosure.floors);
    let basis =
        begin("floor over an unheated basement", &plot, &basement.shell.floor, "layers of the basement's floor")
            .step(
                Step::new("Ux = Ubf + (z P Ubw + h P Uw + 0.33 n V)/A")
                    .term(u_term("Ubf", "the basement's floor", basement.shell.floor_u()))
                    .term(length("z", "depth below grade", depth).given("foundation.depth_below_grade"))
                    .term(u_term("Ubw", "its walls below grade", basement.shell.wall_u()))
                    .term(length("h", "floor's upper face above grade", basement.height))
                    .term(u_term("Uw", "its walls above grade", basement.walls))
                    .term(
                        Term::new("n", "air changes (1/h)", AIR_CHANGES, Units::plain(1))
                            .published("ISO 13370 (from memory)"),
                    )
                    .result(u_term("Ux", "from the basement's air to outside", basement.around())),
            )
            .step(
                Step::new("1/U = 1/Uf + 1/Ux")
                    .term(u_term("Uf", "the floor", basement.floor).fact(&floor_subject, "envelope.u_factor"))
                    .result(u_term("U", "floor with all below it", basement.u())),
            );
    findings.fact(&Subject::home(), &facts::GROUND_U_FLOOR, basement.u(), basis);
    Ok(write_loss(&plot, basement.u(), findings))
}
