//! The outside of the heap: what no other box covers, face by face.

use crate::contact::{Arrangement, covers};
use crate::coordinate::{GAP, Rect, Span, TOUCH, metres, nanometres, square_metres};
use crate::placed::{FACES, Placed, number};
use crate::region::{Region, difference, merged};
use crate::wedge::{Strip, gable, uncovered};
use mateline_model::home::Face;

/// The part of a face that no other box covers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Open {
    /// Its rectangles, u being the lower axis of the face's plane. Triangles of sloped ceilings are left out.
    pub region: Region,
    /// Its area (m²), triangles included; along the slope on a sloped top.
    pub area: f64,
    /// Open stretches of a triangle's upright edge, at its high end above the rectangle.
    pub upright: Vec<Span>,
}

/// The open parts of one box's faces, in the order of [`FACES`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OpenFaces([Open; 6]);

impl OpenFaces {
    /// The open part of one face.
    pub fn of(&self, face: Face) -> &Open {
        &self.0[number(face)]
    }

    /// Open area of the whole box (m²).
    pub fn area(&self) -> f64 {
        self.0.iter().map(|open| open.area).sum()
    }
}

/// The open parts of all faces of all boxes.
///
/// From each face the faces that look at it from no farther than a marriage gap are taken away. Slots between these
/// no wider than a gap are closed, and strips narrower than 1 mm that remain are no faces.
pub fn open_faces(boxes: &[Placed], arrangement: &Arrangement) -> Vec<OpenFaces> {
    let open =
        |(i, placed): (usize, &Placed)| OpenFaces(FACES.map(|face| open_face(boxes, arrangement, i, placed, face)));
    boxes.iter().enumerate().map(open).collect()
}

fn open_face(boxes: &[Placed], arrangement: &Arrangement, i: usize, placed: &Placed, face: Face) -> Open {
    let whole = placed.face(face);
    if arrangement.facing(i, face).next().is_none() {
        let upright = upright_edge(placed, face).map(|(_, edge)| edge).into_iter().collect();
        return Open { region: Region::from(whole), area: placed.face_area(face), upright };
    }
    let (rects, gables) = covers(boxes, arrangement, i, face);
    let region = open_rect(whole, &rects);
    let own = gable(placed, face);
    if own.is_none() && gables.is_empty() {
        let area = square_metres(region.area());
        return Open { region, area, upright: Vec::new() };
    }
    let rest: f64 = region.rects().map(|rect| uncovered(&Strip::of_rect(rect), &gables)).sum();
    let strips: Vec<Strip> = rects.into_iter().map(Strip::of_rect).chain(gables).collect();
    let triangle = own.map_or(0.0, |own| uncovered(&own, &strips));
    let upright = upright_edge(placed, face).map_or_else(Vec::new, |(end, edge)| open_edge(end, edge, &strips));
    Open { region, area: rest + triangle, upright }
}

/// The upright edge of the triangle on a face: where along u, and its stretch along v.
fn upright_edge(placed: &Placed, face: Face) -> Option<(f64, Span)> {
    let wedge = placed.wedge.filter(|_| placed.is_gable(face))?;
    let (run, z) = (placed.spans[wedge.axis], placed.spans[2]);
    let inwards = if wedge.up { metres(run.hi - TOUCH) } else { metres(run.lo + TOUCH) };
    Some((inwards, Span::new(z.hi, z.hi + wedge.rise)))
}

/// What covers leave open of an upright edge, looked at just inside the end of the face.
fn open_edge(end: f64, edge: Span, covers: &[Strip]) -> Vec<Span> {
    let here = covers.iter().filter(|cover| cover.u.0 < end && end < cover.u.1);
    let span = |cover: &Strip| Span::new(nanometres(cover.bottom.at(end)), nanometres(cover.top.at(end)));
    let mut hidden: Vec<Span> = here.map(span).collect();
    hidden.sort_unstable();
    // A sloped line is lower by a little where it is looked at than at the very end.
    let open = difference(&[edge], &merged(hidden.into_iter(), GAP));
    open.into_iter().filter(|open| open.length() > 4 * TOUCH).collect()
}

/// What a set of rectangles leaves open of a rectangle.
pub fn open_rect(whole: Rect, covers: &[Rect]) -> Region {
    let near: Vec<Rect> = covers.iter().copied().filter(|cover| whole.grown(GAP).common(*cover).is_some()).collect();
    if near.iter().any(|cover| cover.contains(whole)) {
        return Region::default();
    }
    let covered = match near.as_slice() {
        [] => return Region::from(whole),
        [one] => Region::from(*one),
        _ => Region::union_of(near).closed(GAP),
    };
    Region::from(whole).minus(&covered).opened(TOUCH)
}
