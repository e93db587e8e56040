//! The standard new single-family residence in which the CDPH method places one product at a time. Its sizes are method and
//! no requirement: a product's concentration is told in this building; the limits on it stand in the packs.

use crate::facts::{CONCENTRATION_UNITS, EMISSION_UNITS};
use mateline_equation::equation;
use mateline_model::quantity::{Area, Density, EmissionRate, Flow, Rate, Ratio, Units, Volume};

equation! {
    /// Concentration that one product brings about in a building: steady state, perfect mixing, no sinks, nothing in the
    /// outdoor air. With φ = 1 it is the area-specific air flow `E/(Q/A)`.
    ///
    /// Source: normative appendix F of Standard 189.1 (looked up).
    pub OneProduct = "C = E A/(V a φ)" {
        C: Density "concentration" [CONCENTRATION_UNITS],
        E: EmissionRate "emission factor at 14 days, isomers added" [EMISSION_UNITS],
        A: Area "area" [Units::AREA],
        V: Volume "volume" [Units::VOLUME],
        a: Rate "air changes" [Units::new("1/h", 2, "1/h", 2)],
        φ: Ratio "ventilated share of the volume" [Units::plain(1)],
    }

    /// The same with all the outdoor air. Source: as with a ventilated share.
    pub OneProductWhole = "C = E A/Q" {
        C: Density "concentration" [CONCENTRATION_UNITS],
        E: EmissionRate "emission factor at 14 days, isomers added" [EMISSION_UNITS],
        A: Area "area" [Units::AREA],
        Q: Flow "outdoor air" [Units::HOURLY_FLOW],
    }
}

/// Floor area. Source: CDPH Standard Method v1.2 as restated elsewhere (looked up, second-hand): 2,272 ft².
pub const FLOOR_AREA: Area = Area::from_si(211.0);

/// Volume. Derived: 211 m² of floor, 8.5 ft high, rounded to the cubic metre.
pub const VOLUME: Volume = Volume::from_si(547.0);

/// Air changes. Source: CDPH Standard Method v1.2 (from memory, high): 0.23 per hour.
pub const AIR_CHANGE: Rate = Rate::from_si(0.23 / 3_600.0);

/// Area of painted wall or wallboard. Source: CDPH Standard Method v1.2 (from memory, low).
pub const WALL_AREA: Area = Area::from_si(560.0);

/// Share of the volume that is ventilated. Source: normative appendix F of Standard 189.1 (looked up).
pub const VENTILATED_SHARE: Ratio = Ratio::from_si(0.9);

/// Outdoor air of the residence: 126 m³/h.
pub fn outdoor_air() -> Flow {
    AIR_CHANGE * VOLUME
}

/// The concentration that one product brings about in a building; `None` where there is no air change.
pub fn building_concentration(
    factor: EmissionRate,
    area: Area,
    volume: Volume,
    air_change: Rate,
    ventilated_share: Ratio,
) -> Option<Density> {
    let found = OneProduct { E: factor, A: area, V: volume, a: air_change, φ: ventilated_share }.value();
    let flows = volume.si() * air_change.si() * ventilated_share.si() > 0.0;
    (flows && found.si().is_finite()).then_some(found)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::quantity::Length;

    /// 74 cfm, 126 m³/h and 0.60 m³/(h·m²) of flooring, each to its last printed digit.
    #[test]
    fn the_residence_is_consistent() {
        assert!((outdoor_air().in_unit("m³/h").unwrap() - 126.0).abs() <= 0.5);
        assert!((outdoor_air().in_unit("cfm").unwrap() - 74.0).abs() <= 0.5);
        let per_area = outdoor_air() / FLOOR_AREA;
        assert!((per_area.in_unit("m³/(h·m²)").unwrap() - 0.60).abs() <= 0.005);
        let ceiling_height = Length::from_si(2.59); // 8.5 ft, source as the floor area
        assert!(((FLOOR_AREA * ceiling_height).si() - VOLUME.si()).abs() <= 1.0);
        assert!((outdoor_air().in_unit("m³/h").unwrap() / WALL_AREA.si() - 0.22).abs() <= 0.005);
        assert!((FLOOR_AREA.si() / VOLUME.si() - 0.386).abs() <= 0.0005);
    }

    /// By hand: 10 µg/(m²·h) × 100 m² = 1000 µg/h into 500 m³ × 0.5 1/h × 0.9 = 225 m³/h is 4.444 µg/m³.
    #[test]
    fn the_equation_by_hand() {
        let found = building_concentration(
            "10 µg/(m²·h)".parse().unwrap(),
            "100 m²".parse().unwrap(),
            "500 m³".parse().unwrap(),
            "0.5 1/h".parse().unwrap(),
            VENTILATED_SHARE,
        );
        assert!((found.unwrap().in_unit("µg/m³").unwrap() - 1000.0 / 225.0).abs() < 1e-9);
        let still = building_concentration(
            EmissionRate::from_si(1.0),
            FLOOR_AREA,
            VOLUME,
            Rate::from_si(0.0),
            VENTILATED_SHARE,
        );
        assert_eq!(still, None);
    }

    /// The flooring that brings formaldehyde to 9 µg/m³: 9 × 547 × 0.23 × 0.9/211 = 4.8297 µg/(m²·h).
    #[test]
    fn formaldehyde_exactly_on_its_level() {
        let factor: EmissionRate = "4.829673 µg/(m²·h)".parse().unwrap();
        let found = building_concentration(factor, FLOOR_AREA, VOLUME, AIR_CHANGE, VENTILATED_SHARE).unwrap();
        assert!((found.in_unit("µg/m³").unwrap() - 9.0).abs() < 1e-6, "{found}");
        let exact = EmissionRate::from_si(9e-9 * 547.0 * (0.23 / 3_600.0) * 0.9 / 211.0);
        let found = building_concentration(exact, FLOOR_AREA, VOLUME, AIR_CHANGE, VENTILATED_SHARE).unwrap();
        assert!((found.si() / 9e-9 - 1.0).abs() < 1e-14);
    }
}
