//! Air: its density and viscosity, as the test standards reckon them. Moisture is left out.

use mateline_equation::equation;
use mateline_model::quantity::{Density, Pressure, Temperature, Units};

equation! {
    /// Density of dry air. Vapour makes room air up to 1 % lighter, which cancels almost wholly in the ratio of two
    /// densities.
    ///
    /// Source: ISO 9972:2015, annex on air density (from memory).
    pub DryAir = "ρ = p/(287.055[J/(kg·K)] T)" {
        ρ: Density "density of the air" [Units::AIR_DENSITY],
        p: Pressure "barometric pressure" [Units::new("Pa", 0, "Pa", 0)],
        T: "K" "temperature of the air" [Units::new("K", 2, "K", 2)],
    }

    /// Dynamic viscosity of air (Pa·s), for temperatures in K from about 100 to 1 900.
    ///
    /// Source: ASTM E779-19, annex (Sutherland's formula; from memory).
    pub Viscosity = "μ = 1.458 · 10⁻⁶ (T/1[K])^1.5/(T/1[K] + 110.4)" {
        μ: f64 "dynamic viscosity in Pa·s" [Units::plain(8)],
        T: "K" "temperature of the air" [Units::new("K", 2, "K", 2)],
    }
}

/// Density of the reference air, 20 °C and 101 325 Pa (kg/m³).
///
/// Source: ISO 9972:2015 (from memory).
pub const REFERENCE_DENSITY: Density = Density::from_si(1.204);

/// Pressure of the reference air, at sea level (Pa).
pub const REFERENCE_PRESSURE: Pressure = Pressure::from_si(101_325.0);

/// Temperature of the reference air (°C).
pub const REFERENCE_TEMPERATURE: Temperature = Temperature::from_si(20.0);

/// Dry air of a temperature on a scale.
pub fn dry_air(barometer: Pressure, temperature: Temperature) -> DryAir {
    DryAir { p: barometer, T: temperature.kelvin() }
}

/// Density of dry air.
pub fn density(barometer: Pressure, temperature: Temperature) -> Density {
    dry_air(barometer, temperature).value()
}

/// Viscosity of air of a temperature on a scale.
pub fn viscosity(temperature: Temperature) -> Viscosity {
    Viscosity { T: temperature.kelvin() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(celsius: f64, pascal: f64) -> f64 {
        density(Pressure::from_si(pascal), Temperature::from_si(celsius)).si()
    }

    /// The reference density is the density of dry air at the reference state, to its last printed digit.
    #[test]
    fn reference_density() {
        assert!((at(20.0, 101_325.0) - REFERENCE_DENSITY.si()).abs() < 0.0005);
    }

    /// Moist-air densities of psychrolib 2.5.0, cross-checked with CoolProp 8.0.0 (computed independently):
    /// temperature, pressure, density. Dry air is heavier, by no more than 1 % up to 25 °C at 60 % humidity.
    #[test]
    fn dry_air_against_moist_air() {
        for (celsius, pascal, moist) in [
            (20.0, 101_325.0, 1.1989),
            (25.0, 101_325.0, 1.1756),
            (0.0, 101_325.0, 1.2900),
            (-10.0, 101_325.0, 1.3404),
            (-25.0, 101_325.0, 1.4222),
            (21.0, 84_000.0, 0.9910),
        ] {
            let dry = at(celsius, pascal);
            assert!(dry >= moist - 0.000_05 && dry < moist * 1.01, "{celsius}: {dry} against {moist}");
        }
    }

    /// Viscosity of air at 20 °C is 1.81·10⁻⁵ Pa·s (handbook value, from memory, to its last digit).
    #[test]
    fn viscosity_of_room_air() {
        assert!((viscosity(REFERENCE_TEMPERATURE).value() - 1.81e-5).abs() < 0.005e-5);
    }
}
