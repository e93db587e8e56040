//! The boxes of one level in plan, north up: outlines, sizes, openings, names of rooms and holes, mate lines, the level
//! below, a scale bar, a north arrow.

use super::contents::{self, ItemView, OpeningView, Rows};
use super::marks::{Mark, Open};
use super::shapes::{About, Outline, Text};
use super::sheet::{FARTHEST, MARGIN, NORTH, STRIP, ScaleBar, Sheet, WIDTH, is_near};
use super::{Rect, clipped, px, text_width, wrapped};
use mateline_model::quantity::{UnitSystem, by_tape};
use mateline_model::{Drawing, ElevationPart, Figure, PlanBox, PlanItem, PlanItemKind, PlanSeam, Report};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    boxes: Vec<BoxView>,
    below: Vec<Outline>,
    seams: Vec<SeamView>,
    openings: Vec<OpeningView>,
    items: Vec<ItemView>,
    marks: Vec<Mark>,
    scale: Option<ScaleBar>,
    strip: String,
    north: String,
    key: Vec<Key>,
    notes: Vec<Text>,
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
struct Key {
    x: String,
    text_x: String,
    /// Baseline of the text.
    y: String,
    kind: &'static str,
    text: &'static str,
}

/// The plan of a level; nothing for another kind of drawing.
pub(super) fn view(report: &Report, figure: &Figure, id: &str) -> Option<View> {
    let units = report.units;
    let Drawing::Plan { boxes, below, seams, openings, within, note } = &figure.drawing else { return None };
    let boxes: Vec<(&str, [f64; 4])> = drawable(boxes);
    let below: Vec<(&str, [f64; 4])> = drawable(below);
    let seams: Vec<&PlanSeam> = seams.iter().filter(|seam| is_near(&seam.line)).collect();
    let near = |part: &&ElevationPart| part.outline.iter().all(|(x, y)| x.abs() <= FARTHEST && y.abs() <= FARTHEST);
    let openings: Vec<&ElevationPart> = openings.iter().filter(near).collect();
    let outlines = boxes.iter().chain(&below).map(|(_, edges)| *edges);
    let sheet = Sheet::around(outlines, seams.iter().map(|seam| &seam.line));

    let mut taken: Vec<Rect> = Vec::new();
    let (mut box_views, mut items, mut left_out) = (Vec::new(), Vec::new(), 0);
    for (label, edges) in boxes {
        let own: Vec<&PlanItem> = within.iter().filter(|item| item.of == label).collect();
        let rect = sheet.rect(edges);
        let rows = Rows::of(&own, &rect);
        left_out += rows.left_out();
        let raised = rows.height() / 2.0;
        box_views.push(box_view(label, edges, &sheet, units, raised, &mut taken));
        items.extend(rows.place(&rect, rect.y + rect.h / 2.0 + 16.0 - raised, &mut taken));
    }
    let seam_views: Vec<SeamView> = seams.iter().map(|seam| seam_view(seam, &sheet, &mut taken)).collect();
    let opening_views = contents::openings(&openings, &sheet, &mut taken);
    let marks = marks(report, figure, &sheet, &mut taken);
    let below: Vec<Outline> = below.into_iter().map(|(_, edges)| sheet.rect(edges).into()).collect();
    let mut note = note.clone();
    if left_out > 0 {
        note = format!("{left_out} names find no room in their box{}{note}", if note.is_empty() { "" } else { "; " });
    }
    let lines = wrapped(&note, 11.0, WIDTH - 2.0 * MARGIN, 3);
    let notes: Vec<Text> =
        lines.into_iter().enumerate().map(|(line, text)| Text::at(MARGIN, 48.0 + 14.0 * line as f64, text)).collect();
    Some(View {
        about: About::new(figure, id, WIDTH, sheet.strip + STRIP + 14.0 * notes.len() as f64),
        key: key(!seams.is_empty(), !below.is_empty(), within),
        boxes: box_views,
        below,
        openings: opening_views,
        items,
        marks,
        seams: seam_views,
        scale: sheet.scale_bar(units),
        strip: px(sheet.strip),
        north: px(NORTH),
        notes,
    })
}

/// What is open of boxes, openings, mate lines, rooms and holes: at their middle, of what has no place at its box.
fn marks(report: &Report, figure: &Figure, sheet: &Sheet, taken: &mut Vec<Rect>) -> Vec<Mark> {
    let Drawing::Plan { boxes, seams, openings, within, .. } = &figure.drawing else { return Vec::new() };
    let open = Open::of(report);
    let middle = |[west, south, east, north]: [f64; 4]| (sheet.x((west + east) / 2.0), sheet.y((south + north) / 2.0));
    let mut marks = Vec::new();
    let mut told: Vec<&str> = Vec::new();
    for part in openings.iter().filter(|part| part.outline.iter().all(|(x, y)| is_near(&[*x, *y, 0.0, 0.0]))) {
        let (Some(one), Some(other)) = (part.outline.first(), part.outline.last()) else { continue };
        if !told.contains(&part.subject.as_str()) {
            told.push(&part.subject);
            marks.extend(open.at(&part.subject, middle([one.0, one.1, other.0, other.1]), taken));
        }
    }
    for seam in seams.iter().filter(|seam| is_near(&seam.line)) {
        let [x1, y1, x2, y2] = seam.line;
        let early = [x1, y1, x1 + (x2 - x1) * 0.2, y1 + (y2 - y1) * 0.2];
        marks.extend(open.at(&format!("seams.{}", seam.label), middle(early), taken));
    }
    for plan_box in boxes.iter().filter(|plan_box| is_near(&plan_box.edges)) {
        let [west, _, _, north] = plan_box.edges;
        let corner = (sheet.x(west) + 36.0, sheet.y(north) + 34.0);
        marks.extend(open.at(&format!("modules.{}", plan_box.label), corner, taken));
        for item in within.iter().filter(|item| item.of == plan_box.label) {
            if told.contains(&item.subject.as_str()) {
                continue;
            }
            told.push(&item.subject);
            marks.extend(open.at(&item.subject, corner, taken));
        }
    }
    marks
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

/// A box with its id and, where there is room, its size, somewhat above its middle where more stands below them.
pub(super) fn box_view(
    label: &str,
    edges: [f64; 4],
    sheet: &Sheet,
    units: UnitSystem,
    raised: f64,
    taken: &mut Vec<Rect>,
) -> BoxView {
    let rect = sheet.rect(edges);
    let (x, y) = (rect.x + rect.w / 2.0, rect.y + rect.h / 2.0 - raised);
    let [west, south, east, north] = edges;
    let length = |metres: f64| by_tape(metres, units);
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

/// What the kinds of line mean, and below that the symbols.
fn key(has_seams: bool, has_below: bool, within: &[PlanItem]) -> Vec<Key> {
    let has = |kind: PlanItemKind| within.iter().any(|item| item.kind == kind);
    let lines = [(has_seams, "seam", "mate line"), (has_below, "below", "boxes of the level below")];
    let symbols = [
        (PlanItemKind::Stair, "stair"),
        (PlanItemKind::Supply, "supply"),
        (PlanItemKind::Exhaust, "exhaust"),
        (PlanItemKind::Unit, "ventilation unit"),
        (PlanItemKind::Penetration, "penetration"),
    ];
    let symbols = symbols.map(|(kind, text)| (has(kind), contents::symbol(kind).unwrap_or_default(), text));
    let mut key = Vec::new();
    for (entries, room, y) in [(&lines[..], 50.0, 14.0), (&symbols[..], 14.0, 32.0)] {
        let mut x = 200.0;
        for (_, kind, text) in entries.iter().filter(|(is_drawn, ..)| *is_drawn) {
            key.push(Key { x: px(x), text_x: px(x + room), y: px(y), kind, text });
            x += room + 20.0 + text_width(text, 11.0);
        }
    }
    key
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn labels_of_mate_lines_move_along_them_until_they_cover_nothing() {
        let sheet = Sheet::around([[0.0, 0.0, 10.0, 10.0]].into_iter(), [].iter());
        let mut taken = Vec::new();
        box_view("A", [0.0, 0.0, 10.0, 10.0], &sheet, UnitSystem::Si, 0.0, &mut taken);
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
    fn a_turned_box_is_turned_back() {
        let turned = PlanBox { label: "A".to_owned(), edges: [4.0, 3.0, 1.0, 2.0] };
        assert_eq!(drawable(&[turned]), [("A", [1.0, 2.0, 4.0, 3.0])]);
    }
}
