//! The boxes of one level in plan, with each mate line as heavy as its share and the share written on it.

use super::plan::{BoxView, box_view, drawable};
use super::shapes::{About, Line, Outline, Text};
use super::sheet::{NORTH, STRIP, ScaleBar, Sheet, WIDTH, is_near};
use super::{Rect, clipped, px, text_width};
use mateline_model::quantity::{Quantity, UnitSystem, Units};
use mateline_model::{Figure, PlanBox, WeighedSeam, portable};
use serde::Serialize;

/// Width of the line of the greatest share, and of none.
const LINES: (f64, f64) = (14.0, 1.6);
/// Greatest width of a label.
const LABEL: f64 = 150.0;

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    boxes: Vec<BoxView>,
    seams: Vec<SeamView>,
    scale: Option<ScaleBar>,
    strip: String,
    north: String,
    key: Vec<Key>,
}

#[derive(Serialize)]
struct SeamView {
    x1: String,
    y1: String,
    x2: String,
    y2: String,
    weight: String,
    casing: String,
    halo: Outline,
    leader: Option<Line>,
    lines: Vec<Text>,
}

#[derive(Serialize)]
struct Key {
    x1: String,
    x2: String,
    text_x: String,
    weight: String,
    text: String,
}

pub(super) fn view(figure: &Figure, id: &str, boxes: &[PlanBox], seams: &[WeighedSeam], units: UnitSystem) -> View {
    let boxes = drawable(boxes);
    let seams: Vec<&WeighedSeam> = seams.iter().filter(|weighed| is_near(&weighed.seam.line)).collect();
    let outlines = boxes.iter().map(|(_, edges)| *edges);
    let sheet = Sheet::around(outlines, seams.iter().map(|weighed| &weighed.seam.line));
    let most = seams.iter().filter_map(|weighed| share(weighed)).fold(0.0, f64::max);
    let weight = |share: f64| if most > 0.0 { (LINES.0 * share / most).max(LINES.1) } else { LINES.1 };
    let mut taken: Vec<Rect> = Vec::new();
    let boxes: Vec<BoxView> =
        boxes.into_iter().map(|(label, edges)| box_view(label, edges, &sheet, units, 0.0, &mut taken)).collect();
    View {
        about: About::new(figure, id, WIDTH, sheet.strip + STRIP),
        boxes,
        seams: seams
            .into_iter()
            .map(|weighed| {
                let weight = share(weighed).map_or(LINES.1, weight);
                seam_view(weighed, sheet.line(weighed.seam.line), weight, sheet.strip, &mut taken)
            })
            .collect(),
        scale: sheet.scale_bar(units),
        strip: px(sheet.strip),
        north: px(NORTH),
        key: key(most, weight),
    }
}

/// A share that can be drawn.
fn share(weighed: &WeighedSeam) -> Option<f64> {
    (0.0..=1.0).contains(&weighed.share).then_some(weighed.share)
}

fn percent(share: f64) -> String {
    Units::PERCENT.show(Quantity::plain(share), UnitSystem::Si)
}

/// A mate line with its label, moved along the line and off it until it covers no other label.
fn seam_view(
    weighed: &WeighedSeam,
    [x1, y1, x2, y2]: [f64; 4],
    weight: f64,
    bottom: f64,
    taken: &mut Vec<Rect>,
) -> SeamView {
    let share = share(weighed).map_or_else(|| "share not known".to_owned(), percent);
    let name = clipped(&weighed.seam.label, 12.0, LABEL - text_width(&share, 12.0) - 12.0);
    let mut texts = vec![format!("{name} {share}")];
    texts.extend((!weighed.label.trim().is_empty()).then(|| clipped(&weighed.label, 11.0, LABEL - 8.0)));
    let width = texts.iter().map(|text| text_width(text, 12.0)).fold(0.0, f64::max) + 10.0;
    let height = if texts.len() > 1 { 31.0 } else { 18.0 };
    let length = portable::hypot(x2 - x1, y2 - y1).max(1e-9);
    let (across_x, across_y) = ((y2 - y1) / length, (x2 - x1) / length);
    let at = |share: f64, off: f64| {
        let (x, y) = (x1 + (x2 - x1) * share + across_x * off, y1 + (y2 - y1) * share - across_y * off);
        let half = (width / 2.0 + 2.0, height / 2.0 + 2.0);
        Rect::centred(x.clamp(half.0, (WIDTH - half.0).max(half.0)), y.min(bottom - half.1).max(half.1), width, height)
    };
    let free = |rect: &Rect| {
        let with_space = Rect { x: rect.x - 4.0, y: rect.y - 2.0, w: rect.w + 8.0, h: rect.h + 4.0 };
        taken.iter().all(|other| !with_space.overlaps(other))
    };
    let along = [0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92];
    let off = [0.0, 34.0, -34.0, 68.0, -68.0, 102.0, -102.0, 136.0, -136.0, 170.0, -170.0];
    let places = off.into_iter().flat_map(|off| along.map(|share| (share, off)));
    let (share_along, off) = places.into_iter().find(|(share, off)| free(&at(*share, *off))).unwrap_or((0.5, 0.0));
    let rect = at(share_along, off);
    taken.push(rect);
    let middle = rect.x + rect.w / 2.0;
    SeamView {
        x1: px(x1),
        y1: px(y1),
        x2: px(x2),
        y2: px(y2),
        weight: px(weight),
        casing: px(weight + 3.0),
        halo: rect.into(),
        leader: (off != 0.0).then(|| Line {
            x1: px(x1 + (x2 - x1) * share_along),
            y1: px(y1 + (y2 - y1) * share_along),
            x2: px(middle),
            y2: px(rect.y + rect.h / 2.0),
        }),
        lines: texts
            .into_iter()
            .enumerate()
            .map(|(index, text)| Text::at(middle, rect.y + 13.0 + 13.0 * index as f64, text))
            .collect(),
    }
}

/// Lines of the greatest share and of a half and a tenth of it.
fn key(most: f64, weight: impl Fn(f64) -> f64) -> Vec<Key> {
    let shares = if most > 0.0 { vec![most, most / 2.0, most / 10.0] } else { Vec::new() };
    shares
        .into_iter()
        .enumerate()
        .map(|(index, share)| {
            let x = 330.0 + 104.0 * index as f64;
            Key { x1: px(x), x2: px(x + 36.0), text_x: px(x + 43.0), weight: px(weight(share)), text: percent(share) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::PlanSeam;

    fn weighed(share: f64) -> WeighedSeam {
        let seam = PlanSeam { label: "A-B".to_owned(), line: [0.0; 4] };
        WeighedSeam { seam, share, label: "24.0 cfm".to_owned() }
    }

    #[test]
    fn labels_cover_nothing_even_where_many_lines_meet() {
        let mut taken = Vec::new();
        for turn in 0..9 {
            let shift = f64::from(turn);
            seam_view(&weighed(0.1), [200.0, 200.0 + shift, 500.0, 200.0 + shift], 4.0, 460.0, &mut taken);
        }
        assert_eq!(taken.len(), 9);
        for (index, one) in taken.iter().enumerate() {
            assert!(taken.iter().skip(index + 1).all(|other| !one.overlaps(other)), "{taken:?}");
        }
    }

    #[test]
    fn a_share_that_is_none_is_said_to_be_unknown() {
        for odd in [f64::NAN, -0.1, 1.5, f64::INFINITY] {
            let view = seam_view(&weighed(odd), [0.0, 50.0, 300.0, 50.0], LINES.1, 460.0, &mut Vec::new());
            assert!(view.lines[0].text.ends_with("share not known"), "{}", view.lines[0].text);
        }
        let view = seam_view(&weighed(0.25), [0.0, 50.0, 300.0, 50.0], 4.0, 460.0, &mut Vec::new());
        let lines: Vec<&str> = view.lines.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(lines, ["A-B 25.0 %", "24.0 cfm"]);
    }
}
