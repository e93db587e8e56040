//! Which boxes touch, and where: mate lines found from the geometry.

use crate::coordinate::{GAP, Nm, Rect, TOUCH, square_metres};
use crate::near::near_pairs;
use crate::placed::{FACES, Placed, face_along, number, opposite, overlap_in_plan};
use crate::wedge::{Strip, gable, shared, strips};
use mateline_model::home::Face;
use std::ops::ControlFlow;

/// No more pairs that lie in one another are listed, and the search ends there.
pub const MOST: usize = 100;

/// Two boxes that touch: the higher end of one faces the lower end of the other from no farther than a gap, over more
/// than a gap in both directions. A narrower strip is no seam.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// The box on the lower side of the seam: west, south or below.
    pub low: usize,
    /// The box on its higher side.
    pub high: usize,
    /// The axis across the seam: 0 x, 1 y, 2 z.
    pub axis: usize,
    /// The common rectangle in the plane of the seam, u being the lower axis; with triangles, the one around it.
    pub rect: Rect,
    /// How wide the gap is.
    pub gap: Nm,
    /// The area in contact (m²).
    pub area: f64,
}

impl Contact {
    /// The two boxes in the order of the file.
    pub fn pair(&self) -> (usize, usize) {
        (self.low.min(self.high), self.low.max(self.high))
    }

    /// The box that meets one of the two.
    pub fn other(&self, placed: usize) -> usize {
        if placed == self.low { self.high } else { self.low }
    }

    /// The faces that meet: of the lower box, and of the higher.
    pub fn faces(&self) -> (Face, Face) {
        (face_along(self.axis, true), face_along(self.axis, false))
    }
}

/// How the boxes lie to one another.
#[derive(Clone, Debug, Default)]
pub struct Arrangement {
    /// Pairs that touch, in the order of the file.
    pub contacts: Vec<Contact>,
    /// Pairs that lie in one another.
    pub overlaps: Vec<(usize, usize)>,
    /// Whether there are more of these than listed.
    pub more_overlaps: bool,
    /// Pairs (lower, upper) where the upper box stands on a sloped ceiling.
    pub on_slopes: Vec<(usize, usize)>,
    facing: Vec<(usize, usize)>,
    starts: Vec<usize>,
    on: Vec<Vec<usize>>,
}

impl Arrangement {
    /// Boxes whose face looks at this face from no farther than a gap, contact or not.
    pub fn facing(&self, placed: usize, face: Face) -> impl Iterator<Item = usize> {
        let key = placed * FACES.len() + number(face);
        let range = self.starts.get(key).copied().zip(self.starts.get(key + 1).copied());
        let entries = range.and_then(|(from, to)| self.facing.get(from..to)).unwrap_or_default();
        entries.iter().map(|(_, other)| *other)
    }

    /// The contacts of a face of a box.
    pub fn on(&self, placed: usize, face: Face) -> impl Iterator<Item = &Contact> {
        let positions = self.on.get(placed * FACES.len() + number(face)).into_iter().flatten();
        positions.filter_map(|position| self.contacts.get(*position))
    }

    /// Finds out how boxes lie to one another.
    pub fn of(boxes: &[Placed]) -> Arrangement {
        let reaches: Vec<_> = boxes.iter().map(Placed::reach).collect();
        let mut found = Arrangement::default();
        let _ = near_pairs(&reaches, GAP, |i, j| {
            if let (Some(a), Some(b)) = (boxes.get(i), boxes.get(j)) {
                found.compare((i, a), (j, b));
            }
            if found.more_overlaps { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        found.contacts.sort_by_key(|contact| (contact.pair(), contact.axis));
        found.overlaps.sort_unstable();
        found.on_slopes.sort_unstable();
        found.facing.sort_unstable();
        let keys = boxes.len() * FACES.len();
        found.starts = (0..=keys).map(|key| found.facing.partition_point(|(other, _)| *other < key)).collect();
        found.on = vec![Vec::new(); keys];
        for (position, contact) in found.contacts.iter().enumerate() {
            let (face, other) = contact.faces();
            for (placed, face) in [(contact.low, face), (contact.high, other)] {
                if let Some(on) = found.on.get_mut(placed * FACES.len() + number(face)) {
                    on.push(position);
                }
            }
        }
        found
    }

    fn compare(&mut self, (i, a): (usize, &Placed), (j, b): (usize, &Placed)) {
        let mut apart = false;
        for axis in 0..3 {
            for ((low, lower), (high, higher)) in [((i, a), (j, b)), ((j, b), (i, a))] {
                let distance = higher.spans[axis].lo - lower.spans[axis].hi;
                apart |= distance >= -TOUCH;
                let sloped = axis == 2 && lower.wedge.is_some();
                if (-TOUCH..=GAP).contains(&distance) && !sloped {
                    let faces = (face_along(axis, true), face_along(axis, false));
                    self.facing.push((low * FACES.len() + number(faces.0), high));
                    self.facing.push((high * FACES.len() + number(faces.1), low));
                    self.contacts.extend(contact((low, lower), (high, higher), axis, distance.max(0)));
                }
            }
        }
        for ((low, lower), (high, higher)) in [((i, a), (j, b)), ((j, b), (i, a))] {
            if stands_on_slope(lower, higher) {
                self.on_slopes.push((low, high));
                apart = true;
            }
        }
        if !apart && self.overlaps.len() < MOST {
            self.overlaps.push((i, j));
        } else if !apart {
            self.more_overlaps = true;
        }
    }
}

fn contact((low, lower): (usize, &Placed), (high, higher): (usize, &Placed), axis: usize, gap: Nm) -> Option<Contact> {
    let (face, other) = (face_along(axis, true), face_along(axis, false));
    let rect = outline(lower, face).common(outline(higher, other))?;
    if rect.u.length() <= GAP || rect.v.length() <= GAP {
        return None;
    }
    let area = if lower.is_gable(face) || higher.is_gable(other) {
        let area = shared(&strips(lower, face), &strips(higher, other));
        (area > 1e-6).then_some(area)?
    } else {
        square_metres(rect.area())
    };
    Some(Contact { low, high, axis, rect, gap, area })
}

/// The rectangle around a face, triangle included.
fn outline(placed: &Placed, face: Face) -> Rect {
    let mut rect = placed.face(face);
    if placed.is_gable(face) {
        rect.v.hi += placed.rise();
    }
    rect
}

/// Whether `upper` stands on the sloped ceiling of `lower`, or dips into the wedge.
fn stands_on_slope(lower: &Placed, upper: &Placed) -> bool {
    let Some(wedge) = lower.wedge else { return false };
    let (run, over) = (lower.spans[wedge.axis], upper.spans[wedge.axis]);
    let Some(common) = run.common(over) else { return false };
    let farthest = if wedge.up { common.hi - run.lo } else { run.hi - common.lo };
    let top = lower.spans[2].hi + (wedge.ratio * farthest as f64) as Nm;
    let underside = upper.spans[2].lo;
    overlap_in_plan(&lower.spans, &upper.spans) && underside >= lower.spans[2].hi - TOUCH && underside <= top + GAP
}

/// The rectangles of the faces that look at a face, and their triangles.
pub fn covers(boxes: &[Placed], arrangement: &Arrangement, placed: usize, face: Face) -> (Vec<Rect>, Vec<Strip>) {
    let other = opposite(face);
    let looking = || arrangement.facing(placed, face).filter_map(|i| boxes.get(i));
    (looking().map(|b| b.face(other)).collect(), looking().filter_map(|b| gable(b, other)).collect())
}
