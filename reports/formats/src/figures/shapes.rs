//! What the drawings are made of, ready for the templates: coordinates as text.

use super::{Rect, px};
use mateline_model::Figure;
use serde::Serialize;

/// What every drawing says of itself before anything is drawn.
#[derive(Serialize)]
pub(super) struct About {
    id: String,
    title: String,
    alternative: String,
    width: String,
    pub height: String,
}

impl About {
    pub(super) fn new(figure: &Figure, id: &str, width: f64, height: f64) -> About {
        About {
            id: id.to_owned(),
            title: figure.title.clone(),
            alternative: figure.alternative.clone(),
            width: px(width),
            height: px(height),
        }
    }
}

/// A rectangle.
#[derive(Serialize)]
pub(super) struct Outline {
    pub x: String,
    pub y: String,
    pub w: String,
    pub h: String,
}

impl From<Rect> for Outline {
    fn from(rect: Rect) -> Outline {
        Outline { x: px(rect.x), y: px(rect.y), w: px(rect.w), h: px(rect.h) }
    }
}

/// A line of text at a place.
#[derive(Serialize)]
pub(super) struct Text {
    pub x: String,
    pub y: String,
    pub text: String,
}

impl Text {
    pub(super) fn at(x: f64, y: f64, text: impl Into<String>) -> Text {
        Text { x: px(x), y: px(y), text: text.into() }
    }
}

/// A line of text in a column.
#[derive(Serialize)]
pub(super) struct TextLine {
    pub y: String,
    pub text: String,
}

/// A place.
#[derive(Serialize)]
pub(super) struct Point {
    pub x: String,
    pub y: String,
}

impl From<(f64, f64)> for Point {
    fn from((x, y): (f64, f64)) -> Point {
        Point { x: px(x), y: px(y) }
    }
}

/// A straight line.
#[derive(Serialize)]
pub(super) struct Line {
    pub x1: String,
    pub y1: String,
    pub x2: String,
    pub y2: String,
}

impl From<[f64; 4]> for Line {
    fn from([x1, y1, x2, y2]: [f64; 4]) -> Line {
        Line { x1: px(x1), y1: px(y1), x2: px(x2), y2: px(y2) }
    }
}
