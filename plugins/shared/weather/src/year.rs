//! A year of weather, hour by hour.

use crate::sky::Radiation;
use crate::sun::Place;

/// Hours of a year without a leap day.
pub const HOURS: usize = 8_760;
/// Days of the months.
pub const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Weather of one hour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hour {
    /// Air (°C).
    pub temperature: f64,
    /// Relative humidity (0 to 1).
    pub humidity: Option<f64>,
    /// Wind (m/s), where the file tells it.
    pub wind: Option<f64>,
    /// Sun and sky, means of the hour.
    pub radiation: Radiation,
}

/// A year that a file tells of.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherYear {
    /// What the file calls the place.
    pub name: String,
    /// Where it is.
    pub place: Place,
    /// Above the sea (m).
    pub elevation: f64,
    /// What radiation and temperature of the hour beginning with the year are in, in order; 8,760 of them.
    pub hours: Vec<Hour>,
    /// What was left out or taken for granted in reading it.
    pub remarks: Vec<String>,
}

/// When an hour of the year begins: `01-16 06:00`.
pub fn stamp(hour: usize) -> String {
    let month = month_of(hour);
    let before: u32 = DAYS.iter().take(month).sum();
    format!("{:02}-{:02} {:02}:00", month + 1, hour as u32 / 24 - before + 1, hour % 24)
}

/// Month, counted from 0, of each hour of a year.
pub fn month_of(hour: usize) -> usize {
    let mut left = hour as u32 / 24;
    for (month, days) in DAYS.into_iter().enumerate() {
        if left < days {
            return month;
        }
        left -= days;
    }
    11
}
