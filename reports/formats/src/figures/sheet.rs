//! The sheet of a plan: from metres to the drawing, and the scale bar.

use super::{Rect, px};
use mateline_model::quantity::UnitSystem;
use serde::Serialize;

/// Width of the drawing.
pub(super) const WIDTH: f64 = 720.0;
/// Space around the plan.
pub(super) const MARGIN: f64 = 26.0;
/// Greatest height of the plan itself.
const GREATEST_HEIGHT: f64 = 430.0;
/// Height of the strip with scale bar, key and north arrow.
pub(super) const STRIP: f64 = 56.0;
/// Where the north arrow stands.
pub(super) const NORTH: f64 = WIDTH - MARGIN - 12.0;
/// No home reaches so far (m); what does is left out.
pub(super) const FARTHEST: f64 = 10_000.0;

#[derive(Serialize)]
pub(super) struct ScaleBar {
    half: String,
    middle: String,
    end: String,
    half_text: String,
    end_text: String,
}

/// From metres to the drawing: north is up, so y turns round.
pub(super) struct Sheet {
    west: f64,
    north: f64,
    scale: f64,
    left: f64,
    /// Whether there is nothing to draw.
    is_empty: bool,
    /// Top of the strip below the plan.
    pub strip: f64,
}

impl Sheet {
    /// The sheet on which all boxes and lines fit.
    pub(super) fn around<'a>(
        boxes: impl Iterator<Item = [f64; 4]>,
        lines: impl Iterator<Item = &'a [f64; 4]>,
    ) -> Sheet {
        let corners = boxes.chain(lines.copied()).flat_map(|[x1, y1, x2, y2]| [(x1, y1), (x2, y2)]);
        let points: Vec<(f64, f64)> = corners.collect();
        let least = |axis: fn(&(f64, f64)) -> f64| points.iter().map(axis).fold(f64::INFINITY, f64::min);
        let most = |axis: fn(&(f64, f64)) -> f64| points.iter().map(axis).fold(f64::NEG_INFINITY, f64::max);
        let (west, south, east, north) = (least(|p| p.0), least(|p| p.1), most(|p| p.0), most(|p| p.1));
        let (across, up) = ((east - west).max(0.5), (north - south).max(0.5));
        let scale = ((WIDTH - 2.0 * MARGIN) / across).min(GREATEST_HEIGHT / up);
        let is_empty = points.is_empty();
        let height = if is_empty { 40.0 } else { up * scale };
        Sheet { west, north, scale, left: (WIDTH - across * scale) / 2.0, is_empty, strip: height + 2.0 * MARGIN }
    }

    /// The scale bar, where there is something to measure.
    pub(super) fn scale_bar(&self, units: UnitSystem) -> Option<ScaleBar> {
        (!self.is_empty).then(|| scale_bar(self.scale, units))
    }

    /// A line of the plan on the sheet.
    pub(super) fn line(&self, [x1, y1, x2, y2]: [f64; 4]) -> [f64; 4] {
        [self.x(x1), self.y(y1), self.x(x2), self.y(y2)]
    }

    pub(super) fn x(&self, x: f64) -> f64 {
        self.left + (x - self.west) * self.scale
    }

    pub(super) fn y(&self, y: f64) -> f64 {
        MARGIN + (self.north - y) * self.scale
    }

    /// Whether a rectangle lies between the margins.
    pub(super) fn holds(&self, rect: &Rect) -> bool {
        rect.x >= 2.0 && rect.x + rect.w <= WIDTH - 2.0 && rect.y >= 2.0 && rect.y + rect.h <= self.strip - 4.0
    }

    pub(super) fn rect(&self, [west, south, east, north]: [f64; 4]) -> Rect {
        Rect { x: self.x(west), y: self.y(north), w: (east - west) * self.scale, h: (north - south) * self.scale }
    }
}

/// Whether a line or a box is near enough to be drawn.
pub(super) fn is_near(edges: &[f64; 4]) -> bool {
    edges.iter().all(|edge| edge.abs() <= FARTHEST)
}

/// A bar of a round length, about a fifth of the sheet.
pub(super) fn scale_bar(scale: f64, units: UnitSystem) -> ScaleBar {
    let (unit, metres) = match units {
        UnitSystem::Si => ("m", 1.0),
        UnitSystem::Ip => ("ft", 0.3048),
    };
    let room = WIDTH / 5.0;
    let lengths = [1.0, 2.0, 4.0, 10.0, 20.0, 40.0, 100.0, 200.0, 1_000.0, 4_000.0, 10_000.0];
    let length = lengths.into_iter().rfind(|length| length * metres * scale <= room).unwrap_or(1.0);
    let width = length * metres * scale;
    ScaleBar {
        half: px(width / 2.0),
        middle: px(MARGIN + width / 2.0),
        end: px(MARGIN + width),
        half_text: px(length / 2.0),
        end_text: format!("{} {unit}", px(length)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_bar_has_a_round_length_that_fits() {
        let bar = scale_bar(40.0, UnitSystem::Si);
        assert_eq!((bar.half_text.as_str(), bar.end_text.as_str()), ("1", "2 m"));
        let bar = scale_bar(40.0, UnitSystem::Ip);
        assert_eq!((bar.half_text.as_str(), bar.end_text.as_str(), bar.half.as_str()), ("5", "10 ft", "60.96"));
    }
}
