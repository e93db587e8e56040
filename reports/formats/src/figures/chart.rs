//! Curves and points over two axes. Curves are told apart by their dashes and named at their ends, not by colour.

mod curves;
mod names;

use super::measure::{Measure, drawable};
use super::scale::Scale;
use super::shapes::{About, Outline, Point, Text};
use super::{Rect, clipped, px, text_width};
use mateline_model::quantity::UnitSystem;
use mateline_model::{Axis, Figure, Mark, Series};
use names::Name;
use serde::Serialize;

/// Width of the sheet.
const WIDTH: f64 = 760.0;
/// Left and right edges of the plot.
const PLOT: (f64, f64) = (66.0, 548.0);
/// Top of the plot, below the name of the upward axis.
const TOP: f64 = 34.0;
/// Least height of the plot.
const LEAST_HEIGHT: f64 = 300.0;
/// Left edge and width of the names of the curves.
const NAMES: (f64, f64) = (606.0, 148.0);
/// Most curves and most levels drawn.
const MOST: (usize, usize) = (24, 8);

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    plot: Outline,
    bottom: String,
    right: String,
    x_ticks: Vec<Tick>,
    y_ticks: Vec<Tick>,
    x_title: Text,
    y_title: Text,
    levels: Vec<Level>,
    series: Vec<Curve>,
    left_out: Option<Text>,
}

#[derive(Serialize)]
struct Tick {
    at: String,
    text: Option<String>,
}

#[derive(Serialize)]
struct Level {
    y: String,
    label: Text,
    halo: Outline,
}

#[derive(Serialize)]
struct Curve {
    path: String,
    marks: Vec<Point>,
    look: usize,
    name: Option<Name>,
}

/// The plot with its two scales, and how the values along them are shown.
struct Plot<'a> {
    x: Scale,
    y: Scale,
    x_measure: Measure<'a>,
    y_measure: Measure<'a>,
    logarithmic: (bool, bool),
}

impl Plot<'_> {
    /// Where a point stands on the sheet, where it can be drawn.
    fn at(&self, (x, y): (f64, f64)) -> Option<(f64, f64)> {
        let x = on_axis(x, self.logarithmic.0, &self.x_measure)?;
        let y = on_axis(y, self.logarithmic.1, &self.y_measure)?;
        Some((self.x.at(x), self.y.at(y)))
    }
}

/// A value in the unit of its axis, where it can stand there.
fn on_axis(si: f64, is_logarithmic: bool, measure: &Measure<'_>) -> Option<f64> {
    let shown = measure.shown(drawable(si)?);
    (!is_logarithmic || shown > 1e-12).then_some(shown)
}

pub(super) fn view(
    figure: &Figure,
    id: &str,
    (x, y): (&Axis, &Axis),
    series: &[Series],
    levels: &[Mark],
    system: UnitSystem,
) -> View {
    let drawn = series.get(..MOST.0).unwrap_or(series);
    let (x_measure, y_measure) = (Measure::new(&x.units, system), Measure::new(&y.units, system));
    let levels: Vec<&Mark> =
        levels.iter().filter(|l| on_axis(l.value, y.logarithmic, &y_measure).is_some()).take(MOST.1).collect();
    let points = drawn.iter().flat_map(|curve| &curve.points);
    let on_both = points
        .filter_map(|(a, b)| Some((on_axis(*a, x.logarithmic, &x_measure)?, on_axis(*b, y.logarithmic, &y_measure)?)));
    let (xs, mut ys): (Vec<f64>, Vec<f64>) = on_both.unzip();
    ys.extend(levels.iter().filter_map(|level| on_axis(level.value, y.logarithmic, &y_measure)));
    let height = LEAST_HEIGHT.max(names::room(drawn));
    let bottom = TOP + height;
    let plot = Plot {
        x: across(&xs, x.logarithmic),
        y: if y.logarithmic { Scale::logarithmic(&ys, (bottom, TOP)) } else { Scale::even(&ys, 6.0, (bottom, TOP)) },
        x_measure,
        y_measure,
        logarithmic: (x.logarithmic, y.logarithmic),
    };
    let traces: Vec<Vec<Vec<(f64, f64)>>> = drawn.iter().map(|curve| curves::runs(curve, &plot)).collect();
    let names = names::names(drawn, &traces, (TOP, bottom));
    let y_title = clipped(&plot.y_measure.title(&y.label), 11.5, 600.0);
    let mut taken = vec![Rect { x: 16.0, y: 4.0, w: text_width(&y_title, 11.5), h: 16.0 }];
    let levels = levels.into_iter().map(|mark| level(mark, &plot, &traces, &mut taken)).collect();
    let left_out = series.len() - drawn.len();
    View {
        about: About::new(figure, id, WIDTH, bottom + if left_out > 0 { 62.0 } else { 46.0 }),
        plot: Outline { x: px(PLOT.0), y: px(TOP), w: px(PLOT.1 - PLOT.0), h: px(height) },
        bottom: px(bottom),
        right: px(PLOT.1),
        x_ticks: ticks(&plot.x, room_across),
        y_ticks: ticks(&plot.y, |_| 14.0),
        x_title: Text {
            x: px((PLOT.0 + PLOT.1) / 2.0),
            y: px(bottom + 36.0),
            text: clipped(&plot.x_measure.title(&x.label), 11.5, PLOT.1 - PLOT.0),
        },
        y_title: Text::at(16.0, 16.0, y_title),
        levels,
        series: drawn
            .iter()
            .zip(&traces)
            .zip(names)
            .enumerate()
            .map(|(index, ((curve, runs), name))| Curve {
                path: if curve.marks { String::new() } else { curves::path(runs) },
                marks: if curve.marks { marks(runs) } else { Vec::new() },
                look: curves::look(drawn, index),
                name,
            })
            .collect(),
        left_out: (left_out > 0).then(|| Text {
            x: px(16.0),
            y: px(bottom + 54.0),
            text: format!("{left_out} more are not drawn"),
        }),
    }
}

/// The scale to the right, with as many round numbers as there is room for.
fn across(values: &[f64], is_logarithmic: bool) -> Scale {
    let even = |most: f64| Scale::tight(values, most, PLOT);
    let has_room = |scale: &Scale| ticks(scale, room_across).iter().all(|tick| tick.text.is_some());
    match is_logarithmic {
        true => Scale::logarithmic(values, PLOT),
        false => [12.0, 8.0, 5.0].map(even).into_iter().find(has_room).unwrap_or_else(|| even(3.0)),
    }
}

/// How much room a number along the axis to the right takes.
fn room_across(text: &str) -> f64 {
    text_width(text, 11.0) + 8.0
}

fn marks(runs: &[Vec<(f64, f64)>]) -> Vec<Point> {
    runs.iter().flatten().map(|point| Point::from(*point)).collect()
}

/// The round numbers of a scale; where two would run into each other, only the first is written.
fn ticks(scale: &Scale, room: impl Fn(&str) -> f64) -> Vec<Tick> {
    let mut last: Option<(f64, f64)> = None;
    let mut ticks = Vec::new();
    for (value, text) in &scale.ticks {
        let (at, half) = (scale.at(*value), room(text) / 2.0);
        let is_free = last.is_none_or(|(before, its_half)| (at - before).abs() >= half + its_half);
        if is_free {
            last = Some((at, half));
        }
        ticks.push(Tick { at: px(at), text: is_free.then(|| clipped(text, 11.0, 80.0)) });
    }
    ticks
}

/// A level with its name, above or below the line, where it covers no other name and the fewest points of a curve.
fn level(mark: &Mark, plot: &Plot<'_>, traces: &[Vec<Vec<(f64, f64)>>], taken: &mut Vec<Rect>) -> Level {
    let y = plot.y.at(plot.y_measure.shown(mark.value));
    let value = plot.y_measure.text(mark.value);
    let name = clipped(&mark.label, 11.0, (240.0 - text_width(&value, 11.0)).max(60.0));
    let text = if name.trim().is_empty() { value } else { format!("{name}: {value}") };
    let width = text_width(&text, 11.0) + 8.0;
    let room = PLOT.1 - PLOT.0 - width - 8.0;
    let places: Vec<Rect> = [3.0, -18.0]
        .into_iter()
        .flat_map(|up| {
            [0.0, 1.0, 0.5, 0.25, 0.75].map(|share| Rect {
                x: PLOT.0 + 4.0 + share * room,
                y: if up > 0.0 { y - 15.0 - up } else { y + 3.0 },
                w: width,
                h: 15.0,
            })
        })
        .collect();
    let clash = |rect: &Rect| {
        let names = taken.iter().filter(|other| rect.overlaps(other)).count();
        let curves = traces.iter().flatten().map(|run| curves::crossings(run, rect)).sum::<usize>();
        1_000 * names + curves
    };
    let rect = places.iter().min_by_key(|rect| clash(rect)).copied().unwrap_or(Rect::centred(0.0, y, width, 15.0));
    taken.push(rect);
    Level { y: px(y), label: Text::at(rect.x + 4.0, rect.y + 11.5, text), halo: rect.into() }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::quantity::Units;
    use mateline_model::{Drawing, Subject, portable};

    fn axis(logarithmic: bool) -> Axis {
        Axis { label: "x".to_owned(), units: Units::plain(1), logarithmic }
    }

    fn drawn(logarithmic: bool, series: Vec<Series>, levels: Vec<Mark>) -> View {
        let figure = Figure {
            key: "".into(),
            subject: Subject::home(),
            title: String::new(),
            alternative: String::new(),
            drawing: Drawing::Table { columns: Vec::new(), rows: Vec::new(), note: String::new() },
        };
        view(&figure, "f", (&axis(logarithmic), &axis(logarithmic)), &series, &levels, UnitSystem::Si)
    }

    #[test]
    fn a_power_law_is_straight_on_logarithmic_axes() {
        let points: Vec<(f64, f64)> = [10.0, 20.0, 40.0, 60.0].map(|p: f64| (p, 9.0 * portable::pow(p, 0.65))).to_vec();
        let view = drawn(true, vec![Series { label: "q".to_owned(), points, marks: true }], Vec::new());
        let at: Vec<(f64, f64)> =
            view.series[0].marks.iter().map(|p| (p.x.parse().unwrap(), p.y.parse().unwrap())).collect();
        let slope = |i: usize, j: usize| (at[j].1 - at[i].1) / (at[j].0 - at[i].0);
        assert!((slope(0, 1) - slope(2, 3)).abs() < 1e-3 && slope(0, 1) < 0.0, "{at:?}");
    }

    #[test]
    fn what_a_logarithmic_axis_has_no_room_for_is_left_out() {
        let points = vec![(0.0, 1.0), (-1.0, 1.0), (f64::NAN, 1.0), (10.0, 0.0), (10.0, 20.0)];
        let view = drawn(true, vec![Series { label: "q".to_owned(), points, marks: true }], Vec::new());
        assert_eq!(view.series[0].marks.len(), 1);
    }

    /// A level at the top edge has its name where the title of the axis is not.
    #[test]
    fn the_name_of_the_highest_level_leaves_the_title_of_the_axis_free() {
        let curve = Series { label: "c".to_owned(), points: vec![(0.0, 60.0), (1.0, 90.0)], marks: false };
        let view = drawn(false, vec![curve], vec![Mark { label: "advice".to_owned(), value: 100.0 }]);
        let [x, y]: [f64; 2] = [&view.levels[0].halo.x, &view.levels[0].halo.y].map(|v| v.parse().unwrap());
        assert!(x > 30.0 + text_width(&view.y_title.text, 11.5) || y >= TOP, "{x} {y}");
    }

    #[test]
    fn names_of_levels_cover_neither_each_other_nor_a_curve_where_there_is_room() {
        let curve = Series { label: "c".to_owned(), points: vec![(0.0, 0.0), (1.0, 100.0)], marks: false };
        let level = |value: f64| Mark { label: "a level".to_owned(), value };
        let view = drawn(false, vec![curve], vec![level(50.0), level(51.0), level(52.0), level(5.0), level(100.0)]);
        let rects: Vec<Rect> = view
            .levels
            .iter()
            .map(|level| {
                let [x, y, w, h] =
                    [&level.halo.x, &level.halo.y, &level.halo.w, &level.halo.h].map(|v| v.parse().unwrap());
                Rect { x, y, w, h }
            })
            .collect();
        for (index, one) in rects.iter().enumerate() {
            assert!(rects.iter().skip(index + 1).all(|other| !one.overlaps(other)), "{rects:?}");
            assert_eq!(curves::crossings(&[(PLOT.0, TOP + LEAST_HEIGHT), (PLOT.1, TOP)], one), 0, "{one:?}");
        }
    }
}
