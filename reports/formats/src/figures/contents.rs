//! What a plan shows of a box beyond its outline: openings in its walls, the names of rooms and holes, and symbols.

use super::shapes::{Line, Text};
use super::sheet::Sheet;
use super::{Rect, clipped, px, text_width};
use crate::printable;
use mateline_model::{ElevationKind, ElevationPart, PlanItem, PlanItemKind};
use serde::Serialize;

/// Size of names.
const FONT: f64 = 11.0;
/// Distance of rows of names.
pub(super) const ROW: f64 = 15.0;
/// Distance of two names in a row.
const APART: f64 = 14.0;
/// Width of the symbol before a name, or of one that stands alone.
const SYMBOL: f64 = 11.0;
/// Distance of a symbol from the name before it.
const NEAR: f64 = 9.0;
/// What is kept free along the walls of a box, for the ids of openings.
const WALL: f64 = 24.0;

/// An opening in a wall.
#[derive(Serialize)]
pub(super) struct OpeningView {
    kind: &'static str,
    subject: String,
    words: String,
    line: Line,
    label: Option<Text>,
}

/// The name of a room or a hole.
#[derive(Serialize)]
pub(super) struct ItemView {
    subject: String,
    words: String,
    text: Text,
    /// The symbol before it, by its middle.
    symbol: Option<Symbol>,
}

/// A small drawing that stands for a kind of thing.
#[derive(Serialize)]
struct Symbol {
    kind: &'static str,
    x: String,
    y: String,
}

/// The symbol of a kind of thing; a room has none.
pub(super) fn symbol(kind: PlanItemKind) -> Option<&'static str> {
    match kind {
        PlanItemKind::Room => None,
        PlanItemKind::Stair => Some("stair"),
        PlanItemKind::Unit => Some("unit"),
        PlanItemKind::Supply => Some("supply"),
        PlanItemKind::Exhaust => Some("exhaust"),
        PlanItemKind::Penetration => Some("hole"),
    }
}

/// Openings, lettered beside their wall inside the box where that covers nothing; an id once only.
pub(super) fn openings(parts: &[&ElevationPart], sheet: &Sheet, taken: &mut Vec<Rect>) -> Vec<OpeningView> {
    let mut lettered: Vec<&str> = Vec::new();
    let mut views = Vec::new();
    for part in parts {
        let (Some(one), Some(other)) = (part.outline.first(), part.outline.last()) else { continue };
        let line = sheet.line([one.0, one.1, other.0, other.1]);
        let text = clipped(&part.label, FONT, 140.0);
        let label = beside(line, &text).into_iter().find(|rect| {
            let again = lettered.contains(&part.label.as_str());
            !again && sheet.holds(rect) && taken.iter().all(|other| !rect.overlaps(other))
        });
        if let Some(rect) = label {
            taken.push(rect);
            lettered.push(&part.label);
        }
        views.push(OpeningView {
            kind: match part.kind {
                ElevationKind::Door => "door",
                ElevationKind::Hatch => "hatch",
                _ => "glazed",
            },
            subject: printable::line(&part.subject).into_owned(),
            words: printable::line(&part.words).into_owned(),
            line: Line::from(line),
            label: label.map(|rect| Text::at(rect.x + rect.w / 2.0, rect.y + FONT, text)),
        });
    }
    views
}

/// Where an id may stand: above or below a level line, left or right of an upright one.
fn beside([x1, y1, x2, y2]: [f64; 4], text: &str) -> [Rect; 2] {
    let (w, h) = (text_width(text, FONT) + 4.0, FONT + 3.0);
    let (x, y) = ((x1 + x2) / 2.0, (y1 + y2) / 2.0);
    if (x2 - x1).abs() >= (y2 - y1).abs() {
        [-1.0, 1.0].map(|to| Rect::centred(x, y + to * (h / 2.0 + 5.0), w, h))
    } else {
        [-1.0, 1.0].map(|to| Rect::centred(x + to * (w / 2.0 + 5.0), y, w, h))
    }
}

/// Names in rows within a box; how many of them found no room.
pub(super) struct Rows<'a> {
    rows: Vec<Vec<(&'a PlanItem, String, f64)>>,
    left_out: usize,
}

impl<'a> Rows<'a> {
    /// The names that a box has room for below its id and size.
    pub(super) fn of(items: &[&'a PlanItem], rect: &Rect) -> Rows<'a> {
        let (width, most) = (rect.w - 2.0 * WALL, ((rect.h - 2.0 * WALL - 34.0) / ROW).max(0.0) as usize);
        let mut rows: Vec<Vec<(&PlanItem, String, f64)>> = Vec::new();
        let mut left_out = 0;
        // What has no name of its own stays beside the name before it.
        for group in items.chunk_by(|_, next| next.label.is_empty()) {
            let group: Vec<(&PlanItem, String, f64)> = group
                .iter()
                .map(|item| {
                    let text = clipped(&item.label, FONT, width);
                    let before = if symbol(item.kind).is_some() { SYMBOL } else { 0.0 };
                    let wide = text_width(&text, FONT) + before;
                    (*item, text, wide)
                })
                .collect();
            let can_join = rows.last().is_some_and(|row| row_width(row) + APART + row_width(&group) <= width);
            let has_room = rows.len() < most && row_width(&group) <= width;
            match rows.last_mut().filter(|_| can_join) {
                Some(row) => row.extend(group),
                None if has_room => rows.push(group),
                None => left_out += group.len(),
            }
        }
        Rows { rows, left_out }
    }

    /// How many names found no room.
    pub(super) fn left_out(&self) -> usize {
        self.left_out
    }

    /// Height of all rows.
    pub(super) fn height(&self) -> f64 {
        self.rows.len() as f64 * ROW
    }

    /// The names, each row in the middle of the box, the first row below some height.
    pub(super) fn place(self, rect: &Rect, below: f64, taken: &mut Vec<Rect>) -> Vec<ItemView> {
        let mut views = Vec::new();
        for (number, row) in self.rows.into_iter().enumerate() {
            let y = below + ROW * (number as f64 + 1.0);
            let mut x = rect.x + (rect.w - row_width(&row)) / 2.0;
            for (index, (item, text, wide)) in row.into_iter().enumerate() {
                x += if index == 0 { 0.0 } else { apart(item) };
                let drawn = symbol(item.kind);
                let start = if drawn.is_some() { x + SYMBOL } else { x };
                taken.push(Rect { x, y: y - FONT, w: wide, h: FONT + 3.0 });
                views.push(ItemView {
                    subject: printable::line(&item.subject).into_owned(),
                    words: printable::line(&item.words).into_owned(),
                    text: Text::at(start, y, text),
                    symbol: drawn.map(|kind| Symbol { kind, x: px(x + 4.0), y: px(y - 4.0) }),
                });
                x += wide;
            }
        }
        views
    }
}

fn row_width(row: &[(&PlanItem, String, f64)]) -> f64 {
    let apart = row.iter().skip(1).map(|(item, ..)| apart(item));
    row.iter().map(|(.., wide)| wide).sum::<f64>() + apart.sum::<f64>()
}

/// How far something stands from what stands before it in its row.
fn apart(item: &PlanItem) -> f64 {
    if item.label.is_empty() { NEAR } else { APART }
}
