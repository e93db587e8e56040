//! The months, and what the site or its weather file says of each.

use mateline_model::home::{Home, Month};
use mateline_model::quantity::{Angle, Duration, HeatFlux, Ratio, Temperature, TemperatureDifference};
use mateline_sdk::Lack;
use mateline_weather::{MonthMeans, WeatherYear};

/// The months with their short names and days; February has 28.
pub const MONTHS: [(Month, &str, f64); 12] = [
    (Month::Jan, "jan", 31.0),
    (Month::Feb, "feb", 28.0),
    (Month::Mar, "mar", 31.0),
    (Month::Apr, "apr", 30.0),
    (Month::May, "may", 31.0),
    (Month::Jun, "jun", 30.0),
    (Month::Jul, "jul", 31.0),
    (Month::Aug, "aug", 31.0),
    (Month::Sep, "sep", 30.0),
    (Month::Oct, "oct", 31.0),
    (Month::Nov, "nov", 30.0),
    (Month::Dec, "dec", 31.0),
];

/// Where the home names its weather file.
const FILE: &str = "weather.file";

/// The climate of the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    /// North positive.
    pub latitude: Angle,
    /// Mean outdoor temperatures.
    pub temperatures: [Temperature; 12],
    /// Sun and sky on the level, means over day and night.
    pub radiation: [HeatFlux; 12],
    /// Mean outdoor humidity, where it is told.
    pub humidity: [Option<Ratio>; 12],
    /// Whether it is of a weather file.
    pub of_file: bool,
}

/// How long a month is, counted from 0.
pub fn duration(month: usize) -> Duration {
    Duration::from_si(MONTHS.get(month % 12).map_or(0.0, |(_, _, days)| days * 86_400.0))
}

impl Climate {
    /// What the site says, or the first thing that is not there.
    pub fn of(home: &Home) -> Result<Climate, Lack> {
        let site = &home.site;
        let lack = |because: &str| Lack::at(because, if site.months.is_empty() { "site" } else { "site.months" });
        if site.months.values().all(|month| month.radiation.is_none()) {
            return Err(lack("the months of the site give no radiation, without which there is no balance of heat"));
        }
        let latitude = site.latitude.ok_or_else(|| Lack::at("site.latitude is not given", "site"))?;
        let mut climate = Climate {
            latitude,
            temperatures: Default::default(),
            radiation: Default::default(),
            humidity: Default::default(),
            of_file: false,
        };
        let places = climate.temperatures.iter_mut().zip(&mut climate.radiation).zip(&mut climate.humidity);
        for (((temperature, radiation), humidity), (month, name, _)) in places.zip(MONTHS) {
            let given = site
                .months
                .get(&month)
                .ok_or_else(|| lack(&format!("site.months has no {name}, and all twelve are needed")))?;
            let at = format!("site.months.{name}");
            *radiation = given.radiation.ok_or_else(|| Lack::at(format!("{at} has no radiation"), at.as_str()))?;
            *temperature = given.temperature;
            *humidity = given.humidity;
        }
        Ok(climate)
    }

    /// The months of a weather file.
    pub fn of_file(year: &WeatherYear) -> Climate {
        let months = MonthMeans::of(year);
        Climate {
            latitude: Angle::from_si(year.place.latitude),
            temperatures: months.map(|month| Temperature::from_si(month.temperature)),
            radiation: months.map(|month| HeatFlux::from_si(month.radiation)),
            humidity: months.map(|month| month.humidity.map(Ratio::from_si)),
            of_file: true,
        }
    }

    /// Where a field of a month, counted from 0, is told.
    pub fn path(&self, month: usize, field: &str) -> String {
        match self.of_file {
            true => FILE.to_owned(),
            false => format!("site.months.{}.{field}", MONTHS.get(month % 12).map_or("", |(_, name, _)| name)),
        }
    }

    /// Where the months are told.
    pub fn months_path(&self) -> &'static str {
        if self.of_file { FILE } else { "site.months" }
    }

    /// Where the latitude is told.
    pub fn latitude_path(&self) -> &'static str {
        if self.of_file { FILE } else { "site.latitude" }
    }

    /// Mean of the year, weighted by days.
    pub fn mean(&self) -> Temperature {
        let days = MONTHS.iter().map(|(_, _, days)| days);
        Temperature::from_si(self.temperatures.iter().zip(days).map(|(one, days)| one.si() * days).sum::<f64>() / 365.0)
    }

    /// The coldest month, counted from 0; the first of equals.
    pub fn coldest(&self) -> usize {
        let colder = |best: usize, (month, one): (usize, &Temperature)| {
            if self.temperatures.get(best).is_some_and(|known| known <= one) { best } else { month }
        };
        self.temperatures.iter().enumerate().fold(0, colder)
    }

    /// Half of the difference of the warmest and the coldest month.
    pub fn swing(&self) -> TemperatureDifference {
        let of = |pick: fn(f64, f64) -> f64, from: f64| self.temperatures.iter().map(|one| one.si()).fold(from, pick);
        TemperatureDifference::from_si((of(f64::max, f64::NEG_INFINITY) - of(f64::min, f64::INFINITY)) / 2.0)
    }
}
