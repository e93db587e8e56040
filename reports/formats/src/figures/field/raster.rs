//! A field resampled on an even grid, small enough to draw: values at the middles of its cells for the filling, and at
//! their corners for the isotherms.

use super::super::measure::drawable;
use super::Cells;

/// Most cells along the longer side.
const MOST: usize = 100;
/// Longest side of a field (m).
const LONGEST: f64 = 1_000.0;

pub(super) struct Raster {
    pub columns: usize,
    pub rows: usize,
    /// Left and lower edge (m).
    pub corner: (f64, f64),
    /// Width and height (m).
    pub size: (f64, f64),
    cells: Vec<f64>,
    corners: Vec<f64>,
}

impl Raster {
    /// None where the edges do not rise, the numbers do not match, or no temperature is known.
    pub(super) fn new(field: &Cells<'_>, shown: impl Fn(f64) -> f64) -> Option<Raster> {
        let (x, y) = (Side::new(field.x_edges)?, Side::new(field.y_edges)?);
        if field.temperatures.len() != x.middles.len().checked_mul(y.middles.len())? {
            return None;
        }
        let (width, height) = (x.length(), y.length());
        let longer = width.max(height);
        let count = |side: f64| ((MOST as f64 * side / longer).ceil() as usize).clamp(2, MOST);
        let (columns, rows) = (count(width), count(height));
        let at =
            |column: f64, row: f64| (x.first + width * column / columns as f64, y.first + height * row / rows as f64);
        let value = |column: usize, row: usize| {
            let known = field.temperatures.get(row * x.middles.len() + column).copied().and_then(drawable);
            known.map_or(f64::NAN, &shown)
        };
        let blend = |(px, py): (f64, f64)| {
            let (mut sum, mut weights) = (0.0, 0.0);
            for (column, wx) in x.neighbours(px) {
                for (row, wy) in y.neighbours(py) {
                    let known = value(column, row);
                    if known.is_finite() && wx * wy > 0.0 {
                        sum += wx * wy * known;
                        weights += wx * wy;
                    }
                }
            }
            if weights > 0.0 { sum / weights } else { f64::NAN }
        };
        let mut cells = Vec::with_capacity(columns * rows);
        let mut corners = Vec::with_capacity((columns + 1) * (rows + 1));
        for row in 0..=rows {
            for column in 0..=columns {
                corners.push(blend(at(column as f64, row as f64)));
                if row < rows && column < columns {
                    let middle = at(column as f64 + 0.5, row as f64 + 0.5);
                    let is_something = value(x.cell(middle.0), y.cell(middle.1)).is_finite();
                    cells.push(if is_something { blend(middle) } else { f64::NAN });
                }
            }
        }
        let raster = Raster { columns, rows, corner: (x.first, y.first), size: (width, height), cells, corners };
        raster.cells.iter().any(|cell| cell.is_finite()).then_some(raster)
    }

    /// The value of a cell, counted from the lower left; NaN where nothing is.
    pub(super) fn cell(&self, column: usize, row: usize) -> f64 {
        self.cells.get(row * self.columns + column).copied().unwrap_or(f64::NAN)
    }

    /// The value at a corner of cells.
    pub(super) fn corner(&self, column: usize, row: usize) -> f64 {
        self.corners.get(row * (self.columns + 1) + column).copied().unwrap_or(f64::NAN)
    }

    /// The lowest and the highest value.
    pub(super) fn reach(&self) -> (f64, f64) {
        let known = || self.cells.iter().copied().filter(|cell| cell.is_finite());
        (known().fold(f64::INFINITY, f64::min), known().fold(f64::NEG_INFINITY, f64::max))
    }
}

/// The cells along one side.
struct Side<'a> {
    edges: &'a [f64],
    middles: Vec<f64>,
    first: f64,
    last: f64,
}

impl<'a> Side<'a> {
    fn new(edges: &'a [f64]) -> Option<Side<'a>> {
        let (first, last) = (*edges.first()?, *edges.last()?);
        let pairs = || edges.iter().zip(edges.iter().skip(1));
        let rises = pairs().all(|(a, b)| b > a);
        let middles: Vec<f64> = pairs().map(|(a, b)| (a + b) / 2.0).collect();
        let is_drawable = !middles.is_empty() && first.abs() <= LONGEST && last.abs() <= LONGEST;
        (rises && is_drawable && last - first > 1e-6).then_some(Side { edges, middles, first, last })
    }

    fn length(&self) -> f64 {
        self.last - self.first
    }

    /// The cell that a point lies in.
    fn cell(&self, at: f64) -> usize {
        self.edges.partition_point(|edge| *edge <= at).saturating_sub(1).min(self.middles.len() - 1)
    }

    /// The two cells whose middles lie around a point, with their weights.
    fn neighbours(&self, at: f64) -> [(usize, f64); 2] {
        let after = self.middles.partition_point(|middle| *middle <= at).min(self.middles.len() - 1);
        let before = self.middles.partition_point(|middle| *middle <= at).saturating_sub(1);
        match (self.middles.get(before), self.middles.get(after)) {
            (Some(a), Some(b)) if b > a => {
                let share = ((at - a) / (b - a)).clamp(0.0, 1.0);
                [(before, 1.0 - share), (after, share)]
            }
            _ => [(before, 1.0), (before, 0.0)],
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn raster(x: &[f64], y: &[f64], t: &[f64]) -> Option<Raster> {
        let cells = Cells { x_edges: x, y_edges: y, temperatures: t, outlines: &[], step: 1.0, lowest: None };
        Raster::new(&cells, |celsius| celsius)
    }

    /// An even slope stays an even slope between the middles of the outermost cells, whatever the cells.
    #[test]
    fn a_slope_stays_a_slope() {
        let edges = [0.0, 0.01, 0.03, 0.3, 0.9, 1.0];
        let middles: Vec<f64> = edges.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).collect();
        let raster = raster(&edges, &[0.0, 1.0], &middles).unwrap();
        assert_eq!((raster.columns, raster.rows), (100, 100));
        for column in 1..95 {
            assert!((raster.corner(column, 7) - column as f64 / 100.0).abs() < 1e-9, "{column}");
        }
    }

    #[test]
    fn where_nothing_is_nothing_is_drawn() {
        let raster = raster(&[0.0, 0.5, 1.0], &[0.0, 1.0], &[5.0, f64::NAN]).unwrap();
        assert!((raster.cell(10, 10) - 5.0).abs() < 1e-12 && raster.cell(90, 10).is_nan());
        let (low, high) = raster.reach();
        assert!((low - 5.0).abs() < 1e-12 && (high - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_field_that_cannot_be_is_none() {
        assert!(raster(&[0.0], &[0.0, 1.0], &[]).is_none());
        assert!(raster(&[0.0, 1.0, 0.5], &[0.0, 1.0], &[1.0, 2.0]).is_none());
        assert!(raster(&[0.0, f64::NAN], &[0.0, 1.0], &[1.0]).is_none());
        assert!(raster(&[0.0, 1.0], &[0.0, 1.0], &[1.0, 2.0]).is_none());
        assert!(raster(&[0.0, 1.0], &[0.0, 1.0], &[f64::INFINITY]).is_none());
        assert!(raster(&[0.0, 1e300], &[0.0, 1.0], &[1.0]).is_none());
    }
}
