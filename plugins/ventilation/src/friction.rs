//! Pressure drop of air in ducts.
//!
//! Standard air (0.075 lb/ft³ and 1.63e-4 ft²/s), for which ducts and fans are rated; thinner air at height is not
//! counted.

use crate::facts::{DUCT_PRESSURE, FRICTION, VELOCITY_UNITS};
use mateline_equation::equation;
use mateline_model::Step;
use mateline_model::portable::{log10, pow};
use mateline_model::quantity::{Density, Flow, Length, Pressure, Units};

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

/// A factor or a number of a flow.
const FACTOR: Units = Units::plain(5);
const REYNOLDS: Units = Units::plain(0);
/// Roughness of a wall.
const ROUGHNESS: Units = Units::new("mm", 3, "in", 5);

equation! {
    /// Mean velocity in a round duct. Source: continuity.
    pub Velocity = "V = 4 Q/(π D²)" {
        V: FlowPerArea "velocity" [VELOCITY_UNITS],
        Q: Flow "flow" [Units::FLOW],
        D: Length "inside diameter" [Units::THICKNESS],
    }

    /// Velocity pressure: for standard air `(V/4005)²` in w.g. with `V` in ft/min. Source: definition.
    pub VelocityPressure = "p_v = ρ V²/2" {
        p_v: Pressure "velocity pressure" [DUCT_PRESSURE],
        ρ: Density "density of standard air" [Units::new("kg/m³", 3, "lb/ft³", 4)],
        V: FlowPerArea "velocity" [VELOCITY_UNITS],
    }

    /// Reynolds number of a round duct. Source: definition.
    pub Reynolds = "Re = V D/ν" {
        Re: f64 "Reynolds number" [REYNOLDS],
        V: FlowPerArea "velocity" [VELOCITY_UNITS],
        D: Length "inside diameter" [Units::THICKNESS],
        ν: "m²/s" "kinematic viscosity of standard air" [Units::new("m²/s", 8, "ft²/s", 7)],
    }

    /// Friction factor of Darcy in turbulent flow, solved by repetition. Source: Colebrook 1939, as in ASHRAE
    /// Fundamentals, duct design chapter (from memory).
    pub Colebrook = "1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))" {
        f: f64 "friction factor" [FACTOR],
        ε: Length "roughness" [ROUGHNESS],
        D: Length "inside diameter" [Units::THICKNESS],
        Re: f64 "Reynolds number" [REYNOLDS],
    }

    /// Friction factor of Darcy in laminar flow. Source: Hagen-Poiseuille.
    pub Laminar = "f = 64/Re" {
        f: f64 "friction factor" [FACTOR],
        Re: f64 "Reynolds number" [REYNOLDS],
    }

    /// Friction factor between laminar and turbulent flow, in a straight line. Source: common practice, no source.
    pub Between = "f = f_l + (f_t − f_l)(Re − 2300)/(4000 − 2300)" {
        f: f64 "friction factor" [FACTOR],
        f_l: f64 "laminar, at 2300" [FACTOR],
        f_t: f64 "turbulent, at 4000" [FACTOR],
        Re: f64 "Reynolds number" [REYNOLDS],
    }

    /// Pressure drop of a duct with its fittings. Source: Darcy-Weisbach; ASHRAE Fundamentals, duct design chapter (from
    /// memory).
    pub Drop = "Δp = (f L/D + C) p_v" {
        Δp: Pressure "pressure drop" [DUCT_PRESSURE],
        f: f64 "friction factor" [FACTOR],
        L: Length "length" [Units::LENGTH],
        D: Length "inside diameter" [Units::THICKNESS],
        C: f64 "fittings, sum of their coefficients" [Units::plain(2)],
        p_v: Pressure "velocity pressure" [DUCT_PRESSURE],
    }

    /// Pressure drop per length of straight duct. Source: Darcy-Weisbach (from memory).
    pub PerLength = "R = f p_v/D" {
        R: "Pa/m" "friction per length" [FRICTION],
        f: f64 "friction factor" [FACTOR],
        p_v: Pressure "velocity pressure" [DUCT_PRESSURE],
        D: Length "inside diameter" [Units::THICKNESS],
    }
}

/// Friction factor `f` of Darcy: turbulent, laminar, or between the two.
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds <= LAMINAR {
        return Laminar { Re: reynolds.max(1e-9) }.value();
    }
    if reynolds < TURBULENT {
        return between(reynolds, relative_roughness).value();
    }
    colebrook(reynolds, relative_roughness)
}

fn between(reynolds: f64, relative_roughness: f64) -> Between {
    let (laminar, turbulent) = (Laminar { Re: LAMINAR }.value(), colebrook(TURBULENT, relative_roughness));
    Between { f_l: laminar, f_t: turbulent, Re: reynolds }
}

fn colebrook(reynolds: f64, relative_roughness: f64) -> f64 {
    let rough = relative_roughness / 3.7;
    // The repetition contracts by at least ten at each pass for every Reynolds number above 4000.
    let mut inverse_root = -2.0 * log10(rough + 5.74 / pow(reynolds, 0.9));
    for _ in 0..40 {
        let next = -2.0 * log10(rough + 2.51 * inverse_root / reynolds);
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
    /// Pressure drop at a flow.
    pub fn pressure_drop(&self, flow: Flow) -> Pressure {
        if flow.si() <= 0.0 { Pressure::from_si(0.0) } else { self.drop(flow).value() }
    }

    /// Velocity at a flow.
    pub fn velocity(&self, flow: Flow) -> Velocity {
        Velocity { Q: flow, D: self.diameter }
    }

    /// Reynolds number at a flow.
    pub fn reynolds(&self, flow: Flow) -> Reynolds {
        Reynolds { V: self.velocity(flow).value(), D: self.diameter, ν: VISCOSITY }
    }

    /// Velocity pressure at a flow.
    pub fn velocity_pressure(&self, flow: Flow) -> VelocityPressure {
        VelocityPressure { ρ: Density::from_si(DENSITY), V: self.velocity(flow).value() }
    }

    /// Pressure drop at a flow that is not nothing.
    pub fn drop(&self, flow: Flow) -> Drop {
        Drop {
            f: self.friction_factor(flow),
            L: self.length,
            D: self.diameter,
            C: self.fittings,
            p_v: self.velocity_pressure(flow).value(),
        }
    }

    /// Friction factor at a flow; none where no air moves.
    pub fn friction_factor(&self, flow: Flow) -> f64 {
        let reynolds = self.reynolds(flow).value();
        if reynolds > 0.0 { friction_factor(reynolds, self.roughness / self.diameter) } else { 0.0 }
    }

    /// The step that shows the friction factor, by the law that holds at the flow.
    pub fn friction_step(&self, flow: Flow) -> Step {
        let reynolds = self.reynolds(flow).value();
        if reynolds <= 0.0 {
            return Step::procedure("no air moves");
        }
        if reynolds <= LAMINAR {
            return Laminar { Re: reynolds }.step().1;
        }
        if reynolds < TURBULENT {
            return between(reynolds, self.roughness / self.diameter).step().1;
        }
        Colebrook { f: self.friction_factor(flow), ε: self.roughness, D: self.diameter, Re: reynolds }.step().1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rates::CFM;
    use mateline_model::quantity::FlowPerArea;
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
            close(run.velocity(flow).value().si() / 0.3048 * 60.0, feet_per_minute);
            close(run.reynolds(flow).value(), reynolds);
            close(run.friction_factor(flow), factor);
            close(run.pressure_drop(flow).si() / WATER_INCH, drop);
        }
    }

    /// `(V/4005)²` in w.g. (from memory), where the inch is of water at 68 °F, 0.9982 of one at 4 °C. The constant has
    /// four digits: half of the last is 0.03 % of its square.
    #[test]
    fn velocity_pressure_in_trade_units() {
        for feet_per_minute in [400.0, 700.0, 1200.0_f64] {
            let velocity = FlowPerArea::from_si(feet_per_minute * 0.3048 / 60.0);
            let pressure = VelocityPressure { ρ: Density::from_si(DENSITY), V: velocity }.value();
            let found = pressure.si() / (WATER_INCH * 0.9982);
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
