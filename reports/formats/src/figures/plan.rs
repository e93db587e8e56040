//! The boxes of one level in plan, north up: outlines, sizes, mate lines, the level below, a scale bar, a north arrow.

use super::shapes::{About, Outline, Text};
use super::{Rect, clipped, px, text_width};
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units};
use mateline_model::{Figure, PlanBox, PlanSeam};
use serde::Serialize;

/// Width of the drawing.
pub(super) const WIDTH: f64 = 720.0;
/// Space around the plan.
const MARGIN: f64 = 26.0;
/// Greatest height of the plan itself.
const GREATEST_HEIGHT: f64 = 430.0;
/// Height of the strip with scale bar, key and north arrow.
pub(super) const STRIP: f64 = 56.0;
/// Where the north arrow stands.
pub(super) const NORTH: f64 = WIDTH - MARGIN - 12.0;
/// No home reaches so far (m); what does is left out.
const FARTHEST: f64 = 10_000.0;

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    boxes: Vec<BoxView>,
    below: Vec<Outline>,
    seams: Vec<SeamView>,
    scale: Option<ScaleBar>,
    strip: String,
    north: String,
    key: Vec<Key>,
}

#[derive(Serialize)]
pub(super) struct BoxView {
    outline: Outline,
    label: Option<Text>,
    size: Option<Text>,
}

#[derive(Serialize)]
struct SeamView {
    x1: String,
    y1: String,
    x2: String,
    y2: String,
    label: Text,
    halo: Outline,
}

#[derive(Serialize)]
pub(super) struct ScaleBar {
    half: String,
    middle: String,
    end: String,
    half_text: String,
    end_text: String,
}

#[derive(Serialize)]
struct Key {
    x: String,
    text_x: String,
    kind: &'static str,
    text: &'static str,
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

    fn x(&self, x: f64) -> f64 {
        self.left + (x - self.west) * self.scale
    }

    fn y(&self, y: f64) -> f64 {
        MARGIN + (self.north - y) * self.scale
    }

    fn rect(&self, [west, south, east, north]: [f64; 4]) -> Rect {
        Rect { x: self.x(west), y: self.y(north), w: (east - west) * self.scale, h: (north - south) * self.scale }
    }
}

pub(super) fn view(
    figure: &Figure,
    id: &str,
    boxes: &[PlanBox],
    below: &[PlanBox],
    seams: &[PlanSeam],
    units: UnitSystem,
) -> View {
    let boxes: Vec<(&str, [f64; 4])> = drawable(boxes);
    let below: Vec<(&str, [f64; 4])> = drawable(below);
    let seams: Vec<&PlanSeam> = seams.iter().filter(|seam| is_near(&seam.line)).collect();
    let outlines = boxes.iter().chain(&below).map(|(_, edges)| *edges);
    let sheet = Sheet::around(outlines, seams.iter().map(|seam| &seam.line));

    let mut taken: Vec<Rect> = Vec::new();
    let boxes: Vec<BoxView> =
        boxes.into_iter().map(|(label, edges)| box_view(label, edges, &sheet, units, &mut taken)).collect();
    let seams: Vec<SeamView> = seams.into_iter().map(|seam| seam_view(seam, &sheet, &mut taken)).collect();
    let below: Vec<Outline> = below.into_iter().map(|(_, edges)| sheet.rect(edges).into()).collect();
    View {
        about: About::new(figure, id, WIDTH, sheet.strip + STRIP),
        key: key(!seams.is_empty(), !below.is_empty()),
        boxes,
        below,
        seams,
        scale: sheet.scale_bar(units),
        strip: px(sheet.strip),
        north: px(NORTH),
    }
}

/// Whether a line or a box is near enough to be drawn.
pub(super) fn is_near(edges: &[f64; 4]) -> bool {
    edges.iter().all(|edge| edge.abs() <= FARTHEST)
}

/// Boxes with edges that can be drawn, west before east and south before north.
pub(super) fn drawable(boxes: &[PlanBox]) -> Vec<(&str, [f64; 4])> {
    boxes
        .iter()
        .filter(|plan_box| is_near(&plan_box.edges))
        .map(|plan_box| {
            let [a, b, c, d] = plan_box.edges;
            (plan_box.label.as_str(), [a.min(c), b.min(d), a.max(c), b.max(d)])
        })
        .collect()
}

/// A box with its id and, where there is room, its size.
pub(super) fn box_view(
    label: &str,
    edges: [f64; 4],
    sheet: &Sheet,
    units: UnitSystem,
    taken: &mut Vec<Rect>,
) -> BoxView {
    let rect = sheet.rect(edges);
    let (x, y) = (rect.x + rect.w / 2.0, rect.y + rect.h / 2.0);
    let [west, south, east, north] = edges;
    let length = |metres: f64| Units::LENGTH.show(Quantity::new(metres, Dimension::LENGTH), units);
    let size = format!("{} × {}", length(east - west), length(north - south));
    let has_size = rect.h > 46.0 && text_width(&size, 11.0) < rect.w - 8.0;
    let label = clipped(label, 15.0, rect.w - 8.0);
    let place = |y: f64, text: &str, font: f64, taken: &mut Vec<Rect>| {
        taken.push(Rect::centred(x, y - font * 0.35, text_width(text, font) + 4.0, font + 4.0));
        Text::at(x, y, text.to_owned())
    };
    let label =
        (rect.w > 6.0 && rect.h > 12.0).then(|| place(if has_size { y - 2.0 } else { y + 5.0 }, &label, 15.0, taken));
    let size = has_size.then(|| place(y + 14.0, &size, 11.0, taken));
    BoxView { outline: rect.into(), label, size }
}

/// A mate line with its label on a white ground, moved along the line until it covers no other label.
fn seam_view(seam: &PlanSeam, sheet: &Sheet, taken: &mut Vec<Rect>) -> SeamView {
    let [x1, y1, x2, y2] = seam.line;
    let (x1, y1, x2, y2) = (sheet.x(x1), sheet.y(y1), sheet.x(x2), sheet.y(y2));
    let text = clipped(&seam.label, 12.0, 160.0);
    let width = text_width(&text, 12.0) + 10.0;
    let at = |share: f64| Rect::centred(x1 + (x2 - x1) * share, y1 + (y2 - y1) * share, width, 17.0);
    let free = |rect: &Rect| taken.iter().all(|other| !rect.overlaps(other));
    let along = [0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92].map(at);
    let rect = along.into_iter().find(free).unwrap_or_else(|| at(0.5));
    taken.push(rect);
    SeamView {
        x1: px(x1),
        y1: px(y1),
        x2: px(x2),
        y2: px(y2),
        label: Text::at(rect.x + rect.w / 2.0, rect.y + 12.5, text),
        halo: rect.into(),
    }
}

/// A bar of a round length, about a fifth of the sheet.
fn scale_bar(scale: f64, units: UnitSystem) -> ScaleBar {
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

/// What the kinds of line mean.
fn key(has_seams: bool, has_below: bool) -> Vec<Key> {
    let entries = [(has_seams, "seam", "mate line"), (has_below, "below", "boxes of the level below")];
    let mut x = 250.0;
    let mut key = Vec::new();
    for (_, kind, text) in entries.into_iter().filter(|(is_drawn, ..)| *is_drawn) {
        key.push(Key { x: px(x), text_x: px(x + 50.0), kind, text });
        x += 70.0 + text_width(text, 11.0);
    }
    key
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn labels_of_mate_lines_move_along_them_until_they_cover_nothing() {
        let sheet = Sheet { west: 0.0, north: 10.0, scale: 40.0, left: MARGIN, is_empty: false, strip: 0.0 };
        let mut taken = Vec::new();
        box_view("A", [0.0, 0.0, 10.0, 10.0], &sheet, UnitSystem::Si, &mut taken);
        let before = taken.len();
        for line in [[5.0, 0.0, 5.0, 10.0], [0.0, 5.0, 10.0, 5.0], [0.0, 5.1, 10.0, 5.1]] {
            seam_view(&PlanSeam { label: "A-B".to_owned(), line }, &sheet, &mut taken);
        }
        assert_eq!(taken.len(), before + 3);
        for (index, one) in taken.iter().enumerate() {
            assert!(taken.iter().skip(index + 1).all(|other| !one.overlaps(other)), "{taken:?}");
        }
    }

    #[test]
    fn the_scale_bar_has_a_round_length_that_fits() {
        let bar = scale_bar(40.0, UnitSystem::Si);
        assert_eq!((bar.half_text.as_str(), bar.end_text.as_str()), ("1", "2 m"));
        let bar = scale_bar(40.0, UnitSystem::Ip);
        assert_eq!((bar.half_text.as_str(), bar.end_text.as_str(), bar.half.as_str()), ("5", "10 ft", "60.96"));
    }

    #[test]
    fn a_turned_box_is_turned_back() {
        let turned = PlanBox { label: "A".to_owned(), edges: [4.0, 3.0, 1.0, 2.0] };
        assert_eq!(drawable(&[turned]), [("A", [1.0, 2.0, 4.0, 3.0])]);
    }
}
