//! Corrections to a U-factor for what the layers do not show: gaps and fasteners.
//!
//! `ΔU = ΔUg + ΔUf`, added to U where it comes to 3 % of U or more. In each, `R1` is the resistance of the layer
//! concerned and `Rtot` that of the component without thermal bridges (m²·K/W).
//! Source: ISO 6946:2017, annex F (from memory).

use crate::units::TRANSMITTANCE;
use mateline_equation::equation;
use mateline_layers::RESISTANCE;
use mateline_model::quantity::{Conductivity, Length, ThermalResistance, ThermalTransmittance, Units};

/// Fasteners per area.
const PER_AREA: Units = Units::new("1/m²", 1, "1/ft²", 2);

equation! {
    /// Correction for gaps in the insulation. Source: ISO 6946:2017, F.2 (from memory).
    pub AirGaps = "ΔUg = ΔU'' (R1/Rtot)²" {
        ΔUg: ThermalTransmittance "correction" [TRANSMITTANCE],
        coefficient "ΔU''": ThermalTransmittance "coefficient of the gap level" [TRANSMITTANCE],
        R1: ThermalResistance "resistance of the layer" [RESISTANCE],
        Rtot: ThermalResistance "resistance without bridges" [RESISTANCE],
    }

    /// Share of a layer that a fastener passes, times 0.8. Source: ISO 6946:2017, F.3.2 (from memory).
    pub Passed = "α = 0.8 min(1, d1/d0)" {
        α: Ratio "share of the layer passed, times 0.8" [Units::plain(3)],
        d1: Length "depth of the fasteners in the layer" [Units::THICKNESS],
        d0: Length "thickness of the layer" [Units::THICKNESS],
    }

    /// Correction for mechanical fasteners. Not for those whose two ends are both in metal, nor for wall ties across an
    /// empty cavity. Source: ISO 6946:2017, F.3.2 (from memory).
    pub Fasteners = "ΔUf = α λf (π d²/4) nf/d0 (R1/Rtot)²" {
        ΔUf: ThermalTransmittance "correction" [TRANSMITTANCE],
        α: Ratio "share of the layer passed, times 0.8" [Units::plain(3)],
        λf: Conductivity "conductivity of the shank" [Units::CONDUCTIVITY],
        d: Length "shank diameter" [Units::THICKNESS],
        nf: "1/m²" "fasteners per area" [PER_AREA],
        d0: Length "thickness of the layer" [Units::THICKNESS],
        R1: ThermalResistance "resistance of the layer" [RESISTANCE],
        Rtot: ThermalResistance "resistance without bridges" [RESISTANCE],
    }

    /// Corrections together. Source: ISO 6946:2017, F.1 (from memory).
    pub(crate) AllCorrections = "ΔU = Σ ΔU_i" {
        ΔU: ThermalTransmittance "corrections" [TRANSMITTANCE],
        ΔU_i: [ThermalTransmittance] "of a layer" [TRANSMITTANCE],
    }

    /// U-factor with corrections. Source: ISO 6946:2017, F.1 (from memory).
    pub(crate) Corrected = "U = 1/R + ΔU" {
        U: ThermalTransmittance "U-factor" [TRANSMITTANCE],
        R: ThermalResistance "resistance from air to air" [RESISTANCE],
        ΔU: ThermalTransmittance "corrections" [TRANSMITTANCE],
    }
}

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
    /// How much of the layer they pass.
    pub fn passed(&self) -> Passed {
        Passed { d1: self.penetration, d0: self.thickness }
    }

    /// Their correction in a layer of resistance `R1` of a component of resistance `Rtot`.
    pub fn correction(&self, layer: ThermalResistance, total: ThermalResistance) -> Fasteners {
        Fasteners {
            α: self.passed().value(),
            λf: self.conductivity,
            d: self.diameter,
            nf: self.per_square_metre,
            d0: self.thickness,
            R1: layer,
            Rtot: total,
        }
    }
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
        let through = field.correction(r1, total).value().si();
        assert!((through - 0.028_85).abs() < 0.000_005, "{through}");
        field.penetration = Length::from_si(0.05);
        assert!((field.correction(r1, total).value().si() - through / 2.0).abs() < 1e-12);
    }

    /// By hand from the formulas: half of the resistance in the layer leaves a quarter of the coefficient.
    #[test]
    fn air_gaps_by_level() {
        let (half, whole) = (ThermalResistance::from_si(2.0), ThermalResistance::from_si(4.0));
        for (level, coefficient) in [(0, 0.0), (1, 0.01), (2, 0.04)] {
            let found = gap_level(level)
                .map_or(f64::NAN, |coefficient| AirGaps { coefficient, R1: half, Rtot: whole }.value().si());
            assert!((found - coefficient / 4.0).abs() < 1e-15, "level {level}");
        }
        assert_eq!(gap_level(3), None);
    }
}
