//! What a surface needs to stay free of mould and of condensation.

use crate::conditions::Conditions;
use crate::facts::{FACTOR, VAPOUR};
use mateline_equation::equation;
use mateline_model::quantity::{Ratio, ThermalResistance, ThermalTransmittance, Units};
use mateline_psychrometrics::saturation::saturation_temperature;

/// Relative humidity at a surface at which water condenses: saturation, no requirement.
pub const CONDENSATION: f64 = 1.0;
/// Inner surface resistance for mould on opaque surfaces (m²·K/W): ISO 13788:2012, 4.4.1 (from memory, high). Part of the
/// method, as is the next: a factor is told with it.
pub const OPAQUE_FILM: ThermalResistance = ThermalResistance::from_si(0.25);
/// Inner surface resistance of windows and doors (m²·K/W): ISO 13788:2012, 4.4.1 (from memory, high).
pub const OPENING_FILM: ThermalResistance = ThermalResistance::from_si(0.13);

equation! {
    /// Saturation pressure that a surface needs, for a critical relative humidity at the surface.
    /// Source: ISO 13788:2012, 5.3 (from memory).
    pub(crate) SaturationNeeded = "p_s = pi/φ" {
        p_s: Pressure "saturation pressure needed" [VAPOUR],
        pi: Pressure "vapour pressure indoors" [VAPOUR],
        φ: f64 "critical humidity at the surface" [Units::PERCENT],
    }

    /// Temperature factor that a surface needs. Source: ISO 13788:2012, 5.3 (from memory).
    pub(crate) FactorNeeded = "fRsi = (θsi − θe)/(θi − θe)" {
        fRsi: Ratio "needed" [FACTOR],
        θsi: Temperature "least surface temperature" [Units::TEMPERATURE],
        θe: Temperature "outside" [Units::TEMPERATURE],
        θi: Temperature "indoors" [Units::TEMPERATURE],
    }

    /// Temperature factor of a plane part. Source: ISO 13788:2012, 5.3, plane parts (from memory).
    pub(crate) PlaneFactor = "fRsi = 1 − Rsi/(1/U − R + Rsi)" {
        fRsi: Ratio "temperature factor" [FACTOR],
        U: ThermalTransmittance "U-factor" [Units::TRANSMITTANCE],
        R: ThermalResistance "inner film within U" [Units::RESISTANCE],
        Rsi: ThermalResistance "inner film for mould" [Units::RESISTANCE],
    }

    /// Temperature factor of a whole product whose U-factor has the film asked for. Source: ISO 13788:2012, 5.3, plane
    /// parts (from memory).
    pub(crate) ProductFactor = "fRsi = 1 − U Rsi" {
        fRsi: Ratio "temperature factor" [FACTOR],
        U: ThermalTransmittance "U-factor" [Units::TRANSMITTANCE],
        Rsi: ThermalResistance "inner film" [Units::RESISTANCE],
    }

    /// Resistance that a plane part lacks for a factor. Source: the factor of a plane part, turned round.
    pub(crate) Lacking = "ΔR = Rsi/(1 − f) − Rsi/(1 − f0)" {
        ΔR: ThermalResistance "resistance that is lacking" [Units::RESISTANCE],
        Rsi: ThermalResistance "inner film for mould" [Units::RESISTANCE],
        f: Ratio "factor needed" [FACTOR],
        f0: Ratio "factor as drawn" [FACTOR],
    }

    /// Thickness with so much more resistance. Source: ISO 6946:2017, 6.7.1.1 (from memory).
    pub(crate) Thicker = "d = d0 + λ ΔR" {
        d: Length "thickness" [Units::THICKNESS],
        d0: Length "as drawn" [Units::THICKNESS],
        λ: Conductivity "its conductivity" [Units::CONDUCTIVITY],
        ΔR: ThermalResistance "resistance that is lacking" [Units::RESISTANCE],
    }

    /// Factor beyond what is needed. Source: subtraction.
    pub(crate) Margin = "m = fRsi − f_min" {
        m: Ratio "margin" [FACTOR],
        fRsi: Ratio "temperature factor" [FACTOR],
        f_min: Ratio "needed" [FACTOR],
    }
}

/// Temperature factor that a surface needs in a month, for a critical relative humidity at the surface.
///
/// `None` where outdoors is as warm as indoors, so that no surface is colder than the air.
pub fn factor_needed(month: &Conditions, critical: f64) -> Option<f64> {
    let (inside, outside) = (month.inside.temperature, month.outside.temperature);
    if inside.si() - outside.si() < 1e-9 {
        return None;
    }
    let least = saturation_temperature(least_saturation(month, critical).value())?;
    Some(FactorNeeded { θsi: least, θe: outside, θi: inside }.value().si())
}

/// What the air at a surface has to be able to hold.
pub(crate) fn least_saturation(month: &Conditions, critical: f64) -> SaturationNeeded {
    SaturationNeeded { pi: month.inside.vapour, φ: critical }
}

/// The month that asks most, counted from 0, and what it asks for. Months in which the room air itself is past the critical
/// humidity are left out: no surface can be warm enough.
pub fn most_needed(year: &[Conditions; 12], critical: f64) -> Option<(usize, f64)> {
    let needed = year.iter().enumerate().filter_map(|(month, conditions)| {
        (conditions.inside.humidity() < critical).then_some(())?;
        Some((month, factor_needed(conditions, critical)?))
    });
    needed.fold(None, |most: Option<(usize, f64)>, (month, factor)| match most {
        Some((_, so_far)) if so_far >= factor => most,
        _ => Some((month, factor)),
    })
}

/// Temperature factor of a plane part of U-factor `U` with the inner film `R`, for the inner film asked for. `None` where
/// `U` and `R` contradict each other.
pub fn plane_factor(u: ThermalTransmittance, film: ThermalResistance, asked: ThermalResistance) -> Option<f64> {
    let factor = PlaneFactor { U: u, R: film, Rsi: asked }.value().si();
    (u.si() > 0.0 && factor > 0.0 && factor < 1.0).then_some(factor)
}

/// Resistance that a plane part lacks for a factor.
pub fn resistance_lacking(factor: f64, needed: f64, film: ThermalResistance) -> Option<ThermalResistance> {
    let more = lacking(factor, needed, film).value();
    (needed < 1.0 && more.si() > 0.0 && more.si().is_finite()).then_some(more)
}

pub(crate) fn lacking(factor: f64, needed: f64, film: ThermalResistance) -> Lacking {
    Lacking { Rsi: film, f: Ratio::from_si(needed), f0: Ratio::from_si(factor) }
}
