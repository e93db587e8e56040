//! Figures of a weather file's hours: loads by how long they last, and the hottest week.

use crate::facts::{HOURS, POWER};
use crate::home_year::Told;
use crate::hours::Hours;
use mateline_model::quantity::{Duration, Power, Temperature, UnitSystem, Units};
use mateline_model::{Axis, Drawing, Figure, Mark, Series, Subject};
use mateline_weather::stamp;

/// Points of a curve of loads.
const POINTS: usize = 120;
/// Hours of a week.
const WEEK: usize = 168;
/// Rooms are warm above this (°C).
const WARM: f64 = 25.0;
const DAYS: Units = Units::new("d", 1, "d", 1);

/// Loads of heating and cooling, the greatest first, by how many hours of the year ask for as much or more.
pub(crate) fn lasting(held: &[Told], units: UnitSystem) -> Figure {
    let (mut series, mut words) = (Vec::new(), Vec::new());
    let heat = held.iter().map(|told| told.heat).collect::<Vec<f64>>();
    let cool = held.iter().map(|told| told.cool).collect();
    for (label, mut loads) in [("brought in", heat), ("taken out", cool)] {
        loads.retain(|load| *load > 0.0);
        loads.sort_by(|one, other| other.total_cmp(one));
        let Some(most) = loads.first() else { continue };
        let count = loads.len();
        let half = loads.iter().take_while(|load| **load > most / 2.0).count();
        let (most, half) = (
            POWER.show(Power::from_si(*most).into(), units),
            HOURS.show(Duration::from_si(half as f64 * 3_600.0).into(), units),
        );
        words.push(format!("heat {label}: {most} at most, more than half of it for {half}, any for {count} h"));
        let rank = |point: usize| (count - 1) * point / POINTS;
        let mut ranks: Vec<usize> = (0..=POINTS).map(rank).collect();
        ranks.dedup();
        let points = ranks.into_iter().filter_map(|rank| Some(((rank + 1) as f64 * 3_600.0, *loads.get(rank)?)));
        series.push(Series { label: format!("heat {label}"), points: points.collect(), marks: false });
    }
    Figure {
        subject: Subject::home(),
        key: "energy.lasting".into(),
        title: "How long loads last: hours of the year that ask for as much or more".to_owned(),
        alternative: format!("Falling curves. {}.", words.join("; ")),
        drawing: Drawing::Chart {
            x: Axis { label: "hours".to_owned(), units: HOURS, logarithmic: false },
            y: Axis { label: "heat".to_owned(), units: POWER, logarithmic: false },
            series,
            levels: Vec::new(),
        },
    }
}

/// The seven days that are warmest indoors with nothing cooled.
pub(crate) fn hottest_week(hours: &Hours, free: &[Told], units: UnitSystem) -> Option<Figure> {
    let days: Vec<f64> = free.chunks(24).map(|day| day.iter().map(|told| told.operative).sum()).collect();
    let warmest = |best: (usize, f64), (first, week): (usize, &[f64])| {
        let sum: f64 = week.iter().sum();
        if sum > best.1 { (first, sum) } else { best }
    };
    let (day, _) = days.windows(7).enumerate().fold((0, f64::NEG_INFINITY), warmest);
    let first = day * 24;
    let (inside, outside) = (free.get(first..first + WEEK)?, hours.hours.get(first..first + WEEK)?);
    let at = |hour: usize| (hour as f64 + 0.5) * 3_600.0;
    let curve = |label: &str, values: Vec<f64>| Series {
        label: label.to_owned(),
        points: values.into_iter().enumerate().map(|(hour, value)| (at(hour), value)).collect(),
        marks: false,
    };
    let show = |degrees: f64| Units::TEMPERATURE.show(Temperature::from_si(degrees).into(), units);
    let most = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::NEG_INFINITY, f64::max);
    let warm = inside.iter().filter(|told| told.operative > WARM).count();
    let begins = stamp(first);
    let begins = begins.split(' ').next().unwrap_or_default();
    let alternative = format!(
        "Seven days from {begins}. Indoors {} at most, outdoors {}; {warm} of {WEEK} hours are above {}.",
        show(most(&mut inside.iter().map(|told| told.operative))),
        show(most(&mut outside.iter().map(|of| of.air))),
        show(WARM),
    );
    Some(Figure {
        subject: Subject::home(),
        key: "energy.hottest_week".into(),
        title: format!("The hottest week indoors, from {begins}, with nothing cooled"),
        alternative,
        drawing: Drawing::Chart {
            x: Axis { label: "days".to_owned(), units: DAYS, logarithmic: false },
            y: Axis { label: "temperature".to_owned(), units: Units::TEMPERATURE, logarithmic: false },
            series: vec![
                curve("indoors, as people feel it", inside.iter().map(|told| told.operative).collect()),
                curve("outdoors", outside.iter().map(|of| of.air).collect()),
            ],
            levels: vec![Mark { label: show(WARM), value: WARM }],
        },
    })
}
