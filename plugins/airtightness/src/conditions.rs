//! The air on both sides during a test, and what it does to the readings and the fitted coefficient.

use crate::air::{self, REFERENCE_DENSITY, REFERENCE_TEMPERATURE};
use crate::power_law::PowerLaw;
use crate::regression::Fit;
use mateline_model::quantity::{Density, Flow, Pressure, Temperature};

/// Which way the fan moves the air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Air is drawn out of the home, and outdoor air comes in through the leaks.
    Depressurised,
    /// Air is blown in, and indoor air goes out through the leaks.
    Pressurised,
}

impl Direction {
    /// In a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Direction::Depressurised => "depressurisation",
            Direction::Pressurised => "pressurisation",
        }
    }
}

/// The air on both sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Indoor temperature.
    pub indoor: Temperature,
    /// Outdoor temperature.
    pub outdoor: Temperature,
    /// Barometric pressure.
    pub barometer: Pressure,
}

impl Conditions {
    /// Density of the indoor air.
    pub fn indoor_density(&self) -> Density {
        air::density(self.barometer, self.indoor)
    }

    /// Density of the outdoor air.
    pub fn outdoor_density(&self) -> Density {
        air::density(self.barometer, self.outdoor)
    }

    /// Temperature of the air in the leaks: of the side the air comes from.
    fn leaking(&self, direction: Direction) -> Temperature {
        match direction {
            Direction::Depressurised => self.outdoor,
            Direction::Pressurised => self.indoor,
        }
    }

    /// Flow through the envelope behind a flow through the fan.
    ///
    /// `q_env = q_m ρi/ρe` when depressurising, `q_m ρe/ρi` when pressurising, with `ρi` and `ρe` the indoor and
    /// outdoor densities (kg/m³): the mass that goes through the fan goes through the leaks at the other side's
    /// density.
    ///
    /// Source: ISO 9972:2015, clause 6; ASTM E779-19, section 9 (from memory).
    pub fn envelope_flow(&self, direction: Direction, fan: Flow) -> Flow {
        let ratio = self.indoor_density() / self.outdoor_density();
        match direction {
            Direction::Depressurised => fan * ratio,
            Direction::Pressurised => fan / ratio,
        }
    }

    /// Leakage curve at the reference state by the international standard.
    ///
    /// `C_L = C_env (ρ/ρ0)^(1 − n)`, with `ρ` the density of the air in the leaks: outdoor air when depressurising,
    /// indoor air when pressurising; `ρ0` = 1.204 kg/m³.
    ///
    /// Source: ISO 9972:2015, clause 6 (from memory).
    pub fn iso_9972(&self, direction: Direction, fit: &Fit) -> PowerLaw {
        let curve = fit.curve();
        PowerLaw { c: curve.c * self.density_ratio(direction).powf(1.0 - curve.n), n: curve.n }
    }

    /// Leakage curve at the reference state by the American standard, which also counts the air's viscosity.
    ///
    /// `C0 = C (μ/μ0)^(2n − 1) (ρ/ρ0)^(1 − n)`, with `μ` the viscosity and `ρ` the density of the air in the leaks and
    /// `μ0`, `ρ0` those of the reference state.
    ///
    /// Source: ASTM E779-19, section 9 (from memory).
    pub fn astm_e779(&self, direction: Direction, fit: &Fit) -> PowerLaw {
        let curve = fit.curve();
        let viscosity = air::viscosity(self.leaking(direction)) / air::viscosity(REFERENCE_TEMPERATURE);
        let density = self.density_ratio(direction);
        PowerLaw { c: curve.c * viscosity.powf(2.0 * curve.n - 1.0) * density.powf(1.0 - curve.n), n: curve.n }
    }

    fn density_ratio(&self, direction: Direction) -> f64 {
        air::density(self.barometer, self.leaking(direction)) / REFERENCE_DENSITY
    }
}
