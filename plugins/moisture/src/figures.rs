//! Figures of an assembly: temperature and vapour pressure through its layers in the month that matters, and the water it
//! holds month by month.

use crate::climate::Climate;
use crate::conditions::name;
use crate::facts::{VAPOUR, WATER};
use crate::interstitial::Outcome;
use crate::layers::Layers;
use crate::year::MonthOfYear;
use mateline_model::quantity::{Units, number};
use mateline_model::{Axis, Bar, Drawing, Figure, Series, Subject};

/// A place across the assembly.
const ACROSS: Units = Units::new("mm", 0, "in", 1);

/// Every figure of an assembly.
pub(crate) fn of(subject: &Subject, layers: &Layers<'_>, climate: &Climate, outcome: &Outcome) -> Vec<Figure> {
    let mut figures = Vec::new();
    if let Some(month) = month_that_matters(outcome, climate, layers) {
        figures.push(temperature(subject, layers, climate, outcome, month));
        figures.push(pressure(subject, layers, outcome, month));
    }
    if outcome.year.peak() > 0.0 {
        figures.push(water(subject, outcome));
    }
    figures
}

/// The month in which most condenses, or the coldest.
fn month_that_matters<'a>(outcome: &'a Outcome, climate: &Climate, layers: &Layers<'_>) -> Option<&'a MonthOfYear> {
    let months = &outcome.year.months;
    let gained = |month: &MonthOfYear| month.change.iter().filter(|change| **change > 0.0).sum::<f64>();
    let wettest = months.iter().filter(|month| month.condenses()).max_by(|a, b| gained(a).total_cmp(&gained(b)));
    let year = climate.towards(layers.boundary);
    let outside = |month: &MonthOfYear| year.get(month.month).map_or(f64::MAX, |one| one.outside.temperature.si());
    let inside = |month: &MonthOfYear| climate.outdoors.get(month.month).map_or(0.0, |air| air.temperature.si());
    // The ground is equally cold all year; there the coldest month outdoors counts.
    let coldest = months.iter().min_by(|a, b| outside(a).total_cmp(&outside(b)).then(inside(a).total_cmp(&inside(b))));
    wettest.or(coldest)
}

/// Places of the planes across the assembly (m): by thickness within each layer.
fn places(layers: &Layers<'_>, outcome: &Outcome) -> Vec<f64> {
    let planes = outcome.diagram.planes();
    let mut counts = vec![0_usize; layers.layers.len()];
    let outer_layer = |plane: usize| {
        if plane + 1 == planes { None } else { outcome.diagram.layers_at(plane).map(|(_, outer)| outer).or(Some(0)) }
    };
    for plane in 0..planes {
        if let Some(count) = outer_layer(plane).and_then(|layer| counts.get_mut(layer)) {
            *count += 1;
        }
    }
    let mut at = 0.0;
    let mut places = vec![0.0];
    for (layer, count) in layers.layers.iter().zip(counts) {
        for _ in 0..count {
            at += layer.thickness / count as f64;
            places.push(at);
        }
    }
    places
}

fn axis() -> Axis {
    Axis { label: "depth from the inner surface".to_owned(), units: ACROSS, logarithmic: false }
}

fn series(label: &str, places: &[f64], values: &[f64]) -> Series {
    Series {
        label: label.to_owned(),
        points: places.iter().copied().zip(values.iter().copied()).collect(),
        marks: false,
    }
}

/// Values where two layers meet, as points on a curve.
fn joints(places: &[f64], values: &[f64], outcome: &Outcome) -> Series {
    let meets = |plane: usize| outcome.diagram.layers_at(plane).is_some_and(|(inner, outer)| inner != outer);
    let points = places.iter().copied().zip(values.iter().copied()).enumerate();
    Series {
        label: "where layers meet".to_owned(),
        points: points.filter(|(plane, _)| meets(*plane)).map(|(_, point)| point).collect(),
        marks: true,
    }
}

fn in_order(layers: &Layers<'_>) -> String {
    layers.layers.iter().map(|layer| layer.name).collect::<Vec<_>>().join(", ")
}

fn temperature(
    subject: &Subject,
    layers: &Layers<'_>,
    climate: &Climate,
    outcome: &Outcome,
    month: &MonthOfYear,
) -> Figure {
    let places = places(layers, outcome);
    let temperatures = &month.profile.temperatures;
    let air = climate.towards(layers.boundary).get(month.month);
    let (inside, outside) = air.map_or((0.0, 0.0), |air| (air.inside.temperature.si(), air.outside.temperature.si()));
    let ends = (temperatures.first().copied().unwrap_or(inside), temperatures.last().copied().unwrap_or(outside));
    Figure {
        subject: subject.clone(),
        key: "moisture.temperature".into(),
        title: format!("Temperature through {}, {}", subject.id(), name(month.month)),
        alternative: format!(
            "Temperature from {} °C on the inner surface to {} °C on the outer one, with {} °C inside and {} °C outside. \
             Layers from inside: {}.",
            number(ends.0, 1),
            number(ends.1, 1),
            number(inside, 1),
            number(outside, 1),
            in_order(layers)
        ),
        drawing: Drawing::Chart {
            x: axis(),
            y: Axis { label: "temperature".to_owned(), units: Units::TEMPERATURE, logarithmic: false },
            series: vec![series("temperature", &places, temperatures), joints(&places, temperatures, outcome)],
            levels: Vec::new(),
        },
    }
}

fn pressure(subject: &Subject, layers: &Layers<'_>, outcome: &Outcome, month: &MonthOfYear) -> Figure {
    let places = places(layers, outcome);
    let profile = &month.profile;
    let said = match (&outcome.place, month.condenses()) {
        (Some(place), true) => format!("The two meet, and water settles, {place}."),
        (Some(place), false) => format!("Water lies {place} from the months before."),
        (None, _) => "The two do not meet: no water settles.".to_owned(),
    };
    let mut curves = vec![
        series("saturation pressure", &places, &profile.saturation),
        series("vapour pressure", &places, &profile.vapour),
        joints(&places, &profile.saturation, outcome),
    ];
    let wet: Vec<(f64, f64)> = places
        .iter()
        .zip(&profile.vapour)
        .zip(&month.water)
        .filter(|(_, held)| **held > 0.0)
        .map(|((place, pressure), _)| (*place, *pressure))
        .collect();
    if !wet.is_empty() {
        curves.push(Series { label: "water at the month's end".to_owned(), points: wet, marks: true });
    }
    Figure {
        subject: subject.clone(),
        key: "moisture.vapour-pressure".into(),
        title: format!("Vapour pressure through {}, {}", subject.id(), name(month.month)),
        alternative: format!(
            "Vapour pressure below saturation pressure from inside to outside. {said} Layers from inside: {}.",
            in_order(layers)
        ),
        drawing: Drawing::Chart {
            x: axis(),
            y: Axis { label: "pressure".to_owned(), units: VAPOUR, logarithmic: false },
            series: curves,
            levels: Vec::new(),
        },
    }
}

/// What is held at each month's end.
fn water(subject: &Subject, outcome: &Outcome) -> Figure {
    let rows = outcome.year.months.iter().map(|month| Bar {
        label: name(month.month).to_owned(),
        low: None,
        value: month.total(),
        high: None,
        group: String::new(),
    });
    let peak = outcome.year.peak_month().map_or("", |month| name(month.month));
    let left = outcome.year.residual();
    let end = if left > 0.0 {
        format!("{left:.3} kg/m² is left after the year")
    } else {
        "it dries within the year".to_owned()
    };
    Figure {
        subject: subject.clone(),
        key: "moisture.water".into(),
        title: format!("Condensed water in {}, month by month", subject.id()),
        alternative: format!(
            "Water at each month's end, most {:.3} kg/m² in {peak}, {}; {end}.",
            outcome.year.peak(),
            outcome.place.as_deref().unwrap_or("nowhere")
        ),
        drawing: Drawing::Bars { units: WATER, rows: rows.collect(), targets: Vec::new(), total: None },
    }
}
