//! Lines along which four boxes meet: the hardest places of a set to close.
//!
//! Around such a line each box touches its two neighbours, and both joints that end at it line up, to within a gap.

use crate::Boxes;
use crate::contact::Contact;
use crate::coordinate::{GAP, Rect, Span};
use crate::edge::{end, is_flush};
use crate::placed::{direction, face_along};
use mateline_model::home::Face;

/// Four boxes around a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quartet {
    /// The boxes as (low, low), (high, low), (low, high), (high, high) of the two axes across the line.
    pub boxes: [usize; 4],
    /// The axis of the line.
    pub axis: usize,
    /// The stretch that all four share.
    pub along: Span,
    /// Whether the lower and the higher end are open: not every one of the four quarters goes on into a box.
    pub open: [bool; 2],
}

impl Boxes {
    /// Every line along which four boxes meet.
    pub fn quartets(&self) -> Vec<Quartet> {
        let around = |axis: usize| (0..self.placed.len()).flat_map(move |low| self.quartets_of(low, axis));
        (0..3).flat_map(around).collect()
    }

    /// The lines along an axis at the far edge of a box.
    fn quartets_of(&self, low: usize, axis: usize) -> Vec<Quartet> {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let on = |placed: usize, across: usize| self.arrangement.on(placed, face_along(across, true));
        let mut found = Vec::new();
        for beside in on(low, b).map(|contact| contact.high) {
            for over in on(low, c).map(|contact| contact.high) {
                for last in on(over, b).map(|contact| contact.high) {
                    if on(beside, c).any(|contact: &Contact| contact.high == last) {
                        found.extend(self.quartet([low, beside, over, last], axis));
                    }
                }
            }
        }
        found
    }

    fn quartet(&self, boxes: [usize; 4], axis: usize) -> Option<Quartet> {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let [low, beside, over, last] = boxes;
        let spans = |i: usize| self.placed.get(i).map(|placed| placed.spans);
        let [low, beside, over, last] = [spans(low)?, spans(beside)?, spans(over)?, spans(last)?];
        if !is_flush(low[b].hi, over[b].hi) || !is_flush(low[c].hi, beside[c].hi) {
            return None;
        }
        let along = low[axis].common(beside[axis])?.common(over[axis])?.common(last[axis])?;
        let open =
            [false, true].map(|high| self.is_open_end(boxes, axis, high, if high { along.hi } else { along.lo }));
        (along.length() > GAP).then_some(Quartet { boxes, axis, along, open })
    }

    /// Whether one of the boxes ends here with nothing beyond it beside the line.
    fn is_open_end(&self, boxes: [usize; 4], axis: usize, high: bool, at: i64) -> bool {
        let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
        let face = face_along(axis, high);
        boxes.into_iter().zip([(true, true), (false, true), (true, false), (false, false)]).any(
            |(i, (b_high, c_high))| {
                let corner = [face_along(b, b_high), face_along(c, c_high)];
                self.placed.get(i).is_some_and(|placed| is_flush(placed.plane(face), at))
                    && self.is_open_at(i, face, corner)
            },
        )
    }

    /// Whether a face of a box is open at one of its corners.
    fn is_open_at(&self, placed: usize, face: Face, corner: [Face; 2]) -> bool {
        let (Some(one), Some(open)) = (self.placed.get(placed), self.open.get(placed)) else { return false };
        let (whole, across) = (one.face(face), direction(face).0);
        let strip = |towards: Face| {
            let at = end(whole, across, towards);
            if direction(towards).1 { Span::new(at - GAP - 1, at) } else { Span::new(at, at + GAP + 1) }
        };
        let [mut u, mut v] = corner;
        if direction(u).0 > direction(v).0 {
            std::mem::swap(&mut u, &mut v);
        }
        let here = Rect::new(strip(u), strip(v));
        open.of(face).region.opened(GAP).rects().any(|rect| rect.common(here).is_some())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{home, metric};
    use serde_json::json;

    fn open_ends(modules: serde_json::Value) -> usize {
        let quartets = Boxes::of(&home(modules)).quartets();
        quartets.iter().flat_map(|quartet| quartet.open).filter(|open| *open).count()
    }

    const SIZE: [f64; 3] = [10.0, 4.0, 3.0];

    /// Two over two: one level line where all four meet, which ends at both gables. With the upper pair half a gap to
    /// the north it is still one line; by two gaps it is two joints, each across the back of one box.
    #[test]
    fn two_over_two() {
        let upper = |dy: f64| {
            json!({
                "A": metric(1, [0.0, 0.0], SIZE), "B": metric(1, [0.0, 4.012], SIZE),
                "C": metric(2, [0.0, dy], SIZE), "D": metric(2, [0.0, 4.012 + dy], SIZE),
            })
        };
        assert_eq!(open_ends(upper(0.0)), 2);
        assert_eq!(open_ends(upper(0.0127)), 2);
        assert_eq!(open_ends(upper(0.0508)), 0);
    }

    /// Eight boxes less one, H in the upper north-east. The line through A, C, E, G ends at its gable and over D beside
    /// the gap; the one through A, B, E, F at the south wall and beside the gap; the upright one at the foot and below
    /// the gap.
    #[test]
    fn a_box_that_is_not_there() {
        let mut boxes = json!({
            "A": metric(1, [0.0, 0.0], SIZE), "B": metric(1, [10.0, 0.0], SIZE),
            "C": metric(1, [0.0, 4.0], SIZE), "D": metric(1, [10.0, 4.0], SIZE),
            "E": metric(2, [0.0, 0.0], SIZE), "F": metric(2, [10.0, 0.0], SIZE), "G": metric(2, [0.0, 4.0], SIZE),
        });
        assert_eq!(open_ends(boxes.clone()), 2 + 2 + 2);
        boxes["H"] = metric(2, [10.0, 4.0], SIZE);
        assert_eq!(open_ends(boxes), 2 + 2 + 2);
    }

    /// Four hundred boxes in four places are refused elsewhere; here they only must not take forever.
    #[test]
    fn boxes_in_one_place_end() {
        let place = |number: usize| {
            let level = 1 + u32::from(number % 2 == 1);
            (format!("m{number}"), metric(level, [0.0, f64::from(u8::from(number % 4 > 1)) * 4.0], SIZE))
        };
        let boxes = Boxes::of(&home((0..400).map(place).collect()));
        assert!(boxes.arrangement.more_overlaps);
        assert!(boxes.quartets().len() < 10_000);
    }
}
