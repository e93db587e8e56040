//! The steady balance of one compound in one volume of air.

use crate::facts::{CONCENTRATION_UNITS, EMISSION_UNITS, SOURCE_UNITS};
use mateline_equation::equation;
use mateline_model::quantity::{Area, Density, EmissionRate, Flow, MassFlow, Units};

equation! {
    /// What one finish gives off. Source: definition of the emission factor.
    pub Given = "S_i = E A" {
        S_i: MassFlow "given off" [SOURCE_UNITS],
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        A: Area "area in this air" [Units::AREA],
    }

    /// What all sources give off together. Source: addition.
    pub AllGiven = "S = Σ S_i" {
        S: MassFlow "given off by all finishes" [SOURCE_UNITS],
        S_i: [MassFlow] "given off by one" [SOURCE_UNITS],
    }

    /// All air that enters the air of a room. Source: addition.
    pub Entering = "Q = Q_o + Σ Q_j" {
        Q: Flow "all air that enters" [Units::HOURLY_FLOW],
        Q_o: Flow "outdoor air among it" [Units::HOURLY_FLOW],
        Q_j: [Flow] "from other rooms" [Units::HOURLY_FLOW],
    }

    /// Steady concentration of a room that air from other rooms comes to: perfect mixing, no sinks, nothing in the outdoor
    /// air. Source: mass balance of the room's air, solved for all rooms at once.
    pub Balanced = "Q C = S + Σ Q_j C_j" {
        C: Density "concentration" [CONCENTRATION_UNITS],
        Q: Flow "all air that enters" [Units::HOURLY_FLOW],
        S: MassFlow "given off by all finishes" [SOURCE_UNITS],
        Q_j: [Flow] "from other rooms" [Units::HOURLY_FLOW],
        C_j: [Density] "concentration there" [CONCENTRATION_UNITS],
    }

    /// Steady concentration: perfect mixing, no sinks, nothing in the fresh air.
    ///
    /// Source: mass balance; CDPH Standard Method v1.2 in this form (from memory, high).
    pub Steady = "C = S/Q" {
        C: Density "concentration" [CONCENTRATION_UNITS],
        S: MassFlow "given off by all finishes" [SOURCE_UNITS],
        Q: Flow "fresh air" [Units::HOURLY_FLOW],
    }

    /// Fresh air that keeps a concentration at a level. Source: mass balance.
    pub FlowNeeded = "Q = S/C" {
        Q: Flow "fresh air needed" [Units::HOURLY_FLOW],
        S: MassFlow "given off by all finishes" [SOURCE_UNITS],
        C: Density "level" [CONCENTRATION_UNITS],
    }
}

/// What all sources give off together.
pub fn source(parts: impl IntoIterator<Item = (EmissionRate, Area)>) -> MassFlow {
    parts.into_iter().map(|(factor, area)| Given { E: factor, A: area }.value()).sum()
}

/// The steady concentration; `None` where no fresh air comes in, since nothing is steady then.
pub fn concentration(source: MassFlow, fresh_air: Flow) -> Option<Density> {
    let concentration = Steady { S: source, Q: fresh_air }.value();
    (fresh_air.si() > 0.0 && concentration.si().is_finite()).then_some(concentration)
}

/// The fresh air that keeps the concentration at a level; `None` for a level of zero.
pub fn flow_needed(source: MassFlow, level: Density) -> Option<Flow> {
    let flow = FlowNeeded { S: source, C: level }.value();
    (level.si() > 0.0 && flow.si().is_finite()).then_some(flow)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    /// 5 µg/(m²·h) over 20 m² into 50 m³/h: 100 µg/h over 50 m³/h is 2 µg/m³.
    #[test]
    fn a_balance_by_hand() {
        let given = source([("5 µg/(m²·h)".parse().unwrap(), "20 m²".parse().unwrap())]);
        let found = concentration(given, "50 m³/h".parse().unwrap()).unwrap();
        assert!((found.in_unit("µg/m³").unwrap() - 2.0).abs() < 1e-12);
        assert_eq!(concentration(given, Flow::from_si(0.0)), None);
        assert_eq!(flow_needed(given, Density::from_si(0.0)), None);
    }

    proptest! {
        #[test]
        fn concentrations_add_and_twice_the_air_halves_them(
            parts in prop::collection::vec((0.0..1e-12_f64, 0.0..500.0_f64), 0..8),
            flow in 1e-4..1.0_f64,
        ) {
            let parts: Vec<_> = parts.iter().map(|(e, a)| (EmissionRate::from_si(*e), Area::from_si(*a))).collect();
            let at = |parts: &[(EmissionRate, Area)], flow| {
                concentration(source(parts.iter().copied()), Flow::from_si(flow)).unwrap().si()
            };
            let whole = at(&parts, flow);
            let sum: f64 = parts.iter().map(|part| at(&[*part], flow)).sum();
            prop_assert!((whole - sum).abs() <= 1e-12 * whole.max(1e-30));
            prop_assert!((at(&parts, 2.0 * flow) - whole / 2.0).abs() <= 1e-12 * whole.max(1e-30));
        }

        #[test]
        fn the_flow_needed_brings_the_level_about(strength in 1e-14..1e-6_f64, level in 1e-10..1e-5_f64) {
            let strength = MassFlow::from_si(strength);
            let flow = flow_needed(strength, Density::from_si(level)).unwrap();
            prop_assert!((concentration(strength, flow).unwrap().si() - level).abs() <= 1e-12 * level);
        }
    }
}
