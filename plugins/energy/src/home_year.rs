//! A home, or a zone of it, through the hours of a year.
//!
//! Each mean day is repeated until it closes; the hours of a weather file follow one another, after a month in which the home
//! warms up. A run holds what people feel between two temperatures.
//!
//! Source: ISO 52016-1:2017, 6.5 (from memory, high).

use crate::elements::{Arrival, OUTER_GLOW, Outside, State, Zone};
use crate::gathered::Conditions;
use crate::hours::Hours;
use crate::months::{Climate, duration};
use crate::sun::{COLOUR, SKY};
use crate::touching::Touching;
use crate::zone_model::{Behind, Model};
use std::ops::Range;

/// A day is repeated at most so often; it closes sooner.
const MOST_DAYS: usize = 60;
/// So near to its beginning a day has closed (K).
const CLOSED: f64 = 0.01;
/// Hours of the end of the year that go before its beginning.
const WARM_UP: usize = 30 * 24;
/// Rooms are warm above this (°C): the passive-building criteria count hours above it (looked up).
const WARM: f64 = 25.0;
/// Blinds are drawn where rooms are warmer (°C) and more sun falls on the window (W/m²). Common practice, no source.
const BLINDS: (f64, f64) = (23.0, 150.0);
/// Night air is let in where rooms are warmer (°C). Common practice, no source, here and for the next two.
const ROOMS_WARM: f64 = 22.0;
/// It is not let in where outdoors is colder (°C).
const NIGHT_MILD: f64 = 12.0;
/// Nor where outdoors is not so much cooler than the rooms (K).
const NIGHT_COOLER: f64 = 2.0;
/// Share of what people are used to that a day leaves.
const KEPT: f64 = 0.8;

/// The year's hours in the home.
pub(crate) struct Year<'a> {
    conditions: Conditions<'a>,
    model: &'a Model,
    hours: &'a Hours,
    /// The ground under the home, month by month (°C).
    ground: [f64; 12],
}

/// The year as it was held between winter and summer, for all that follows from its hours.
pub(crate) struct HeldYear {
    pub hours: Hours,
    pub held: Vec<Told>,
    /// What each solar array gives in each hour (W).
    pub solar: Vec<Vec<f64>>,
}

impl HeldYear {
    /// What all solar arrays give in an hour (W).
    pub(crate) fn solar_at(&self, hour: usize) -> f64 {
        self.solar.iter().filter_map(|array| array.get(hour)).sum()
    }
}

/// An hour of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Told {
    /// Heat brought in (W).
    pub heat: f64,
    /// Heat taken out (W).
    pub cool: f64,
    /// What people feel (°C).
    pub operative: f64,
}

/// What a run of the year tells, in hours and Wh.
#[derive(Default)]
pub(crate) struct Run {
    pub heat: f64,
    pub cool: f64,
    pub hottest: f64,
    pub warm: f64,
    pub beyond: f64,
}

impl<'a> Year<'a> {
    pub(crate) fn of(conditions: Conditions<'a>, model: &'a Model, hours: &'a Hours) -> Year<'a> {
        let mut ground = [0.0; 12];
        for (month, place) in ground.iter_mut().enumerate() {
            let time = duration(month);
            let (into, _) = conditions.shell.below(conditions.climate, conditions.winter, month, time);
            *place = match conditions.shell.ground.si() > 0.0 {
                true => conditions.winter.si() - into.si() / time.si() / conditions.shell.ground.si(),
                false => conditions.climate.temperatures.get(month).map_or(0.0, |mean| mean.si()),
            };
        }
        Year { conditions, model, hours, ground }
    }

    /// What an hour brings.
    fn brings(&self, hour: usize, felt: f64, arrival: &mut Arrival) {
        let Some(of) = self.hours.hours.get(hour) else { return };
        let on = self.hours.on(hour);
        let flux = |view: usize| on.get(view).copied().unwrap_or_default();
        let ground = self.ground.get(of.month).copied().unwrap_or_default();
        arrival.outside.clear();
        arrival.outside.extend(self.model.behind.iter().map(|behind| match behind {
            Behind::Ground => Outside { temperature: ground, taken_up: 0.0 },
            Behind::Outdoors(None, _) => Outside { temperature: of.air, taken_up: 0.0 },
            Behind::Outdoors(Some(view), sky) => {
                Outside { temperature: of.air, taken_up: COLOUR * flux(*view) - sky * OUTER_GLOW * SKY }
            }
        }));
        arrival.supply = of.air;
        arrival.internal = self.conditions.internal;
        let through = |(view, area, blind): &(usize, f64, f64)| {
            let sun = flux(*view);
            area * sun * if felt > BLINDS.0 && sun > BLINDS.1 { *blind } else { 1.0 }
        };
        arrival.solar = self.model.glass.iter().map(through).sum();
    }

    /// The year of the home as one zone, held between two temperatures: hour by hour in the order of [`Hours`]. The second
    /// zone is the first while night air is let in.
    pub(crate) fn run(&self, [zone, airy]: [&Zone; 2], low: f64, high: f64) -> Vec<Told> {
        let mut alone = Touching::new(1, Vec::new());
        through(&[(self, [zone, airy])], &mut alone, low, high).pop().unwrap_or_default()
    }
}

/// The year of zones that touch, each with its own [`Year`] of the same hours.
pub(crate) fn through(
    parts: &[(&Year<'_>, [&Zone; 2])],
    touching: &mut Touching,
    low: f64,
    high: f64,
) -> Vec<Vec<Told>> {
    let Some(((first, _), count)) = parts.first().map(|first| (first, parts.len())) else { return Vec::new() };
    let hours = first.hours;
    let length = hours.hours.len();
    let mut states: Vec<State> = parts.iter().map(|(_, [zone, _])| zone.state(low)).collect();
    let mut arrivals = vec![Arrival::default(); count];
    let mut chosen: Vec<&Zone> = parts.iter().map(|(_, [zone, _])| *zone).collect();
    let mut told = vec![vec![Told::default(); length]; count];
    let mut pass = |states: &mut [State], hours: Range<usize>, told: &mut [Vec<Told>]| {
        for hour in hours {
            let each = parts.iter().zip(&*states).zip(&mut arrivals).zip(&mut chosen);
            for ((((year, [zone, airy]), state), arrival), chosen) in each {
                let felt = state.operative();
                year.brings(hour, felt, arrival);
                let lets_in = felt > ROOMS_WARM && arrival.supply > NIGHT_MILD && arrival.supply < felt - NIGHT_COOLER;
                *chosen = if lets_in { airy } else { zone };
            }
            touching.hour(&chosen, states, &arrivals, low, high);
            for (state, told) in states.iter().zip(&mut *told) {
                if let Some(place) = told.get_mut(hour) {
                    let (heat, cool) = (state.heat.max(0.0), (-state.heat).max(0.0));
                    *place = Told { heat, cool, operative: state.operative() };
                }
            }
        }
    };
    if hours.is_file {
        pass(&mut states, length.saturating_sub(WARM_UP)..length, &mut []);
        pass(&mut states, 0..length, &mut told);
        return told;
    }
    for first in (0..length).step_by(24) {
        for _ in 0..MOST_DAYS {
            let begun = states.clone();
            pass(&mut states, first..first + 24, &mut told);
            if begun.iter().zip(&states).all(|(begun, state)| begun.apart(state) < CLOSED) {
                break;
            }
        }
    }
    told
}

/// Sums over a run.
pub(crate) fn sums(climate: &Climate, hours: &Hours, told: &[Told]) -> Run {
    let mut run = Run { hottest: f64::NEG_INFINITY, ..Run::default() };
    let accepted = accepted(climate, hours);
    for ((hour, of), accepted) in told.iter().zip(&hours.hours).zip(accepted) {
        run.heat += hour.heat * of.count;
        run.cool += hour.cool * of.count;
        run.hottest = run.hottest.max(hour.operative);
        run.warm += if hour.operative > WARM { of.count } else { 0.0 };
        run.beyond += if hour.operative > accepted { of.count } else { 0.0 };
    }
    run
}

/// The warmest that four people in five accept in each hour (°C): by the running mean of the days before, or by the month.
fn accepted(climate: &Climate, hours: &Hours) -> Vec<f64> {
    let upper = |outdoors: f64| 0.31 * outdoors.clamp(10.0, 33.5) + 17.8 + 3.5;
    if !hours.is_file {
        let mean = |month: usize| climate.temperatures.get(month).map_or(0.0, |one| one.si());
        return hours.hours.iter().map(|hour| upper(mean(hour.month))).collect();
    }
    let air: Vec<f64> = hours.hours.iter().map(|hour| hour.air).collect();
    running_means(&air).into_iter().flat_map(|mean| [upper(mean); 24]).collect()
}

/// What people are used to on each day: the mean of the days before, each counting 0.8 of the next (°C). The year is taken to
/// follow on itself. Source: ASHRAE 55 and EN 16798-1 (from memory, high).
fn running_means(air: &[f64]) -> Vec<f64> {
    let days: Vec<f64> = air.chunks(24).map(|day| day.iter().sum::<f64>() / day.len() as f64).collect();
    let mut mean = days.iter().rev().take(60).rev().fold(0.0, |mean, day| KEPT * mean + (1.0 - KEPT) * day);
    days.iter()
        .map(|day| {
            let before = mean;
            mean = KEPT * mean + (1.0 - KEPT) * day;
            before
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A steady year is what people are used to; a day of another kind counts a fifth on the next day and less after it.
    #[test]
    fn running_means_follow_the_days_before() {
        let mut air = vec![10.0; 365 * 24];
        air[100 * 24..101 * 24].fill(20.0);
        let means = running_means(&air);
        assert!((means[0] - 10.0).abs() < 1e-4 && (means[100] - 10.0).abs() < 1e-9);
        assert!((means[101] - 12.0).abs() < 1e-9 && (means[102] - 11.6).abs() < 1e-9);
    }
}
