//! Pressure drop of air in ducts.
//!
//! Standard air (0.075 lb/ft³ and 1.63e-4 ft²/s), for which ducts and fans are rated; thinner air at height is not
//! counted.

use mateline_model::quantity::{Flow, FlowPerArea, Length, Pressure};

/// Density of standard air (kg/m³).
pub const DENSITY: f64 = 0.075 * 16.018_463;
/// Kinematic viscosity of standard air (m²/s).
pub const VISCOSITY: f64 = 1.63e-4 * 0.092_903_04;
/// Roughness of smooth sheet metal duct (m): ASHRAE Fundamentals, duct design chapter (looked up).
pub const SMOOTH: f64 = 0.0003 * 0.3048;

/// Below this Reynolds number flow is laminar.
const LAMINAR: f64 = 2300.0;
/// Above this one it is turbulent.
const TURBULENT: f64 = 4000.0;

/// Mean velocity in a round duct: `V = Q/(π D²/4)`.
pub fn velocity(flow: Flow, diameter: Length) -> FlowPerArea {
    FlowPerArea::from_si(flow.si() / (std::f64::consts::PI / 4.0 * diameter.si() * diameter.si()))
}

/// Velocity pressure: `p_v = ρ V²/2`, for standard air `(V/4005)²` in w.g. with `V` in ft/min.
pub fn velocity_pressure(velocity: FlowPerArea) -> Pressure {
    Pressure::from_si(DENSITY * velocity.si() * velocity.si() / 2.0)
}

/// Friction factor `f` of Darcy.
///
/// Turbulent: `1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))`, solved by repetition; laminar: `64/Re`. Between
/// `Re` 2300 and 4000 a straight line joins the two (common practice, no source).
///
/// Source: Colebrook 1939, as in ASHRAE Fundamentals, duct design chapter (from memory).
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds <= LAMINAR {
        return 64.0 / reynolds.max(1e-9);
    }
    if reynolds < TURBULENT {
        let (low, high) = (64.0 / LAMINAR, colebrook(TURBULENT, relative_roughness));
        return low + (high - low) * (reynolds - LAMINAR) / (TURBULENT - LAMINAR);
    }
    colebrook(reynolds, relative_roughness)
}

fn colebrook(reynolds: f64, relative_roughness: f64) -> f64 {
    let rough = relative_roughness / 3.7;
    // The repetition contracts by at least ten at each pass for every Reynolds number above 4000.
    let mut inverse_root = -2.0 * (rough + 5.74 / reynolds.powf(0.9)).log10();
    for _ in 0..40 {
        let next = -2.0 * (rough + 2.51 * inverse_root / reynolds).log10();
        if (next - inverse_root).abs() < 1e-14 {
            break;
        }
        inverse_root = next;
    }
    1.0 / (inverse_root * inverse_root)
}

/// A straight duct with its fittings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Length.
    pub length: Length,
    /// Inside diameter.
    pub diameter: Length,
    /// Roughness of the inside.
    pub roughness: Length,
    /// Sum of the loss coefficients of its fittings.
    pub fittings: f64,
}

impl Run {
    /// Pressure drop at a flow: `Δp = (f L/D + Σ C) ρ V²/2`.
    ///
    /// Source: Darcy-Weisbach; ASHRAE Fundamentals, duct design chapter (from memory).
    pub fn pressure_drop(&self, flow: Flow) -> Pressure {
        if flow.si() <= 0.0 {
            return Pressure::from_si(0.0);
        }
        let speed = velocity(flow, self.diameter);
        let factor = friction_factor(self.reynolds(flow), self.roughness / self.diameter);
        velocity_pressure(speed) * (factor * (self.length / self.diameter) + self.fittings)
    }

    /// Reynolds number at a flow: `Re = V D/ν`.
    pub fn reynolds(&self, flow: Flow) -> f64 {
        velocity(flow, self.diameter).si() * self.diameter.si() / VISCOSITY
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rates::CFM;
    use proptest::prelude::*;

    const INCH: f64 = 0.0254;
    const WATER_INCH: f64 = 249.088_91;

    /// cfm, in, ft/min, Re, f, in w.g. per 100 ft: computed independently for standard air; tolerance 0.5 %.
    #[test]
    fn the_table_of_round_ducts() {
        let table = [
            (50.0, 4.0, 573.0, 19_528.0, 0.02788, 0.1709),
            (50.0, 5.0, 366.7, 15_623.0, 0.02886, 0.0580),
            (100.0, 6.0, 509.3, 26_038.0, 0.02573, 0.0831),
            (200.0, 8.0, 573.0, 39_056.0, 0.02343, 0.0718),
            (400.0, 10.0, 733.4, 62_490.0, 0.02127, 0.0854),
            (1000.0, 14.0, 935.4, 111_590.0, 0.01894, 0.0884),
        ];
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 0.005, "{a} against {b}");
        for (cfm, inches, feet_per_minute, reynolds, factor, drop) in table {
            let flow = Flow::from_si(cfm * CFM);
            let diameter = Length::from_si(inches * INCH);
            let length = Length::from_si(100.0 * 0.3048);
            let run = Run { length, diameter, roughness: Length::from_si(SMOOTH), fittings: 0.0 };
            close(velocity(flow, diameter).si() / 0.3048 * 60.0, feet_per_minute);
            close(run.reynolds(flow), reynolds);
            close(friction_factor(run.reynolds(flow), run.roughness / diameter), factor);
            close(run.pressure_drop(flow).si() / WATER_INCH, drop);
        }
    }

    /// `(V/4005)²` in w.g. (from memory), where the inch is of water at 68 °F, 0.9982 of one at 4 °C. The constant has
    /// four digits: half of the last is 0.03 % of its square.
    #[test]
    fn velocity_pressure_in_trade_units() {
        for feet_per_minute in [400.0, 700.0, 1200.0_f64] {
            let velocity = FlowPerArea::from_si(feet_per_minute * 0.3048 / 60.0);
            let found = velocity_pressure(velocity).si() / (WATER_INCH * 0.9982);
            assert!((found / (feet_per_minute / 4005.0).powi(2) - 1.0).abs() < 3e-4, "{found}");
        }
    }

    proptest! {
        /// More air never takes less pressure, across the change from laminar to turbulent too.
        #[test]
        fn pressure_grows_with_flow(flow in 1e-5..0.5f64, more in 1.0001..3.0f64, diameter in 0.05..0.4f64, rough in 0.0..0.003f64) {
            let run = Run {
                length: Length::from_si(3.0),
                diameter: Length::from_si(diameter),
                roughness: Length::from_si(rough),
                fittings: 1.5,
            };
            prop_assert!(run.pressure_drop(Flow::from_si(flow * more)) > run.pressure_drop(Flow::from_si(flow)));
        }
    }
}
