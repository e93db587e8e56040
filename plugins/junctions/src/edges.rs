//! How long each kind of junction is: every edge where the faces of the boxes meet, found from the boxes alone.
//!
//! Space is cut along all faces into cells that are either inside one box or empty; what surrounds an edge tells what it
//! is. Sloped ceilings count as level, and coordinates nearer to one another than the widest marriage gap are one.

use mateline_model::home::{Home, Id, JunctionKind};
use std::collections::BTreeMap;

/// Faces no farther apart than this (m) meet: the widest marriage gap, 1 in, and a little.
const NEAR: f64 = 0.027;
/// Cells at most.
const MOST_CELLS: usize = 4_000_000;

/// Lengths of junctions (m), and of mate lines by the two boxes that meet, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Edges {
    pub by_kind: BTreeMap<JunctionKind, f64>,
    pub mate_lines: BTreeMap<(JunctionKind, usize, usize), f64>,
    /// Lower edges of boxes that stand out over the ones below, with outdoor air beneath (m).
    pub overhang: f64,
}

impl Edges {
    /// Finds them; `None` when the boxes are too many.
    pub(crate) fn of(home: &Home) -> Option<Edges> {
        let boxes = boxes(home);
        let lines: [Vec<f64>; 3] = std::array::from_fn(|axis| {
            let ends = boxes.iter().flat_map(|placed| [placed.low[axis], placed.high[axis]]);
            merged(ends.collect())
        });
        let counts: [usize; 3] = std::array::from_fn(|axis| lines[axis].len().saturating_sub(1));
        if counts.iter().product::<usize>() > MOST_CELLS {
            return None;
        }
        let mut space = Space { cells: vec![None; counts.iter().product()], counts };
        for (number, placed) in boxes.iter().enumerate() {
            let range: [std::ops::Range<usize>; 3] = std::array::from_fn(|axis| {
                nearest(&lines[axis], placed.low[axis])..nearest(&lines[axis], placed.high[axis])
            });
            for z in range[2].clone() {
                for y in range[1].clone() {
                    for x in range[0].clone() {
                        let index = space.index([x, y, z]);
                        space.cells[index] = Some(number);
                    }
                }
            }
        }
        let mut edges = Edges::default();
        for axis in 0..3 {
            edges.along(axis, &space, &lines);
        }
        edges.openings(home);
        Some(edges)
    }

    /// Every edge along one axis.
    fn along(&mut self, axis: usize, space: &Space, lines: &[Vec<f64>; 3]) {
        // The two directions across; the second is up where there is one.
        let (first, second) = match axis {
            0 => (1, 2),
            1 => (0, 2),
            _ => (0, 1),
        };
        for place in 0..space.counts[axis] {
            let length = lines[axis][place + 1] - lines[axis][place];
            for a in 0..=space.counts[first] {
                for b in 0..=space.counts[second] {
                    let cell = |before_a: usize, before_b: usize| {
                        let mut at = [0; 3];
                        at[axis] = place;
                        at[first] = a.checked_sub(before_a)?;
                        at[second] = b.checked_sub(before_b)?;
                        space.at(at)
                    };
                    // Lower left, lower right, upper left, upper right.
                    let around = [cell(1, 1), cell(0, 1), cell(1, 0), cell(0, 0)];
                    let found = if axis == 2 { upright(around) } else { level(around, b == 0) };
                    if axis != 2 && b > 0 && overhangs(around) {
                        self.overhang += length;
                    }
                    for (kind, meeting) in found {
                        *self.by_kind.entry(kind).or_default() += length;
                        if let Some((one, other)) = meeting {
                            let pair = (kind, one.min(other), one.max(other));
                            *self.mate_lines.entry(pair).or_default() += length;
                        }
                    }
                }
            }
        }
    }

    /// Perimeters of windows and doors in upright faces.
    fn openings(&mut self, home: &Home) {
        use mateline_model::home::{Face, OpeningKind};
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

    /// The ids of a mate line's boxes, `A-B`.
    pub(crate) fn seam(home: &Home, one: usize, other: usize) -> String {
        let name = |number: usize| home.modules.get_index(number).map_or("", |(id, _): (&Id, _)| id.as_ref());
        format!("{}-{}", name(one), name(other))
    }
}

type Found = Vec<(JunctionKind, Option<(usize, usize)>)>;

/// What an upright edge is.
fn upright(around: [Option<usize>; 4]) -> Found {
    let boxes: Vec<usize> = around.iter().flatten().copied().collect();
    let diagonal = around[0].is_some() == around[3].is_some();
    match boxes.as_slice() {
        [_] => vec![(JunctionKind::OutsideCorner, None)],
        [_, _] if diagonal => vec![(JunctionKind::OutsideCorner, None); 2],
        [a, b] if a != b => vec![(JunctionKind::MateWall, Some((*a, *b)))],
        [_, _, _] => vec![(JunctionKind::InsideCorner, None)],
        _ => Vec::new(),
    }
}

/// What a level edge is. `at_base` says that it lies on the underside of the lowest boxes.
fn level([low_left, low_right, high_left, high_right]: [Option<usize>; 4], at_base: bool) -> Found {
    let base = if at_base { Some((JunctionKind::FloorRim, None)) } else { None };
    match (low_left, low_right, high_left, high_right) {
        (Some(_), None, None, None) | (None, Some(_), None, None) => vec![(JunctionKind::WallToAttic, None)],
        (None, None, Some(_), None) | (None, None, None, Some(_)) => base.into_iter().collect(),
        (Some(a), Some(b), None, None) if a != b => vec![(JunctionKind::MateRoof, Some((a, b)))],
        (None, None, Some(a), Some(b)) if a != b && at_base => vec![(JunctionKind::MateFloor, Some((a, b)))],
        (Some(a), None, Some(b), None) | (None, Some(a), None, Some(b)) if a != b => {
            vec![(JunctionKind::StackedRim, Some((a, b)))]
        }
        _ => Vec::new(),
    }
}

/// Whether a level edge is the lower outer edge of a box with nothing below it.
fn overhangs([low_left, low_right, high_left, high_right]: [Option<usize>; 4]) -> bool {
    low_left.is_none() && low_right.is_none() && high_left.is_some() != high_right.is_some()
}

struct Space {
    cells: Vec<Option<usize>>,
    counts: [usize; 3],
}

impl Space {
    fn index(&self, [x, y, z]: [usize; 3]) -> usize {
        (z * self.counts[1] + y) * self.counts[0] + x
    }

    fn at(&self, at: [usize; 3]) -> Option<usize> {
        if (0..3).any(|axis| at[axis] >= self.counts[axis]) {
            return None;
        }
        self.cells.get(self.index(at)).copied().flatten()
    }
}

struct Placed {
    low: [f64; 3],
    high: [f64; 3],
}

/// Boxes in the order of the file. One without a height stands on the tallest box of the level below.
fn boxes(home: &Home) -> Vec<Placed> {
    let mut tops: BTreeMap<u32, f64> = BTreeMap::new();
    let mut levels: Vec<u32> = home.modules.values().map(|module| module.level).collect();
    levels.sort_unstable();
    levels.dedup();
    let base = |module: &mateline_model::home::Module, tops: &BTreeMap<u32, f64>| {
        let below = tops.range(..module.level).next_back().map_or(0.0, |(_, top)| *top);
        module.at.z.map_or(below, |z| z.si())
    };
    for level in levels {
        let of_level = home.modules.values().filter(|module| module.level == level);
        let top = of_level.map(|module| base(module, &tops) + module.size.z.si()).fold(0.0, f64::max);
        tops.insert(level, top);
    }
    home.modules
        .values()
        .map(|module| {
            let low = [module.at.x.si(), module.at.y.si(), base(module, &tops)];
            let size = [module.size.x.si(), module.size.y.si(), module.size.z.si()];
            Placed { low, high: std::array::from_fn(|axis| low[axis] + size[axis]) }
        })
        .collect()
}

/// Rising coordinates, of which those near one another are one: their middle.
fn merged(mut all: Vec<f64>) -> Vec<f64> {
    all.sort_by(f64::total_cmp);
    let mut groups: Vec<(f64, f64)> = Vec::new();
    for at in all {
        match groups.last_mut() {
            Some((first, last)) if at - *first <= NEAR => *last = at,
            _ => groups.push((at, at)),
        }
    }
    groups.into_iter().map(|(first, last)| (first + last) / 2.0).collect()
}

fn nearest(lines: &[f64], at: f64) -> usize {
    lines.partition_point(|line| *line < at - NEAR).min(lines.len().saturating_sub(1))
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
        let edges = Edges::of(&home).unwrap();
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
        assert_eq!(Edges::seam(&home, 2, 3), "C-D");
    }

    /// Three boxes in an L have one inside corner, 3 m high.
    #[test]
    fn an_l_has_an_inside_corner() {
        let home = home(json!({
            "A": module(1, 0.0, 0.0), "B": module(1, 10.0, 0.0), "C": module(1, 0.0, 4.0),
        }));
        let edges = Edges::of(&home).unwrap();
        assert!((length(&edges, JunctionKind::InsideCorner) - 3.0).abs() < 1e-9);
        assert!((length(&edges, JunctionKind::OutsideCorner) - 15.0).abs() < 1e-9);
    }

    /// An upper box set 1 m to the east overhangs by its end: 4 m, and 1 m along each side.
    #[test]
    fn an_overhang_has_a_lower_edge() {
        let home = home(json!({"A": module(1, 0.0, 0.0), "C": module(2, 1.0, 0.0)}));
        let edges = Edges::of(&home).unwrap();
        assert!((edges.overhang - 6.0).abs() < 1e-9, "{}", edges.overhang);
        assert!((length(&edges, JunctionKind::FloorRim) - 28.0).abs() < 1e-9);
    }
}
