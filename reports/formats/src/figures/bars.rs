//! Amounts as horizontal bars: what each is, a bar with a whisker from the low to the high end, and its numbers beside
//! it. Kinds are told apart by hatching; amounts to compare with are upright lines with their names above.

use super::measure::{Measure, drawable};
use super::scale::Scale;
use super::shapes::{About, Outline, TextLine};
use super::{Rect, broken, clipped, px, text_width};
use mateline_model::quantity::{UnitSystem, Units};
use mateline_model::{Bar, Figure, Mark};
use serde::Serialize;
use std::collections::BTreeMap;

/// Width of the sheet.
const WIDTH: f64 = 760.0;
/// Left and right edges of the bars.
const PLOT: (f64, f64) = (236.0, 566.0);
/// Right edge of the numbers.
const RIGHT: f64 = 748.0;
/// Width of the names.
const NAMES: f64 = 206.0;
/// Height of a row with one line of text, and of each further line.
const ROW: (f64, f64) = (23.0, 13.0);
/// Height of a line with the name of a target.
const TARGET: f64 = 18.0;
/// Ways of hatching in the template; further kinds share the last.
const HATCHES: usize = 6;
/// Most rows drawn, and most targets.
const MOST: (usize, usize) = (120, 8);

#[derive(Serialize)]
pub(super) struct View {
    #[serde(flatten)]
    about: About,
    unit: String,
    has_spread: bool,
    head: String,
    top: String,
    bottom: String,
    zero: String,
    ticks: Vec<Tick>,
    tick_text: String,
    rows: Vec<Row>,
    total_line: Option<String>,
    targets: Vec<Target>,
    key: Vec<Key>,
    left_out: Option<TextLine>,
}

#[derive(Serialize)]
struct Tick {
    x: String,
    text: String,
}

#[derive(Serialize)]
struct Row {
    name: Vec<TextLine>,
    base: String,
    value: String,
    spread: Option<String>,
    hatch: usize,
    bar: Option<Outline>,
    whisker: Option<Whisker>,
    is_total: bool,
}

#[derive(Serialize)]
struct Whisker {
    low: String,
    high: String,
    y: String,
}

#[derive(Serialize)]
struct Target {
    x: String,
    from: String,
    text: String,
    anchor: &'static str,
    text_x: String,
    text_y: String,
    halo: Outline,
}

#[derive(Serialize)]
struct Key {
    x: String,
    text_x: String,
    y: String,
    text_y: String,
    hatch: usize,
    text: String,
}

pub(super) fn view(
    figure: &Figure,
    id: &str,
    units: &Units,
    rows: &[Bar],
    targets: &[Mark],
    total: Option<&Bar>,
    system: UnitSystem,
) -> View {
    let measure = Measure::new(units, system);
    let drawn: Vec<&Bar> = rows.iter().take(MOST.0).collect();
    let mut targets: Vec<&Mark> =
        targets.iter().filter(|target| drawable(target.value).is_some()).take(MOST.1).collect();
    targets.sort_by(|a, b| a.value.total_cmp(&b.value));
    let amounts = drawn.iter().copied().chain(total).flat_map(|bar| [Some(bar.value), bar.low, bar.high]).flatten();
    let values: Vec<f64> = amounts.chain(targets.iter().map(|target| target.value)).filter_map(drawable).collect();
    let values: Vec<f64> = values.into_iter().chain([0.0]).map(|value| measure.shown(value)).collect();
    let scale = Scale::even(&values, 5.0, PLOT);
    let groups = groups(&drawn);

    let head = 16.0;
    let top = head + 12.0 + TARGET * targets.len() as f64;
    let mut y = top + 4.0;
    let mut views = Vec::new();
    for bar in &drawn {
        views.push(row(bar, false, &mut y, &measure, &scale, &groups));
    }
    let total_line = total.map(|_| px(y + 3.0));
    if let Some(total) = total {
        y += 6.0;
        views.push(row(total, true, &mut y, &measure, &scale, &groups));
    }
    let bottom = y + 4.0;
    let (key, end) = key(&groups, bottom + 46.0);
    let left_out = rows.len() - drawn.len();
    View {
        about: About::new(figure, id, WIDTH, end + if left_out > 0 { 20.0 } else { 0.0 }),
        unit: clipped(&measure.title(""), 10.5, 200.0),
        has_spread: views.iter().any(|row| row.spread.is_some()),
        head: px(head),
        top: px(top),
        bottom: px(bottom),
        zero: px(scale.at(measure.shown(0.0))),
        ticks: scale.ticks.iter().map(|(value, text)| Tick { x: px(scale.at(*value)), text: text.clone() }).collect(),
        tick_text: px(bottom + 15.0),
        rows: views,
        total_line,
        targets: targets
            .iter()
            .enumerate()
            .map(|(index, target)| {
                // Only the first name shares its height with the heads of the numbers.
                let right = if index == 0 { PLOT.1 + 4.0 } else { RIGHT };
                mark(target, head + TARGET * index as f64, right, &measure, &scale)
            })
            .collect(),
        key,
        left_out: (left_out > 0).then(|| TextLine { y: px(end + 8.0), text: format!("{left_out} more are not drawn") }),
    }
}

/// The kinds, each with its hatching, in the order in which they first appear.
fn groups<'a>(bars: &[&'a Bar]) -> BTreeMap<&'a str, usize> {
    let mut groups = BTreeMap::new();
    for bar in bars.iter().filter(|bar| !bar.group.is_empty()) {
        let next = groups.len().min(HATCHES - 1);
        groups.entry(bar.group.as_str()).or_insert(next);
    }
    groups
}

fn row(
    bar: &Bar,
    is_total: bool,
    y: &mut f64,
    measure: &Measure<'_>,
    scale: &Scale,
    groups: &BTreeMap<&str, usize>,
) -> Row {
    let lines = broken(&bar.label, if is_total { 13.0 } else { 12.0 }, NAMES);
    let height = ROW.0 + ROW.1 * (lines.len() - 1) as f64;
    let middle = *y + height / 2.0;
    let first = middle + 4.0 - ROW.1 * (lines.len() - 1) as f64 / 2.0;
    *y += height;
    let at = |value: f64| drawable(value).map(|value| scale.at(measure.shown(value)));
    let zero = scale.at(measure.shown(0.0));
    let outline =
        |end: f64| Outline { x: px(zero.min(end)), y: px(middle - 6.5), w: px((end - zero).abs()), h: px(13.0) };
    let ends = (bar.low.and_then(drawable), bar.high.and_then(drawable));
    let spread = match ends {
        (Some(low), Some(high)) => Some((low.min(high), low.max(high))),
        (Some(low), None) => Some((low, bar.value.max(low))),
        (None, Some(high)) => Some((bar.value.min(high), high)),
        (None, None) => None,
    };
    Row {
        name: lines
            .into_iter()
            .enumerate()
            .map(|(i, text)| TextLine { y: px(first + ROW.1 * i as f64), text })
            .collect(),
        base: px(middle + 4.0),
        value: clipped(&measure.number(bar.value), 12.0, 72.0),
        spread: match ends {
            (Some(low), Some(high)) => Some(format!("{} to {}", measure.number(low), measure.number(high))),
            (Some(low), None) => Some(format!("from {}", measure.number(low))),
            (None, Some(high)) => Some(format!("to {}", measure.number(high))),
            (None, None) => None,
        }
        .map(|text| clipped(&text, 11.0, 102.0)),
        hatch: groups.get(bar.group.as_str()).copied().unwrap_or(if is_total { 2 } else { 0 }),
        bar: at(bar.value).map(outline),
        whisker: spread.and_then(|(low, high)| Some((at(low)?, at(high)?))).map(|(low, high)| Whisker {
            low: px(low),
            high: px(high),
            y: px(middle),
        }),
        is_total,
    }
}

/// A target's line with its name, to the right of it where there is room up to `right`.
fn mark(target: &Mark, y: f64, right: f64, measure: &Measure<'_>, scale: &Scale) -> Target {
    let value = measure.text(target.value);
    let room = PLOT.1 - PLOT.0 - text_width(&value, 11.0) - 20.0;
    let name = clipped(&target.label, 11.0, room.max(60.0));
    let text = if name.trim().is_empty() { value } else { format!("{name}: {value}") };
    let width = text_width(&text, 11.0) + 6.0;
    let x = scale.at(measure.shown(target.value));
    let left = match x {
        x if x + 3.0 + width <= right => x + 3.0,
        x if x - 3.0 - width >= PLOT.0 - 4.0 => x - 3.0 - width,
        _ => PLOT.1 + 4.0 - width,
    };
    let halo = Rect { x: left, y: y - 11.0, w: width, h: TARGET - 3.0 };
    Target {
        x: px(x),
        from: px(y - 9.0),
        text,
        anchor: if left < x { "end" } else { "start" },
        text_x: px(if left < x { left + width - 3.0 } else { left + 3.0 }),
        text_y: px(y),
        halo: halo.into(),
    }
}

/// What the hatchings mean, and where the sheet ends below them.
fn key(groups: &BTreeMap<&str, usize>, y: f64) -> (Vec<Key>, f64) {
    let mut entries: Vec<(usize, String)> = Vec::new();
    for (name, hatch) in groups {
        match entries.iter_mut().find(|(known, _)| known == hatch) {
            Some((_, text)) => *text = "others".to_owned(),
            None => entries.push((*hatch, clipped(name, 11.0, 160.0))),
        }
    }
    entries.sort_by_key(|(hatch, _)| *hatch);
    let (mut x, mut y) = (PLOT.0, y);
    let mut key = Vec::new();
    let is_empty = entries.is_empty();
    for (hatch, text) in entries {
        let width = 34.0 + text_width(&text, 11.0) + 20.0;
        if x + width > WIDTH && x > PLOT.0 {
            x = PLOT.0;
            y += 20.0;
        }
        key.push(Key { x: px(x), text_x: px(x + 34.0), y: px(y - 10.0), text_y: px(y), hatch, text });
        x += width;
    }
    (key, if is_empty { y - 20.0 } else { y + 12.0 })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    static PLAIN: Units = Units::plain(1);

    fn bar(group: &str, low: Option<f64>, value: f64, high: Option<f64>) -> Bar {
        Bar { label: "b".to_owned(), low, value, high, group: group.to_owned() }
    }

    #[test]
    fn bars_and_whiskers_stand_to_scale() {
        let measure = Measure::new(&PLAIN, UnitSystem::Si);
        let scale = Scale::even(&[0.0, 10.0], 5.0, PLOT);
        let mut y = 0.0;
        let row = row(&bar("", Some(2.0), 4.0, Some(6.0)), false, &mut y, &measure, &scale, &BTreeMap::new());
        assert_eq!(row.bar.map(|bar| (bar.x, bar.w)), Some(("236".to_owned(), "132".to_owned())));
        assert_eq!(row.whisker.map(|line| (line.low, line.high)), Some(("302".to_owned(), "434".to_owned())));
        assert_eq!((row.value.as_str(), row.spread.as_deref()), ("4.0", Some("2.0 to 6.0")));
        assert_eq!(y, ROW.0);
    }

    #[test]
    fn an_amount_that_is_no_number_has_no_bar() {
        let measure = Measure::new(&PLAIN, UnitSystem::Si);
        let scale = Scale::even(&[0.0], 5.0, PLOT);
        let bad = bar("", Some(f64::NAN), f64::NAN, Some(f64::INFINITY));
        let row = row(&bad, false, &mut 0.0, &measure, &scale, &BTreeMap::new());
        assert!(row.bar.is_none() && row.whisker.is_none() && row.spread.is_none());
        assert_eq!(row.value, "not known");
    }

    #[test]
    fn kinds_are_hatched_in_their_order_and_the_last_hatching_is_shared() {
        let bars: Vec<Bar> = ["site", "factory", "site", "c", "d", "e", "f", "g", "h"]
            .map(|group| bar(group, None, 1.0, None))
            .into_iter()
            .collect();
        let groups = groups(&bars.iter().collect::<Vec<_>>());
        assert_eq!((groups.get("site"), groups.get("factory"), groups.get("h")), (Some(&0), Some(&1), Some(&5)));
        let (key, _) = key(&groups, 0.0);
        let texts: Vec<&str> = key.iter().map(|entry| entry.text.as_str()).collect();
        assert_eq!(texts, ["site", "factory", "c", "d", "e", "others"]);
    }

    #[test]
    fn the_name_of_a_target_stays_over_the_bars() {
        let measure = Measure::new(&PLAIN, UnitSystem::Si);
        let scale = Scale::even(&[0.0, 10.0], 5.0, PLOT);
        for value in [0.0, 5.0, 9.9] {
            for label in ["", "programme", "the target of a programme with a very long name that goes on"] {
                for right in [PLOT.1 + 4.0, RIGHT] {
                    let target = mark(&Mark { label: label.to_owned(), value }, 16.0, right, &measure, &scale);
                    let (x, w): (f64, f64) = (target.halo.x.parse().unwrap(), target.halo.w.parse().unwrap());
                    assert!(x >= PLOT.0 - 8.0 && x + w <= right + 4.0, "{value} {label}: {x} {w}");
                }
            }
        }
    }

    #[test]
    fn the_name_of_a_target_begins_or_ends_at_its_line() {
        let measure = Measure::new(&PLAIN, UnitSystem::Si);
        let scale = Scale::even(&[0.0, 10.0], 5.0, PLOT);
        let label = "a target with a long name".to_owned();
        for (value, anchor) in [(1.0, "start"), (9.9, "end")] {
            let target = mark(&Mark { label: label.clone(), value }, 16.0, PLOT.1 + 4.0, &measure, &scale);
            assert_eq!(target.anchor, anchor);
            let (text, line): (f64, f64) = (target.text_x.parse().unwrap(), target.x.parse().unwrap());
            assert!(((text - line).abs() - 6.0).abs() < 0.02, "{text} {line}");
        }
    }
}
