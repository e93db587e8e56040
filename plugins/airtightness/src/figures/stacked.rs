//! Where the joint between a box and the box below it meets the outside: along which sides, and from where to where.
//!
//! The take-off says how long the joint is in all. What is found here is drawn only where it comes to the same length.

use super::mate_lines::{Line, along};
use crate::corners::{GAP, Solid};

/// Ends closer than this are one (m).
const TOUCH: f64 = 0.001;
/// How far the length found here may be from the take-off's (-).
const ALIKE: f64 = 0.005;

/// The sides, by axis and end.
const SIDES: [(usize, bool, &str); 4] =
    [(1, false, "south"), (0, true, "east"), (1, true, "north"), (0, false, "west")];

/// A stretch of an axis (m).
type Stretch = (f64, f64);

/// The lines of the joint of two boxes, one of which stands on the other; none where they do not come to `length`.
pub(super) fn lines(all: &[Solid<'_>], a: &Solid<'_>, b: &Solid<'_>, length: Option<f64>) -> Vec<Line> {
    let (lower, upper) = if a.low[2] <= b.low[2] { (a, b) } else { (b, a) };
    let mut lines = Vec::new();
    for (axis, high, side) in SIDES {
        let other = 1 - axis;
        let at = match high {
            true => lower.high[axis].min(upper.high[axis]),
            false => lower.low[axis].max(upper.low[axis]),
        };
        let run = (lower.low[other].max(upper.low[other]), lower.high[other].min(upper.high[other]));
        let edge = Edge { axis, high, at, run };
        // Just below the joint beside the lower box, just above it beside the upper one.
        let mut open = edge.open(all, lower, lower.high[2] - 2.0 * GAP);
        open.extend(edge.open(all, upper, upper.low[2] + 2.0 * GAP));
        let stretches = united(open).into_iter();
        lines.extend(stretches.map(|(from, to)| Line { ends: along(axis, at, from, to), side: Some(side) }));
    }
    let found: f64 = lines.iter().map(Line::length).sum();
    let alike = length.is_some_and(|length| length > 0.0 && (found - length).abs() <= ALIKE * length);
    if alike { lines } else { Vec::new() }
}

/// One side of the area over which two boxes touch.
struct Edge {
    axis: usize,
    high: bool,
    at: f64,
    run: Stretch,
}

impl Edge {
    /// The stretches along which a box ends here with nothing beside it at a height.
    fn open(&self, all: &[Solid<'_>], solid: &Solid<'_>, height: f64) -> Vec<Stretch> {
        let end = |solid: &Solid<'_>, high: bool| if high { solid.high[self.axis] } else { solid.low[self.axis] };
        let (other, outward) = (1 - self.axis, if self.high { 1.0 } else { -1.0 });
        if (end(solid, self.high) - self.at).abs() > TOUCH {
            return Vec::new();
        }
        let beside = |one: &&Solid<'_>| {
            let gap = (end(one, !self.high) - self.at) * outward;
            (-TOUCH..=GAP).contains(&gap) && one.low[2] < height && one.high[2] > height
        };
        let covers = all.iter().filter(beside).map(|one| (one.low[other], one.high[other]));
        without(self.run, united(covers.collect()))
    }
}

/// Stretches in order, those that touch as one.
fn united(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<Stretch> = Vec::new();
    for (from, to) in stretches {
        match merged.last_mut() {
            Some(last) if from <= last.1 + TOUCH => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// What is left of a stretch when others, in order, are taken off.
fn without((from, to): Stretch, covers: Vec<Stretch>) -> Vec<Stretch> {
    let mut left = Vec::new();
    let mut at = from;
    for (start, end) in covers {
        if start.min(to) - at > TOUCH {
            left.push((at, start.min(to)));
        }
        at = at.max(end);
    }
    if to - at > TOUCH {
        left.push((at, to));
    }
    left
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::home::Id;

    fn solid(id: &Id, low: [f64; 3], size: [f64; 3]) -> Solid<'_> {
        let high = [low[0] + size[0], low[1] + size[1], low[2] + size[2]];
        Solid { id, low, high }
    }

    fn sides(lines: &[Line]) -> Vec<(&str, [f64; 4])> {
        lines.iter().map(|line| (line.side.unwrap(), line.ends)).collect()
    }

    /// Two over two: the joint of the southern pair meets the outside on three sides, 10 + 4 + 4 m.
    #[test]
    fn two_over_two() {
        let ids: Vec<Id> = ["A", "B", "C", "D"].iter().map(|id| id.parse().unwrap()).collect();
        let at = |index: usize, y: f64, z: f64| solid(&ids[index], [0.0, y, z], [10.0, 4.0, 3.0]);
        let all = [at(0, 0.0, 0.0), at(1, 4.01, 0.0), at(2, 0.0, 3.0), at(3, 4.01, 3.0)];
        let lines = lines(&all, &all[0], &all[2], Some(18.0));
        let expected =
            [("south", [0.0, 0.0, 10.0, 0.0]), ("east", [10.0, 0.0, 10.0, 4.0]), ("west", [0.0, 0.0, 0.0, 4.0])];
        assert_eq!(sides(&lines), expected);
    }

    /// An upper box set back by 2 m: above the lower box's roof its side is open, so that all four sides count.
    #[test]
    fn a_box_set_back() {
        let ids: Vec<Id> = ["A", "B"].iter().map(|id| id.parse().unwrap()).collect();
        let all = [solid(&ids[0], [0.0, 0.0, 0.0], [10.0, 4.0, 3.0]), solid(&ids[1], [2.0, 0.0, 3.0], [8.0, 4.0, 3.0])];
        assert_eq!(lines(&all, &all[1], &all[0], Some(24.0)).len(), 4);
    }

    /// What does not come to the take-off's length is not drawn.
    #[test]
    fn a_joint_of_another_length_is_not_drawn() {
        let ids: Vec<Id> = ["A", "B"].iter().map(|id| id.parse().unwrap()).collect();
        let all =
            [solid(&ids[0], [0.0, 0.0, 0.0], [10.0, 4.0, 3.0]), solid(&ids[1], [0.0, 0.0, 3.0], [10.0, 4.0, 3.0])];
        assert_eq!(lines(&all, &all[0], &all[1], Some(28.0)).len(), 4);
        assert!(lines(&all, &all[0], &all[1], Some(20.0)).is_empty());
        assert!(lines(&all, &all[0], &all[1], None).is_empty());
    }

    #[test]
    fn stretches_that_are_covered_fall_out() {
        assert_eq!(
            without((0.0, 10.0), united(vec![(6.0, 7.0), (2.0, 4.0), (3.0, 5.0)])),
            [(0.0, 2.0), (5.0, 6.0), (7.0, 10.0)]
        );
        assert!(without((0.0, 10.0), vec![(-1.0, 11.0)]).is_empty());
        assert_eq!(without((0.0, 1.0), Vec::new()), [(0.0, 1.0)]);
    }
}
