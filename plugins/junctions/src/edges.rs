//! How long each kind of junction is: every edge where the faces of the boxes meet, found from the boxes alone.
//!
//! A junction is where open faces meet: of one box at its own edges, of two boxes where they touch and end together.
//! What touches is what [`mateline_boxes`] says, pair by pair. Sloped ceilings count as level; an edge that the next box
//! carries on reaches to the middle of the gap between them.

use mateline_boxes::Boxes;
use mateline_boxes::contact::Contact;
use mateline_boxes::coordinate::{GAP, Nm, Span, metres};
use mateline_boxes::edge::is_flush;
use mateline_boxes::placed::{direction, face_along};
use mateline_boxes::region::{difference, intersection};
use mateline_model::home::{Face, Home, Id, JunctionKind, OpeningKind, are_one_seam};
use std::collections::BTreeMap;

/// The sides of a box.
const SIDES: [Face; 4] = [Face::West, Face::East, Face::South, Face::North];

/// Lengths of junctions (m), and of mate lines by the two boxes that meet, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Edges {
    pub by_kind: BTreeMap<JunctionKind, f64>,
    pub mate_lines: BTreeMap<(JunctionKind, usize, usize), f64>,
    /// Lower edges of boxes that stand out over the ones below, with outdoor air beneath (m).
    pub overhang: f64,
    names: Vec<Id>,
}

impl Edges {
    /// Finds them.
    pub(crate) fn of(home: &Home) -> Edges {
        let boxes = Boxes::levelled(home);
        let mut found = Lengths { base: boxes.base(), ..Lengths::default() };
        for contact in &boxes.arrangement.contacts {
            found.mate_line(&boxes, contact);
        }
        for number in 0..boxes.placed.len() {
            found.outer_edges(&boxes, number);
        }
        let mut edges = Edges {
            by_kind: found.by_kind.into_iter().map(|(kind, length)| (kind, metres(length))).collect(),
            mate_lines: found.mate_lines.into_iter().map(|(line, length)| (line, metres(length))).collect(),
            overhang: metres(found.overhang),
            names: boxes.placed.into_iter().map(|placed| placed.id).collect(),
        };
        edges.openings(home);
        edges
    }

    /// Perimeters of windows and doors in upright faces.
    fn openings(&mut self, home: &Home) {
        for opening in home.openings.values() {
            let kind = match opening.kind {
                OpeningKind::Window | OpeningKind::GlazedDoor => JunctionKind::WindowJamb,
                OpeningKind::OpaqueDoor => JunctionKind::DoorJamb,
                OpeningKind::Skylight | OpeningKind::Hatch => continue,
            };
            if !matches!(opening.face, Face::Top | Face::Bottom) {
                let around = 2.0 * (opening.width.si() + opening.height.si()) * f64::from(opening.count);
                *self.by_kind.entry(kind).or_default() += around;
            }
        }
    }

    /// The id of a box.
    pub(crate) fn name(&self, number: usize) -> Option<&Id> {
        self.names.get(number)
    }

    /// Whether a seam goes by this name: the ids of its boxes in either order.
    pub(crate) fn is_called(&self, one: usize, other: usize, name: &str) -> bool {
        are_one_seam(name, &self.seam(one, other))
    }

    /// The ids of a mate line's boxes, `A-B`.
    pub(crate) fn seam(&self, one: usize, other: usize) -> String {
        let name = |number: usize| self.names.get(number).map_or("", |id| id.as_ref());
        format!("{}-{}", name(one), name(other))
    }
}

/// Lengths in whole nanometres.
#[derive(Default)]
struct Lengths {
    base: Nm,
    by_kind: BTreeMap<JunctionKind, Nm>,
    mate_lines: BTreeMap<(JunctionKind, usize, usize), Nm>,
    overhang: Nm,
}

impl Lengths {
    fn add(&mut self, kind: JunctionKind, between: Option<(usize, usize)>, stretches: &[Span]) {
        let length: Nm = stretches.iter().map(|stretch| stretch.length()).sum();
        if length > 0 {
            *self.by_kind.entry(kind).or_default() += length;
            if let Some((one, other)) = between {
                *self.mate_lines.entry((kind, one, other)).or_default() += length;
            }
        }
    }

    fn is_base(&self, boxes: &Boxes, number: usize) -> bool {
        boxes.placed.get(number).is_some_and(|placed| is_flush(placed.spans[2].lo, self.base))
    }

    /// The edges of one box that no other shares.
    fn outer_edges(&mut self, boxes: &Boxes, number: usize) {
        for x in [Face::West, Face::East] {
            for y in [Face::South, Face::North] {
                self.add(JunctionKind::OutsideCorner, None, &boxes.outer_edge(number, [x, y]));
            }
        }
        for side in SIDES {
            self.add(JunctionKind::WallToAttic, None, &boxes.outer_edge(number, [Face::Top, side]));
            let lower = boxes.outer_edge(number, [Face::Bottom, side]);
            if self.is_base(boxes, number) {
                self.add(JunctionKind::FloorRim, None, &lower);
            } else {
                self.overhang += lower.iter().map(|stretch| stretch.length()).sum::<Nm>();
            }
        }
    }

    /// The edges of a contact: where both boxes end together and the face of each beyond the edge is open; and the
    /// inward corners at its upright edges.
    fn mate_line(&mut self, boxes: &Boxes, contact: &Contact) {
        let (Some(low), Some(high)) = (boxes.placed.get(contact.low), boxes.placed.get(contact.high)) else { return };
        let (meeting, facing) = contact.faces();
        for axis in (0..3).filter(|axis| *axis != contact.axis) {
            for edge in [face_along(axis, false), face_along(axis, true)] {
                let upright = contact.axis < 2 && axis < 2;
                if !is_flush(low.plane(edge), high.plane(edge)) {
                    if upright {
                        self.set_back(boxes, contact, edge);
                    }
                    continue;
                }
                let below = boxes.open_along(contact.low, edge, meeting);
                let above = boxes.open_along(contact.high, edge, facing);
                let kind = match edge {
                    _ if contact.axis == 2 => JunctionKind::StackedRim,
                    Face::Top => JunctionKind::MateRoof,
                    Face::Bottom if self.is_base(boxes, contact.low) => JunctionKind::MateFloor,
                    Face::Bottom => continue,
                    _ => JunctionKind::MateWall,
                };
                self.add(kind, Some(contact.pair()), &intersection(&below, &above));
                // Three boxes around an upright edge: the third covers one of the two. Its two contacts both come here,
                // and lie across different axes.
                if upright && contact.axis == 0 {
                    let one = [difference(&below, &above), difference(&above, &below)].concat();
                    self.inside_corner(one, contact.rect.v);
                }
            }
        }
    }

    /// The inward corner where one box of a contact ends and the other goes on.
    fn set_back(&mut self, boxes: &Boxes, contact: &Contact, edge: Face) {
        let (Some(low), Some(high)) = (boxes.placed.get(contact.low), boxes.placed.get(contact.high)) else { return };
        let (meeting, facing) = contact.faces();
        let low_ends_first = (low.plane(edge) < high.plane(edge)) == direction(edge).1;
        let (ends, its, goes_on, others) = if low_ends_first {
            (contact.low, meeting, contact.high, facing)
        } else {
            (contact.high, facing, contact.low, meeting)
        };
        let at = if low_ends_first { low.plane(edge) } else { high.plane(edge) };
        let end = boxes.open_along(ends, edge, its);
        let beyond = boxes.open_beyond(goes_on, others, at, edge);
        self.inside_corner(intersection(&end, &beyond), contact.rect.v);
    }

    fn inside_corner(&mut self, mut stretches: Vec<Span>, run: Span) {
        stretches.sort_unstable();
        let mut within = intersection(&stretches, &[run]);
        within.retain(|stretch| stretch.length() > GAP);
        self.add(JunctionKind::InsideCorner, None, &within);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use serde_json::json;

    fn home(modules: serde_json::Value) -> Home {
        serde_json::from_value(json!({
            "home": "Test home, invented",
            "revision": {"id": "A", "date": "2026-01-01"},
            "site": {"place": "Nowhere", "climate_zone": "6A"},
            "modules": modules,
        }))
        .unwrap()
    }

    fn module(level: u32, x: f64, y: f64) -> serde_json::Value {
        let m = |value: f64| format!("{value} m");
        json!({"level": level, "at": {"x": m(x), "y": m(y)}, "size": {"x": "10 m", "y": "4 m", "z": "3 m"}})
    }

    fn length(edges: &Edges, kind: JunctionKind) -> f64 {
        edges.by_kind.get(&kind).copied().unwrap_or_default()
    }

    /// Two by two boxes of 10 m by 4 m by 3 m with a gap of 15 mm between north and south. Counted by hand: four upright
    /// corners of 6 m; mate lines in the walls 2 ends x 2 levels x 3 m; in roof and floor 10 m each; the stacked rim
    /// round the outline 2 (10 + 8) m, as are eave and floor rim.
    #[test]
    fn four_boxes() {
        let home = home(json!({
            "A": module(1, 0.0, 0.0), "B": module(1, 0.0, 4.015), "C": module(2, 0.0, 0.0), "D": module(2, 0.0, 4.015),
        }));
        let edges = Edges::of(&home);
        for (kind, expected) in [
            (JunctionKind::OutsideCorner, 24.0),
            (JunctionKind::InsideCorner, 0.0),
            (JunctionKind::MateWall, 12.0),
            (JunctionKind::MateRoof, 10.0),
            (JunctionKind::MateFloor, 10.0),
            (JunctionKind::StackedRim, 36.0),
            (JunctionKind::WallToAttic, 36.0),
            (JunctionKind::FloorRim, 36.0),
        ] {
            assert!((length(&edges, kind) - expected).abs() < 0.1, "{kind:?}: {}", length(&edges, kind));
        }
        assert!((edges.mate_lines[&(JunctionKind::MateRoof, 2, 3)] - 10.0).abs() < 1e-9);
        assert_eq!(edges.seam(2, 3), "C-D");
    }

    /// Three boxes in an L have one inside corner, 3 m high.
    #[test]
    fn an_l_has_an_inside_corner() {
        let home = home(json!({
            "A": module(1, 0.0, 0.0), "B": module(1, 10.0, 0.0), "C": module(1, 0.0, 4.0),
        }));
        let edges = Edges::of(&home);
        assert!((length(&edges, JunctionKind::InsideCorner) - 3.0).abs() < 1e-9);
        assert!((length(&edges, JunctionKind::OutsideCorner) - 15.0).abs() < 1e-9);
    }

    /// Three boxes in an L whose sides stand back from one another by 10 mm, each in turn and either way: the same
    /// corners and mate lines, to within what the setting back adds to heights and lengths.
    #[test]
    fn what_stands_back_by_less_than_a_gap_ends_together() {
        let m = |value: f64| format!("{value} m");
        let sized = |x: f64, y: f64, dx: f64, dy: f64| json!({"level": 1, "at": {"x": m(x), "y": m(y)}, "size": {"x": m(dx), "y": m(dy), "z": "3 m"}});
        for (b, c) in [(0.0, 0.0), (0.01, 0.0), (-0.01, 0.0), (0.0, 0.01), (0.0, -0.01), (0.01, 0.01), (-0.01, -0.01)] {
            let home = home(json!({
                "A": sized(0.0, 0.0, 10.0, 4.0),
                "B": sized(10.0, 0.0, 10.0, 4.0 + b),
                "C": sized(0.0, 4.0, 10.0 + c, 4.0),
            }));
            if Boxes::of(&home).arrangement.overlaps.is_empty() {
                let edges = Edges::of(&home);
                for (kind, expected) in [
                    (JunctionKind::InsideCorner, 3.0),
                    (JunctionKind::OutsideCorner, 15.0),
                    (JunctionKind::MateWall, 6.0),
                ] {
                    assert!(
                        (length(&edges, kind) - expected).abs() < 0.03,
                        "{b} {c} {kind:?}: {}",
                        length(&edges, kind)
                    );
                }
            }
        }
    }

    /// A box 4 m long in the middle of another's north side: two inward corners, and no wall in which both end.
    #[test]
    fn a_box_set_against_a_longer_one() {
        let home = home(json!({
            "A": module(1, 0.0, 0.0),
            "B": {"level": 1, "at": {"x": "3 m", "y": "4.02 m"}, "size": {"x": "4 m", "y": "4 m", "z": "3 m"}},
        }));
        let edges = Edges::of(&home);
        assert!((length(&edges, JunctionKind::InsideCorner) - 6.0).abs() < 1e-9);
        assert!((length(&edges, JunctionKind::OutsideCorner) - 18.0).abs() < 1e-9);
        assert_eq!(length(&edges, JunctionKind::MateWall), 0.0);
        assert!((length(&edges, JunctionKind::MateRoof) - 4.0).abs() < 1e-9);
        // Round A and B, each edge to the middle of the gap where the other carries it on.
        assert!((length(&edges, JunctionKind::FloorRim) - (28.0 - 4.0 + 12.0 + 2.0 * 0.01)).abs() < 1e-9);
    }

    /// An upper box set 1 m to the east overhangs by its end: 4 m, and 1 m along each side.
    #[test]
    fn an_overhang_has_a_lower_edge() {
        let home = home(json!({"A": module(1, 0.0, 0.0), "C": module(2, 1.0, 0.0)}));
        let edges = Edges::of(&home);
        assert!((edges.overhang - 6.0).abs() < 1e-9, "{}", edges.overhang);
        assert!((length(&edges, JunctionKind::FloorRim) - 28.0).abs() < 1e-9);
    }
}
