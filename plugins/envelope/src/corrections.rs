//! Corrections to a U-factor for what the layers do not show: gaps and fasteners.
//!
//! `ΔU = ΔUg + ΔUf`, added to U where it comes to 3 % of U or more. In each, `R1` is the resistance of the layer
//! concerned and `Rtot` that of the component without thermal bridges (m²·K/W).
//! Source: ISO 6946:2017, annex F (from memory).

use mateline_model::quantity::{Conductivity, Length, ThermalResistance, ThermalTransmittance};

/// Corrections below this share of U are left out. Source: ISO 6946:2017, 7 (from memory).
pub const NEGLIGIBLE_SHARE: f64 = 0.03;

/// Conductivity of a carbon steel shank, 50 W/(m·K). Source: ISO 10456:2007, table 3 (looked up).
pub const CARBON_STEEL: Conductivity = Conductivity::from_si(50.0);

/// `ΔU''` of an air-gap level: 0 for insulation without gaps, 0.01 where gaps bridge it, 0.04 W/(m²·K) where air also
/// moves behind it. `None` for another level.
///
/// Source: ISO 6946:2017, table F.1 (from memory).
pub const fn gap_level(level: u8) -> Option<ThermalTransmittance> {
    match level {
        0 => Some(ThermalTransmittance::from_si(0.0)),
        1 => Some(ThermalTransmittance::from_si(0.01)),
        2 => Some(ThermalTransmittance::from_si(0.04)),
        _ => None,
    }
}

/// Correction for gaps in the insulation.
///
/// `ΔUg = ΔU'' (R1/Rtot)²`, with `ΔU''` (W/(m²·K)) by [`gap_level`].
///
/// Source: ISO 6946:2017, F.2 (from memory).
pub fn air_gaps(
    coefficient: ThermalTransmittance,
    layer: ThermalResistance,
    total: ThermalResistance,
) -> ThermalTransmittance {
    coefficient * (layer / total).powi(2)
}

/// Fasteners through an insulation layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FastenerField {
    /// `λf`, of the shank.
    pub conductivity: Conductivity,
    /// Shank diameter.
    pub diameter: Length,
    /// `nf`, per square metre.
    pub per_square_metre: f64,
    /// `d0`, the layer's thickness.
    pub thickness: Length,
    /// `d1`, how deep they reach into the layer.
    pub penetration: Length,
}

impl FastenerField {
    /// `α = 0.8` where the fastener passes through the whole layer, `0.8 d1/d0` where it is recessed.
    pub fn alpha(&self) -> f64 {
        0.8 * (self.penetration / self.thickness).min(1.0)
    }

    /// `Af = π d²/4` (m²).
    pub fn shank_area(&self) -> f64 {
        std::f64::consts::PI * self.diameter.si().powi(2) / 4.0
    }
}

/// Correction for mechanical fasteners.
///
/// `ΔUf = α λf Af nf / d0 · (R1/Rtot)²`, symbols as in [`FastenerField`]. Not for fasteners whose two ends are both in
/// metal, nor for wall ties across an empty cavity.
///
/// Source: ISO 6946:2017, F.3.2 (from memory).
pub fn fasteners(field: &FastenerField, layer: ThermalResistance, total: ThermalResistance) -> ThermalTransmittance {
    let per_area = field.alpha() * field.conductivity.si() * field.shank_area() * field.per_square_metre;
    ThermalTransmittance::from_si(per_area / field.thickness.si() * (layer / total).powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five steel screws of 6 mm per square metre through 100 mm with R1 2.857 in Rtot 4.0: 0.02885 W/(m²·K).
    /// Formula ISO 6946 annex F (from memory); the value computed independently; tolerance half of its last digit.
    #[test]
    fn steel_screws() {
        let mut field = FastenerField {
            conductivity: CARBON_STEEL,
            diameter: Length::from_si(0.006),
            per_square_metre: 5.0,
            thickness: Length::from_si(0.1),
            penetration: Length::from_si(0.1),
        };
        let (r1, total) = (ThermalResistance::from_si(2.857), ThermalResistance::from_si(4.0));
        let through = fasteners(&field, r1, total).si();
        assert!((through - 0.028_85).abs() < 0.000_005, "{through}");
        field.penetration = Length::from_si(0.05);
        assert!((fasteners(&field, r1, total).si() - through / 2.0).abs() < 1e-12);
    }

    /// By hand from the formulas: half of the resistance in the layer leaves a quarter of the coefficient.
    #[test]
    fn air_gaps_by_level() {
        let (half, whole) = (ThermalResistance::from_si(2.0), ThermalResistance::from_si(4.0));
        for (level, coefficient) in [(0, 0.0), (1, 0.01), (2, 0.04)] {
            let found = gap_level(level).map_or(f64::NAN, |coefficient| air_gaps(coefficient, half, whole).si());
            assert!((found - coefficient / 4.0).abs() < 1e-15, "level {level}");
        }
        assert_eq!(gap_level(3), None);
    }
}
