//! The names of the curves, in a column at the right, each led to the end of its curve.

use super::super::shapes::Text;
use super::super::{broken, px};
use super::{NAMES, PLOT};
use mateline_model::Series;
use serde::Serialize;

/// Size of the letters, height of a line, and space between two names.
const LETTERS: (f64, f64, f64) = (11.5, 13.0, 7.0);
/// Length of the sample of a curve before its name.
const SAMPLE: f64 = 24.0;
/// Where leaders end.
const LEADERS: f64 = NAMES.0 - SAMPLE - 6.0;

#[derive(Serialize)]
pub(super) struct Name {
    leader: String,
    sample: Sample,
    lines: Vec<Text>,
}

#[derive(Serialize)]
struct Sample {
    x1: String,
    x2: String,
    middle: String,
    y: String,
}

fn lines(curve: &Series) -> Vec<String> {
    broken(&curve.label, LETTERS.0, NAMES.1)
}

fn height(lines: usize) -> f64 {
    LETTERS.1 * lines as f64 + LETTERS.2
}

/// How high the column of names is.
pub(super) fn room(series: &[Series]) -> f64 {
    series.iter().map(|curve| height(lines(curve).len())).sum()
}

/// A name for every curve that is drawn, each as near the end of its curve as the others allow.
pub(super) fn names(
    series: &[Series],
    traces: &[Vec<Vec<(f64, f64)>>],
    (top, bottom): (f64, f64),
) -> Vec<Option<Name>> {
    let end =
        |runs: &Vec<Vec<(f64, f64)>>| runs.iter().flatten().copied().reduce(|a, b| if b.0 >= a.0 { b } else { a });
    let ends: Vec<Option<(f64, f64)>> = traces.iter().map(end).collect();
    let texts: Vec<Vec<String>> = series.iter().map(lines).collect();
    let mut order: Vec<(usize, (f64, f64))> =
        ends.iter().enumerate().filter_map(|(i, end)| Some((i, (*end)?))).collect();
    order.sort_by(|(_, a), (_, b)| a.1.total_cmp(&b.1));
    let wanted: Vec<(f64, f64)> =
        order.iter().map(|(i, (_, y))| (*y, height(texts.get(*i).map_or(1, Vec::len)))).collect();
    let middles = spread(&wanted, top, bottom);
    let mut names: Vec<Option<Name>> = series.iter().map(|_| None).collect();
    for ((index, end), middle) in order.into_iter().zip(middles) {
        let (Some(place), Some(text)) = (names.get_mut(index), texts.get(index)) else { continue };
        *place = Some(name(text, end, middle));
    }
    names
}

fn name(text: &[String], end: (f64, f64), middle: f64) -> Name {
    let bend = PLOT.1.max(end.0) + 8.0;
    let first = middle + 4.0 - LETTERS.1 * (text.len() as f64 - 1.0) / 2.0;
    let points = [(end.0 + 5.0, end.1), (bend, end.1), (LEADERS - 4.0, middle), (LEADERS, middle)];
    Name {
        leader: points.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" "),
        sample: Sample {
            x1: px(LEADERS + 2.0),
            x2: px(NAMES.0 - 4.0),
            middle: px((LEADERS + NAMES.0) / 2.0 - 1.0),
            y: px(middle),
        },
        lines: text
            .iter()
            .enumerate()
            .map(|(i, text)| Text::at(NAMES.0 + 2.0, first + LETTERS.1 * i as f64, text.clone()))
            .collect(),
    }
}

/// Middles for things of given heights, in their order, near where they are wanted, none covering another.
fn spread(wanted: &[(f64, f64)], top: f64, bottom: f64) -> Vec<f64> {
    let mut edge = top;
    let mut middles: Vec<f64> = Vec::new();
    for (middle, height) in wanted {
        let placed = middle.max(edge + height / 2.0);
        edge = placed + height / 2.0;
        middles.push(placed);
    }
    let mut edge = bottom.max(top + wanted.iter().map(|(_, height)| height).sum::<f64>());
    for (placed, (_, height)) in middles.iter_mut().zip(wanted).rev() {
        *placed = placed.min(edge - height / 2.0);
        edge = *placed - height / 2.0;
    }
    middles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_their_order_and_cover_nothing() {
        let wanted: Vec<(f64, f64)> = [10.0, 12.0, 14.0, 95.0, 96.0].map(|y| (y, 20.0)).to_vec();
        let middles = spread(&wanted, 0.0, 100.0);
        assert!(middles.iter().zip(middles.iter().skip(1)).all(|(a, b)| b - a >= 20.0 - 1e-9), "{middles:?}");
        assert!(middles.iter().all(|y| *y >= 10.0 && *y <= 90.0), "{middles:?}");
        assert_eq!(spread(&[(50.0, 20.0)], 0.0, 100.0), [50.0]);
    }
}
