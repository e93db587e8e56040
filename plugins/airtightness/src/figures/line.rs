//! A stretch of a mate line in plan, where its two boxes touch.

use mateline_boxes::Boxes;
use mateline_boxes::contact::Contact;
use mateline_boxes::coordinate::{Nm, Span, metres};
use mateline_boxes::edge::end;
use mateline_boxes::region::{intersection, merged};
use mateline_model::home::Face;

/// The sides of a box, with their axes.
const SIDES: [(Face, usize); 4] = [(Face::South, 1), (Face::East, 0), (Face::North, 1), (Face::West, 0)];

/// A stretch of a mate line in plan.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Line {
    /// From x, y to x, y (m).
    pub(super) ends: [f64; 4],
    /// The side of the boxes it runs along, where it does not run between them.
    pub(super) side: Option<Face>,
}

impl Line {
    pub(super) fn length(&self) -> f64 {
        let [x1, y1, x2, y2] = self.ends;
        mateline_model::portable::hypot(x2 - x1, y2 - y1)
    }

    /// A line across an axis at one place of it.
    fn across(axis: usize, at: Nm, along: Span, side: Option<Face>) -> Line {
        let (at, from, to) = (metres(at), metres(along.lo), metres(along.hi));
        Line { ends: if axis == 0 { [at, from, at, to] } else { [from, at, to, at] }, side }
    }
}

/// The lines of a contact: between boxes side by side one, in the middle of their gap; between a box and the box it
/// stands on, along the sides where their joint meets the outside.
pub(super) fn lines(boxes: &Boxes, contact: &Contact) -> Vec<Line> {
    let (Some(low), Some(high)) = (boxes.placed.get(contact.low), boxes.placed.get(contact.high)) else {
        return Vec::new();
    };
    if contact.axis < 2 {
        let at = (low.spans[contact.axis].hi + high.spans[contact.axis].lo) / 2;
        return vec![Line::across(contact.axis, at, contact.rect.u, None)];
    }
    let mut lines = Vec::new();
    for (side, axis) in SIDES {
        let mut open = Vec::new();
        for (number, placed, is_low, meeting) in
            [(contact.low, low, true, Face::Top), (contact.high, high, false, Face::Bottom)]
        {
            if contact.ends(placed, is_low, side) {
                open.extend(boxes.open_along(number, side, meeting));
            }
        }
        open.sort_unstable();
        let run = if axis == 0 { contact.rect.v } else { contact.rect.u };
        let at = end(contact.rect, 2, side);
        let stretches = intersection(&merged(open.into_iter(), 0), &[run]);
        lines.extend(stretches.into_iter().map(|along| Line::across(axis, at, along, Some(side))));
    }
    lines
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::Home;
    use serde_json::json;

    /// The lines of the joint of two stacked boxes: side and ends.
    fn stacked(modules: &[(&str, u32, [f64; 2], [f64; 2])], pair: (usize, usize)) -> Vec<(Face, [f64; 4])> {
        let module = |(id, level, at, size): &(&str, u32, [f64; 2], [f64; 2])| {
            let m = |value: f64| format!("{value} m");
            let size = json!({ "x": m(size[0]), "y": m(size[1]), "z": "3 m" });
            ((*id).to_owned(), json!({ "level": level, "at": { "x": m(at[0]), "y": m(at[1]) }, "size": size }))
        };
        let modules: serde_json::Map<_, _> = modules.iter().map(module).collect();
        let home: Home = serde_json::from_value(json!({
            "home": "test", "revision": {"id": "A", "date": "2026-01-01"},
            "site": {"place": "x", "climate_zone": "6A"}, "modules": modules,
        }))
        .unwrap();
        let boxes = Boxes::of(&home);
        let contact = boxes.arrangement.contacts.iter().find(|contact| contact.pair() == pair).unwrap();
        lines(&boxes, contact).into_iter().map(|line| (line.side.unwrap(), line.ends)).collect()
    }

    /// Two over two: the joint of the southern pair meets the outside on three sides, 10 + 4 + 4 m.
    #[test]
    fn two_over_two() {
        let size = [10.0, 4.0];
        let boxes = [
            ("A", 1, [0.0, 0.0], size),
            ("B", 1, [0.0, 4.01], size),
            ("C", 2, [0.0, 0.0], size),
            ("D", 2, [0.0, 4.01], size),
        ];
        let expected = [
            (Face::South, [0.0, 0.0, 10.0, 0.0]),
            (Face::East, [10.0, 0.0, 10.0, 4.0]),
            (Face::West, [0.0, 0.0, 0.0, 4.0]),
        ];
        assert_eq!(stacked(&boxes, (0, 2)), expected);
    }

    /// An upper box set back by 2 m: above the lower box's roof its side is open, so that all four sides count.
    #[test]
    fn a_box_set_back() {
        let boxes = [("A", 1, [0.0, 0.0], [10.0, 4.0]), ("B", 2, [2.0, 0.0], [8.0, 4.0])];
        assert_eq!(stacked(&boxes, (0, 1)).len(), 4);
    }
}
