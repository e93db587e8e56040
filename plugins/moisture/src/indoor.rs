//! Indoor humidity: by the classes of the moisture standard, or by what is given off over what is aired out.

use crate::conditions::{Air, Conditions};
use crate::facts::VAPOUR;
use mateline_equation::equation;
use mateline_model::quantity::{Pressure, Temperature, Units};
use mateline_psychrometrics::saturation::saturation_pressure;

equation! {
    /// Excess of the indoor vapour pressure in freezing weather at the upper limit of a humidity class, 1 to 4.
    /// Source: ISO 13788:2012, annex A (from memory).
    pub ClassExcess = "Δp = 270[Pa] class" {
        Δp: Pressure "upper limit of the class" [VAPOUR],
        class: f64 "humidity class" [Units::COUNT],
    }

    /// Water given off in a dwelling. Source: common practice, no source.
    pub(crate) GivenOff = "G = n G1 + G2" {
        G: MassFlow "water given off" [Units::WATER_PER_DAY],
        n: f64 "people" [Units::COUNT],
        G1: MassFlow "each person, over the day" [Units::WATER_PER_DAY],
        G2: MassFlow "cooking, washing, drying, plants" [Units::WATER_PER_DAY],
    }

    /// Excess by a balance of moisture: what is given off over the outdoor air that carries it out.
    /// Source: ISO 13788:2012, indoor air from known moisture production and ventilation (from memory).
    pub BalanceExcess = "Δp = G/(q (1 − η)) · 461.5[J/(kg·K)] (273.15[K] + θi − 0[°C])" {
        Δp: Pressure "excess of vapour pressure" [VAPOUR],
        G: MassFlow "water given off" [Units::WATER_PER_DAY],
        q: Flow "outdoor air" [Units::FLOW],
        η: Ratio "share of moisture that recovery returns" [Units::PERCENT],
        θi: Temperature "indoors" [Units::TEMPERATURE],
    }

    /// Excess at an outdoor temperature: whole up to 0 °C, then falling in a straight line to none at 20 °C, as windows
    /// are opened more and more. Source: ISO 13788:2012, annex A (from memory).
    pub(crate) ExcessAt = "Δp = Δp0 min(1, max(0, 20[°C] − θe)/20[K])" {
        Δp: Pressure "excess at that temperature" [VAPOUR],
        Δp0: Pressure "excess in freezing weather" [VAPOUR],
        θe: Temperature "outdoors" [Units::TEMPERATURE],
    }

    /// Vapour pressure of outdoor air on a cold day. Source: definition of the relative humidity.
    pub(crate) OutdoorVapour = "pe = φe p_s" {
        pe: Pressure "outdoors" [VAPOUR],
        φe: Ratio "relative humidity outdoors" [Units::PERCENT],
        p_s: Pressure "saturation outdoors" [VAPOUR],
    }

    /// Vapour pressure indoors, no more than saturation. Source: ISO 13788:2012, annex A (from memory).
    pub(crate) IndoorVapour = "pi = min(pe + Δp, p_s)" {
        pi: Pressure "indoors" [VAPOUR],
        pe: Pressure "outdoors" [VAPOUR],
        Δp: Pressure "excess at that temperature" [VAPOUR],
        p_s: Pressure "saturation indoors" [VAPOUR],
    }

    /// Indoor humidity. Source: ISO 13788:2012, annexes A and E (from memory).
    pub(crate) Humidity = "φ = min(1, (pe + Δp)/p_s)" {
        φ: Ratio "indoors" [Units::PERCENT],
        pe: Pressure "outdoors" [VAPOUR],
        Δp: Pressure "excess at that temperature" [VAPOUR],
        p_s: Pressure "saturation indoors" [VAPOUR],
    }
}

/// The excess of a humidity class, 1 to 4.
pub fn class_excess(class: u8) -> Option<Pressure> {
    (1..=4).contains(&class).then(|| ClassExcess { class: f64::from(class) }.value())
}

/// The excess at an outdoor temperature.
pub fn excess_at(in_frost: Pressure, outdoors: Temperature) -> Pressure {
    ExcessAt { Δp0: in_frost, θe: outdoors }.value()
}

/// Air on both sides in a month. Indoors is as warm as heated, and as outdoors where that is warmer; its vapour pressure is
/// that of outdoors and the excess, and never above saturation.
pub fn conditions(outdoors: Air, heated_to: Temperature, in_frost: Pressure) -> Conditions {
    let temperature = Temperature::from_si(heated_to.si().max(outdoors.temperature.si()));
    let rest = excess_at(in_frost, outdoors.temperature);
    let vapour = IndoorVapour { pe: outdoors.vapour, Δp: rest, p_s: saturation_pressure(temperature) }.value();
    Conditions { inside: Air { temperature, vapour }, outside: outdoors }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::quantity::{Flow, MassFlow, Ratio};

    /// The classes are also given as 0.002 to 0.008 kg/m³ (ISO 13788:2012, annex A, from memory); at 20 °C these are 271
    /// to 1083 Pa, which the standard rounds.
    #[test]
    #[allow(non_snake_case, reason = "symbols are named as the equations print them")]
    fn classes_as_concentrations() {
        for (class, concentration) in [(1, 0.002), (2, 0.004), (3, 0.006), (4, 0.008)] {
            let (G, q, θi) = (MassFlow::from_si(concentration), Flow::from_si(1.0), Temperature::from_si(20.0));
            let by_balance = BalanceExcess { G, q, η: Ratio::from_si(0.0), θi }.value().si();
            let class = class_excess(class).map(Pressure::si);
            assert!(class.is_some_and(|class| (class - by_balance).abs() < 4.0), "{class:?} {by_balance:?}");
        }
        assert_eq!(class_excess(0), None);
        assert_eq!(class_excess(5), None);
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
