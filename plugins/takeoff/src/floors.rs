//! Floors: each box's plan less the exterior walls that stand in it.
//!
//! A wall as thick as its assembly is inside the face of the box stands along each side that is open over at least
//! half of its height, and reaches round the corner by its own thickness into the next box. Partitions, mate walls and
//! stairs are not taken off.

use crate::basis::{area, geometry, sum};
use crate::enclosure::{Envelope, Site};
use crate::layers::Thicknesses;
use crate::surfaces::{size, size_term};
use mateline_boxes::contact::Contact;
use mateline_boxes::coordinate::{Nm, Rect, Span, metres, nanometres, square_metres};
use mateline_boxes::placed::{Placed, direction};
use mateline_boxes::region::{Edge, Region, Slab, merged};
use mateline_equation::equation;
use mateline_model::home::{Face, Id, Side};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Basis, Step, Term};
use mateline_sdk::Lack;

/// The four sides of a box.
pub const SIDES: [Face; 4] = [Face::West, Face::East, Face::South, Face::North];
/// With no more boxes than this, each gets a step of its own.
pub const WORKED: usize = 12;

equation! {
    /// Floor of a box between its exterior walls. Source: geometry.
    pub(crate) FloorArea = "F = a·b − S" {
        F: Area "floor of the box" [Units::AREA],
        a: Length "length from west to east" [Units::LENGTH],
        b: Length "length from south to north" [Units::LENGTH],
        S: Area "plan area of the exterior walls" [Units::AREA],
    }

    /// Plan area of walls that are equally thick, of which corners would count twice. Source: geometry.
    pub(crate) WallStrip = "S = t·L − n·t²" {
        S: Area "plan area of the walls" [Units::AREA],
        t: Length "thickness of the walls" [Units::THICKNESS],
        L: Length "length of the walls along the outline" [Units::LENGTH],
        n: f64 "outside less inside corners" [Units::plain(0)],
    }
}

/// Floor of one box between its exterior walls.
#[derive(Clone, Debug)]
pub struct FloorPlan<'a> {
    /// The plan.
    pub region: Region,
    /// Its area (m²).
    pub area: f64,
    /// The inner faces of the exterior walls.
    pub edges: Vec<Edge>,
    /// The box's own exterior walls: assembly, thickness and length along the box's side.
    pub walls: Vec<(&'a Id, Nm, Nm)>,
}

/// A wall in plan.
struct Wall<'a> {
    rect: Rect,
    face: Face,
    id: &'a Id,
    thickness: Nm,
}

impl Wall<'_> {
    /// Length along the side of the box, without what reaches round corners.
    fn length(&self) -> Nm {
        let run = if direction(self.face).0 == 0 { self.rect.v } else { self.rect.u };
        run.length() - 2 * self.thickness
    }
}

/// The floor of each box.
pub fn floor_plans<'a>(
    site: &Site<'a, '_>,
    thicknesses: &Thicknesses<'a>,
    envelope: &Envelope<'a>,
    contacts: &[Contact],
) -> Result<Vec<FloorPlan<'a>>, Lack> {
    let walls = |i: usize| walls(site, thicknesses, envelope, i);
    let walls: Vec<Vec<Wall<'a>>> = (0..site.boxes.len()).map(walls).collect::<Result<_, Lack>>()?;
    let mut standing: Vec<Vec<Rect>> = walls.iter().map(|walls| walls.iter().map(|wall| wall.rect).collect()).collect();
    // Walls of a box reach round the corner into the boxes beside it.
    for contact in contacts.iter().filter(|contact| contact.axis < 2) {
        for (from, into) in [(contact.low, contact.high), (contact.high, contact.low)] {
            if let (Some(walls), Some(rects)) = (walls.get(from), standing.get_mut(into)) {
                let along = walls.iter().filter(|wall| direction(wall.face).0 != contact.axis);
                rects.extend(along.map(|wall| wall.rect));
            }
        }
    }
    let all = site.boxes.iter().zip(standing).zip(walls);
    Ok(all.map(|((placed, rects), walls)| floor_plan(placed, rects, &walls)).collect())
}

fn floor_plan<'a>(placed: &Placed, standing: Vec<Rect>, walls: &[Wall<'a>]) -> FloorPlan<'a> {
    let plan = placed.plan();
    let within = standing.into_iter().filter_map(|rect| plan.common(rect)).collect();
    let region = Region::from(plan).minus(&Region::union_of(within));
    let mut edges = region.outline();
    edges.retain(|edge| !on_outline(edge, plan));
    let walls = walls.iter().map(|wall| (wall.id, wall.thickness, wall.length())).collect();
    FloorPlan { area: square_metres(region.area()), region, edges, walls }
}

/// The exterior walls of a box, longer by their thickness at both ends.
fn walls<'a>(
    site: &Site<'a, '_>,
    thicknesses: &Thicknesses<'a>,
    envelope: &Envelope<'a>,
    i: usize,
) -> Result<Vec<Wall<'a>>, Lack> {
    let (Some(placed), Some(open)) = (site.boxes.get(i), site.open.get(i)) else { return Ok(Vec::new()) };
    let mut walls = Vec::new();
    for face in SIDES {
        let stretches = walled(&open.of(face).region, placed.face(face).v.length());
        if stretches.is_empty() {
            continue;
        }
        let Some(patch) = envelope.main_on_face(i, face) else {
            let unknown =
                || Lack::at(format!("nothing says what stands on the {face} face of {}", placed.id), placed.path());
            return Err(envelope.lacks.first().cloned().unwrap_or_else(unknown));
        };
        let t = nanometres(thicknesses.get(patch.id)?.thickness);
        let at = placed.plane(face);
        let depth = if direction(face).1 { Span::new(at - t, at) } else { Span::new(at, at + t) };
        for run in stretches.into_iter().map(|run| run.grown(t)) {
            let rect = if direction(face).0 == 0 { Rect::new(depth, run) } else { Rect::new(run, depth) };
            walls.push(Wall { rect, face, id: patch.id, thickness: t });
        }
    }
    Ok(walls)
}

/// The worked floor area of the boxes.
pub fn floor_basis(site: &Site<'_, '_>, thicknesses: &Thicknesses<'_>, floors: &[FloorPlan<'_>], total: f64) -> Basis {
    let mut basis = geometry("plan of each box less its exterior walls");
    let mut ids: Vec<&Id> = floors.iter().flat_map(|floor| floor.walls.iter().map(|(id, ..)| *id)).collect();
    ids.sort_unstable();
    ids.dedup();
    basis.steps.extend(ids.into_iter().filter_map(|id| thicknesses.step(id)));
    let boxes = site.boxes.iter().zip(floors);
    if floors.len() <= WORKED {
        for (placed, floor) in boxes.clone() {
            basis.steps.extend(floor_steps(placed, floor));
        }
    }
    let terms = boxes.map(|(placed, floor)| area("F", format!("floor of {}", placed.id), floor.area)).collect();
    basis
        .step(sum(area("F", "floor area", total), terms))
        .assuming("boxes are measured over framing and sheathing; what is outside that does not narrow the floor")
        .assuming("a side that is open over at least half of its height has an exterior wall")
        .assuming("stairs, partitions and mate walls are not taken off")
}

/// How the floor of a box comes about, and where all walls are equally thick, the area that they stand on.
fn floor_steps(placed: &Placed, floor: &FloorPlan<'_>) -> Vec<Step> {
    let walls = square_metres(placed.plan().area()) - floor.area;
    let standing = area("S", format!("plan area of the exterior walls in {}", placed.id), walls);
    let thickness = floor.walls.first().map_or(0, |(_, thickness, _)| *thickness);
    let length_of_walls: Nm = floor.walls.iter().map(|(.., length)| length).sum();
    let equal = floor.walls.iter().all(|(_, other, _)| *other == thickness);
    let steps = if equal { strip_step(standing.clone(), metres(thickness), metres(length_of_walls)) } else { None };
    let [a, b] = [0, 1].map(|axis| size(placed, axis));
    let plan = FloorArea { a, b, S: Area::from_si(walls) }.step().1;
    let plan = plan.with(size_term("a", placed, 0)).with(size_term("b", placed, 1)).with(standing);
    let plan = plan.meaning(FloorArea::F, format!("floor of {}", placed.id));
    steps.into_iter().chain([plan]).collect()
}

/// The area that walls stand on, where the corners come out as a whole number.
pub fn strip_step(standing: Term, t: f64, run: f64) -> Option<Step> {
    let walls = standing.value.number()?.si;
    let corners = (t * run - walls) / (t * t);
    let whole = corners.round();
    if !corners.is_finite() || (corners - whole).abs() > 1e-6 {
        return None;
    }
    let strip = WallStrip { t: Length::from_si(t), L: Length::from_si(run), n: whole };
    Some(strip.step().1.with(standing))
}

fn open_height(slab: &Slab) -> Nm {
    slab.v.iter().map(|span| span.length()).sum()
}

/// Stretches of a side that are open over at least half of its height.
fn walled(region: &Region, whole: Nm) -> Vec<Span> {
    merged(region.slabs().iter().filter(|slab| 2 * open_height(slab) >= whole).map(|slab| slab.u), 0)
}

/// What a side that is open over part of its height adds to the full walls, or takes off them (m²).
pub fn partly_open(region: &Region, whole: Nm) -> f64 {
    let part = |slab: &Slab| {
        let open = open_height(slab);
        let counted = if 2 * open >= whole { open - whole } else { open };
        metres(slab.u.length()) * metres(counted)
    };
    region.slabs().iter().map(part).sum()
}

/// Whether an edge of the floor is the box's own outline: a mate line, or a side with no wall.
fn on_outline(edge: &Edge, plan: Rect) -> bool {
    edge.at
        == match edge.side {
            Side::West => plan.u.lo,
            Side::East => plan.u.hi,
            Side::South => plan.v.lo,
            Side::North => plan.v.hi,
        }
}
