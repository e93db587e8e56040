//! Mate lines: where two boxes meet in a wall, a floor or a roof, with the gap between them, its gasket, the members at
//! both edges, and the marriage walls that close the boxes towards each other.

use super::sizes::{gypsum_board, usual};
use super::{Counted, Drawn, Flank, GASKET, Scene, counted, reach, row, some};
use crate::air_cavity;
use crate::canvas::{Canvas, Matter, ROOM, outside as outdoors};
use crate::lack::Lack;
use crate::layers::{Layers, matter};
use mateline_conduction::section::Rect;
use mateline_films::surface::Direction;
use mateline_model::Subject;
use mateline_model::home::{AssemblyKind, Boundary, Id, SeamSeal};
use mateline_model::quantity::Length;

/// Studs of each box at a mate line beside the regular ones, where the home does not say (common practice, no source).
const MATE_LINE_STUDS: u32 = 1;

/// How the element lies.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Lies {
    /// A wall, in plan; the room is above.
    Upright,
    /// A floor: the room is above.
    RoomAbove,
    /// A roof or ceiling: the room is below.
    RoomBelow,
}

pub(super) fn wall(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    mate_line(scene, &scene.wall()?, Lies::Upright)
}

pub(super) fn roof(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    mate_line(scene, &scene.ceiling()?, Lies::RoomBelow)
}

pub(super) fn floor(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let floor = scene.floor()?;
    let assembly = scene.home.assemblies.get(floor.id);
    let is_inside = assembly.is_some_and(|assembly| {
        assembly.kind == AssemblyKind::Interior || assembly.boundary() == Boundary::Conditioned
    });
    if is_inside {
        let because =
            format!("the floor {} lies inside the thermal envelope, so its mate line loses nothing", floor.id);
        return Err(Lack::at(because, format!("assemblies.{}", floor.id)));
    }
    mate_line(scene, &floor, Lies::RoomAbove)
}

/// `s` runs along the element with the gap's middle at 0; `d` runs inwards from the face of the boxes.
fn mate_line(scene: &Scene<'_>, element: &Layers<'_>, lies: Lies) -> Result<Drawn, Lack> {
    let mut notes = Vec::new();
    let gap = gap(scene, &mut notes);
    let half = gap / 2.0;
    let (inside, out) = (element.inside(), element.outside());
    let depth = 1.0;
    let end = half + usual::MARRIAGE_WALL + usual::LINING + reach(element.thickness());
    let mut canvas = if lies == Lies::Upright { Canvas::plan() } else { Canvas::default() };
    let at = |left: f64, low: f64, right: f64, high: f64| match lies {
        Lies::Upright | Lies::RoomAbove => Rect::new(left, low, right, high),
        Lies::RoomBelow => Rect::new(left, -high, right, -low),
    };
    canvas.air(at(-end, -out - 0.2, end, -out), outdoors(element.films.1));
    canvas.air(at(-end, inside, end, inside + depth), ROOM);
    for (span, layer) in element.spans() {
        canvas.matter(at(-end, span.outer, end, span.inner), &layer.matter);
    }
    let mirrored = |canvas: &mut Canvas, left: f64, low: f64, right: f64, high: f64, matter: &Matter| {
        canvas.matter(at(left, low, right, high), matter);
        canvas.matter(at(-right, low, -left, high), matter);
    };
    // Marriage walls: framing with still air in it, lined towards the room.
    let framed = element.framed();
    let wood = framed.map_or_else(|| Matter::new("softwood", usual::WOOD_CONDUCTIVITY), |(_, _, _, m)| m.clone());
    let lining = gypsum_board(scene.home);
    let foot = framed.map_or(inside, |(span, ..)| span.inner);
    let studs_end = half + usual::MARRIAGE_WALL;
    let hollow = Length::from_si(usual::MARRIAGE_WALL);
    let still = Matter::new("air", air_cavity::conductivity(hollow, None, Direction::Level).si());
    mirrored(&mut canvas, half, foot, studs_end, inside + depth, &still);
    let plate = Matter { name: "2x4 plate".to_owned(), ..wood };
    mirrored(&mut canvas, half, foot, studs_end, foot + usual::MEMBER, &plate);
    mirrored(&mut canvas, studs_end, inside, studs_end + usual::LINING, inside + depth, &lining);
    // Members at the edges of both boxes.
    let mut held: Vec<Counted> = Vec::new();
    if let Some((span, framing, _, member)) = framed {
        let width = framing.size.thickness.si();
        let usual = if lies == Lies::Upright { framing.mate_line_studs.unwrap_or(MATE_LINE_STUDS) } else { 0 } + 1;
        let studs = scene.sizes().studs().unwrap_or(usual);
        let wide = row(studs, width, "members of each box")?;
        mirrored(&mut canvas, half, span.outer, half + wide, span.inner, member);
        let stand = some(studs, "member of each box stands", "members of each box stand");
        notes.push(format!("{stand} at the mate line, its last regular one among them"));
        let known = if framing.fraction.is_some() { studs } else { studs.min(usual) };
        let what = format!("{} of each box at the mate line", some(known, "member", "members"));
        held.push(counted(element, what, 2.0 * f64::from(known) * width));
    }
    paint_gap(scene, element, gap, inside + depth, &mut canvas, &at, &mut notes)?;
    notes.push("marriage walls of 2x4 framing with still air close both boxes (common practice, no source)".to_owned());
    notes.push("interior length runs over the marriage walls".to_owned());
    let flank = |exterior, interior| Flank { exterior, interior, ..super::flank(element, 0.0, 0.0) };
    Ok(Drawn {
        section: canvas.section(),
        flanks: vec![flank(end - half, end), flank(end - half, end)],
        counted: held,
        notes,
        ..Drawn::default()
    })
}

/// What fills the gap: a gasket at the face of the boxes, and air or foam behind it.
fn paint_gap(
    scene: &Scene<'_>,
    element: &Layers<'_>,
    gap: f64,
    to: f64,
    canvas: &mut Canvas,
    at: &dyn Fn(f64, f64, f64, f64) -> Rect,
    notes: &mut Vec<String>,
) -> Result<(), Lack> {
    let half = gap / 2.0;
    if gap < 1e-3 {
        return Ok(());
    }
    let sizes = scene.sizes();
    let path = "junctions";
    let seals = seals(scene);
    let foamed = seals.contains(&SeamSeal::SiteFoam);
    let fill = match sizes.given.and_then(|given| given.gap_fill.as_ref()) {
        Some(name) if *name != "air" => matter(scene.home, name, element.inside(), Direction::Level, path)?,
        None if foamed && scene.home.materials.contains_key("spray-foam-closed-cell") => {
            matter(scene.home, "spray-foam-closed-cell", element.inside(), Direction::Level, path)?
        }
        _ => {
            let slot = air_cavity::conductivity(
                Length::from_si(element.inside()),
                Some(Length::from_si(gap)),
                Direction::Level,
            );
            Matter::new("air in the gap", slot.si())
        }
    };
    canvas.matter(at(-half, 0.0, half, to), &fill);
    let gasketed = seals.iter().any(|seal| matches!(seal, SeamSeal::FactoryGasket | SeamSeal::SiteGasket));
    let usual_gasket = if gasketed { usual::GASKET } else { 0.0 };
    let gasket = sizes.given.and_then(|given| given.gasket).map_or(usual_gasket, Length::si);
    if gasket > 0.0 {
        let foam = Matter::new(GASKET, usual::GASKET_CONDUCTIVITY);
        canvas.matter(at(-half, 0.0, half, gasket.min(element.inside())), &foam);
        notes.push(format!("the gasket is {:.0} mm deep and conducts 0.05 W/(m·K)", gasket * 1e3));
    }
    notes.push("tape and membranes over the joint have no thermal effect".to_owned());
    if element.outside() > 0.0 {
        if sizes.given.and_then(|given| given.joint_insulated).unwrap_or(true) {
            notes.push("the insulation outside the boxes goes on across the joint".to_owned());
        } else {
            canvas.matter(at(-half, -element.outside(), half, 0.0), &fill);
        }
    }
    Ok(())
}

/// Width of the gap (m): given for the junction, found by the take-off, or the usual one.
fn gap(scene: &Scene<'_>, notes: &mut Vec<String>) -> f64 {
    let found = scene.wanted.seam.and_then(|seam| {
        let seam = Subject::element("seams", seam);
        scene.request.number(&seam, "takeoff.gap").filter(|gap| *gap > 0.0)
    });
    let given = scene.sizes().given.and_then(|given| given.gap).map(Length::si);
    match given.or(found) {
        Some(gap) => gap,
        None => scene.sizes().length(|_| None, usual::GAP, "the boxes are drawn touching; the gap is taken as", notes),
    }
}

/// What seals the seam.
fn seals(scene: &Scene<'_>) -> Vec<SeamSeal> {
    let seams = &scene.home.seams;
    let entry = scene.wanted.seam.and_then(|seam| scene.home.seam(seam)).map(|(_, seam)| seam);
    let usual = seams.iter().find(|(id, _): &(&Id, _)| *id == "default").map(|(_, seam)| seam);
    let sealed = |seam: &mateline_model::home::Seam| seam.sealed_by.iter().copied().collect::<Vec<_>>();
    entry.map(sealed).filter(|seals| !seals.is_empty()).or_else(|| usual.map(sealed)).unwrap_or_default()
}
