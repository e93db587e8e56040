//! The air on both sides during a test, and what it does to the readings and the fitted coefficient.

use crate::air::{self, REFERENCE_DENSITY, REFERENCE_TEMPERATURE};
use crate::facts::COEFFICIENT;
use crate::power_law::PowerLaw;
use mateline_equation::equation;
use mateline_model::quantity::{Density, Flow, Pressure, Temperature, Units};

equation! {
    /// Flow through the envelope behind a flow through the fan: the mass that goes through the fan goes through the leaks
    /// at the other side's density.
    ///
    /// Source: ISO 9972:2015, clause 6; ASTM E779-19, section 9 (from memory).
    pub DrawnIn = "q = q_m ρi/ρe" {
        q: Flow "flow through the envelope" [Units::HOURLY_FLOW],
        q_m: Flow "flow through the fan" [Units::HOURLY_FLOW],
        ρi: Density "density of indoor air" [Units::AIR_DENSITY],
        ρe: Density "density of outdoor air" [Units::AIR_DENSITY],
    }

    /// The same when air is blown in. Source: as when it is drawn out.
    pub BlownOut = "q = q_m ρe/ρi" {
        q: Flow "flow through the envelope" [Units::HOURLY_FLOW],
        q_m: Flow "flow through the fan" [Units::HOURLY_FLOW],
        ρi: Density "density of indoor air" [Units::AIR_DENSITY],
        ρe: Density "density of outdoor air" [Units::AIR_DENSITY],
    }

    /// Coefficient at the reference state by the international standard, with the density of the air in the leaks:
    /// outdoor air when depressurising, indoor air when pressurising.
    ///
    /// Source: ISO 9972:2015, clause 6 (from memory).
    pub Referred = "C_L = C (ρ/ρ0)^(1 − n)" {
        C_L: Flow "coefficient at the reference state" [COEFFICIENT],
        C: Flow "coefficient" [COEFFICIENT],
        ρ: Density "density of the air in the leaks" [Units::AIR_DENSITY],
        ρ0: Density "density of reference air" [Units::AIR_DENSITY],
        n: f64 "exponent" [Units::plain(4)],
    }

    /// Coefficient at the reference state by the American standard, which also counts the air's viscosity.
    ///
    /// Source: ASTM E779-19, section 9 (from memory).
    pub ReferredE779 = "C0 = C (μ/μ0)^(2 n − 1) (ρ/ρ0)^(1 − n)" {
        C0: Flow "coefficient at the reference state" [COEFFICIENT],
        C: Flow "coefficient" [COEFFICIENT],
        μ: f64 "viscosity of the air in the leaks in Pa·s" [Units::plain(8)],
        μ0: f64 "viscosity of reference air in Pa·s" [Units::plain(8)],
        ρ: Density "density of the air in the leaks" [Units::AIR_DENSITY],
        ρ0: Density "density of reference air" [Units::AIR_DENSITY],
        n: f64 "exponent" [Units::plain(4)],
    }
}

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
    pub fn envelope_flow(&self, direction: Direction, fan: Flow) -> Flow {
        let (ρi, ρe) = (self.indoor_density(), self.outdoor_density());
        match direction {
            Direction::Depressurised => DrawnIn { q_m: fan, ρi, ρe }.value(),
            Direction::Pressurised => BlownOut { q_m: fan, ρi, ρe }.value(),
        }
    }

    /// A curve's coefficient at the reference state by the international standard.
    pub fn iso_9972(&self, direction: Direction, curve: PowerLaw) -> Referred {
        Referred { C: curve.at_one_pascal(), ρ: self.leaking_density(direction), ρ0: REFERENCE_DENSITY, n: curve.n }
    }

    /// A curve's coefficient at the reference state by the American standard.
    pub fn astm_e779(&self, direction: Direction, curve: PowerLaw) -> ReferredE779 {
        ReferredE779 {
            C: curve.at_one_pascal(),
            μ: air::viscosity(self.leaking(direction)).value(),
            μ0: air::viscosity(REFERENCE_TEMPERATURE).value(),
            ρ: self.leaking_density(direction),
            ρ0: REFERENCE_DENSITY,
            n: curve.n,
        }
    }

    fn leaking_density(&self, direction: Direction) -> Density {
        air::density(self.barometer, self.leaking(direction))
    }
}
