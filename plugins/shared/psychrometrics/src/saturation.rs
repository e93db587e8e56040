//! Saturation pressure of water vapour as the moisture standard computes it, and its inverse.
//!
//! Source: ISO 13788:2012, annex E (from memory).

use mateline_equation::equation;
use mateline_model::quantity::{Pressure, Temperature, Units};
use mateline_model::{Equation, Step};

/// Coldest temperature at which the formulas are used (°C).
pub const COLDEST: f64 = -60.0;
/// Warmest temperature at which the formulas are used (°C).
pub const WARMEST: f64 = 60.0;

const DEGREES: Units = Units::new("°C", 2, "°F", 2);
const VAPOUR: Units = Units::new("Pa", 1, "Pa", 1);

equation! {
    /// Saturation pressure of water vapour from 0 °C up. Source: ISO 13788:2012, annex E, eq. E.7 (from memory).
    pub OverWater = "p_s = 610.5[Pa] exp(17.269 (θ − 0[°C])/(237.3[K] + θ − 0[°C]))" {
        p_s: Pressure "saturation pressure" [VAPOUR],
        θ: Temperature "temperature" [DEGREES],
    }

    /// Saturation pressure of water vapour below 0 °C. Source: ISO 13788:2012, annex E, eq. E.8 (from memory).
    pub OverIce = "p_s = 610.5[Pa] exp(21.875 (θ − 0[°C])/(265.5[K] + θ − 0[°C]))" {
        p_s: Pressure "saturation pressure" [VAPOUR],
        θ: Temperature "temperature" [DEGREES],
    }

    /// Temperature at which a vapour pressure from 610.5 Pa up saturates. Source: ISO 13788:2012, annex E, eq. E.9 (from
    /// memory).
    pub DewPoint = "θ = 0[°C] + 237.3[K] ln(p_s/610.5[Pa])/(17.269 − ln(p_s/610.5[Pa]))" {
        θ: Temperature "temperature" [DEGREES],
        p_s: Pressure "saturation pressure" [VAPOUR],
    }

    /// Temperature at which a vapour pressure below 610.5 Pa saturates. Source: ISO 13788:2012, annex E, eq. E.10 (from
    /// memory).
    pub FrostPoint = "θ = 0[°C] + 265.5[K] ln(p_s/610.5[Pa])/(21.875 − ln(p_s/610.5[Pa]))" {
        θ: Temperature "temperature" [DEGREES],
        p_s: Pressure "saturation pressure" [VAPOUR],
    }
}

/// Every equation of this file.
pub fn equations() -> Vec<Equation> {
    vec![OverWater::EQUATION, OverIce::EQUATION, DewPoint::EQUATION, FrostPoint::EQUATION]
}

/// Saturation pressure of water vapour, over ice below 0 °C. Valid for building physics; held at −60 and 60 °C.
pub fn saturation_pressure(temperature: Temperature) -> Pressure {
    let θ = Temperature::from_si(temperature.si().clamp(COLDEST, WARMEST));
    if θ.si() >= 0.0 { OverWater { θ }.value() } else { OverIce { θ }.value() }
}

/// The same with its step.
pub fn saturation_step(temperature: Temperature) -> (Pressure, Step) {
    let θ = Temperature::from_si(temperature.si().clamp(COLDEST, WARMEST));
    if θ.si() >= 0.0 { OverWater { θ }.step() } else { OverIce { θ }.step() }
}

/// Temperature at which a vapour pressure is the saturation pressure: the inverse of [`saturation_pressure`]. `None` where
/// there is no vapour, and beyond −60 and 60 °C.
pub fn saturation_temperature(vapour: Pressure) -> Option<Temperature> {
    let p_s = known(vapour)?;
    in_range(if p_s.si() >= 610.5 { DewPoint { p_s }.value() } else { FrostPoint { p_s }.value() })
}

/// The same with its step.
pub fn saturation_temperature_step(vapour: Pressure) -> Option<(Temperature, Step)> {
    let p_s = known(vapour)?;
    let (temperature, step) = if p_s.si() >= 610.5 { DewPoint { p_s }.step() } else { FrostPoint { p_s }.step() };
    Some((in_range(temperature)?, step))
}

fn known(vapour: Pressure) -> Option<Pressure> {
    (vapour.si() > 0.0 && vapour.si().is_finite()).then_some(vapour)
}

fn in_range(temperature: Temperature) -> Option<Temperature> {
    (COLDEST..=WARMEST).contains(&temperature.si()).then_some(temperature)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use crate::moist_air;
    use proptest::prelude::*;

    fn at(t: f64) -> f64 {
        saturation_pressure(Temperature::from_si(t)).si()
    }

    /// Values of the two formulas, computed independently in Python; 0.1 Pa is a little more than half of the last
    /// digit.
    #[test]
    fn the_table_of_saturation_pressures() {
        for (t, p) in [
            (-20.0, 102.7),
            (-10.0, 259.3),
            (-5.0, 401.2),
            (0.0, 610.5),
            (5.0, 871.9),
            (10.0, 1227.3),
            (15.0, 1704.4),
            (20.0, 2337.0),
            (25.0, 3165.9),
            (30.0, 4240.5),
        ] {
            assert!((at(t) - p).abs() < 0.1, "{t} °C: {} against {p}", at(t));
        }
    }

    /// psychrolib 2.5.0 gives 2338.80 Pa at 20 °C, 3169.22 Pa at 25 °C and 259.90 Pa at −10 °C (computed independently).
    #[test]
    fn both_traditions_lie_close_together() {
        for (t, p, within) in [(20.0, 2338.80, 0.001_1), (25.0, 3169.22, 0.001_1), (-10.0, 259.90, 0.002_4)] {
            assert!((at(t) / p - 1.0).abs() < within, "{t} °C");
            let handbook = moist_air::saturation_pressure(Temperature::from_si(t)).unwrap().si();
            assert!((at(t) / handbook - 1.0).abs() < within, "{t} °C");
        }
    }

    /// A dew point of 9.3 °C belongs to 20 °C and 50 % (common textbook value, from memory), and 12.6 °C to 80 % at the
    /// surface, DIN 4108-2 (from memory).
    #[test]
    fn a_dew_point() {
        let at_share = |share: f64| saturation_temperature(Pressure::from_si(0.5 * at(20.0) / share)).unwrap().si();
        assert!((at_share(1.0) - 9.3).abs() < 0.05);
        assert!((at_share(0.8) - 12.6).abs() < 0.05);
        assert_eq!(saturation_temperature(Pressure::from_si(0.0)), None);
        assert_eq!(saturation_temperature(Pressure::from_si(f64::NAN)), None);
        assert_eq!(saturation_temperature(Pressure::from_si(1e9)), None);
    }

    proptest! {
        #[test]
        fn there_and_back(t in -59.9..59.9_f64) {
            let back = saturation_temperature(saturation_pressure(Temperature::from_si(t))).unwrap().si();
            prop_assert!((back - t).abs() < 1e-9);
        }

        #[test]
        fn it_rises(a in -60.0..60.0_f64, b in -60.0..60.0_f64) {
            prop_assume!(b - a > 1e-6);
            prop_assert!(at(b) > at(a));
        }
    }
}
