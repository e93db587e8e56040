//! Temperature of the water from the mains, month by month.
//!
//! Source: the regression of a national laboratory from outdoor temperatures, 6 °F above their mean and late behind their
//! swing (from memory, high).

use crate::months::Climate;
use mateline_model::portable::sin;
use mateline_model::quantity::Temperature;

/// The middle of each month, as a day of the year.
const MIDDLES: [f64; 12] = [16.0, 45.0, 75.0, 105.0, 136.0, 166.0, 197.0, 228.0, 258.0, 289.0, 319.0, 350.0];
/// Half of a year (d).
const HALF: f64 = 182.5;

/// Mains temperature on a day of the year (°C), from the mean of the year and the spread of the months' means (°C, K), north of
/// the equator.
pub fn on_day(day: f64, mean: f64, spread: f64) -> f64 {
    let mean = mean * 1.8 + 32.0;
    let ratio = 0.4 + 0.01 * (mean - 44.0);
    let late = 35.0 - (mean - 44.0);
    let turn = (0.986 * (day - 15.0 - late) - 90.0).to_radians();
    let fahrenheit = mean + 6.0 + ratio * spread * 1.8 / 2.0 * sin(turn);
    (fahrenheit - 32.0) / 1.8
}

/// Of each month; water does not come as ice.
pub(crate) fn of(climate: &Climate) -> [Temperature; 12] {
    let shift = if climate.latitude.si() < 0.0 { HALF } else { 0.0 };
    let (mean, spread) = (climate.mean().si(), 2.0 * climate.swing().si());
    MIDDLES.map(|day| Temperature::from_si(on_day(day + shift, mean, spread).max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean 57.96 °F, months 45.18 °F apart: 52.56, 59.39, 75.24 and 68.44 °F on days 15, 105, 196 and 288, as an independent
    /// script has it; half of the last digit.
    #[test]
    fn four_days() {
        let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
        for (day, expected) in [(15.0, 52.56), (105.0, 59.39), (196.0, 75.24), (288.0, 68.44)] {
            let found = on_day(day, celsius(57.96), 45.18 / 1.8) * 1.8 + 32.0;
            assert!((found - expected).abs() < 0.0051, "{day}: {found}");
        }
    }
}
