//! What a plan shows of a box beyond its outline: openings in its walls, and the names of rooms and holes.

use super::shapes::{Line, Text};
use super::sheet::Sheet;
use super::{Rect, clipped, text_width};
use crate::printable;
use mateline_model::{ElevationKind, ElevationPart, PlanItem, PlanItemKind};
use serde::Serialize;

/// Size of names.
const FONT: f64 = 11.0;
/// Distance of rows of names.
pub(super) const ROW: f64 = 15.0;
/// Distance of two names in a row.
const APART: f64 = 14.0;
/// Width of the ring before a hole's name.
const RING: f64 = 10.0;
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
    /// The middle of the ring that a hole has.
    ring: Option<Text>,
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
        for item in items {
            let text = clipped(&item.label, FONT, width);
            let ring = if item.kind == PlanItemKind::Penetration { RING } else { 0.0 };
            let wide = text_width(&text, FONT) + ring;
            let can_join = rows.last().is_some_and(|row| row_width(row) + APART + wide <= width);
            let has_room = rows.len() < most && wide <= width;
            match rows.last_mut().filter(|_| can_join) {
                Some(row) => row.push((*item, text, wide)),
                None if has_room => rows.push(vec![(*item, text, wide)]),
                None => left_out += 1,
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
            for (item, text, wide) in row {
                let is_hole = item.kind == PlanItemKind::Penetration;
                let start = if is_hole { x + RING } else { x };
                taken.push(Rect { x, y: y - FONT, w: wide, h: FONT + 3.0 });
                views.push(ItemView {
                    subject: printable::line(&item.subject).into_owned(),
                    words: printable::line(&item.words).into_owned(),
                    text: Text::at(start, y, text),
                    ring: is_hole.then(|| Text::at(x + 4.0, y - 4.0, "")),
                });
                x += wide + APART;
            }
        }
        views
    }
}

fn row_width(row: &[(&PlanItem, String, f64)]) -> f64 {
    row.iter().map(|(.., wide)| wide).sum::<f64>() + APART * row.len().saturating_sub(1) as f64
}
