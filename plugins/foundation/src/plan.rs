//! The lowest boxes in plan: the outline they make, and the lines on which they bear.

use crate::lack::Lack;
use mateline_model::home::{Home, Id, Module};

/// Sides no farther apart than this touch: the marriage gap of 1 in, with a hair of tolerance.
///
/// Source: common practice, no source.
const GAP: f64 = 0.0254 + 1e-6;
/// Cells of the grid in which an outline is looked for, at most: some thousands of boxes.
const CELLS: usize = 25_000_000;

/// A box in plan. Lengths in metres.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanBox<'a> {
    /// Its id.
    pub id: &'a Id,
    /// Its storey.
    pub level: u32,
    /// West, south, east and north edges.
    pub edges: [f64; 4],
}

impl<'a> PlanBox<'a> {
    fn of(id: &'a Id, module: &Module) -> PlanBox<'a> {
        let (x, y) = (module.at.x.si(), module.at.y.si());
        PlanBox { id, level: module.level, edges: [x, y, x + module.size.x.si(), y + module.size.y.si()] }
    }

    /// From west to east.
    pub fn width(&self) -> f64 {
        self.edges[2] - self.edges[0]
    }

    /// From south to north.
    pub fn depth(&self) -> f64 {
        self.edges[3] - self.edges[1]
    }

    /// Plan area.
    pub fn area(&self) -> f64 {
        self.width() * self.depth()
    }

    /// Whether the long sides run from west to east.
    pub fn runs_east(&self) -> bool {
        self.width() >= self.depth()
    }

    /// Length of a long side.
    pub fn length(&self) -> f64 {
        self.width().max(self.depth())
    }

    /// Area that lies above or below another box.
    pub fn overlap(&self, other: &PlanBox<'_>) -> f64 {
        let along = |low: usize, high: usize| {
            (self.edges[high].min(other.edges[high]) - self.edges[low].max(other.edges[low])).max(0.0)
        };
        along(0, 2) * along(1, 3)
    }

    /// Length over which a long side of this box, its low or high one, meets a side of another box.
    fn meets(&self, high: bool, other: &PlanBox<'_>) -> f64 {
        let [w, s, e, n] = self.edges;
        let [ow, os, oe, on] = other.edges;
        let (gap, common) = match (self.runs_east(), high) {
            (true, true) => ((os - n).abs(), e.min(oe) - w.max(ow)),
            (true, false) => ((s - on).abs(), e.min(oe) - w.max(ow)),
            (false, true) => ((ow - e).abs(), n.min(on) - s.max(os)),
            (false, false) => ((w - oe).abs(), n.min(on) - s.max(os)),
        };
        if gap <= GAP && common > GAP { common } else { 0.0 }
    }
}

/// Every box in plan, in the order of the file.
pub fn boxes(home: &Home) -> Vec<PlanBox<'_>> {
    home.modules.iter().map(|(id, module)| PlanBox::of(id, module)).collect()
}

/// A line on which boxes bear with their long sides.
#[derive(Clone, Debug, PartialEq)]
pub struct BearingLine<'a> {
    /// How long (m).
    pub length: f64,
    /// The boxes whose long sides lie on it: one for a side line, one or two for a mate line.
    pub bearing: Vec<&'a Id>,
    /// The other box, where only its end meets the line.
    pub end_of: Option<&'a Id>,
    /// Whether it is a mate line.
    pub mate: bool,
}

impl BearingLine<'_> {
    /// `A-B`, or `A`.
    pub fn name(&self) -> String {
        let names: Vec<&str> = self.bearing.iter().copied().chain(self.end_of).map(AsRef::as_ref).collect();
        names.join("-")
    }
}

/// The bearing lines of boxes that stand beside one another.
pub fn bearing_lines<'a>(lowest: &[PlanBox<'a>]) -> Vec<BearingLine<'a>> {
    let mut lines = Vec::new();
    for (i, one) in lowest.iter().enumerate() {
        for high in [false, true] {
            let mut met = 0.0;
            for (j, other) in lowest.iter().enumerate().filter(|(j, _)| *j != i) {
                let common = one.meets(high, other);
                if common <= 0.0 {
                    continue;
                }
                met += common;
                let both = [false, true].into_iter().any(|side| other.meets(side, one) > 0.0);
                // Where both bear on the line, the earlier of the two has listed it.
                if !both || i < j {
                    let bearing = if both { vec![one.id, other.id] } else { vec![one.id] };
                    lines.push(BearingLine {
                        length: common,
                        bearing,
                        end_of: (!both).then_some(other.id),
                        mate: true,
                    });
                }
            }
            let free = one.length() - met;
            if free > GAP {
                lines.push(BearingLine { length: free, bearing: vec![one.id], end_of: None, mate: false });
            }
        }
    }
    lines
}

/// The outline of boxes in plan, gaps between them closed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outline {
    /// Area inside (m²).
    pub area: f64,
    /// Length (m).
    pub perimeter: f64,
    /// Corners that point outwards less those that point inwards.
    pub corners: f64,
}

/// The outline of boxes, from the cells of a grid drawn through all their edges.
///
/// # Errors
/// When the grid has more than [`CELLS`] cells.
pub fn outline(boxes: &[PlanBox<'_>]) -> Result<Outline, Lack> {
    let xs = Ticks::of(boxes.iter().flat_map(|one| [one.edges[0], one.edges[2]]));
    let ys = Ticks::of(boxes.iter().flat_map(|one| [one.edges[1], one.edges[3]]));
    let (across, up) = (xs.0.len(), ys.0.len());
    if across.saturating_mul(up) > CELLS {
        return Err(Lack::new("the boxes have too many edges for their outline to be found", "modules"));
    }
    let mut covered = vec![false; across * up];
    for one in boxes {
        let rows = ys.index(one.edges[1])..ys.index(one.edges[3]);
        for i in xs.index(one.edges[0])..xs.index(one.edges[2]) {
            if let Some(cells) = covered.get_mut(i * up + rows.start..i * up + rows.end) {
                cells.fill(true);
            }
        }
    }
    let is = |i: Option<usize>, j: Option<usize>| {
        i.zip(j).is_some_and(|(i, j)| i < across && j < up && covered.get(i * up + j).copied().unwrap_or_default())
    };
    let mut outline = Outline::default();
    let cells = (0..across).flat_map(|i| (0..up).map(move |j| (i, j)));
    for (i, j) in cells.filter(|(i, j)| is(Some(*i), Some(*j))) {
        let (dx, dy) = (xs.step(i), ys.step(j));
        outline.area += dx * dy;
        let (west, east) = (i.checked_sub(1), Some(i + 1));
        let (south, north) = (j.checked_sub(1), Some(j + 1));
        for side in [west, east] {
            if !is(side, Some(j)) {
                outline.perimeter += dy;
            }
        }
        for side in [south, north] {
            if !is(Some(i), side) {
                outline.perimeter += dx;
            }
        }
        // Each corner of the cell, seen from the cell: both neighbours open, it points outwards; both covered and
        // the cell across open, it points inwards.
        for (a, b) in [(west, south), (west, north), (east, south), (east, north)] {
            match (is(a, Some(j)), is(Some(i), b), is(a, b)) {
                (false, false, _) => outline.corners += 1.0,
                (true, true, false) => outline.corners -= 1.0,
                _ => {}
            }
        }
    }
    Ok(outline)
}

/// Coordinates in order, those closer than the marriage gap taken as one.
struct Ticks(Vec<f64>);

impl Ticks {
    fn of(values: impl Iterator<Item = f64>) -> Ticks {
        let mut values: Vec<f64> = values.filter(|value| value.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values.dedup_by(|later, earlier| *later - *earlier <= GAP);
        Ticks(values)
    }

    /// The tick a coordinate belongs to: the last that does not lie above it.
    fn index(&self, value: f64) -> usize {
        self.0.partition_point(|tick| *tick <= value).saturating_sub(1)
    }

    fn step(&self, index: usize) -> f64 {
        match self.0.get(index..index + 2) {
            Some([low, high]) => high - low,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

    use super::*;

    fn plan<'a>(id: &'a Id, edges: [f64; 4]) -> PlanBox<'a> {
        PlanBox { id, level: 1, edges }
    }

    fn ids() -> [Id; 3] {
        ["A", "B", "C"].map(|text| text.parse().unwrap())
    }

    #[test]
    fn two_boxes_side_by_side_make_one_outline() {
        let [a, b, _] = ids();
        let both = [plan(&a, [0.0, 0.0, 12.0, 4.0]), plan(&b, [0.0, 4.02, 12.0, 8.02])];
        let found = outline(&both).unwrap();
        assert!((found.area - 12.0 * 8.02).abs() < 1e-9, "{found:?}");
        assert!((found.perimeter - 2.0 * (12.0 + 8.02)).abs() < 1e-9);
        assert_eq!(found.corners, 4.0);
        let lines = bearing_lines(&both);
        assert_eq!(
            lines.iter().map(|line| (line.name(), line.mate)).collect::<Vec<_>>(),
            [("A".to_owned(), false), ("A-B".to_owned(), true), ("B".to_owned(), false),]
        );
        assert!(lines.iter().all(|line| (line.length - 12.0).abs() < 1e-9));
    }

    #[test]
    fn an_l_has_four_more_outward_corners_and_a_line_partly_met() {
        let [a, b, _] = ids();
        let both = [plan(&a, [0.0, 0.0, 12.0, 4.0]), plan(&b, [0.0, 4.0, 4.0, 14.0])];
        let found = outline(&both).unwrap();
        assert_eq!((found.area, found.perimeter, found.corners), (88.0, 52.0, 4.0));
        // B meets A with its end: A alone bears there, over 4 m, and 8 m of that side are free.
        let lines = bearing_lines(&both);
        let found: Vec<(String, f64, bool)> = lines.iter().map(|l| (l.name(), l.length, l.mate)).collect();
        let expected =
            [("A", 12.0, false), ("A-B", 4.0, true), ("A", 8.0, false), ("B", 10.0, false), ("B", 10.0, false)];
        assert_eq!(found, expected.map(|(name, length, mate)| (name.to_owned(), length, mate)));
    }

    #[test]
    fn boxes_apart_make_two_outlines() {
        let [a, b, c] = ids();
        let all = [plan(&a, [0.0, 0.0, 2.0, 2.0]), plan(&b, [4.0, 0.0, 6.0, 2.0]), plan(&c, [4.0, 2.0, 6.0, 4.0])];
        let found = outline(&all).unwrap();
        assert_eq!((found.area, found.perimeter, found.corners), (12.0, 20.0, 8.0));
        assert_eq!(outline(&[]), Ok(Outline::default()));
    }
}
