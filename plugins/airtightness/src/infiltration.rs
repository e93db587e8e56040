//! Infiltration over the year, as the ventilation standard credits it.

use mateline_equation::equation;
use mateline_model::quantity::{Flow, Length, Units};

/// Reference height, 8.2 ft (m).
pub const REFERENCE_HEIGHT: Length = Length::from_si(2.5);

equation! {
    /// Annual effective infiltration.
    ///
    /// Source: ASHRAE 62.2-2016, 4.1.2 (from memory, high).
    pub Infiltration = "Qinf = 0.052 q50 wsf (H/Hr)^0.4" {
        Qinf: Flow "effective infiltration" [Units::HOURLY_FLOW],
        q50: Flow "leakage at 50 Pa" [Units::HOURLY_FLOW],
        wsf: f64 "weather and shielding factor" [Units::plain(2)],
        H: Length "lowest to highest point above grade" [Units::LENGTH],
        Hr: Length "reference height" [Units::LENGTH],
    }
}

/// Annual effective infiltration of a home of a height.
pub fn effective(q50: Flow, weather_shielding: f64, height: Length) -> Infiltration {
    Infiltration { q50, wsf: weather_shielding, H: height, Hr: REFERENCE_HEIGHT }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 170 cfm at 50 Pa, a factor of 0.6 and 16 ft give 6.9 cfm (derived; half of the last digit).
    #[test]
    fn a_tight_two_storey_home() {
        let q50 = Flow::from_si(170.0 * 4.719_474_432e-4);
        let flow = effective(q50, 0.6, Length::from_si(16.0 * 0.3048)).value().in_unit("cfm").unwrap_or_default();
        assert!((flow - 6.9).abs() < 0.05, "{flow}");
    }

    /// The factor follows from the leakage-area form: `Qinf(L/s) = NL wsf A/1.44` with `NL = 1000 ELA/A (H/Hr)^0.4`
    /// (derived).
    #[test]
    fn the_leakage_area_form() {
        let q50 = Flow::from_si(0.1);
        let curve = crate::power_law::PowerLaw::through(q50, crate::power_law::TEST_PRESSURE, 0.65);
        let by_area = 1000.0 * curve.effective_leakage_area().value().si() / 1.44 / 1000.0;
        let here = effective(q50, 1.0, REFERENCE_HEIGHT).value().si();
        assert!((by_area / here - 1.0).abs() < 0.01, "{by_area} against {here}");
    }
}
