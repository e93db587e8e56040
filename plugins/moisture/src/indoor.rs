//! Indoor humidity: by the classes of the moisture standard, or by what is given off over what is aired out.

use crate::conditions::{Air, Conditions};
use mateline_model::quantity::{Flow, MassFlow, Pressure, Temperature};
use mateline_psychrometrics::saturation::saturation_pressure;

/// Gas constant of water vapour (J/(kg·K)).
const R_VAPOUR: f64 = 461.5;
/// Outdoor temperature from which on there is no excess (°C).
const NO_EXCESS: f64 = 20.0;

/// Excess of the indoor vapour pressure in freezing weather at the upper limit of a humidity class: 270, 540, 810 and
/// 1080 Pa for classes 1 to 4.
///
/// Source: ISO 13788:2012, annex A (from memory).
pub fn class_excess(class: u8) -> Option<Pressure> {
    (1..=4).contains(&class).then(|| Pressure::from_si(270.0 * f64::from(class)))
}

/// Excess by a balance of moisture: what is given off over the outdoor air that carries it out.
///
/// `Δp = G/q · R_v T_i`, with `G` (kg/s), `q` (m³/s), `R_v` = 461.5 J/(kg·K) and `T_i` (K). `None` without a flow.
///
/// Source: ISO 13788:2012, indoor air from known moisture production and ventilation (from memory).
pub fn balance_excess(given_off: MassFlow, outdoor_air: Flow, indoors: Temperature) -> Option<Pressure> {
    let excess = given_off.si() / outdoor_air.si() * R_VAPOUR * indoors.kelvin();
    (excess.is_finite() && excess >= 0.0).then(|| Pressure::from_si(excess))
}

/// Excess at an outdoor temperature: whole up to 0 °C, then falling in a straight line to none at 20 °C, as windows are
/// opened more and more.
///
/// Source: ISO 13788:2012, annex A (from memory).
pub fn excess_at(in_frost: Pressure, outdoors: Temperature) -> Pressure {
    Pressure::from_si(in_frost.si() * ((NO_EXCESS - outdoors.si()) / NO_EXCESS).clamp(0.0, 1.0))
}

/// Air on both sides in a month. Indoors is as warm as heated, and as outdoors where that is warmer; its vapour pressure is
/// that of outdoors and the excess, and never above saturation.
pub fn conditions(outdoors: Air, heated_to: Temperature, in_frost: Pressure) -> Conditions {
    let temperature = Temperature::from_si(heated_to.si().max(outdoors.temperature.si()));
    let vapour = outdoors.vapour.si() + excess_at(in_frost, outdoors.temperature).si();
    let vapour = Pressure::from_si(vapour.min(saturation_pressure(temperature).si()));
    Conditions { inside: Air { temperature, vapour }, outside: outdoors }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The classes are also given as 0.002 to 0.008 kg/m³ (ISO 13788:2012, annex A, from memory); at 20 °C these are 271
    /// to 1083 Pa, which the standard rounds.
    #[test]
    fn classes_as_concentrations() {
        for (class, concentration) in [(1, 0.002), (2, 0.004), (3, 0.006), (4, 0.008)] {
            let by_balance =
                balance_excess(MassFlow::from_si(concentration), Flow::from_si(1.0), Temperature::from_si(20.0));
            let (class, by_balance) = (class_excess(class).map(Pressure::si), by_balance.map(Pressure::si));
            assert!(class.zip(by_balance).is_some_and(|(a, b)| (a - b).abs() < 4.0), "{class:?} {by_balance:?}");
        }
        assert_eq!(class_excess(0), None);
        assert_eq!(class_excess(5), None);
        assert_eq!(balance_excess(MassFlow::from_si(1.0), Flow::from_si(0.0), Temperature::from_si(20.0)), None);
    }

    #[test]
    fn the_excess_falls_with_warmth() {
        let at = |t| excess_at(Pressure::from_si(540.0), Temperature::from_si(t)).si();
        assert_eq!(at(-15.0), 540.0);
        assert_eq!(at(0.0), 540.0);
        assert!((at(10.0) - 270.0).abs() < 1e-9);
        assert_eq!(at(20.0), 0.0);
        assert_eq!(at(31.0), 0.0);
    }

    #[test]
    fn a_warm_month_is_as_warm_inside_and_never_past_saturation() {
        let (heated, excess) = (Temperature::from_si(20.0), Pressure::from_si(1080.0));
        let warm = conditions(Air::of_humidity(Temperature::from_si(26.0), 0.7), heated, excess);
        assert_eq!(warm.inside.temperature, warm.outside.temperature);
        assert_eq!(warm.inside.vapour, warm.outside.vapour);
        let damp = conditions(Air::of_humidity(Temperature::from_si(19.9), 1.0), Temperature::from_si(10.0), excess);
        assert!(damp.inside.humidity() <= 1.0);
    }
}
