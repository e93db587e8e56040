//! Carbon dioxide in every bedroom through a night: one chart for ordinary operation, one with the main unit off.

use super::{listed, words};
use crate::curves::Co2Curve;
use crate::facts::PPM;
use crate::night::{STEP, peak, time_above};
use mateline_model::quantity::{Duration, Quantity, UnitSystem, Units, number};
use mateline_model::{Axis, Drawing, Figure, Mark, Series, Subject};

/// Time along the axis.
const HOURS: Units = Units::new("h", 0, "h", 0);
/// What stands beside the level: no code asks for it.
const ADVICE: &str = "advice";
/// Steps between two points of a curve (s).
const BETWEEN: f64 = 10.0 * STEP;

/// The charts that there are curves for, against the lowest level that a pack sets.
pub(super) fn figures(curves: &[Co2Curve], level: Option<f64>) -> Vec<Figure> {
    let (ordinary, off): (Vec<&Co2Curve>, Vec<&Co2Curve>) = curves.iter().partition(|curve| !curve.unit_off);
    // Where no main unit runs, nothing changes without it.
    let same = ordinary.len() == off.len() && ordinary.iter().zip(&off).all(|(a, b)| a.points == b.points);
    let off = if same { Vec::new() } else { off };
    [(ordinary, "in ordinary operation"), (off, "with the main unit off")]
        .into_iter()
        .filter(|(curves, _)| !curves.is_empty())
        .map(|(curves, how)| figure(&curves, how, level))
        .collect()
}

fn figure(curves: &[&Co2Curve], how: &str, level: Option<f64>) -> Figure {
    Figure {
        subject: subject(curves),
        key: "ventilation.bedroom-co2".into(),
        title: format!("Carbon dioxide in bedrooms through the night, doors shut, {how}"),
        alternative: in_words(curves, level),
        drawing: Drawing::Chart {
            x: Axis { label: "time in bed".to_owned(), units: HOURS, logarithmic: false },
            y: Axis { label: "carbon dioxide".to_owned(), units: PPM, logarithmic: false },
            series: curves.iter().map(|curve| series(curve)).collect(),
            levels: level.into_iter().map(|value| Mark { label: ADVICE.to_owned(), value }).collect(),
        },
    }
}

/// The bedroom, or the rooms where there are several.
fn subject(curves: &[&Co2Curve]) -> Subject {
    match curves {
        [one] => Subject::element("spaces", &one.space),
        _ => Subject::element("spaces", "bedrooms"),
    }
}

fn series(curve: &Co2Curve) -> Series {
    let points = curve.points.iter().map(|(hours, ppm)| (hours * 3600.0, ppm * 1e-6)).collect();
    Series { label: words(&curve.space), points, marks: false }
}

fn in_words(curves: &[&Co2Curve], level: Option<f64>) -> String {
    let rooms = curves.iter().map(|curve| {
        let series: Vec<f64> = curve.points.iter().map(|(_, ppm)| ppm * 1e-6).collect();
        let high = PPM.show(Quantity::plain(peak(&series)), UnitSystem::Si);
        let above = match level.map(|level| Duration::from_si(time_above(&series, BETWEEN, level))) {
            Some(above) if above.si() > 0.0 => format!(", above it for {} h", number(above.si() / 3600.0, 1)),
            Some(_) => ", never above it".to_owned(),
            None => String::new(),
        };
        format!("{}, at most {high}{above}", words(&curve.space))
    });
    let against = level.map(|level| PPM.show(Quantity::plain(level), UnitSystem::Si));
    let against = against.map_or_else(String::new, |level| format!(" against {level}, a level of advice"));
    format!("Eight hours in bed{against}: {}.", listed(rooms.collect()))
}
