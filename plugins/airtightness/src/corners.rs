//! Points where four boxes meet at the air barrier: the hardest places of a set to close.
//!
//! A line along which four boxes meet ends at the air barrier wherever one of the four quarters around it goes on into
//! no further box. Faces count as meeting across a gap of at most 30 mm, and sloped ceilings as flat.

use crate::item::{Item, Kind, Lack, Part, Place};
use crate::seams;
use mateline_model::home::{Home, Id, Party};
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::Request;
use std::collections::BTreeSet;

/// Largest gap across which two faces meet (m).
pub(crate) const GAP: f64 = 0.03;

/// Most lines that are looked at along one axis.
const MOST: usize = 10_000;

/// A box as its lowest and highest coordinates (m).
pub(crate) struct Solid<'a> {
    pub(crate) id: &'a Id,
    pub(crate) low: [f64; 3],
    pub(crate) high: [f64; 3],
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
        subject: Subject::element("leaks", "four-box-corners"),
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
    let solids = solids(home);
    let inside_below = home.foundation.as_ref().is_some_and(mateline_model::home::Foundation::is_conditioned);
    let (mut points, mut taking_part) = (0, BTreeSet::new());
    for along in 0..3 {
        let (b, c) = ((along + 1) % 3, (along + 2) % 3);
        for (first, ids, start, end) in meetings(&solids, along) {
            let goes_on = |at: f64| {
                let quarters = [(-2.0, -2.0), (-2.0, 2.0), (2.0, -2.0), (2.0, 2.0)];
                quarters.iter().all(|(u, v)| {
                    let mut point = [at; 3];
                    point[b] = first.high[b] + u * GAP;
                    point[c] = first.high[c] + v * GAP;
                    solids.iter().any(|solid| contains(solid, point))
                })
            };
            let below = along == 2 && inside_below && start < GAP;
            let ends = [!below && !goes_on(start - 2.0 * GAP), !goes_on(end + 2.0 * GAP)];
            let count = ends.iter().filter(|end| **end).count();
            if count > 0 {
                points += count;
                taking_part.extend(ids);
            }
        }
    }
    let boxes = home.modules.keys().filter(|id| taking_part.contains(id)).cloned().collect();
    (points, boxes)
}

/// Every four boxes that stand around one line, as (low, low), (high, low), (low, high), (high, high) of two axes, with
/// the stretch of the line that all four share. Ten thousand at most: boxes that do not overlap never come near it.
fn meetings<'a>(solids: &'a [Solid<'a>], along: usize) -> Vec<(&'a Solid<'a>, [&'a Id; 4], f64, f64)> {
    let (b, c) = ((along + 1) % 3, (along + 2) % 3);
    let near = |x: f64, y: f64| (x - y).abs() <= GAP;
    let mut all = Vec::new();
    for low in solids {
        let (at_b, at_c) = (low.high[b], low.high[c]);
        // Boxes of one quarter around the line that share some of a stretch, with what they share.
        let beside = |above_b: bool, above_c: bool, start: f64, end: f64| {
            solids.iter().filter_map(move |solid| {
                let touches = near(if above_b { solid.low[b] } else { solid.high[b] }, at_b)
                    && near(if above_c { solid.low[c] } else { solid.high[c] }, at_c);
                let (start, end) = (start.max(solid.low[along]), end.min(solid.high[along]));
                (touches && end - start > GAP).then_some((solid, start, end))
            })
        };
        for (second, start, end) in beside(true, false, low.low[along], low.high[along]) {
            for (third, start, end) in beside(false, true, start, end) {
                for (fourth, start, end) in beside(true, true, start, end) {
                    all.push((low, [low.id, second.id, third.id, fourth.id], start, end));
                    if all.len() == MOST {
                        return all;
                    }
                }
            }
        }
    }
    all
}

fn contains(solid: &Solid<'_>, point: [f64; 3]) -> bool {
    (0..3).all(|axis| point[axis] > solid.low[axis] && point[axis] < solid.high[axis])
}

/// The boxes in place: one without a height stands on the tallest box of the level below that it covers some of, or
/// where it covers none, on the tallest of that level.
pub(crate) fn solids(home: &Home) -> Vec<Solid<'_>> {
    let mut levels: Vec<u32> = home.modules.values().map(|module| module.level).collect();
    levels.sort_unstable();
    levels.dedup();
    let (mut solids, mut below): (Vec<Solid<'_>>, usize) = (Vec::new(), 0);
    for level in levels {
        let beneath = below..solids.len();
        below = solids.len();
        for (id, module) in home.modules.iter().filter(|(_, module)| module.level == level) {
            let (x, y) = (module.at.x.si(), module.at.y.si());
            let (dx, dy, dz) = (module.size.x.si(), module.size.y.si(), module.size.z.si());
            let lower = solids.get(beneath.clone()).unwrap_or_default();
            let overlaps =
                |one: &&Solid<'_>| one.low[0] < x + dx && one.high[0] > x && one.low[1] < y + dy && one.high[1] > y;
            let top = |tops: &mut dyn Iterator<Item = f64>| tops.reduce(f64::max);
            let stands_on = top(&mut lower.iter().filter(overlaps).map(|one| one.high[2]))
                .or_else(|| top(&mut lower.iter().map(|one| one.high[2])));
            let z = module.at.z.map_or(stands_on.unwrap_or(0.0), |z| z.si());
            solids.push(Solid { id, low: [x, y, z], high: [x + dx, y + dy, z + dz] });
        }
    }
    solids
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

    /// Four hundred boxes in four places are refused elsewhere; here they only must not take forever.
    #[test]
    fn boxes_in_one_place_end() {
        let names: Vec<String> = (0..400).map(|number| format!("m{number}")).collect();
        let place = |number: usize| (f64::from(u8::from(number % 4 > 1)) * 4.0, 1 + u32::from(number % 2 == 1));
        let boxes: Vec<(&str, u32, f64, f64)> = names
            .iter()
            .enumerate()
            .map(|(number, name)| {
                let (y, level) = place(number);
                (name.as_str(), level, 0.0, y)
            })
            .collect();
        assert!(points(&home(&boxes, "slab")).0 > 0);
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
