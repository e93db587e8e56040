//! A side of the home as seen from outside, or a section: outlines, ids, heights, the whole length, a scale bar.
//!
//! An id that has no room without covering another or an opening is told below the drawing.

use super::marks::{self, Open};
use super::shapes::{About, Line, Outline, Text};
use super::sheet::{FARTHEST, MARGIN, ScaleBar, WIDTH, scale_bar};
use super::{Rect, clipped, px, text_width, wrapped};
use crate::printable;
use mateline_model::quantity::{UnitSystem, by_tape};
use mateline_model::{ElevationKind, ElevationPart, Figure, Mark, Report};
use serde::Serialize;

/// Width of the column of heights.
const HEIGHTS: f64 = 192.0;
/// Greatest height of the drawing itself, of a side and of a section.
const GREATEST_HEIGHT: (f64, f64) = (300.0, 420.0);
/// Size of ids and heights.
const FONT: f64 = 11.0;
/// Distance of lines of text.
const LINE: f64 = 14.0;

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    /// Whether something is cut that has a hatch.
    hatched: bool,
    shapes: Vec<Shape>,
    dimensions: Vec<Dimension>,
    labels: Vec<Label>,
    marks: Vec<marks::Mark>,
    heights: Vec<Height>,
    length: Option<Dimension>,
    scale: Option<ScaleBar>,
    strip: String,
    notes: Vec<Text>,
}

#[derive(Serialize)]
struct Shape {
    kind: &'static str,
    subject: String,
    words: String,
    points: String,
    /// A second, inner line: of glass.
    inner: Option<Outline>,
}

#[derive(Serialize)]
struct Label {
    text: Text,
    is_module: bool,
    halo: Option<Outline>,
}

#[derive(Serialize)]
struct Height {
    line: Line,
    text: Text,
}

/// A length told at its line.
#[derive(Serialize)]
struct Dimension {
    line: Line,
    ends: [Line; 2],
    text: Text,
}

/// From metres to the drawing: up is up, so y turns round.
struct Sheet {
    left: f64,
    top: f64,
    scale: f64,
    start: f64,
    base: f64,
}

impl Sheet {
    fn point(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.start + (x - self.left) * self.scale, MARGIN + (self.top - y) * self.scale)
    }

    fn rect(&self, part: &ElevationPart) -> Rect {
        let points: Vec<(f64, f64)> = part.outline.iter().map(|corner| self.point(*corner)).collect();
        let (x, y) = (reach(points.iter().map(|p| p.0)), reach(points.iter().map(|p| p.1)));
        Rect { x: x.0, y: y.0, w: x.1 - x.0, h: y.1 - y.0 }
    }
}

fn reach(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

pub(super) fn view(
    report: &Report,
    figure: &Figure,
    id: &str,
    (parts, heights, note): (&[ElevationPart], &[Mark], &str),
) -> View {
    let units = report.units;
    let near = |value: f64| value.abs() <= FARTHEST;
    let sound =
        |part: &&ElevationPart| part.outline.len() >= 2 && part.outline.iter().all(|(x, y)| near(*x) && near(*y));
    let parts: Vec<&ElevationPart> = parts.iter().filter(sound).collect();
    let corners = || parts.iter().flat_map(|part| &part.outline);
    let (x, y) = (reach(corners().map(|corner| corner.0)), reach(corners().map(|corner| corner.1)));
    let is_empty = parts.is_empty();
    let (x, y) = if is_empty { ((0.0, 1.0), (0.0, 1.0)) } else { (x, y) };
    let (across, up) = ((x.1 - x.0).max(0.5), (y.1 - y.0).max(0.5));
    let room = WIDTH - 2.0 * MARGIN - HEIGHTS;
    let is_cut = parts.iter().any(|part| is_cut(part.kind));
    let most = if is_cut { GREATEST_HEIGHT.1 } else { GREATEST_HEIGHT.0 };
    let scale = (room / across).min(most / up);
    let sheet = Sheet {
        left: x.0,
        top: y.1,
        scale,
        start: MARGIN + (room - across * scale) / 2.0,
        base: MARGIN + if is_empty { 0.0 } else { up * scale },
    };
    let mut taken: Vec<Rect> = Vec::new();
    let dimensions = clear_heights(&parts, &sheet, &mut taken);
    let (labels, unlettered) = labels(&parts, &sheet, &mut taken);
    let marks = open_marks(report, &parts, &sheet, &mut taken);
    let shapes =
        parts.iter().filter(|part| part.kind != ElevationKind::Clear).map(|part| shape(part, &sheet)).collect();
    let length = length(&parts, &sheet, units);
    let strip = sheet.base + if length.is_some() { 44.0 } else { 14.0 };
    let mut note = note.to_owned();
    if !unlettered.is_empty() {
        let also = format!("also drawn, from left to right: {}", unlettered.join(", "));
        note = if note.is_empty() { also } else { format!("{also}; {note}") };
    }
    let notes = wrapped(&note, FONT, WIDTH - 2.0 * MARGIN, 6);
    let notes: Vec<Text> =
        notes.into_iter().enumerate().map(|(line, text)| Text::at(MARGIN, 48.0 + LINE * line as f64, text)).collect();
    View {
        about: About::new(figure, id, WIDTH, strip + 42.0 + LINE * notes.len() as f64),
        hatched: parts.iter().any(|part| is_hatched(part.kind)),
        shapes,
        dimensions,
        labels,
        marks,
        heights: heights_beside(heights, &sheet, x, units),
        length,
        scale: (!is_empty).then(|| scale_bar(scale, units)),
        strip: px(strip),
        notes,
    }
}

fn word(kind: ElevationKind) -> &'static str {
    match kind {
        ElevationKind::Module => "module",
        ElevationKind::Window => "window",
        ElevationKind::GlazedDoor => "glazed-door",
        ElevationKind::Door => "door",
        ElevationKind::Hatch => "hatch",
        ElevationKind::MateLine => "mate-line",
        ElevationKind::Foundation => "foundation",
        ElevationKind::BelowGrade => "below-grade",
        ElevationKind::Grade => "grade",
        ElevationKind::Roof => "roof",
        ElevationKind::Wall | ElevationKind::Floor | ElevationKind::Ceiling => "cut",
        ElevationKind::Concrete => "concrete",
        ElevationKind::Gravel => "gravel",
        ElevationKind::Insulation => "insulation",
        ElevationKind::Layer => "layer",
        ElevationKind::Sheet => "sheet",
        ElevationKind::Frost => "frost",
        ElevationKind::Clear => "clear",
    }
}

fn is_opening(kind: ElevationKind) -> bool {
    matches!(kind, ElevationKind::Window | ElevationKind::GlazedDoor | ElevationKind::Door | ElevationKind::Hatch)
}

fn is_cut(kind: ElevationKind) -> bool {
    matches!(kind, ElevationKind::Wall | ElevationKind::Floor | ElevationKind::Ceiling | ElevationKind::Clear)
}

fn is_hatched(kind: ElevationKind) -> bool {
    matches!(kind, ElevationKind::Concrete | ElevationKind::Gravel | ElevationKind::Insulation)
}

fn shape(part: &ElevationPart, sheet: &Sheet) -> Shape {
    let points: Vec<String> =
        part.outline.iter().map(|corner| sheet.point(*corner)).map(|(x, y)| format!("{},{}", px(x), px(y))).collect();
    let rect = sheet.rect(part);
    let glazed = matches!(part.kind, ElevationKind::Window | ElevationKind::GlazedDoor);
    let inset = 3.0;
    let inner = (glazed && rect.w > 4.0 * inset && rect.h > 4.0 * inset).then(|| {
        let (w, h) = (rect.w - 2.0 * inset, rect.h - 2.0 * inset);
        Outline::from(Rect { x: rect.x + inset, y: rect.y + inset, w, h })
    });
    Shape {
        kind: word(part.kind),
        subject: printable::line(&part.subject).into_owned(),
        words: printable::line(&part.words).into_owned(),
        points: points.join(" "),
        inner,
    }
}

/// What is open of openings and mate lines, at their upper right corner.
fn open_marks(report: &Report, parts: &[&ElevationPart], sheet: &Sheet, taken: &mut Vec<Rect>) -> Vec<marks::Mark> {
    let open = Open::of(report);
    let mut told: Vec<&str> = Vec::new();
    let mut marks = Vec::new();
    for part in parts.iter().filter(|part| is_opening(part.kind) || part.kind == ElevationKind::MateLine) {
        if told.contains(&part.subject.as_str()) {
            continue;
        }
        told.push(&part.subject);
        let of = sheet.rect(part);
        marks.extend(open.at(&part.subject, (of.x + of.w + 12.0, of.y + 10.0), taken));
    }
    marks
}

/// Ids that have room, and those that have none. One lettered once needs it nowhere else.
fn labels(parts: &[&ElevationPart], sheet: &Sheet, taken: &mut Vec<Rect>) -> (Vec<Label>, Vec<String>) {
    let mut labels = Vec::new();
    let mut lettered: Vec<&str> = Vec::new();
    let mut unlettered: Vec<&str> = Vec::new();
    let lines = parts.iter().filter(|part| part.kind == ElevationKind::MateLine);
    let openings = || parts.iter().filter(|part| is_opening(part.kind));
    let modules = parts.iter().filter(|part| part.kind == ElevationKind::Module);
    taken.extend(openings().map(|part| sheet.rect(part)));
    for part in lines.clone() {
        let line = sheet.rect(part);
        let text = clipped(&part.label, FONT, 160.0);
        let size = (text_width(&text, FONT) + 8.0, 15.0);
        let at = |share: f64| Rect::centred(line.x + line.w * share, line.y + line.h * share, size.0, size.1);
        let places = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9].map(at);
        match places.into_iter().find(|rect| taken.iter().all(|other| !rect.overlaps(other))) {
            Some(rect) => {
                let text = Text::at(rect.x + rect.w / 2.0, rect.y + 11.5, text);
                labels.push(Label { text, is_module: false, halo: Some(rect.into()) });
                taken.push(rect);
            }
            None => unlettered.push(&part.label),
        }
    }
    taken.extend(lines.map(|part| {
        let line = sheet.rect(part);
        Rect { x: line.x - 2.0, y: line.y - 2.0, w: line.w + 4.0, h: line.h + 4.0 }
    }));
    for part in openings() {
        if part.label.is_empty() || lettered.contains(&part.label.as_str()) {
            continue;
        }
        let same = openings().filter(|other| other.label == part.label);
        let text = clipped(&part.label, FONT, 160.0);
        let (w, h) = (text_width(&text, FONT) + 4.0, FONT + 2.0);
        let places = same.flat_map(|one| {
            let of = sheet.rect(one);
            let x = of.x + of.w / 2.0;
            [of.y + of.h + h / 2.0 + 1.0, of.y - h / 2.0 - 1.0].map(|y| Rect::centred(x, y, w, h))
        });
        let free = |rect: &Rect| {
            let inside = rect.x >= 2.0 && rect.x + rect.w <= WIDTH - MARGIN - HEIGHTS + 20.0;
            inside && taken.iter().all(|other| !rect.overlaps(other))
        };
        match places.into_iter().find(free) {
            Some(rect) => {
                let text = Text::at(rect.x + rect.w / 2.0, rect.y + FONT - 0.5, text);
                labels.push(Label { text, is_module: false, halo: None });
                lettered.push(&part.label);
                taken.push(rect);
            }
            None if unlettered.contains(&part.label.as_str()) => {}
            None => unlettered.push(&part.label),
        }
    }
    for part in modules {
        let of = sheet.rect(part);
        let text = clipped(&part.label, 14.0, of.w - 8.0);
        let (w, h) = (text_width(&text, 14.0) + 6.0, 18.0);
        let places = [0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92].into_iter().flat_map(|x| {
            [0.5, 0.15, 0.85].map(|y| {
                let (x, y) = (of.x + w / 2.0 + (of.w - w) * x, of.y + h / 2.0 + (of.h - h) * y);
                Rect::centred(x, y, w, h)
            })
        });
        let mut places = places.into_iter();
        match places.find(|rect| rect.w <= of.w && taken.iter().all(|other| !rect.overlaps(other))) {
            Some(rect) => {
                let text = Text::at(rect.x + rect.w / 2.0, rect.y + 14.0, text);
                labels.push(Label { text, is_module: true, halo: None });
                taken.push(rect);
            }
            None => unlettered.push(&part.label),
        }
    }
    (labels, unlettered.into_iter().map(str::to_owned).collect())
}

/// Heights in a column to the right, each with a thin line to its place; none nearer than a line of text.
fn heights_beside(heights: &[Mark], sheet: &Sheet, x: (f64, f64), units: UnitSystem) -> Vec<Height> {
    let column = WIDTH - MARGIN - HEIGHTS + 24.0;
    let mut last = f64::INFINITY;
    let mut beside = Vec::new();
    for height in heights.iter().filter(|height| height.value.abs() <= FARTHEST) {
        let (from, y) = sheet.point((x.1, height.value));
        let text_y = (y + 4.0).min(last - LINE);
        last = text_y;
        let text = clipped(&format!("{}: {}", height.label, by_tape(height.value, units)), FONT, HEIGHTS - 26.0);
        let line = Line::from([from + 2.0, y, column - 4.0, text_y - 4.0]);
        beside.push(Height { line, text: Text::at(column, text_y, text) });
    }
    beside
}

/// Clear heights, each told beside its line, at the left where there is more room.
fn clear_heights(parts: &[&ElevationPart], sheet: &Sheet, taken: &mut Vec<Rect>) -> Vec<Dimension> {
    let mut told = Vec::new();
    for part in parts.iter().filter(|part| part.kind == ElevationKind::Clear) {
        let of = sheet.rect(part);
        let text = clipped(&part.label, FONT, 160.0);
        let width = text_width(&text, FONT) + 6.0;
        let rect = Rect { x: of.x - width - 2.0, y: of.y + of.h / 2.0 - 7.0, w: width, h: 15.0 };
        taken.push(Rect { x: of.x - 3.0, y: of.y, w: 6.0, h: of.h });
        let end = |y: f64| Line::from([of.x - 4.0, y + 4.0, of.x + 4.0, y - 4.0]);
        told.push(Dimension {
            line: Line::from([of.x, of.y, of.x, of.y + of.h]),
            ends: [end(of.y), end(of.y + of.h)],
            text: Text::at(rect.x + width / 2.0, rect.y + 11.5, text),
        });
        taken.push(rect);
    }
    told
}

/// The whole length of the boxes, below the drawing.
fn length(parts: &[&ElevationPart], sheet: &Sheet, units: UnitSystem) -> Option<Dimension> {
    let modules = parts.iter().filter(|part| part.kind == ElevationKind::Module);
    let (from, to) = reach(modules.flat_map(|part| &part.outline).map(|corner| corner.0));
    if to <= from {
        return None;
    }
    let (left, right, y) = (sheet.point((from, 0.0)).0, sheet.point((to, 0.0)).0, sheet.base + 12.0);
    let end = |x: f64| Line::from([x - 4.0, y + 4.0, x + 4.0, y - 4.0]);
    Some(Dimension {
        line: Line::from([left, y, right, y]),
        ends: [end(left), end(right)],
        text: Text::at((left + right) / 2.0, y + 14.0, by_tape(to - from, units)),
    })
}
