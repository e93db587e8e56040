//! Interior dimensions: clear height, volume of air, and the thermal envelope as seen from inside.

use crate::basis::{geometry, sum, volume};
use crate::cellar::Cellar;
use crate::enclosure::{Envelope, Site, is_inside, is_slab, own_floor};
use crate::floors::{FloorPlan, SIDES, WORKED, floor_basis, floor_plans, partly_open};
use crate::layers::Thicknesses;
use crate::surfaces::{size, size_term};
use mateline_boxes::contact::Contact;
use mateline_boxes::coordinate::{Rect, Span, metres, square_metres};
use mateline_boxes::placed::{Placed, Wedge};
use mateline_boxes::region::{Edge, Region};
use mateline_equation::equation;
use mateline_model::home::{Face, Id, Side};
use mateline_model::quantity::{Area, Length, Units, Volume};
use mateline_model::{Basis, Step};
use mateline_sdk::Lack;

equation! {
    /// Clear height of a box, at the low side of a sloped ceiling. Source: geometry.
    pub(crate) ClearHeight = "h = c − t_f − t_c" {
        h: Length "clear height" [Units::LENGTH],
        c: Length "height" [Units::LENGTH],
        t_f: Length "floor inside the face of the box" [Units::LENGTH],
        t_c: Length "ceiling inside the face of the box, upright" [Units::LENGTH],
    }

    /// Air in a box below a level ceiling. Source: geometry.
    pub(crate) Air = "V = F·h" {
        V: Volume "air in the box" [Units::VOLUME],
        F: Area "floor of the box" [Units::AREA],
        h: Length "clear height" [Units::LENGTH],
    }

    /// Air in a box below a sloped ceiling. Source: geometry.
    pub(crate) AirBelowSlope = "V = F·h + W" {
        V: Volume "air in the box" [Units::VOLUME],
        F: Area "floor of the box" [Units::AREA],
        h: Length "clear height" [Units::LENGTH],
        W: Volume "above that, below the sloped ceiling" [Units::VOLUME],
    }
}

/// Clear dimensions of one box.
#[derive(Clone, Copy, Debug)]
pub struct Clear {
    /// Thickness of the floor inside the face of the box (m).
    pub below: f64,
    /// Height that the ceiling takes inside the face of the box (m).
    pub above: f64,
    /// From floor to ceiling, at the low side of a sloped one (m).
    pub height: f64,
    /// Volume (m³).
    pub volume: f64,
    /// Walls that are part of the envelope, from inside (m²).
    pub walls: f64,
    /// Ceiling that is part of the envelope, along the slope (m²).
    pub ceiling: f64,
    /// Floor that is part of the envelope (m²).
    pub floor: f64,
}

/// Interior dimensions of all boxes and of a conditioned space below them.
pub struct Interior<'a, 'b> {
    site: &'b Site<'a, 'b>,
    /// How far each assembly reaches into the boxes.
    pub thicknesses: Thicknesses<'a>,
    /// The floor of each box.
    pub floors: Result<Vec<FloorPlan<'a>>, Lack>,
    /// Clear dimensions of each box.
    pub clear: Result<Vec<Clear>, Lack>,
    /// The spaces inside the envelope below: each with whether its floor counts as floor area.
    pub cellars: Vec<(bool, Result<Cellar, Lack>)>,
}

impl<'a, 'b> Interior<'a, 'b> {
    /// Works the interior dimensions out.
    pub fn of(site: &'b Site<'a, 'b>, envelope: &Envelope<'a>, contacts: &[Contact]) -> Interior<'a, 'b> {
        let thicknesses = Thicknesses::of(site.home);
        let floors = floor_plans(site, &thicknesses, envelope, contacts);
        let clear = match &floors {
            Ok(floors) => clear_dimensions(site, &thicknesses, envelope, floors),
            Err(lack) => Err(lack.clone()),
        };
        let unknown = site.parts.unknown().map(|lack| (true, Err(lack.clone())));
        let inside = site.parts.inside();
        let inside =
            inside.map(|(number, part)| (part.below.has_floor_area(), Cellar::of(site, &thicknesses, number, part)));
        let cellars = unknown.into_iter().chain(inside).collect();
        Interior { site, thicknesses, floors, clear, cellars }
    }

    /// The worked floor area of the boxes.
    pub fn floor_basis(&self, floors: &[FloorPlan<'_>], total: f64) -> Basis {
        floor_basis(self.site, &self.thicknesses, floors, total)
    }

    /// The worked volume of the boxes.
    pub fn volume_basis(&self, floors: &[FloorPlan<'_>], clear: &[Clear], total: f64) -> Basis {
        let mut basis = geometry("floor area of each box times its clear height");
        let enclosure = self.site.home.enclosure.iter();
        let standard = enclosure.flat_map(|enclosure| [&enclosure.floors, &enclosure.ceilings]);
        basis.steps.extend(standard.filter_map(|id| self.thicknesses.step(id)));
        let boxes = self.site.boxes.iter().zip(floors).zip(clear);
        if floors.len() <= WORKED {
            for ((placed, floor), clear) in boxes.clone() {
                basis.steps.extend(volume_steps(placed, floor, clear));
            }
        }
        let terms =
            boxes.map(|((placed, _), clear)| volume("V", format!("air in {}", placed.id), clear.volume)).collect();
        basis
            .step(sum(volume("V", "interior volume of the boxes", total), terms))
            .assuming("floor and ceiling count as thick as their layers inside the faces of the box")
    }
}

fn volume_steps(placed: &Placed, floor: &FloorPlan<'_>, clear: &Clear) -> [Step; 2] {
    let height = clear_height(placed, clear.below, clear.above).step().1.with(size_term("c", placed, 2));
    let height = height.meaning(ClearHeight::h, format!("clear height of {}", placed.id));
    let (area, low) = (Area::from_si(floor.area), Length::from_si(clear.height));
    let step = if placed.wedge.is_some() {
        let wedge = Volume::from_si(clear.volume - floor.area * clear.height);
        AirBelowSlope { F: area, h: low, W: wedge }.step().1
    } else {
        Air { F: area, h: low }.step().1
    };
    let step = step.meaning(Air::F, format!("floor of {}", placed.id));
    [height, step.meaning(Air::V, format!("air in {}", placed.id))]
}

fn clear_height(placed: &Placed, below: f64, above: f64) -> ClearHeight {
    ClearHeight { c: size(placed, 2), t_f: Length::from_si(below), t_c: Length::from_si(above) }
}

/// Clear height, volume and inner envelope of each box.
fn clear_dimensions<'a>(
    site: &Site<'a, '_>,
    thicknesses: &Thicknesses<'a>,
    envelope: &Envelope<'a>,
    floors: &[FloorPlan<'_>],
) -> Result<Vec<Clear>, Lack> {
    if let Some(lack) = site.parts.unknown() {
        return Err(lack.clone());
    }
    site.boxes
        .iter()
        .zip(floors)
        .enumerate()
        .map(|(i, (placed, floor))| {
            let (under, over) = floor_and_ceiling(site, envelope, i)?;
            let stretch = placed.wedge.map_or(1.0, |wedge| wedge.stretch());
            let (below, above) = (thicknesses.get(under)?.thickness, thicknesses.get(over)?.thickness * stretch);
            if metres(placed.spans[2].length()) <= below + above {
                let because = format!("floor and ceiling of module {} leave no height between them", placed.id);
                return Err(Lack::at(because, format!("{}.size.z", placed.path())));
            }
            Ok(clear(site, envelope, (i, placed), floor, (below, above)))
        })
        .collect()
}

fn clear(
    site: &Site<'_, '_>,
    envelope: &Envelope<'_>,
    (i, placed): (usize, &Placed),
    floor: &FloorPlan<'_>,
    (below, above): (f64, f64),
) -> Clear {
    let height = clear_height(placed, below, above).value().si();
    let counts = |face: Face| envelope.main_on_face(i, face).is_none_or(|patch| patch.counts());
    let open = |face: Face| site.open.get(i).map(|open| &open.of(face).region);
    let seen = |face: Face| open(face).map_or(0.0, |open| square_metres(floor.region.and(open).area()));
    let stretch = placed.wedge.map_or(1.0, |wedge| wedge.stretch());
    let ceiling = if counts(Face::Top) { seen(Face::Top) * stretch } else { 0.0 };
    let bottom = if counts(Face::Bottom) && !is_inside(site, i, Face::Bottom) { seen(Face::Bottom) } else { 0.0 };
    let mut walls = 0.0;
    for edge in floor.edges.iter().filter(|edge| counts(edge.side.into())) {
        let sloped = placed.wedge.map_or(0.0, |wedge| along_slope(placed, &wedge, edge));
        walls += metres(edge.along.length()) * height + sloped;
    }
    for face in SIDES.into_iter().filter(|face| counts(*face)) {
        walls += open(face).map_or(0.0, |open| partly_open(open, placed.face(face).v.length()));
    }
    let sloped = placed.wedge.map_or(0.0, |wedge| under_slope(placed, &wedge, &floor.region));
    let volume = floor.area * height + sloped;
    Clear { below, above, height, volume, walls, ceiling, floor: bottom }
}

/// The assemblies of a box's floor and ceiling: what stands there, or where nothing does, what would.
fn floor_and_ceiling<'a>(site: &Site<'a, '_>, envelope: &Envelope<'a>, i: usize) -> Result<(&'a Id, &'a Id), Lack> {
    let lack = || Lack::at("the home has no enclosure: nothing says what stands on the boxes", "enclosure");
    let enclosure = site.home.enclosure.as_ref().ok_or_else(lack)?;
    let of = |face: Face, standard: &'a Id| envelope.main_on_face(i, face).map_or(standard, |patch| patch.id);
    let upper = site.boxes.get(i).filter(|placed| placed.level > 1);
    let floor = match envelope.main_on_face(i, Face::Bottom) {
        Some(patch) if upper.is_none() || !is_slab(site.home, patch.id) => patch.id,
        _ => upper.map_or(Ok(&enclosure.floors), |placed| own_floor(site.home, enclosure, placed))?,
    };
    Ok((floor, of(Face::Top, &enclosure.ceilings)))
}

/// How far the middle of a span is from the low side of a sloped ceiling (m).
fn from_low_side(placed: &Placed, wedge: &Wedge, span: Span) -> f64 {
    let run = placed.spans[wedge.axis];
    let middle = (metres(span.lo) + metres(span.hi)) / 2.0;
    if wedge.up { middle - metres(run.lo) } else { metres(run.hi) - middle }
}

/// Volume above the clear height at the low side, below a sloped ceiling (m³).
fn under_slope(placed: &Placed, wedge: &Wedge, region: &Region) -> f64 {
    let rise = |rect: Rect| {
        let along = if wedge.axis == 0 { rect.u } else { rect.v };
        square_metres(rect.area()) * wedge.ratio * from_low_side(placed, wedge, along)
    };
    region.rects().map(rise).sum()
}

/// Wall area above the clear height at the low side, along one inner edge (m²).
fn along_slope(placed: &Placed, wedge: &Wedge, edge: &Edge) -> f64 {
    let across = usize::from(matches!(edge.side, Side::South | Side::North));
    let span = if across == wedge.axis { Span::new(edge.at, edge.at) } else { edge.along };
    metres(edge.along.length()) * wedge.ratio * from_low_side(placed, wedge, span)
}
