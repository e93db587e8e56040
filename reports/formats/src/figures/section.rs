//! An assembly's layers to scale, each with a numbered line of text: what it is, how thick, and its share of the
//! resistance as a bar. A leader runs from the text to a dot in the layer, so that thin layers have room for theirs.

mod rows;
mod strips;

use super::measure::Measure;
use super::shapes::{About, Line, Point, TextLine};
use super::{Rect, Stand, px};
use mateline_model::quantity::{UnitSystem, Units};
use mateline_model::{Figure, Hatch, SectionLayer};
use rows::rows;
use serde::Serialize;
use strips::Strips;

/// Width of the sheet.
const WIDTH: f64 = 760.0;
/// Left edge and width of the drawn layers.
const DRAWING: (f64, f64) = (404.0, 344.0);
/// Where the rows of text begin, below the heads.
const TOP: f64 = 44.0;
/// Least height of the drawn layers.
const LEAST_HEIGHT: f64 = 190.0;
/// Left edge and greatest width of the share bars.
const BAR: (f64, f64) = (276.0, 52.0);
/// Where the leaders begin.
const LEADERS: f64 = 380.0;

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    upright: bool,
    /// What the rows are, and their order.
    order: String,
    layers: Vec<LayerView>,
    films: Option<Films>,
    total: String,
    dimension: DimensionLine,
    inside: Word,
    outside: Word,
    widened: bool,
    foot: String,
}

#[derive(Serialize)]
struct LayerView {
    number: usize,
    row: String,
    label: Vec<TextLine>,
    thickness: String,
    bar: String,
    share: String,
    roles: Option<TextLine>,
    hatch: &'static str,
    x: String,
    y: String,
    w: String,
    h: String,
    members: Vec<Member>,
    air_barrier: Option<Line>,
    leader: String,
    dot: Point,
}

#[derive(Serialize)]
struct Films {
    row: String,
    bar: String,
    share: String,
}

#[derive(Serialize)]
struct Member {
    x: String,
    y: String,
    w: String,
    h: String,
    x2: String,
    y2: String,
}

#[derive(Serialize)]
struct Word {
    text: &'static str,
    x: String,
    y: String,
    anchor: &'static str,
}

#[derive(Serialize)]
struct DimensionLine {
    from: Point,
    to: Point,
    text: Point,
}

pub(super) fn view(
    figure: &Figure,
    id: &str,
    layers: &[SectionLayer],
    (stand, is_within): (Stand, bool),
    units: UnitSystem,
) -> View {
    let sides = match (is_within, stand) {
        (false, _) => ("inside", "outside"),
        (true, Stand::Upright) => ("room", "room"),
        (true, Stand::InsideAbove) => ("room above", "room below"),
        (true, Stand::InsideBelow) => ("room below", "room above"),
    };
    let (rows, rows_end) = rows(layers, stand);
    let height = (rows_end - TOP).max(LEAST_HEIGHT);
    let strips = Strips::new(layers, if stand == Stand::Upright { DRAWING.1 } else { height }, stand);
    let (thickness, share) = (Units::THICKNESS, Units::PERCENT);
    let (thickness, share) = (Measure::new(&thickness, units), Measure::new(&share, units));

    let mut views = Vec::new();
    for (index, ((layer, row), strip)) in layers.iter().zip(rows).zip(strips.rects(height)).enumerate() {
        let dot = match stand {
            Stand::Upright => (strip.x + strip.w / 2.0, row.middle),
            _ => (strip.x + 14.0 + 9.0 * (index % 3) as f64, strip.y + strip.h / 2.0),
        };
        views.push(LayerView {
            number: index + 1,
            row: px(row.base),
            label: row.name,
            thickness: thickness.text(layer.thickness),
            bar: px(sound(layer.share).min(1.0) * BAR.1),
            share: share.text(layer.share),
            roles: row.roles,
            hatch: hatch(layer.hatch),
            x: px(strip.x),
            y: px(strip.y),
            w: px(strip.w),
            h: px(strip.h),
            members: strips.members(layer, &strip),
            air_barrier: layer.roles.iter().any(|role| is_air_barrier(role)).then(|| outer_face(&strip, stand)),
            leader: leader(row.middle, dot, stand),
            dot: dot.into(),
        });
    }
    let films = 1.0 - layers.iter().map(|layer| sound(layer.share)).sum::<f64>();
    let films_row = TOP + height.max(rows_end - TOP) + 18.0;
    let foot = films_row + 22.0;
    View {
        about: About::new(figure, id, WIDTH, foot + 8.0),
        upright: stand == Stand::Upright,
        layers: views,
        order: format!("layer, {} to {}", sides.0, sides.1),
        films: (films > 0.000_5 && films < 1.0).then(|| Films {
            row: px(films_row),
            bar: px(films * BAR.1),
            share: share.text(films),
        }),
        total: thickness.text(layers.iter().map(|layer| sound(layer.thickness)).sum()),
        dimension: dimension(stand, height),
        inside: word(sides.0, stand, stand == Stand::InsideAbove, false, height),
        outside: word(sides.1, stand, stand == Stand::InsideBelow, true, height),
        widened: strips.is_widened,
        foot: px(foot),
    }
}

/// A number that can be drawn.
fn sound(value: f64) -> f64 {
    if value.is_finite() && value > 0.0 { value.min(1e6) } else { 0.0 }
}

/// The line from a row of text to its layer: straight into a wall, bent in front of layers that lie flat.
fn leader(row: f64, dot: (f64, f64), stand: Stand) -> String {
    let points = match stand {
        Stand::Upright => vec![(LEADERS, row), dot],
        _ => vec![(LEADERS, row), (LEADERS + 7.0, row), (DRAWING.0 - 4.0, dot.1), dot],
    };
    points.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" ")
}

fn member(rect: Rect) -> Member {
    Member {
        x: px(rect.x),
        y: px(rect.y),
        w: px(rect.w),
        h: px(rect.h),
        x2: px(rect.x + rect.w),
        y2: px(rect.y + rect.h),
    }
}

fn is_air_barrier(role: &str) -> bool {
    matches!(role, "air barrier" | "air-barrier")
}

/// The face of a strip that looks outwards.
fn outer_face(strip: &Rect, stand: Stand) -> Line {
    let (x1, y1, x2, y2) = match stand {
        Stand::Upright => (strip.x + strip.w, strip.y, strip.x + strip.w, strip.y + strip.h),
        Stand::InsideAbove => (strip.x, strip.y + strip.h, strip.x + strip.w, strip.y + strip.h),
        Stand::InsideBelow => (strip.x, strip.y, strip.x + strip.w, strip.y),
    };
    Line::from([x1, y1, x2, y2])
}

/// What lies on a side: above the drawing at its ends for a wall, above and below it otherwise.
fn word(text: &'static str, stand: Stand, is_above: bool, is_end: bool, height: f64) -> Word {
    let (left, right) = (DRAWING.0, DRAWING.0 + DRAWING.1);
    match (stand, is_above, is_end) {
        (Stand::Upright, _, false) => Word { text, x: px(left), y: px(16.0), anchor: "start" },
        (Stand::Upright, _, true) => Word { text, x: px(right), y: px(16.0), anchor: "end" },
        (_, true, _) => Word { text, x: px(left + 150.0), y: px(TOP - 10.0), anchor: "middle" },
        (_, false, _) => Word { text, x: px(left + 150.0), y: px(TOP + height + 18.0), anchor: "middle" },
    }
}

/// The line that gives the whole thickness.
fn dimension(stand: Stand, height: f64) -> DimensionLine {
    let point = |x: f64, y: f64| Point::from((x, y));
    let (left, right) = (DRAWING.0, DRAWING.0 + DRAWING.1);
    match stand {
        Stand::Upright => DimensionLine {
            from: point(left, TOP - 12.0),
            to: point(right, TOP - 12.0),
            text: point((left + right) / 2.0, 16.0),
        },
        _ => DimensionLine {
            from: point(right + 8.0, TOP),
            to: point(right + 8.0, TOP + height),
            text: point(right, TOP - 10.0),
        },
    }
}

/// The id of the hatching in the template.
fn hatch(hatch: Hatch) -> &'static str {
    match hatch {
        Hatch::Board => "board",
        Hatch::Wood => "wood",
        Hatch::Foam => "foam",
        Hatch::Fibre => "fibre",
        Hatch::Masonry => "masonry",
        Hatch::Gravel => "gravel",
        Hatch::Metal => "metal",
        Hatch::Membrane => "membrane",
        Hatch::Air => "air",
        Hatch::Plain => "plain",
    }
}
