//! The day that cooling is designed for: clear, around the hottest time of the year.
//!
//! Sources: the older handbook's clear sky (beam `A exp(−B/sin h)`, sky `C` times the beam; from memory, high) and its share of
//! the daily range by hour (from memory, high). Hours are solar time, so that the hottest is 15:00 by the sun.

use crate::shade::Screen;
use mateline_model::portable::{cos, exp, sin};
use mateline_model::quantity::{Angle, Temperature, TemperatureDifference};
use mateline_weather::sky::{GROUND, Plane};
use std::f64::consts::PI;

/// Share of the daily range below the day's highest temperature, hours 1 to 24.
const BELOW: [f64; 24] = [
    0.87, 0.92, 0.96, 0.99, 1.0, 0.98, 0.93, 0.84, 0.71, 0.56, 0.39, 0.23, 0.11, 0.03, 0.0, 0.03, 0.10, 0.21, 0.34,
    0.47, 0.58, 0.68, 0.76, 0.82,
];
/// The 21st of the hottest month, north and south of the equator: A (W/m²), B, C, and the day of the year.
const JULY: ([f64; 3], f64) = ([1_085.0, 0.207, 0.136], 202.0);
const JANUARY: ([f64; 3], f64) = ([1_230.0, 0.142, 0.058], 21.0);

/// Outdoor temperature of an hour, 1 to 24, of the day (°C).
pub fn temperature(hour: usize, highest: Temperature, range: TemperatureDifference) -> f64 {
    highest.si() - range.si() * BELOW.get((hour + 23) % 24).copied().unwrap_or_default()
}

/// Outdoor temperature of an hour, 1 to 24, of a day of this mean (°C).
pub fn around(hour: usize, mean: Temperature, range: TemperatureDifference) -> f64 {
    let middle = BELOW.iter().sum::<f64>() / 24.0;
    temperature(hour, mean, range) + range.si() * middle
}

/// Sun and sky on a plane behind a screen, in the middle of the hour that ends then (W/m²).
pub fn on(plane: Plane, screen: &Screen, hour: usize, latitude: Angle) -> f64 {
    let ([a, b, c], day) = if latitude.si() < 0.0 { JANUARY } else { JULY };
    let declination = (23.45_f64).to_radians() * sin(2.0 * PI * (284.0 + day) / 365.0);
    let turn = PI / 12.0 * (hour as f64 - 0.5 - 12.0);
    let latitude = latitude.si();
    let up = cos(latitude) * cos(declination) * cos(turn) + sin(latitude) * sin(declination);
    if up <= 0.0 {
        return 0.0;
    }
    let south = sin(latitude) * cos(declination) * cos(turn) - cos(latitude) * sin(declination);
    let west = cos(declination) * sin(turn);
    let beam = a * exp(-b / up);
    let (sky, global) = (c * beam, beam * up + c * beam);
    let level = sin(plane.tilt);
    let facing = south * level * cos(plane.azimuth) + west * level * sin(plane.azimuth) + up * cos(plane.tilt);
    let direct = if facing > 0.0 {
        let aside = west * cos(plane.azimuth) - south * sin(plane.azimuth);
        beam * facing * screen.lit(up / facing, aside / facing)
    } else {
        0.0
    };
    let open = (1.0 + cos(plane.tilt)) / 2.0;
    direct + sky * open * screen.sky() + GROUND * global * (1.0 - open) * screen.ground()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 33 °C with a range of 11 K: hours 5, 12, 15, 18 and 24 and the mean, by the published shares (from memory, high);
    /// half of the last digit.
    #[test]
    fn temperatures_of_the_day() {
        let at = |hour| temperature(hour, Temperature::from_si(33.0), TemperatureDifference::from_si(11.0));
        for (hour, expected) in [(5, 22.0), (12, 30.47), (15, 33.0), (18, 30.69), (24, 23.98)] {
            assert!((at(hour) - expected).abs() < 0.005, "{hour}: {}", at(hour));
        }
        let mean = (1..=24).map(at).sum::<f64>() / 24.0;
        assert!((mean - 26.81).abs() < 0.005, "{mean}");
    }

    /// 40° N on 21 July at noon: 871.25 W/m² of beam and 118.49 W/m² of sky, with a declination of 20.6°, as an
    /// independent script has it; here at half an hour from noon the beam is within 1 % of it. East and west mirror.
    #[test]
    fn the_clear_sky() {
        let latitude = Angle::from_si(40.0_f64.to_radians());
        let level = |hour| on(Plane::LEVEL, &Screen::default(), hour, latitude);
        let noon = 871.25 * cos((40.0_f64 - 20.6).to_radians()) + 118.49;
        assert!((level(12) / noon - 1.0).abs() < 0.012 && (level(12) - level(13)).abs() < 1e-9, "{}", level(12));
        let wall = |degrees: f64, hour| on(Plane::wall(degrees), &Screen::default(), hour, latitude);
        assert!((wall(-90.0, 9) - wall(90.0, 16)).abs() < 1e-9 && wall(-90.0, 9) > 5.0 * wall(180.0, 2));
    }
}
