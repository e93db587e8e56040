//! Moist air: saturation over water and ice, humidity ratio, dew point, density and the pressure at a height.
//!
//! Source: ASHRAE Fundamentals, ch. 1 (coefficients from memory); checked against independently computed values.

use mateline_model::portable::{exp, ln, pow, powi};
use mateline_model::quantity::{Density, Length, Pressure, Temperature};

/// Ratio of the molar masses of water and dry air.
const MOLAR_RATIO: f64 = 0.621_945;
/// Gas constant of dry air (J/(kg·K)).
const R_DRY_AIR: f64 = 287.042;

/// Saturation pressure of water vapour, over ice at and below 0 °C and over liquid water above.
///
/// `ln p = c₁/T + c₂ + c₃ T + c₄ T² + c₅ T³ + c₆ T⁴ + c₇ ln T`, with `T` (K) and `p` (Pa). Valid from −100 to 200 °C;
/// `None` outside.
///
/// Source: ASHRAE Fundamentals, ch. 1, eq. 5 and 6 (Hyland and Wexler).
pub fn saturation_pressure(temperature: Temperature) -> Option<Pressure> {
    if !(-100.0..=200.0).contains(&temperature.si()) {
        return None;
    }
    let t = temperature.kelvin();
    let ln_p = if temperature.si() <= 0.0 {
        -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843_0e-3 * t + 6.221_570_1e-7 * t * t + 2.074_782_5e-9 * powi(t, 3)
            - 9.484_024_0e-13 * powi(t, 4)
            + 4.163_501_9 * ln(t)
    } else {
        -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t * t - 1.445_209_3e-8 * powi(t, 3)
            + 6.545_967_3 * ln(t)
    };
    Some(Pressure::from_si(exp(ln_p)))
}

/// Humidity ratio (kg of water per kg of dry air) at a relative humidity between 0 and 1.
///
/// `W = 0.621945 p_w/(p − p_w)`, with `p_w = φ p_ws(t)` (Pa) and `p` (Pa) the barometric pressure.
///
/// Source: ASHRAE Fundamentals, ch. 1, eq. 20.
pub fn humidity_ratio(temperature: Temperature, humidity: f64, barometer: Pressure) -> Option<f64> {
    let vapour = saturation_pressure(temperature)?.si() * humidity;
    let rest = barometer.si() - vapour;
    (rest > 0.0 && (0.0..=1.0).contains(&humidity)).then(|| MOLAR_RATIO * vapour / rest)
}

/// Relative humidity of air with a humidity ratio; above 1 the air is past saturation.
pub fn relative_humidity(temperature: Temperature, ratio: f64, barometer: Pressure) -> Option<f64> {
    let vapour = ratio * barometer.si() / (MOLAR_RATIO + ratio);
    Some(vapour / saturation_pressure(temperature)?.si())
}

/// Dew point, or frost point below 0 °C: where the air's vapour pressure is the saturation pressure.
///
/// Found by bisection between −100 and 200 °C to 1e-6 K.
pub fn dew_point(ratio: f64, barometer: Pressure) -> Option<Temperature> {
    let vapour = ratio * barometer.si() / (MOLAR_RATIO + ratio);
    let (mut low, mut high) = (-100.0_f64, 200.0_f64);
    let at = |t: f64| saturation_pressure(Temperature::from_si(t)).map(Pressure::si);
    if !(vapour > at(low)? && vapour < at(high)?) {
        return None;
    }
    while high - low > 1e-6 {
        let middle = 0.5 * (low + high);
        if at(middle)? < vapour { low = middle } else { high = middle }
    }
    Some(Temperature::from_si(0.5 * (low + high)))
}

/// Density of moist air.
///
/// `ρ = (1 + W)/v`, `v = R_da T (1 + 1.607858 W)/p` (m³ per kg of dry air).
///
/// Source: ASHRAE Fundamentals, ch. 1, eq. 11 and 26.
pub fn density(temperature: Temperature, ratio: f64, barometer: Pressure) -> Density {
    let volume = R_DRY_AIR * temperature.kelvin() * (1.0 + 1.607_858 * ratio) / barometer.si();
    Density::from_si((1.0 + ratio) / volume)
}

/// Enthalpy of moist air per kilogram of dry air (J/kg), from dry air and liquid water at 0 °C.
///
/// `h = 1006 t + W (2 501 000 + 1860 t)`.
///
/// Source: ASHRAE Fundamentals, ch. 1, eq. 30.
pub fn enthalpy(temperature: Temperature, ratio: f64) -> f64 {
    let t = temperature.si();
    1_006.0 * t + ratio * (2_501_000.0 + 1_860.0 * t)
}

/// Standard barometric pressure at a height above the sea.
///
/// `p = 101 325 (1 − 2.25577e-5 z)^5.2559`, with `z` (m). Valid from −5000 to 11 000 m; held at those ends.
///
/// Source: ASHRAE Fundamentals, ch. 1, eq. 3.
pub fn barometer_at(elevation: Length) -> Pressure {
    let z = elevation.si().clamp(-5_000.0, 11_000.0);
    Pressure::from_si(101_325.0 * pow(1.0 - 2.255_77e-5 * z, 5.255_9))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    /// t, RH, p, saturation pressure, W, dew point, density, enthalpy (kJ/kg). Computed with psychrolib 2.5.0 and
    /// cross-checked with CoolProp 8.0.0 (computed independently); tolerance: half of the last digit.
    const TABLE: [[f64; 8]; 7] = [
        [20.0, 0.50, 101_325.0, 2338.80, 0.007_262, 9.27, 1.1989, 38.55],
        [25.0, 0.60, 101_325.0, 3169.22, 0.011_895, 16.70, 1.1756, 55.45],
        [35.0, 0.40, 101_325.0, 5627.82, 0.014_132, 19.38, 1.1359, 71.47],
        [0.0, 0.80, 101_325.0, 611.15, 0.003_016, -2.68, 1.2900, 7.54],
        [-10.0, 0.80, 101_325.0, 259.90, 0.001_279, -12.49, 1.3404, -6.89],
        [-25.0, 0.90, 101_325.0, 63.29, 0.000_350, -26.05, 1.4222, -24.29],
        [21.0, 0.35, 84_000.0, 2487.67, 0.006_514, 4.97, 0.9910, 37.67],
    ];

    #[test]
    fn the_table_of_moist_air() {
        for [t, humidity, p, saturation, ratio, dew, rho, h] in TABLE {
            let (t, p) = (Temperature::from_si(t), Pressure::from_si(p));
            let w = humidity_ratio(t, humidity, p).unwrap();
            assert!((saturation_pressure(t).unwrap().si() - saturation).abs() < 0.006, "{t}");
            assert!((w - ratio).abs() < 0.6e-6, "{t} {w}");
            assert!((dew_point(w, p).unwrap().si() - dew).abs() < 0.006, "{t}");
            assert!((density(t, w, p).si() - rho).abs() < 0.6e-4, "{t}");
            assert!((enthalpy(t, w) / 1e3 - h).abs() < 0.006, "{t}");
            assert!((relative_humidity(t, w, p).unwrap() - humidity).abs() < 1e-12);
        }
    }

    /// t (°F), RH, p (psia), saturation pressure (psia), W, dew point (°F), density (lb/ft³): psychrolib 2.5.0 in inch-pound
    /// units (computed independently); tolerance: half of the last digit, and for the pressures of 14.696 and 12.23 psia, given
    /// to five and four digits, as much again. Enthalpy is counted from 0 °F there and does not convert.
    const INCH_POUND: [[f64; 7]; 7] = [
        [70.0, 0.50, 14.696, 0.363_28, 0.007_783, 50.53, 0.074_54],
        [75.0, 0.50, 14.696, 0.430_07, 0.009_236, 55.12, 0.073_78],
        [68.0, 0.40, 14.696, 0.339_21, 0.005_796, 42.81, 0.074_91],
        [95.0, 0.40, 14.696, 0.816_25, 0.014_132, 66.89, 0.070_91],
        [32.0, 0.80, 14.696, 0.088_64, 0.003_016, 27.17, 0.080_53],
        [0.0, 0.70, 14.696, 0.018_50, 0.000_549, -6.71, 0.086_27],
        [70.0, 0.30, 12.23, 0.363_28, 0.005_592, 37.18, 0.062_11],
    ];

    #[test]
    fn the_table_of_moist_air_in_inch_pounds() {
        const PSI: f64 = 6_894.757;
        for [fahrenheit, humidity, psia, saturation, ratio, dew, rho] in INCH_POUND {
            let (t, p) = (Temperature::from_si((fahrenheit - 32.0) / 1.8), Pressure::from_si(psia * PSI));
            let w = humidity_ratio(t, humidity, p).unwrap();
            let near = |found: f64, expected: f64, digit: f64| {
                assert!((found - expected).abs() < digit, "{fahrenheit} °F: {found} against {expected}");
            };
            near(saturation_pressure(t).unwrap().si() / PSI, saturation, 0.6e-5);
            near(w, ratio, 0.8e-6);
            near(dew_point(w, p).unwrap().si() * 1.8 + 32.0, dew, 0.006);
            near(density(t, w, p).si() / 16.018_463, rho, 0.8e-5);
        }
    }

    /// Denver's mile of height: 83.4 kPa and 24.6 inHg (from memory), to its last digit.
    #[test]
    fn pressure_falls_with_height() {
        assert!((barometer_at(Length::from_si(0.0)).si() - 101_325.0).abs() < 1e-9);
        assert!((barometer_at(Length::from_si(1_609.0)).si() - 83_400.0).abs() < 100.0);
        // Standard atmosphere, from memory: half of the last digit of 89.875 kPa.
        assert!((barometer_at(Length::from_si(1_000.0)).si() - 89_875.0).abs() < 1.0);
    }

    #[test]
    fn nothing_outside_the_range() {
        assert_eq!(saturation_pressure(Temperature::from_si(-120.0)), None);
        assert_eq!(humidity_ratio(Temperature::from_si(20.0), 1.2, Pressure::from_si(101_325.0)), None);
        assert_eq!(humidity_ratio(Temperature::from_si(150.0), 1.0, Pressure::from_si(101_325.0)), None);
        assert_eq!(dew_point(0.0, Pressure::from_si(101_325.0)), None);
    }
}
