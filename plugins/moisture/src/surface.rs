//! What a surface needs to stay free of mould and of condensation.

use crate::conditions::Conditions;
use mateline_model::quantity::{Pressure, ThermalResistance, ThermalTransmittance};
use mateline_psychrometrics::saturation::saturation_temperature;

/// Relative humidity at a surface above which mould grows: ISO 13788:2012, 5.1 (from memory, high).
pub const MOULD: f64 = 0.8;
/// Relative humidity at a surface at which water condenses.
pub const CONDENSATION: f64 = 1.0;
/// Inner surface resistance for mould on opaque surfaces (m²·K/W): ISO 13788:2012, 4.4.1 (from memory, high).
pub const OPAQUE_FILM: ThermalResistance = ThermalResistance::from_si(0.25);
/// Inner surface resistance of windows and doors (m²·K/W): ISO 13788:2012, 4.4.1 (from memory, high).
pub const OPENING_FILM: ThermalResistance = ThermalResistance::from_si(0.13);

/// Temperature factor that a surface needs in a month, for a critical relative humidity at the surface.
///
/// `fRsi = (θsi − θe)/(θi − θe)`, where `p_sat(θsi) = p_i/φ`, with `p_i` (Pa) the indoor vapour pressure and `φ` the critical
/// humidity (1). `None` where outdoors is as warm as indoors, so that no surface is colder than the air.
///
/// Source: ISO 13788:2012, 5.3 (from memory).
pub fn factor_needed(month: &Conditions, critical: f64) -> Option<f64> {
    let (inside, outside) = (month.inside.temperature.si(), month.outside.temperature.si());
    if inside - outside < 1e-9 {
        return None;
    }
    let least = saturation_temperature(Pressure::from_si(month.inside.vapour.si() / critical))?;
    Some((least.si() - outside) / (inside - outside))
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

/// Temperature factor of a plane part.
///
/// `fRsi = 1 − Rsi/(1/U − R + Rsi)`, with `U` (W/(m²·K)) for the inner surface resistance `R` (m²·K/W) and `Rsi` (m²·K/W) the one
/// asked for. `None` where `U` and `R` contradict each other.
///
/// Source: ISO 13788:2012, 5.3, plane parts (from memory).
pub fn plane_factor(u: ThermalTransmittance, film: ThermalResistance, asked: ThermalResistance) -> Option<f64> {
    let whole = 1.0 / u.si() - film.si() + asked.si();
    (u.si() > 0.0 && whole > asked.si()).then(|| 1.0 - asked.si() / whole)
}

/// Resistance that a plane part lacks for a factor (m²·K/W): `ΔR = Rsi/(1 − f) − Rsi/(1 − f₀)`.
pub fn resistance_lacking(factor: f64, needed: f64, film: ThermalResistance) -> Option<ThermalResistance> {
    let more = film.si() / (1.0 - needed) - film.si() / (1.0 - factor);
    (needed < 1.0 && more > 0.0 && more.is_finite()).then(|| ThermalResistance::from_si(more))
}
