//! The temperature at a point of a solved section.

use crate::arrangement::Side;
use crate::solution::Solution;
use mateline_model::portable::hypot;

/// How near a point counts as touching a cell (m).
const TOUCHING: f64 = 1e-7;

impl Solution {
    /// Temperature at a point (°C); not a number outside the material.
    ///
    /// In each cell `θ(x, y) = θ_c + g_x (x − x_c) + g_y (y − y_c)`, with the gradients that carry the heat flow through
    /// the cell's edges towards the point. Where cells meet, the mean of those around the point, each weighted by its
    /// conductivity over its size.
    pub fn temperature_at(&self, x: f64, y: f64, temperatures: &[f64]) -> f64 {
        let (mut sum, mut weight) = (0.0, 0.0);
        for row in touching(&self.mesh.y, y) {
            for column in touching(&self.mesh.x, x) {
                let Some(unknown) = self.mesh.at(column, row) else { continue };
                let (w, h) = self.mesh.size(column, row);
                let (from_x, from_y) = (x - self.mesh.x[column] - w / 2.0, y - self.mesh.y[row] - h / 2.0);
                let side_x = if from_x < 0.0 { Side::Left } else { Side::Right };
                let side_y = if from_y < 0.0 { Side::Low } else { Side::High };
                let own = self.temperature(unknown, temperatures);
                let rise = |side, share: f64| (self.edge_temperature(column, row, side, temperatures) - own) * share;
                let here = own + rise(side_x, from_x.abs() / (w / 2.0)) + rise(side_y, from_y.abs() / (h / 2.0));
                let near = self.mesh.conductivity[unknown] / hypot(w, h);
                sum += near * here;
                weight += near;
            }
        }
        sum / weight
    }

    /// Temperature in the middle of a cell's edge (°C).
    fn edge_temperature(&self, column: usize, row: usize, side: Side, temperatures: &[f64]) -> f64 {
        let Some(unknown) = self.mesh.at(column, row) else { return f64::NAN };
        let own = self.temperature(unknown, temperatures);
        let (c, r) = match side {
            Side::Left => (column.wrapping_sub(1), row),
            Side::Right => (column + 1, row),
            Side::Low => (column, row.wrapping_sub(1)),
            Side::High => (column, row + 1),
        };
        let across = |(w, h): (f64, f64)| if matches!(side, Side::Left | Side::Right) { w } else { h };
        if let Some(other) = self.mesh.at(c, r) {
            let half = |unknown: usize, size: f64| 2.0 * self.mesh.conductivity[unknown] / size;
            let (near, far) =
                (half(unknown, across(self.mesh.size(column, row))), half(other, across(self.mesh.size(c, r))));
            return (near * own + far * self.temperature(other, temperatures)) / (near + far);
        }
        let (x, y) = (&self.mesh.x, &self.mesh.y);
        let on_side = |edge: &crate::section::Rect| match side {
            Side::Left => edge.right == x[column] && edge.left == edge.right,
            Side::Right => edge.left == x[column + 1] && edge.left == edge.right,
            Side::Low => edge.high == y[row] && edge.low == edge.high,
            Side::High => edge.low == y[row + 1] && edge.low == edge.high,
        };
        let face = self.mesh.faces.iter().find(|face| face.unknown == unknown && on_side(&face.edge));
        face.map_or(own, |face| self.surface_temperature(face, temperatures))
    }
}

/// The intervals that a coordinate lies in or on the edge of: none, one or two.
fn touching(lines: &[f64], at: f64) -> std::ops::Range<usize> {
    let intervals = lines.len().saturating_sub(1);
    let first = lines.partition_point(|line| *line < at - TOUCHING).saturating_sub(1);
    let end = lines.partition_point(|line| *line <= at + TOUCHING);
    if end == 0 || lines.last().is_none_or(|last| *last < at - TOUCHING) { 0..0 } else { first..end.min(intervals) }
}
