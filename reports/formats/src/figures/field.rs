//! Temperatures over a section: filled from dark and cold to light and warm, with isotherms, the outlines of the
//! materials, and the coldest point of the surface.

mod callouts;
mod isotherms;
mod ramp;
mod raster;

use super::measure::{Measure, drawable};
use super::scale::decimals;
use super::shapes::{About, Outline, Text};
use super::{Rect, broken, px, text_width};
use callouts::Callout;
use isotherms::Isotherm;
use mateline_model::quantity::{UnitSystem, Units, number};
use mateline_model::{FieldOutline, FieldPoint, Figure, portable};
use raster::Raster;
use serde::Serialize;

/// Width of the sheet.
const WIDTH: f64 = 760.0;
/// Left and upper edge, greatest width and greatest height of the field.
const ROOM: Rect = Rect { x: 16.0, y: 16.0, w: 520.0, h: 430.0 };
/// Left edge of the scale of temperatures, and its height.
const LEGEND: (f64, f64) = (566.0, 190.0);
/// Least height of the field with its scale.
const LEAST_HEIGHT: f64 = 214.0;
/// Width of the names of materials.
const NAMES: f64 = 160.0;
/// Most outlines drawn, and most materials named.
const MOST: (usize, usize) = (400, 24);
/// How temperatures are shown.
static TEMPERATURE: Units = Units::new("°C", 1, "°F", 1);

/// The field as data.
pub(super) struct Cells<'a> {
    pub x_edges: &'a [f64],
    pub y_edges: &'a [f64],
    pub temperatures: &'a [f64],
    pub outlines: &'a [FieldOutline],
    pub step: f64,
    pub lowest: Option<FieldPoint>,
}

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    grid: Option<Grid>,
    outlines: Vec<Outline>,
    isotherms: Vec<Isotherm>,
    callouts: Vec<Callout>,
    lowest: Option<Lowest>,
    legend: Vec<Step>,
    legend_ticks: Vec<Text>,
    materials: Vec<Material>,
    scale_bar: Option<ScaleBar>,
    foot: String,
    remark: String,
}

#[derive(Serialize)]
struct Grid {
    frame: Outline,
    across: String,
    up: String,
    fills: Vec<Fill>,
}

/// All cells of one colour.
#[derive(Serialize)]
struct Fill {
    colour: String,
    path: String,
}

#[derive(Serialize)]
struct Step {
    y: String,
    h: String,
    colour: String,
}

#[derive(Serialize)]
struct Material {
    number: usize,
    middle: String,
    lines: Vec<Text>,
}

#[derive(Serialize)]
struct Lowest {
    x: String,
    y: String,
    label: Text,
}

#[derive(Serialize)]
struct ScaleBar {
    end: String,
    middle: String,
    text: String,
}

/// From metres to the sheet.
struct Sheet {
    west: f64,
    top: f64,
    scale: f64,
    frame: Rect,
}

impl Sheet {
    fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.frame.x + (x - self.west) * self.scale, self.frame.y + (self.top - y) * self.scale)
    }

    /// The part of a rectangle that lies in the field.
    fn rect(&self, [left, lower, right, upper]: [f64; 4]) -> Option<Rect> {
        drawable(left + lower + right + upper)?;
        let (x1, y1) = self.point(left.min(right), lower.max(upper));
        let (x2, y2) = self.point(left.max(right), lower.min(upper));
        let (x1, y1) = (x1.max(self.frame.x), y1.max(self.frame.y));
        let (x2, y2) = (x2.min(self.frame.x + self.frame.w), y2.min(self.frame.y + self.frame.h));
        (x2 - x1 > 0.2 && y2 - y1 > 0.2).then_some(Rect { x: x1, y: y1, w: x2 - x1, h: y2 - y1 })
    }

    fn holds(&self, (x, y): (f64, f64)) -> bool {
        let (dx, dy) = (x - self.frame.x, y - self.frame.y);
        (-0.5..=self.frame.w + 0.5).contains(&dx) && (-0.5..=self.frame.h + 0.5).contains(&dy)
    }
}

pub(super) fn view(figure: &Figure, id: &str, cells: &Cells<'_>, system: UnitSystem) -> View {
    let measure = Measure::new(&TEMPERATURE, system);
    let mut view = View {
        about: About::new(figure, id, WIDTH, 60.0),
        grid: None,
        outlines: Vec::new(),
        isotherms: Vec::new(),
        callouts: Vec::new(),
        lowest: None,
        legend: Vec::new(),
        legend_ticks: Vec::new(),
        materials: Vec::new(),
        scale_bar: None,
        foot: px(34.0),
        remark: "No temperature is known.".to_owned(),
    };
    let Some(raster) = Raster::new(cells, |celsius| measure.shown(celsius)) else { return view };
    let scale = (ROOM.w / raster.size.0).min(ROOM.h / raster.size.1);
    let frame = Rect { x: ROOM.x, y: ROOM.y, w: raster.size.0 * scale, h: raster.size.1 * scale };
    let sheet = Sheet { west: raster.corner.0, top: raster.corner.1 + raster.size.1, scale, frame };
    let (low, high) = raster.reach();
    let levels = levels(low, high, measure.shown(cells.step) - measure.shown(0.0));

    let mut taken = Vec::new();
    view.lowest = cells.lowest.and_then(|point| lowest(point, &sheet, &measure, &mut taken));
    let drawn = cells.outlines.get(..MOST.0).unwrap_or(cells.outlines);
    let (callouts, named) = callouts::callouts(drawn, &sheet, MOST.1, &mut taken);
    let (isotherms, are_all_drawn) = isotherms::isotherms(&raster, &levels, &frame, &mut taken);
    view.grid = Some(grid(&raster, &frame, (low, high)));
    view.outlines = drawn.iter().filter_map(|outline| sheet.rect(outline.edges)).map(Outline::from).collect();
    view.isotherms = isotherms;
    view.callouts = callouts;
    let materials_end = legend(&mut view, &named, (low, high), &levels, &measure);
    let bottom = (frame.y + frame.h).max(ROOM.y + LEAST_HEIGHT).max(materials_end);
    view.scale_bar = Some(scale_bar(scale, frame.w, system));
    view.foot = px(bottom + 26.0);
    view.about.height = px(bottom + 40.0);
    view.remark = remark(&levels, are_all_drawn, &measure);
    view
}

/// Round temperatures between the lowest and the highest, about as far apart as asked for.
fn levels(low: f64, high: f64, wish: f64) -> Vec<f64> {
    let least = (high - low) / 30.0;
    let wish = if wish > 0.0 && wish.is_finite() { wish.max(least) } else { (high - low) / 8.0 };
    if wish <= 1e-9 {
        return Vec::new();
    }
    let decade = portable::powi(10.0, portable::log10(wish).floor() as i32);
    let away = |step: f64| portable::ln(step / wish).abs();
    let round = [1.0, 2.0, 5.0, 10.0].map(|step| step * decade);
    let step = round.into_iter().filter(|step| *step >= least).min_by(|a, b| away(*a).total_cmp(&away(*b)));
    let step = step.unwrap_or(10.0 * decade);
    let (first, last) = ((low / step).ceil(), (high / step).floor());
    (0..=(last - first).clamp(-1.0, 60.0) as i32).map(|index| (first + f64::from(index)) * step).collect()
}

/// The filled cells, those of one colour in one path, merged along each row.
fn grid(raster: &Raster, frame: &Rect, (low, high): (f64, f64)) -> Grid {
    let mut fills: Vec<Fill> =
        (0..ramp::STEPS).map(|step| Fill { colour: ramp::colour(step), path: String::new() }).collect();
    for row in 0..raster.rows {
        let mut column = 0;
        while column < raster.columns {
            let step = |column: usize| ramp::step(raster.cell(column, row), low, high);
            let here = step(column);
            let length = (column..raster.columns).take_while(|next| step(*next) == here).count();
            if let Some(fill) = here.and_then(|step| fills.get_mut(step)) {
                fill.path.push_str(&format!("M{column} {}h{length}v1h-{length}z", raster.rows - 1 - row));
            }
            column += length;
        }
    }
    fills.retain(|fill| !fill.path.is_empty());
    let exact = |value: f64| number(value, 6);
    Grid {
        frame: (*frame).into(),
        across: exact(frame.w / raster.columns as f64),
        up: exact(frame.h / raster.rows as f64),
        fills,
    }
}

/// The coldest point with its temperature beside it.
fn lowest(point: FieldPoint, sheet: &Sheet, measure: &Measure<'_>, taken: &mut Vec<Rect>) -> Option<Lowest> {
    drawable(point.temperature)?;
    let (x, y) = sheet.point(drawable(point.x)?, drawable(point.y)?);
    if !sheet.holds((x, y)) {
        return None;
    }
    let text = format!("lowest {}", measure.text(point.temperature));
    let width = 1.08 * text_width(&text, 11.0) + 6.0;
    let frame = sheet.frame;
    let left = if x + 12.0 + width < frame.x + frame.w { x + 10.0 } else { (x - 10.0 - width).max(4.0) };
    let middle = if y - 22.0 > frame.y { y - 13.0 } else { y + 15.0 };
    taken.push(Rect::centred(x, y, 16.0, 16.0));
    taken.push(Rect { x: left, y: middle - 8.0, w: width, h: 16.0 });
    Some(Lowest { x: px(x), y: px(y), label: Text::at(left + 3.0, middle + 4.0, text) })
}

/// The scale of temperatures with the materials below it; says where it ends.
fn legend(view: &mut View, named: &[String], (low, high): (f64, f64), levels: &[f64], measure: &Measure<'_>) -> f64 {
    let step = LEGEND.1 / ramp::STEPS as f64;
    let top = ROOM.y + 18.0;
    view.legend = (0..ramp::STEPS)
        .map(|index| Step {
            y: px(top + LEGEND.1 - step * (index + 1) as f64),
            h: px(step + 0.3),
            colour: ramp::colour(index),
        })
        .collect();
    let at = |level: f64| top + LEGEND.1 * (1.0 - (level - low) / (high - low).max(1e-9));
    let digits = level_digits(levels);
    let mut before = f64::INFINITY;
    for level in levels {
        let y = at(*level);
        if before - y >= 13.0 {
            before = y;
            view.legend_ticks.push(Text::at(LEGEND.0 + 34.0, y, number(*level, digits)));
        }
    }
    view.legend_ticks.push(Text::at(LEGEND.0, ROOM.y + 8.0, measure.title("temperature")));
    let mut y = top + LEGEND.1 + 28.0;
    for (index, name) in named.iter().enumerate() {
        let lines = broken(name, 11.5, NAMES);
        let height = 13.0 * lines.len() as f64;
        view.materials.push(Material {
            number: index + 1,
            middle: px(y - 4.0),
            lines: lines
                .into_iter()
                .enumerate()
                .map(|(i, text)| Text::at(LEGEND.0 + 22.0, y + 13.0 * i as f64, text))
                .collect(),
        });
        y += height + 8.0;
    }
    y - 14.0
}

fn level_digits(levels: &[f64]) -> u8 {
    match levels {
        [first, second, ..] => decimals((second - first).abs()),
        _ => 1,
    }
}

fn remark(levels: &[f64], are_all_drawn: bool, measure: &Measure<'_>) -> String {
    let lines = match levels {
        [first, second, ..] => {
            format!("Isotherms every {}.", measure.with_unit(number(second - first, level_digits(levels))))
        }
        _ => String::new(),
    };
    if are_all_drawn { lines } else { format!("{lines} The shortest are not drawn.") }
}

/// A bar of a round length, about a fifth of the field.
fn scale_bar(scale: f64, width: f64, system: UnitSystem) -> ScaleBar {
    let (unit, larger, metres, per_larger) = match system {
        UnitSystem::Si => ("mm", "m", 0.001, 1_000.0),
        UnitSystem::Ip => ("in", "ft", 0.0254, 12.0),
    };
    let lengths = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1_000.0, 2_000.0, 5_000.0, 10_000.0];
    let feet = [1.0, 2.0, 4.0, 6.0, 12.0, 24.0, 48.0, 120.0, 240.0, 480.0, 1_200.0];
    let lengths: &[f64] = if system == UnitSystem::Si { &lengths } else { &feet };
    let room = (width / 3.0).clamp(40.0, 110.0);
    let length = lengths.iter().rfind(|length| *length * metres * scale <= room).copied().unwrap_or(1.0);
    let bar = (length * metres * scale).min(ROOM.w);
    let text = match length >= per_larger {
        true => format!("{} {larger}", px(length / per_larger)),
        false => format!("{} {unit}", px(length)),
    };
    ScaleBar { end: px(bar), middle: px(bar / 2.0), text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn isotherms_are_at_round_temperatures() {
        assert_eq!(levels(-4.2, 19.8, 5.0), [0.0, 5.0, 10.0, 15.0]);
        assert_eq!(levels(14.0, 68.0, 9.0), [20.0, 30.0, 40.0, 50.0, 60.0]);
        assert_eq!(levels(0.0, 1.0, 0.0).first(), Some(&0.0));
        assert!(levels(0.0, 100.0, 1e-6).len() <= 31);
        assert!(levels(5.0, 5.0, f64::NAN).len() <= 1);
    }

    #[test]
    fn the_scale_bar_has_a_round_length_that_fits() {
        let bar = scale_bar(520.0, 520.0, UnitSystem::Si);
        assert_eq!((bar.text.as_str(), bar.end.as_str()), ("200 mm", "104"));
        assert_eq!(scale_bar(100.0, 520.0, UnitSystem::Ip).text, "2 ft");
    }
}
