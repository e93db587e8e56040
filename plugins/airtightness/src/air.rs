//! Air: its density and viscosity, as the test standards reckon them. Moisture is left out.

use mateline_model::quantity::{Density, Pressure, Temperature};

/// Density of the reference air, 20 °C and 101 325 Pa (kg/m³).
///
/// Source: ISO 9972:2015 (from memory).
pub const REFERENCE_DENSITY: Density = Density::from_si(1.204);

/// Pressure of the reference air, at sea level (Pa).
pub const REFERENCE_PRESSURE: Pressure = Pressure::from_si(101_325.0);

/// Temperature of the reference air (°C).
pub const REFERENCE_TEMPERATURE: Temperature = Temperature::from_si(20.0);

/// Density of dry air.
///
/// `ρ = p/(287.055 T)`, with `p` the barometric pressure (Pa) and `T` the absolute temperature (K); `ρ` in kg/m³.
/// Vapour makes room air up to 1 % lighter, which cancels almost wholly in the ratio of two densities.
///
/// Source: ISO 9972:2015, annex on air density (from memory).
pub fn density(barometer: Pressure, temperature: Temperature) -> Density {
    Density::from_si(barometer.si() / (287.055 * temperature.kelvin()))
}

/// Dynamic viscosity of air (Pa·s).
///
/// `μ = 1.458·10⁻⁶ T^1.5/(T + 110.4)`, with `T` in K. Valid from about 100 to 1 900 K.
///
/// Source: ASTM E779-19, annex (Sutherland's formula; from memory).
pub fn viscosity(temperature: Temperature) -> f64 {
    let t = temperature.kelvin();
    1.458e-6 * t.powf(1.5) / (t + 110.4)
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
        assert!((viscosity(REFERENCE_TEMPERATURE) - 1.81e-5).abs() < 0.005e-5);
    }
}
