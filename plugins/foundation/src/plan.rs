//! The lowest boxes in plan: the outline they make, and the lines on which they bear.

use mateline_boxes::Boxes;
use mateline_boxes::coordinate::{GAP, metres};
use mateline_boxes::outline::Outline;
use mateline_boxes::placed::{Placed, face_along};
use mateline_model::home::Id;

/// Boxes of level 1, by their positions among all boxes.
pub fn lowest(boxes: &Boxes) -> Vec<usize> {
    (0..boxes.placed.len()).filter(|i| boxes.placed[*i].level == 1).collect()
}

/// Length of a long side (m).
pub fn length(one: &Placed) -> f64 {
    metres(one.spans[usize::from(!one.runs_east())].length())
}

/// A line on which boxes bear with their long sides.
#[derive(Clone, Debug, PartialEq)]
pub struct BearingLine {
    /// How long (m).
    pub length: f64,
    /// The boxes whose long sides lie on it: one for a side line, one or two for a mate line.
    pub bearing: Vec<Id>,
    /// Whether each bears with its higher side, the north or east one.
    pub high: Vec<bool>,
    /// The other box, where only its end meets the line.
    pub end_of: Option<Id>,
    /// Whether it is a mate line.
    pub mate: bool,
}

impl BearingLine {
    /// `A-B`, or `A`.
    pub fn name(&self) -> String {
        let names: Vec<&str> = self.bearing.iter().chain(&self.end_of).map(AsRef::as_ref).collect();
        names.join("-")
    }
}

/// The bearing lines of boxes that stand beside one another, as far as these are among `some`.
pub fn bearing_lines(boxes: &Boxes, some: &[usize]) -> Vec<BearingLine> {
    let mut lines = Vec::new();
    for (i, one) in some.iter().filter_map(|i| Some((*i, boxes.placed.get(*i)?))) {
        let across = usize::from(one.runs_east());
        for high in [false, true] {
            let mut free = one.spans[1 - across].length();
            let mut met: Vec<_> = boxes.arrangement.on(i, face_along(across, high)).collect();
            met.retain(|contact| some.contains(&contact.other(i)));
            met.sort_by_key(|contact| contact.other(i));
            for contact in met {
                let j = contact.other(i);
                let Some(other) = boxes.placed.get(j) else { continue };
                free -= contact.rect.u.length();
                let both = other.runs_east() == one.runs_east();
                // Where both bear on the line, the earlier of the two has listed it.
                if !both || i < j {
                    lines.push(BearingLine {
                        length: metres(contact.rect.u.length()),
                        bearing: if both { vec![one.id.clone(), other.id.clone()] } else { vec![one.id.clone()] },
                        high: if both { vec![high, !high] } else { vec![high] },
                        end_of: (!both).then(|| other.id.clone()),
                        mate: true,
                    });
                }
            }
            if free > GAP {
                let bearing = vec![one.id.clone()];
                lines.push(BearingLine { length: metres(free), bearing, high: vec![high], end_of: None, mate: false });
            }
        }
    }
    lines
}

/// What the outline of boxes measures, gaps between them closed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Extent {
    /// Area inside (m²).
    pub area: f64,
    /// Length (m).
    pub perimeter: f64,
    /// Corners that point outwards less those that point inwards.
    pub corners: f64,
}

impl Extent {
    /// The extent of some of the boxes.
    pub fn of(boxes: &Boxes, some: &[usize]) -> Extent {
        let outline = Outline::of(some.iter().filter_map(|i| boxes.placed.get(*i)));
        let corners = outline.corners as f64 - outline.inward as f64;
        Extent { area: outline.area, perimeter: outline.perimeter(), corners }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

    use super::*;
    use mateline_model::Home;
    use serde_json::json;

    /// Lowest boxes by west, south, east and north edge (m).
    fn plans(edges: &[(&str, [f64; 4])]) -> Boxes {
        let module = |(id, [west, south, east, north]): &(&str, [f64; 4])| {
            let m = |value: f64| format!("{value} m");
            let size = json!({ "x": m(east - west), "y": m(north - south), "z": "3 m" });
            ((*id).to_owned(), json!({ "level": 1, "at": { "x": m(*west), "y": m(*south) }, "size": size }))
        };
        let modules: serde_json::Map<_, _> = edges.iter().map(module).collect();
        let home: Home = serde_json::from_value(json!({
            "home": "test", "revision": {"id": "A", "date": "2026-01-01"},
            "site": {"place": "x", "climate_zone": "6A"}, "modules": modules,
        }))
        .unwrap();
        Boxes::of(&home)
    }

    fn lines(boxes: &Boxes) -> Vec<(String, f64, bool)> {
        let lines = bearing_lines(boxes, &lowest(boxes));
        lines.into_iter().map(|line| (line.name(), line.length, line.mate)).collect()
    }

    fn named(lines: &[(&str, f64, bool)]) -> Vec<(String, f64, bool)> {
        lines.iter().map(|(name, length, mate)| ((*name).to_owned(), *length, *mate)).collect()
    }

    #[test]
    fn two_boxes_side_by_side_bear_on_one_mate_line() {
        let both = plans(&[("A", [0.0, 0.0, 12.0, 4.0]), ("B", [0.0, 4.02, 12.0, 8.02])]);
        assert_eq!(lines(&both), named(&[("A", 12.0, false), ("A-B", 12.0, true), ("B", 12.0, false)]));
        assert_eq!(Extent::of(&both, &[0, 1]).corners, 4.0);
    }

    #[test]
    fn an_l_has_four_more_outward_corners_and_a_line_partly_met() {
        let both = plans(&[("A", [0.0, 0.0, 12.0, 4.0]), ("B", [0.0, 4.0, 4.0, 14.0])]);
        let expected = Extent { area: 88.0, perimeter: 52.0, corners: 4.0 };
        assert_eq!(Extent::of(&both, &[0, 1]), expected);
        // B meets A with its end: A alone bears there, over 4 m, and 8 m of that side are free.
        let expected =
            [("A", 12.0, false), ("A-B", 4.0, true), ("A", 8.0, false), ("B", 10.0, false), ("B", 10.0, false)];
        assert_eq!(lines(&both), named(&expected));
    }
}
