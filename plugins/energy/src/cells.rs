//! What a watt of solar cells gives in each hour of a weather file: by the sun on them, their temperature and the inverter.
//!
//! Losses beside these are 14.08 %: dirt 2, shade 3, mismatch 2, wires 2, connections 0.5, first light 1.5, name plate 1 and
//! standstill 3 %. Snow and far shade are not in it. Modules stand free of the roof, glass before and polymer behind.
//!
//! Source: the simple model of a national laboratory of 2014, with its cell temperatures (from memory, high); Fresnel's law
//! for the cover.

use mateline_model::portable::{acos, cos, exp, powi, sin, tan};
use mateline_weather::WeatherYear;
use mateline_weather::sky::{Facing, Light, Plane};
use mateline_weather::sun::{Sun, outside};
use std::f64::consts::FRAC_PI_2;

/// What is left after all losses but heat and inverter.
const LEFT: f64 = 0.859_243;
/// Share that a cell loses with each degree (1/K).
const WARMTH: f64 = -0.0035;
/// How much a module warms: `exp(a + b v)` of the sun on it, and the cell beyond it at 1000 W/m² (K).
const MODULE: (f64, f64, f64) = (-3.56, -0.075, 3.0);
/// Refractive index, extinction and thickness of the cover: 1/m, m.
const COVER: (f64, f64, f64) = (1.526, 4.0, 0.002);
/// Inverter: efficiency at its rating, and that of the reference inverter.
const INVERTER: (f64, f64) = (0.96, 0.9637);
/// Rated power of the cells over that of the inverter.
const LARGER: f64 = 1.2;

/// Share of a beam that passes the cover, of what passes straight on; `facing` is the cosine of its angle.
fn passes(facing: f64) -> f64 {
    let (index, extinction, thickness) = COVER;
    let through = |facing: f64, reflected: f64| exp(-extinction * thickness / facing) * (1.0 - reflected);
    let straight = through(1.0, powi((1.0 - index) / (1.0 + index), 2));
    let sine = (1.0 - facing * facing).max(0.0).sqrt();
    if sine < 1e-6 {
        return 1.0;
    }
    let (outside, inside) = (acos(facing), FRAC_PI_2 - acos(sine / index));
    let parallel = powi(tan(inside - outside) / tan(inside + outside), 2);
    let across = powi(sin(inside - outside) / sin(inside + outside), 2);
    through(cos(inside), 0.5 * (parallel + across)) / straight
}

/// Alternating current of a watt of cells in each hour (W); none where the file tells no wind.
pub fn hours(year: &WeatherYear, plane: Plane) -> Option<Vec<f64>> {
    let facing = Facing::of(plane);
    let of = |(number, hour): (usize, &mateline_weather::Hour)| {
        let wind = hour.wind?;
        if hour.radiation.global <= 0.0 {
            return Some(0.0);
        }
        let sun = Sun::at(&year.place, number as f64 + 0.5);
        let parts = Light::of(&hour.radiation, sun, outside((number / 24) as f64 + 1.0)).on(&facing);
        let on = parts.all();
        let straight = plane.facing(&sun).clamp(0.0, 1.0);
        let lost = if straight > 0.0 { parts.beam * (1.0 - passes(straight)) } else { 0.0 };
        let (a, b, beyond) = MODULE;
        let cell = on * exp(a + b * wind) + hour.temperature + on / 1_000.0 * beyond;
        let direct = (on - lost) / 1_000.0 * (1.0 + WARMTH * (cell - 25.0)) * LEFT;
        Some(alternating(direct))
    };
    year.hours.iter().enumerate().map(of).collect()
}

/// What the inverter makes of direct current, each of a watt of cells.
fn alternating(direct: f64) -> f64 {
    let (nominal, reference) = INVERTER;
    let most = 1.0 / LARGER / nominal;
    let share = (direct / most).max(1e-9);
    let efficiency = nominal / reference * (-0.0162 * share - 0.0059 / share + 0.9858);
    (efficiency * direct).max(0.0).min(nominal * most)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cover at 40°, 60° and 75°, by pvlib 0.16.1 (physical model); half of the last digit.
    #[test]
    fn the_cover_by_angle() {
        for (degrees, expected) in [(40.0_f64, 0.9930), (60.0, 0.9460), (75.0, 0.7741)] {
            let found = passes(cos(degrees.to_radians()));
            assert!((found - expected).abs() < 0.0001, "{degrees}: {found}");
        }
        assert!((passes(1.0) - 1.0).abs() < 1e-12);
    }

    /// The inverter at 10, 50 and 100 % of its rating: 0.9216, 0.9622 and 0.9600 (formula from memory, high, worked by an
    /// independent script); half of the last digit.
    #[test]
    fn the_inverter_by_load() {
        let most = 1.0 / LARGER / INVERTER.0;
        for (share, expected) in [(0.1, 0.9216), (0.5, 0.9622), (1.0, 0.9600)] {
            let found = alternating(share * most) / (share * most);
            assert!((found - expected).abs() < 0.00006, "{share}: {found}");
        }
    }
}
