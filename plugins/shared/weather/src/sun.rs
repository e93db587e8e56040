//! Where the sun stands.
//!
//! Source: the low-precision formulas of The Astronomical Almanac, section C (from memory, high): within 0.01° from 1950 to
//! 2050. Refraction is left out. A year of weather has no year of its own; its sun is that of 2001, a year without leap day.

use mateline_model::portable::{acos, atan, cos, pow, sin};
use std::f64::consts::PI;

/// Days from the epoch J2000.0 to the beginning of 2001, by universal time.
const YEAR: f64 = 365.5;
/// Radiation of the sun outside the air at its mean distance (W/m²).
pub const SOLAR_CONSTANT: f64 = 1_367.0;

/// A place, in radians and hours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// North positive (rad).
    pub latitude: f64,
    /// East positive (rad).
    pub longitude: f64,
    /// Standard time ahead of universal time (h).
    pub zone: f64,
}

/// Where the sun stands, as seen from a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Cosine of the zenith angle.
    pub up: f64,
    /// Towards south, of a vector of length one.
    pub south: f64,
    /// Towards west.
    pub west: f64,
    /// Time after the sun stood highest, as an angle (rad), from −π to π.
    pub hour: f64,
}

impl Sun {
    /// The sun so many hours after the year began, by standard time.
    pub fn at(place: &Place, hours: f64) -> Sun {
        let days = YEAR + (hours - place.zone) / 24.0;
        let degrees = |number: f64| number.to_radians();
        let longitude = 280.460 + 0.985_647_4 * days;
        let anomaly = degrees(357.528 + 0.985_600_3 * days);
        let ecliptic = degrees(longitude + 1.915 * sin(anomaly) + 0.020 * sin(2.0 * anomaly));
        let obliquity = degrees(23.439 - 0.000_000_4 * days);
        let (sin_declination, right_ascension) =
            (sin(obliquity) * sin(ecliptic), quadrant(cos(obliquity) * sin(ecliptic), cos(ecliptic)));
        let cos_declination = (1.0 - sin_declination * sin_declination).sqrt();
        let sidereal = 6.697_375 + 0.065_709_824_2 * days + (hours - place.zone);
        let hour = degrees(15.0 * sidereal) + place.longitude - right_ascension;
        let hour = hour - 2.0 * PI * (hour / (2.0 * PI) + 0.5).floor();
        let (latitude, cos_hour) = (place.latitude, cos(hour));
        Sun {
            up: sin(latitude) * sin_declination + cos(latitude) * cos_declination * cos_hour,
            south: sin(latitude) * cos_declination * cos_hour - cos(latitude) * sin_declination,
            west: cos_declination * sin(hour),
            hour,
        }
    }

    /// Angle from straight up (rad).
    pub fn zenith(&self) -> f64 {
        acos(self.up.clamp(-1.0, 1.0))
    }

    /// Direction from north, by east (rad), from 0 to 2π.
    pub fn azimuth(&self) -> f64 {
        let from_south = quadrant(self.west, self.south);
        (from_south + PI) - 2.0 * PI * ((from_south + PI) / (2.0 * PI)).floor()
    }
}

/// The angle whose tangent is `y/x`, from −π to π.
fn quadrant(y: f64, x: f64) -> f64 {
    match (x, y) {
        (x, y) if x > 0.0 => atan(y / x),
        (x, y) if x < 0.0 && y >= 0.0 => atan(y / x) + PI,
        (x, _) if x < 0.0 => atan(y / x) - PI,
        (_, y) => y.signum() * PI / 2.0,
    }
}

/// Radiation outside the air on a plane that faces the sun (W/m²), on a day counted from 1.
pub fn outside(day: f64) -> f64 {
    let angle = 2.0 * PI * (day - 1.0) / 365.0;
    let nearness = 1.00011
        + 0.034221 * cos(angle)
        + 0.00128 * sin(angle)
        + 0.000719 * cos(2.0 * angle)
        + 0.000077 * sin(2.0 * angle);
    SOLAR_CONSTANT * nearness
}

/// How many times the air straight above the sun's rays pass through, at a zenith angle (rad).
///
/// Source: Kasten and Young 1989 (from memory, high).
pub fn air_mass(zenith: f64) -> f64 {
    let degrees = zenith.to_degrees().min(90.0);
    let bend = pow(96.07995 - degrees, -1.6364);
    1.0 / (cos(degrees.to_radians()) + 0.50572 * bend)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 36.1° N, 79.95° W, five hours behind universal time, four hours of 2023. Zenith and azimuth (°) by pvlib 0.16.1,
    /// whose algorithm is good to 0.0003°; these formulas state 0.01°.
    #[test]
    fn zenith_and_azimuth() {
        let place = Place { latitude: 36.1_f64.to_radians(), longitude: (-79.95_f64).to_radians(), zone: -5.0 };
        let from_2001_to_2023 = 22.0 * 365.0 + 5.0;
        let cases = [
            (20.0, 12.0, 56.434, 171.228),
            (79.0, 15.5, 55.425, 240.486),
            (171.0, 9.0, 45.017, 91.880),
            (277.0, 16.75, 76.385, 253.421),
        ];
        for (day, hour, zenith, azimuth) in cases {
            let sun = Sun::at(&place, (from_2001_to_2023 + day) * 24.0 + hour);
            assert!((sun.zenith().to_degrees() - zenith).abs() < 0.01, "{}", sun.zenith().to_degrees());
            assert!((sun.azimuth().to_degrees() - azimuth).abs() < 0.01, "{}", sun.azimuth().to_degrees());
        }
    }

    /// Air mass at 50° and 80°, by the library above; half of the last digit.
    #[test]
    fn air_masses() {
        assert!((air_mass(50.0_f64.to_radians()) - 1.5534).abs() < 0.00005);
        assert!((air_mass(80.0_f64.to_radians()) - 5.5860).abs() < 0.00005);
    }
}
