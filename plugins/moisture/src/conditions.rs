//! Air on both sides of the envelope, month by month.

use mateline_model::home::{Home, Month};
use mateline_model::quantity::{Pressure, Temperature};
use mateline_psychrometrics::saturation::saturation_pressure;
use mateline_sdk::Lack;

/// The months with their names and days; February has 28.
pub const MONTHS: [(Month, &str, f64); 12] = [
    (Month::Jan, "Jan", 31.0),
    (Month::Feb, "Feb", 28.0),
    (Month::Mar, "Mar", 31.0),
    (Month::Apr, "Apr", 30.0),
    (Month::May, "May", 31.0),
    (Month::Jun, "Jun", 30.0),
    (Month::Jul, "Jul", 31.0),
    (Month::Aug, "Aug", 31.0),
    (Month::Sep, "Sep", 30.0),
    (Month::Oct, "Oct", 31.0),
    (Month::Nov, "Nov", 30.0),
    (Month::Dec, "Dec", 31.0),
];

/// Short name of a month, counted from 0.
pub fn name(month: usize) -> &'static str {
    MONTHS.get(month % 12).map_or("", |(_, name, _)| name)
}

/// Seconds of a month, counted from 0.
pub fn seconds(month: usize) -> f64 {
    MONTHS.get(month % 12).map_or(0.0, |(_, _, days)| days * 86_400.0)
}

/// Air by its temperature and the pressure of its vapour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// θ (°C).
    pub temperature: Temperature,
    /// p (Pa).
    pub vapour: Pressure,
}

impl Air {
    /// Air of a relative humidity (0 to 1).
    pub fn of_humidity(temperature: Temperature, humidity: f64) -> Air {
        let vapour = Pressure::from_si(humidity * saturation_pressure(temperature).si());
        Air { temperature, vapour }
    }

    /// Relative humidity (0 to 1).
    pub fn humidity(self) -> f64 {
        self.vapour.si() / saturation_pressure(self.temperature).si()
    }
}

/// Air on both sides in one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Indoors.
    pub inside: Air,
    /// What touches the outer side.
    pub outside: Air,
}

/// Outdoor air of the twelve months.
pub(crate) fn outdoors(home: &Home) -> Result<[Air; 12], Lack> {
    let mut year = [Air::of_humidity(Temperature::from_si(0.0), 0.5); 12];
    for (place, (month, name, _)) in year.iter_mut().zip(MONTHS) {
        let word = name.to_lowercase();
        let path = if home.site.months.is_empty() { "site" } else { "site.months" };
        let climate = home
            .site
            .months
            .get(&month)
            .ok_or_else(|| Lack::at(format!("site.months has no {word}, and all twelve are needed"), path))?;
        let humidity = climate.humidity.ok_or_else(|| {
            let at = format!("site.months.{word}");
            Lack::at(format!("{at} has no humidity"), at)
        })?;
        *place = Air::of_humidity(climate.temperature, humidity.si());
    }
    Ok(year)
}

/// Annual mean temperature (°C), weighted by days.
pub(crate) fn annual_mean(outdoors: &[Air; 12]) -> f64 {
    let days = MONTHS.iter().map(|(_, _, days)| days);
    let sum: f64 = outdoors.iter().zip(days).map(|(air, days)| air.temperature.si() * days).sum();
    sum / 365.0
}

/// The same months with the ground in place of the air outside: its temperature all year the annual mean of the air,
/// and its pores saturated.
///
/// Source: ISO 13788:2012, external climate of parts in contact with the ground (from memory).
pub(crate) fn with_ground(year: &[Conditions; 12], outdoors: &[Air; 12]) -> [Conditions; 12] {
    let ground = Air::of_humidity(Temperature::from_si(annual_mean(outdoors)), 1.0);
    year.map(|month| Conditions { outside: ground, ..month })
}
