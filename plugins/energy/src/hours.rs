//! The hours of the year: those of a weather file, or a mean day of each month that stands for its days.
//!
//! Planes of a weather file have a sky that is brighter around the sun and along the horizon; those of a mean day one that is
//! equally bright, with each month's day repeated until it closes.

use crate::clear_day;
use crate::mean_day::MeanDay;
use crate::months::{Climate, MONTHS};
use crate::shade::Screen;
use mateline_model::quantity::TemperatureDifference;
use mateline_weather::sky::{Facing, Light, Parts, Plane};
use mateline_weather::sun::{Sun, outside};
use mateline_weather::{WeatherYear, month_of};

/// Every plane that sun falls on, behind what shades it, once.
#[derive(Clone, Debug, Default)]
pub struct Views(Vec<(Plane, Screen)>);

impl Views {
    /// The number of a plane behind a screen.
    pub fn number(&mut self, plane: Plane, screen: Screen) -> usize {
        let known = self.0.iter().position(|view| *view == (plane, screen));
        known.unwrap_or_else(|| {
            self.0.push((plane, screen));
            self.0.len() - 1
        })
    }
}

/// An hour of the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourOfYear {
    /// Its month, counted from 0.
    pub month: usize,
    /// Outdoor air (°C).
    pub air: f64,
    /// Wind (m/s), where a weather file tells it.
    pub wind: Option<f64>,
    /// So many hours of the year are like it.
    pub count: f64,
}

/// The year.
#[derive(Clone, Debug)]
pub struct Hours {
    /// In order: 8,760 of a weather file, or 24 of each month.
    pub hours: Vec<HourOfYear>,
    /// Sun and sky on each view in each hour (W/m²): hour by hour, within it view by view.
    on: Vec<f64>,
    views: usize,
    /// Whether they are those of a weather file, which follow one another.
    pub is_file: bool,
}

impl Hours {
    /// Of a weather file.
    pub fn of_file(year: &WeatherYear, views: &Views) -> Hours {
        let facing: Vec<(Facing, &Screen)> =
            views.0.iter().map(|(plane, screen)| (Facing::of(*plane), screen)).collect();
        let mut on = Vec::with_capacity(year.hours.len() * facing.len());
        let mut hours = Vec::with_capacity(year.hours.len());
        for (number, hour) in year.hours.iter().enumerate() {
            hours.push(HourOfYear { month: month_of(number), air: hour.temperature, wind: hour.wind, count: 1.0 });
            if hour.radiation.global <= 0.0 {
                on.resize(on.len() + facing.len(), 0.0);
                continue;
            }
            let extra = outside((number / 24) as f64 + 1.0);
            let light = Light::of(&hour.radiation, Sun::at(&year.place, number as f64 + 0.5), extra);
            on.extend(facing.iter().map(|(facing, screen)| behind(&light.on(facing), screen)));
        }
        Hours { hours, on, views: facing.len(), is_file: true }
    }

    /// Mean days of the months, with this range of temperature.
    pub fn of_months(climate: &Climate, range: TemperatureDifference, views: &Views) -> Hours {
        let (mut hours, mut on) = (Vec::with_capacity(288), vec![0.0; 288 * views.0.len()]);
        for (month, (_, _, days)) in MONTHS.into_iter().enumerate() {
            let mean = climate.temperatures.get(month).copied().unwrap_or_default();
            for hour in 1..=24 {
                let air = clear_day::around(hour, mean, range);
                hours.push(HourOfYear { month, air, wind: None, count: days });
            }
            let global = climate.radiation.get(month).copied().unwrap_or_default();
            let day = MeanDay::of(month, climate.latitude, global);
            for (view, (plane, screen)) in views.0.iter().enumerate() {
                for (hour, flux) in day.hours(*plane, screen).into_iter().enumerate() {
                    if let Some(place) = on.get_mut((month * 24 + hour) * views.0.len() + view) {
                        *place = flux;
                    }
                }
            }
        }
        Hours { hours, on, views: views.0.len(), is_file: false }
    }

    /// Sun and sky on each view in an hour (W/m²).
    pub fn on(&self, hour: usize) -> &[f64] {
        self.on.get(hour * self.views..(hour + 1) * self.views).unwrap_or_default()
    }
}

/// What a screen leaves: of the sun and the sky around it as of a ray, of the rest of the sky as of an even one.
fn behind(parts: &Parts, screen: &Screen) -> f64 {
    let lit = screen.lit(parts.slope.0, parts.slope.1);
    parts.beam * lit + (parts.around * lit + parts.rest * screen.sky()).max(0.0) + parts.ground * screen.ground()
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_weather::sky::Radiation;

    /// A shade only takes, none leaves all, and a plane behind the sun gets no beam.
    #[test]
    fn a_screen_only_takes() {
        let sun = Sun { up: 0.5, south: 0.6, west: -0.6, hour: -0.7 };
        let radiation = Radiation { global: 480.0, direct: 700.0, diffuse: 130.0 };
        let light = Light::of(&radiation, sun, 1_367.0);
        for degrees in [0.0, 90.0, 180.0, -90.0] {
            let parts = light.on(&Facing::of(Plane::wall(degrees)));
            assert!((behind(&parts, &Screen::default()) - parts.all()).abs() < 1e-9);
            assert!(behind(&parts, &Screen::horizon(0.8)) < parts.all());
            assert_eq!(parts.beam == 0.0, degrees == 90.0 || degrees == 180.0);
        }
    }
}
