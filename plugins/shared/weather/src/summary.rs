//! What a year of weather says of a site.

use crate::sky::{Facing, Light, Plane};
use crate::sun::{Sun, outside};
use crate::year::{DAYS, HOURS, WeatherYear, month_of};
use std::f64::consts::{FRAC_PI_2, PI};

/// Base of heating degree-days: 65 °F (°C).
const BASE: f64 = 55.0 / 3.0;

/// A month's means.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MonthMeans {
    /// Air (°C).
    pub temperature: f64,
    /// Relative humidity (0 to 1), where the file tells it.
    pub humidity: Option<f64>,
    /// On the level (W/m²).
    pub radiation: f64,
}

impl MonthMeans {
    /// Means of each month of a year.
    pub fn of(year: &WeatherYear) -> [MonthMeans; 12] {
        let mut months = [MonthMeans::default(); 12];
        let mut humid = [0.0; 12];
        let complete = year.hours.iter().all(|hour| hour.humidity.is_some());
        for (number, hour) in year.hours.iter().enumerate() {
            let month = month_of(number);
            if let (Some(means), Some(humid)) = (months.get_mut(month), humid.get_mut(month)) {
                means.temperature += hour.temperature;
                means.radiation += hour.radiation.global;
                *humid += hour.humidity.unwrap_or_default();
            }
        }
        for ((means, humid), days) in months.iter_mut().zip(humid).zip(DAYS) {
            let hours = f64::from(days) * 24.0;
            means.temperature /= hours;
            means.radiation /= hours;
            means.humidity = complete.then_some(humid / hours);
        }
        months
    }
}

/// What the site block and its notes are made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// January to December.
    pub months: [MonthMeans; 12],
    /// Air that 99 % of the hours are above (°C).
    pub heating: f64,
    /// Air that 1 % of the hours are above (°C).
    pub cooling: f64,
    /// Degree-days by means of days (K·d).
    pub degree_days: f64,
    /// Mean of the year, which the ground holds (°C).
    pub mean: f64,
    /// Sun and sky of the year on walls to the south, west, north and east, with a sky that is brighter around the sun
    /// (kWh/m²).
    pub walls: [f64; 4],
}

impl Summary {
    /// Of a year.
    pub fn of(year: &WeatherYear) -> Summary {
        let mut walls = [0.0; 4];
        let planes = [0.0, FRAC_PI_2, PI, -FRAC_PI_2].map(|azimuth| Facing::of(Plane { tilt: FRAC_PI_2, azimuth }));
        for (number, hour) in year.hours.iter().enumerate() {
            let sun = Sun::at(&year.place, number as f64 + 0.5);
            if hour.radiation.global > 0.0 {
                let light = Light::of(&hour.radiation, sun, outside((number / 24) as f64 + 1.0));
                for (sum, plane) in walls.iter_mut().zip(&planes) {
                    *sum += light.on(plane).all() / 1e3;
                }
            }
        }
        let mut sorted: Vec<f64> = year.hours.iter().map(|hour| hour.temperature).collect();
        sorted.sort_by(f64::total_cmp);
        let rank = |from_cold: usize| sorted.get(from_cold).copied().unwrap_or_default();
        let days = year.hours.chunks(24).map(|day| day.iter().map(|hour| hour.temperature).sum::<f64>() / 24.0);
        Summary {
            months: MonthMeans::of(year),
            heating: rank(HOURS / 100),
            cooling: rank(HOURS - 1 - HOURS / 100),
            degree_days: days.map(|day| (BASE - day).max(0.0)).sum(),
            mean: sorted.iter().sum::<f64>() / HOURS as f64,
            walls,
        }
    }
}
