//! The field-incidence mass law: how much sound a limp sheet keeps back by its inertia.

/// The mass per area (kg/m²) at which the law gives nothing at 100 Hz, the lowest band; below it, it does not hold.
pub const LIGHTEST: f64 = 2.238_721_138_568_34;

/// Sound reduction index of a limp sheet (dB).
///
/// `R = 20·lg(m·f) − 47`, with `m` the mass per area (kg/m²) and `f` the frequency (Hz). Holds for sound from all sides
/// as in a room, well below the coincidence frequency of the sheet.
///
/// Source: mass law of building acoustics, field incidence (from memory, high).
pub fn reduction(surface_mass: f64, frequency: f64) -> f64 {
    20.0 * (surface_mass * frequency).log10() - 47.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: 10 kg/m² at 500 Hz is 20·lg 5,000 − 47.
    #[test]
    fn a_value_by_hand() {
        assert!((reduction(10.0, 500.0) - 26.979_400_087).abs() < 1e-9);
    }

    /// Twice the mass, or twice the frequency, is worth 20·lg 2 = 6.02 dB.
    #[test]
    fn doubling_is_worth_six_decibels() {
        let twice = 20.0 * 2.0_f64.log10();
        for (mass, frequency) in [(5.0, 100.0), (60.0, 500.0), (350.0, 3_150.0)] {
            assert!((reduction(2.0 * mass, frequency) - reduction(mass, frequency) - twice).abs() < 1e-9);
            assert!((reduction(mass, 2.0 * frequency) - reduction(mass, frequency) - twice).abs() < 1e-9);
        }
    }

    #[test]
    fn the_lightest_sheet_keeps_nothing_back_at_100_hertz() {
        assert!(reduction(LIGHTEST, 100.0).abs() < 1e-9);
    }
}
