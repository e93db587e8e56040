//! Points where four boxes meet at the air barrier: the hardest places of a set to close.
//!
//! A line along which four boxes meet ends at the air barrier wherever one of the four quarters around it goes on into
//! no further box. What meets is what [`mateline_boxes`] says.

use crate::item::{Item, Kind, Part, Place};
use crate::seams;
use mateline_boxes::Boxes;
use mateline_boxes::edge::is_flush;
use mateline_model::home::{Home, Id, Party};
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::{Lack, Request};
use std::collections::BTreeSet;

/// What facts on the points where four boxes meet are about.
pub(crate) fn subject() -> Subject {
    Subject::element("leaks", "four-box-corners")
}

/// The points where four boxes meet, as one entry; none where there is no such point.
pub(crate) fn item(request: &Request<'_>) -> Result<Option<Item>, Lack> {
    let (points, boxes) = points(request.home);
    if points == 0 {
        return Ok(None);
    }
    for seam in seams::found(request) {
        seams::item(request, &seam)?;
    }
    let number = Quantity::plain(points as f64);
    let count = Term::new("N", "points where four boxes meet", number, Units::plain(0)).given("modules");
    Ok(Some(Item {
        subject: subject(),
        name: "points where four boxes meet".to_owned(),
        kind: Kind::Seam,
        party: Party::Site,
        place: Place::Boxes(boxes),
        trade: None,
        parts: vec![Part::of("corner-sealed", vec![count.clone()])?],
        open: Some(vec![Part::of("corner-open", vec![count])?]),
        action: None,
        assumptions: vec![
            "each line along which four boxes meet counts at every end that lies on the air barrier".to_owned(),
        ],
        at: Some(Pointer::new("modules")),
    }))
}

/// How many points there are, and the boxes that take part, in the order of the file.
fn points(home: &Home) -> (usize, Vec<Id>) {
    let boxes = Boxes::of(home);
    let inside_below = |i: &usize| {
        let (foundation, placed) = (home.foundation.as_ref(), boxes.placed.get(*i));
        foundation.zip(placed).is_some_and(|(foundation, placed)| foundation.is_conditioned_below(&placed.id))
    };
    let (mut points, mut taking_part) = (0, BTreeSet::new());
    for quartet in boxes.quartets() {
        let [lower, higher] = quartet.open;
        let inside =
            quartet.axis == 2 && quartet.boxes.iter().all(inside_below) && is_flush(quartet.along.lo, boxes.base());
        let count = usize::from(lower && !inside) + usize::from(higher);
        if count > 0 {
            points += count;
            taking_part.extend(quartet.boxes);
        }
    }
    (points, taking_part.into_iter().filter_map(|i| boxes.placed.get(i)).map(|placed| placed.id.clone()).collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn home(modules: &[(&str, u32, f64, f64)], foundation: &str) -> Home {
        let boxes: serde_json::Map<String, serde_json::Value> = modules
            .iter()
            .map(|(id, level, x, y)| {
                let at = serde_json::json!({"x": format!("{x} m"), "y": format!("{y} m")});
                let size = serde_json::json!({"x": "10 m", "y": "4 m", "z": "3 m"});
                ((*id).to_owned(), serde_json::json!({"level": level, "at": at, "size": size}))
            })
            .collect();
        serde_json::from_value(serde_json::json!({
            "home": "test", "revision": {"id": "A", "date": "2026-01-01"},
            "site": {"place": "x", "climate_zone": "6A"}, "modules": boxes, "foundation": {"kind": foundation},
        }))
        .unwrap()
    }

    /// Two over two: one level line where all four meet, which ends at both gables.
    #[test]
    fn two_over_two() {
        let four =
            home(&[("A", 1, 0.0, 0.0), ("B", 1, 0.0, 4.012), ("C", 2, 0.0, 0.0), ("D", 2, 0.0, 4.012)], "basement");
        assert_eq!(points(&four).0, 2);
        assert_eq!(points(&four).1.len(), 4);
    }

    /// Four in a square on one level: one upright line, which ends at the roof, and at the floor over a crawl space.
    #[test]
    fn four_in_a_square() {
        let square = [("A", 1, 0.0, 0.0), ("B", 1, 10.0, 0.0), ("C", 1, 0.0, 4.0), ("D", 1, 10.0, 4.0)];
        assert_eq!(points(&home(&square, "crawl-space")).0, 2);
        assert_eq!(points(&home(&square, "basement")).0, 1);
    }

    /// Eight boxes less one, H in the upper north-east. The line through A, C, E, G ends at its gable and over D beside
    /// the gap; the one through A, B, E, F at the south wall and beside the gap; the upright one below the gap.
    #[test]
    fn a_box_that_is_not_there() {
        let boxes = [
            ("A", 1, 0.0, 0.0),
            ("B", 1, 10.0, 0.0),
            ("C", 1, 0.0, 4.0),
            ("D", 1, 10.0, 4.0),
            ("E", 2, 0.0, 0.0),
            ("F", 2, 10.0, 0.0),
            ("G", 2, 0.0, 4.0),
        ];
        assert_eq!(points(&home(&boxes, "basement")).0, 2 + 2 + 1);
    }

    #[test]
    fn a_pair_has_none() {
        assert_eq!(points(&home(&[("A", 1, 0.0, 0.0), ("B", 1, 0.0, 4.0)], "slab")).0, 0);
    }

    /// Eight boxes, two by two on two levels: three lines through the middle point, of which the upright one ends at
    /// the roof only and the level ones at two gables each.
    #[test]
    fn two_by_two_on_two_levels() {
        let mut boxes = Vec::new();
        for (level, names) in [(1, ["A", "B", "C", "D"]), (2, ["E", "F", "G", "H"])] {
            for (name, (x, y)) in names.into_iter().zip([(0.0, 0.0), (10.0, 0.0), (0.0, 4.0), (10.0, 4.0)]) {
                boxes.push((name, level, x, y));
            }
        }
        assert_eq!(points(&home(&boxes, "basement")).0, 1 + 2 + 2);
    }
}
