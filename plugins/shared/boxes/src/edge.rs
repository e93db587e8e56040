//! Edges: over which stretches the faces beside an edge of a box are open, and whether two boxes end together.
//!
//! What is no wider than a gap does not count: a strip that a neighbour set back by less leaves open is no open face,
//! and boxes whose sides stand back from one another by less end together.

use crate::Boxes;
use crate::contact::Contact;
use crate::coordinate::{GAP, Nm, Rect, Span};
use crate::placed::{Placed, direction, face_along};
use crate::region::{intersection, merged};
use mateline_model::home::Face;

/// Where a rectangle of a plane across an axis ends towards a face.
pub fn end(rect: Rect, across: usize, towards: Face) -> Nm {
    let (axis, high) = direction(towards);
    let span = if axis < 3 - across - axis { rect.u } else { rect.v };
    if high { span.hi } else { span.lo }
}

/// Whether two ends are one: no farther apart than a gap.
pub fn is_flush(a: Nm, b: Nm) -> bool {
    (a - b).abs() <= GAP
}

impl Contact {
    /// Whether a box of the contact ends at the contact's edge towards a face, and does not go on beyond it.
    pub fn ends(&self, placed: &Placed, is_low: bool, towards: Face) -> bool {
        let face = placed.face(face_along(self.axis, is_low));
        is_flush(end(face, self.axis, towards), end(self.rect, self.axis, towards))
    }
}

impl Boxes {
    /// Stretches of the edge of two faces of a box over which the first of them is open up to the edge. Where another
    /// box carries the edge on, it reaches to the middle of the gap between them.
    pub fn open_along(&self, placed: usize, face: Face, edge: Face) -> Vec<Span> {
        let Some(one) = self.placed.get(placed) else { return Vec::new() };
        let (across, high) = direction(edge);
        let at = end(one.face(face), direction(face).0, edge);
        let strip = if high { Span::new(at - GAP - 1, at) } else { Span::new(at, at + GAP + 1) };
        let mut open = self.open_within(placed, face, across, strip);
        self.carry_on(placed, [face, edge], &mut open);
        open
    }

    /// Stretches over which both faces at an edge of a box are open up to it.
    pub fn outer_edge(&self, placed: usize, faces: [Face; 2]) -> Vec<Span> {
        let [a, b] = faces;
        wide(intersection(&self.open_along(placed, a, b), &self.open_along(placed, b, a)))
    }

    /// Stretches over which a face of a box is open just beyond a place on the axis of a direction.
    pub fn open_beyond(&self, placed: usize, face: Face, from: Nm, direction_of: Face) -> Vec<Span> {
        let (across, high) = direction(direction_of);
        let strip = if high { Span::new(from, from + GAP + 1) } else { Span::new(from - GAP - 1, from) };
        self.open_within(placed, face, across, strip)
    }

    fn open_within(&self, placed: usize, face: Face, across: usize, strip: Span) -> Vec<Span> {
        let Some(open) = self.open.get(placed) else { return Vec::new() };
        let u_is_across = across < 3 - direction(face).0 - across;
        let stretch = |rect: Rect| {
            let (across, along) = if u_is_across { (rect.u, rect.v) } else { (rect.v, rect.u) };
            (across.depth(strip) > 0).then_some(along)
        };
        let mut stretches: Vec<Span> = open.of(face).region.opened(GAP).rects().filter_map(stretch).collect();
        stretches.sort_unstable();
        wide(merged(stretches.into_iter(), 0))
    }

    /// Makes stretches that reach an end of a box's edge longer by half the gap to the box that carries the edge on.
    fn carry_on(&self, placed: usize, faces: [Face; 2], stretches: &mut [Span]) {
        let Some(one) = self.placed.get(placed) else { return };
        let axis = 3 - direction(faces[0]).0 - direction(faces[1]).0;
        for high in [false, true] {
            let face = face_along(axis, high);
            let reaches = |contact: &&Contact| faces.iter().all(|towards| contact.ends(one, high, *towards));
            let Some(contact) = self.arrangement.on(placed, face).find(reaches) else { continue };
            let at = one.plane(face);
            let half = if high { contact.gap / 2 } else { contact.gap - contact.gap / 2 };
            for stretch in stretches.iter_mut() {
                match high {
                    true if is_flush(stretch.hi, at) => stretch.hi = at + half,
                    false if is_flush(stretch.lo, at) => stretch.lo = at - half,
                    _ => {}
                }
            }
        }
    }
}

/// The stretches longer than a gap.
fn wide(mut stretches: Vec<Span>) -> Vec<Span> {
    stretches.retain(|stretch| stretch.length() > GAP);
    stretches
}
