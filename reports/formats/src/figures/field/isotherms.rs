//! Isotherms by marching squares: in each cell of the grid a line joins the points of its edges that have the
//! temperature, straight between the corners; the lines of all cells are joined to chains.

use super::super::shapes::Text;
use super::super::{Rect, px};
use super::level_digits;
use super::raster::Raster;
use mateline_model::portable;
use mateline_model::quantity::number;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Most points of all isotherms together.
const MOST_POINTS: usize = 3_000;
/// Shorter chains are left out, and shorter ones than this get no label.
const SHORTEST: (f64, f64) = (5.0, 70.0);
/// How far a chain may lie beside its drawn line.
const TOLERANCE: f64 = 0.3;

type Point = (f64, f64);

#[derive(Serialize)]
pub(super) struct Isotherm {
    points: String,
    label: Option<Text>,
}

/// The isotherms, and whether all of them are drawn.
pub(super) fn isotherms(raster: &Raster, levels: &[f64], frame: &Rect, taken: &mut Vec<Rect>) -> (Vec<Isotherm>, bool) {
    let digits = level_digits(levels);
    let mut chains: Vec<(f64, f64, Vec<Point>)> = Vec::new();
    for level in levels {
        for chain in self::chains(raster, *level, frame) {
            let length: f64 =
                chain.iter().zip(chain.iter().skip(1)).map(|(a, b)| portable::hypot(b.0 - a.0, b.1 - a.1)).sum();
            if length >= SHORTEST.0 {
                chains.push((length, *level, simplified(&chain)));
            }
        }
    }
    chains.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut count = 0;
    let all = chains.len();
    let kept: Vec<_> = chains
        .into_iter()
        .take_while(|(_, _, chain)| {
            count += chain.len();
            count <= MOST_POINTS
        })
        .collect();
    let are_all_drawn = kept.len() == all;
    let isotherms = kept
        .into_iter()
        .map(|(length, level, chain)| Isotherm {
            points: chain.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" "),
            label: (length >= SHORTEST.1).then(|| label(&chain, length, number(level, digits), frame, taken)).flatten(),
        })
        .collect();
    (isotherms, are_all_drawn)
}

/// A label on the chain, where it covers nothing.
fn label(chain: &[Point], length: f64, text: String, frame: &Rect, taken: &mut Vec<Rect>) -> Option<Text> {
    let width = super::super::text_width(&text, 10.0) + 6.0;
    let inner = Rect { x: frame.x + width / 2.0, y: frame.y + 7.0, w: frame.w - width, h: frame.h - 14.0 };
    let place = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9]
        .into_iter()
        .map(|share| along(chain, share * length))
        .filter(|(x, y)| (inner.x..=inner.x + inner.w).contains(x) && (inner.y..=inner.y + inner.h).contains(y))
        .map(|(x, y)| Rect::centred(x, y, width, 13.0))
        .find(|rect| taken.iter().all(|other| !rect.overlaps(other)))?;
    taken.push(place);
    Some(Text::at(place.x + place.w / 2.0, place.y + 10.0, text))
}

/// The point of a chain at a distance from its start.
fn along(chain: &[Point], distance: f64) -> Point {
    let mut left = distance;
    for (a, b) in chain.iter().zip(chain.iter().skip(1)) {
        let step = portable::hypot(b.0 - a.0, b.1 - a.1);
        if left <= step && step > 0.0 {
            let share = left / step;
            return (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
        }
        left -= step;
    }
    chain.last().copied().unwrap_or_default()
}

/// The chains of one level, in the drawing.
fn chains(raster: &Raster, level: f64, frame: &Rect) -> Vec<Vec<Point>> {
    let mut points: BTreeMap<usize, Point> = BTreeMap::new();
    let mut joined: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for row in 0..raster.rows {
        for column in 0..raster.columns {
            for (a, b) in pieces(raster, level, column, row) {
                for edge in [a, b] {
                    points.insert(edge, crossing(raster, level, edge, frame));
                }
                joined.entry(a).or_default().push(b);
                joined.entry(b).or_default().push(a);
            }
        }
    }
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    let ends: Vec<usize> = joined.iter().filter(|(_, others)| others.len() == 1).map(|(edge, _)| *edge).collect();
    let starts: Vec<usize> = ends.into_iter().chain(joined.keys().copied()).collect();
    let mut chains = Vec::new();
    for start in starts {
        let mut chain = Vec::new();
        let mut next = Some(start);
        let mut last = start;
        while let Some(edge) = next.filter(|edge| seen.insert(*edge)) {
            chain.extend(points.get(&edge));
            last = edge;
            next = joined.get(&edge).into_iter().flatten().copied().find(|other| !seen.contains(other));
        }
        let is_ring = chain.len() > 2 && joined.get(&last).is_some_and(|others| others.contains(&start));
        if is_ring {
            chain.extend(points.get(&start));
        }
        if chain.len() > 1 {
            chains.push(chain);
        }
    }
    chains
}

/// The pieces of a level in one cell, each between two edges. Where four edges are crossed, the value in the middle
/// decides which corners lie on one side together.
fn pieces(raster: &Raster, level: f64, column: usize, row: usize) -> Vec<(usize, usize)> {
    let middle = raster.cell(column, row);
    let corners = [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(dx, dy)| raster.corner(column + dx, row + dy));
    if !middle.is_finite() || corners.iter().any(|corner| !corner.is_finite()) {
        return Vec::new();
    }
    let [lower_left, lower_right, upper_right, upper_left] = corners.map(|corner| corner >= level);
    let (lower, upper) = (across(raster, column, row), across(raster, column, row + 1));
    let (left, right) = (across(raster, column, row) + 1, across(raster, column + 1, row) + 1);
    let crossed: Vec<usize> = [
        (lower_left != lower_right, lower),
        (lower_right != upper_right, right),
        (upper_right != upper_left, upper),
        (upper_left != lower_left, left),
    ]
    .into_iter()
    .filter_map(|(is_crossed, edge)| is_crossed.then_some(edge))
    .collect();
    match crossed.as_slice() {
        [a, b] => vec![(*a, *b)],
        [..] if crossed.len() == 4 && (middle >= level) == lower_left => vec![(lower, right), (upper, left)],
        [..] if crossed.len() == 4 => vec![(lower, left), (upper, right)],
        _ => Vec::new(),
    }
}

/// The number of the edge that runs to the right from a corner; the one that runs upwards has the next number.
fn across(raster: &Raster, column: usize, row: usize) -> usize {
    2 * (row * (raster.columns + 1) + column)
}

/// Where a level crosses an edge.
fn crossing(raster: &Raster, level: f64, edge: usize, frame: &Rect) -> Point {
    let (column, row) = ((edge / 2) % (raster.columns + 1), (edge / 2) / (raster.columns + 1));
    let is_upwards = edge % 2 == 1;
    let (a, b) = (
        raster.corner(column, row),
        if is_upwards { raster.corner(column, row + 1) } else { raster.corner(column + 1, row) },
    );
    let share = if a == b { 0.5 } else { ((level - a) / (b - a)).clamp(0.0, 1.0) };
    let (x, y) = match is_upwards {
        true => (column as f64, row as f64 + share),
        false => (column as f64 + share, row as f64),
    };
    (frame.x + frame.w * x / raster.columns as f64, frame.y + frame.h * (1.0 - y / raster.rows as f64))
}

/// The chain with fewer points: each left out lies within the tolerance of the line that is drawn (Ramer 1972,
/// Douglas and Peucker 1973; from memory).
fn simplified(chain: &[Point]) -> Vec<Point> {
    let mut keep: BTreeSet<usize> = BTreeSet::from([0, chain.len() - 1]);
    // A ring begins where it ends: its middle is kept too, so that there is a line to measure from.
    if chain.first() == chain.last() {
        keep.insert(chain.len() / 2);
    }
    let mut open: Vec<(usize, usize)> = keep.iter().copied().zip(keep.iter().copied().skip(1)).collect();
    while let Some((from, to)) = open.pop() {
        let (Some(a), Some(b)) = (chain.get(from), chain.get(to)) else { continue };
        let farthest = (from + 1..to)
            .filter_map(|index| Some((index, distance(*chain.get(index)?, *a, *b))))
            .max_by(|one, other| one.1.total_cmp(&other.1));
        if let Some((index, _)) = farthest.filter(|(_, away)| *away > TOLERANCE) {
            keep.insert(index);
            open.extend([(from, index), (index, to)]);
        }
    }
    keep.into_iter().filter_map(|index| chain.get(index).copied()).collect()
}

/// How far a point is from a line through two points.
fn distance(point: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = portable::hypot(dx, dy);
    if length < 1e-9 {
        return portable::hypot(point.0 - a.0, point.1 - a.1);
    }
    ((point.0 - a.0) * dy - (point.1 - a.1) * dx).abs() / length
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::super::Cells;
    use super::*;

    const FRAME: Rect = Rect { x: 0.0, y: 0.0, w: 400.0, h: 400.0 };

    fn raster(value: impl Fn(f64, f64) -> f64) -> Raster {
        let edges: Vec<f64> = (0..=80).map(|i| f64::from(i) / 80.0).collect();
        let middles: Vec<f64> = edges.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).collect();
        let t: Vec<f64> =
            middles.iter().flat_map(|y| middles.iter().map(|x| value(*x, *y)).collect::<Vec<_>>()).collect();
        let cells =
            Cells { x_edges: &edges, y_edges: &edges, temperatures: &t, outlines: &[], step: 1.0, lowest: None };
        Raster::new(&cells, |celsius| celsius).unwrap()
    }

    #[test]
    fn the_isotherm_of_a_slope_is_one_straight_line() {
        let chains = chains(&raster(|x, _| 20.0 * x), 5.0, &FRAME);
        assert_eq!(chains.len(), 1);
        assert!(chains[0].iter().all(|(x, _)| (x - 100.0).abs() < 1e-6), "{:?}", chains[0]);
        assert_eq!(simplified(&chains[0]).len(), 2);
        let ends = [chains[0].first().unwrap().1, chains[0].last().unwrap().1];
        assert!(ends.contains(&0.0) && ends.contains(&400.0), "{ends:?}");
    }

    /// Round a point from which the temperature falls evenly, isotherms are circles.
    #[test]
    fn the_isotherm_round_a_warm_point_is_a_closed_circle() {
        let chains = chains(&raster(|x, y| 20.0 - 40.0 * portable::hypot(x - 0.5, y - 0.5)), 8.0, &FRAME);
        assert_eq!(chains.len(), 1);
        assert_eq!(chains[0].first(), chains[0].last());
        for (x, y) in &chains[0] {
            assert!((portable::hypot(x - 200.0, y - 200.0) - 120.0).abs() < 0.5, "{x} {y}");
        }
    }

    #[test]
    fn a_saddle_has_two_lines_that_do_not_cross() {
        let chains = chains(&raster(|x, y| (x - 0.5) * (y - 0.5)), 0.01, &FRAME);
        assert_eq!(chains.len(), 2);
    }
}
