//! The outline of boxes in plan.

use crate::coordinate::{GAP, metres, square_metres};
use crate::placed::Placed;
use crate::region::Region;
use mateline_model::home::Side;

/// The outline of some boxes.
#[derive(Clone, Debug)]
pub struct Outline {
    /// The plan of the boxes together, gaps between them closed.
    pub region: Region,
    /// Its area (m²).
    pub area: f64,
    /// Length of its outline on each side (m).
    pub sides: [(Side, f64); 4],
    /// Corners that point outwards.
    pub corners: usize,
    /// Corners that point inwards.
    pub inward: usize,
}

impl Outline {
    /// The outline of boxes.
    pub fn of<'a>(boxes: impl Iterator<Item = &'a Placed>) -> Outline {
        let region = Region::union_of(boxes.map(Placed::plan).collect()).closed(GAP);
        let outline = region.outline();
        let sides = [Side::North, Side::East, Side::South, Side::West].map(|side| {
            let there = outline.iter().filter(|edge| edge.side == side);
            (side, there.map(|edge| metres(edge.along.length())).sum())
        });
        let (corners, inward) = region.corners();
        Outline { area: square_metres(region.area()), corners, inward, sides, region }
    }

    /// Length of the whole outline (m).
    pub fn perimeter(&self) -> f64 {
        self.sides.iter().map(|(_, length)| length).sum()
    }

    /// Length of the outline on one side (m).
    pub fn side(&self, side: Side) -> f64 {
        self.sides.iter().filter(|(other, _)| *other == side).map(|(_, length)| length).sum()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::placed::place;
    use crate::samples::{home, metric};
    use serde_json::json;

    fn of(modules: serde_json::Value) -> (f64, f64, usize, usize) {
        let outline = Outline::of(place(&home(modules)).iter());
        (outline.area, outline.perimeter(), outline.corners, outline.inward)
    }

    /// By hand: two boxes beside one another with a gap of 20 mm, an L, and one box apart from a pair.
    #[test]
    fn outlines_by_hand() {
        let side_by_side = json!({
            "A": metric(1, [0.0, 0.0], [12.0, 4.0, 3.0]), "B": metric(1, [0.0, 4.02], [12.0, 4.0, 3.0]),
        });
        let (area, perimeter, outward, inward) = of(side_by_side);
        assert!((area - 12.0 * 8.02).abs() < 1e-9 && (perimeter - 2.0 * (12.0 + 8.02)).abs() < 1e-9);
        assert_eq!((outward, inward), (4, 0));
        let l = json!({ "A": metric(1, [0.0, 0.0], [12.0, 4.0, 3.0]), "B": metric(1, [0.0, 4.0], [4.0, 10.0, 3.0]) });
        assert_eq!(of(l), (88.0, 52.0, 5, 1));
        let apart = json!({
            "A": metric(1, [0.0, 0.0], [2.0, 2.0, 3.0]), "B": metric(1, [4.0, 0.0], [2.0, 2.0, 3.0]),
            "C": metric(1, [4.0, 2.0], [2.0, 2.0, 3.0]),
        });
        assert_eq!(of(apart), (12.0, 20.0, 8, 0));
        assert_eq!(of(json!({})), (0.0, 0.0, 0, 0));
    }
}
