//! The weighted sound reduction index: sixteen bands as one number.

/// Third-octave bands (Hz) with the reference curve (dB). Source: ISO 717-1, table 3 (from memory, high).
pub const BANDS: [(f64, f64); 16] = [
    (100.0, 33.0),
    (125.0, 36.0),
    (160.0, 39.0),
    (200.0, 42.0),
    (250.0, 45.0),
    (315.0, 48.0),
    (400.0, 51.0),
    (500.0, 52.0),
    (630.0, 53.0),
    (800.0, 54.0),
    (1_000.0, 55.0),
    (1_250.0, 56.0),
    (1_600.0, 56.0),
    (2_000.0, 56.0),
    (2_500.0, 56.0),
    (3_150.0, 56.0),
];

/// The reference curve at 500 Hz (dB), where the index is read.
const AT_500: f64 = 52.0;
/// What the shortfalls may come to (dB). Source: ISO 717-1, 4.4 (from memory, high).
const MOST: f64 = 32.0;

/// A weighted index with how it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rating {
    /// The index `R_w` (dB).
    pub index: f64,
    /// The shift of the reference curve (dB).
    pub shift: i32,
    /// The sum of shortfalls below the shifted curve (dB).
    pub shortfall: f64,
}

/// Weighs the reduction of the sixteen bands (dB).
///
/// The reference curve is shifted in steps of 1 dB as far up as the sum of shortfalls stays at or below 32.0 dB; the
/// index is the shifted curve at 500 Hz. Values are taken to one decimal.
///
/// Source: ISO 717-1, 4.4 (from memory, high).
pub fn rate(bands: &[f64; 16]) -> Rating {
    let mut shift = 100;
    loop {
        let shortfall = shortfall(bands, shift);
        // Sums of tenths are not exact in binary; a thousandth is far below what could matter.
        if shortfall <= MOST + 1e-3 || shift <= -100 {
            return Rating { index: AT_500 + f64::from(shift), shift, shortfall };
        }
        shift -= 1;
    }
}

fn shortfall(bands: &[f64; 16], shift: i32) -> f64 {
    let tenths = |value: f64| (value * 10.0).round() / 10.0;
    let below = |(value, (_, reference)): (&f64, (f64, f64))| reference + f64::from(shift) - tenths(*value);
    bands.iter().zip(BANDS).map(below).filter(|below| *below > 0.0).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of ISO 717-1, annex C: R_w = 30 dB, with shortfalls of 31.8 dB (from memory, high; the sum was added
    /// up by hand). Tolerance: half of the last printed digit.
    #[test]
    fn the_standards_own_example() {
        let measured = [20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6, 28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5];
        let rating = rate(&measured);
        assert!((rating.index - 30.0).abs() < 0.5 && rating.shift == -22);
        assert!((rating.shortfall - 31.8).abs() < 0.05, "{}", rating.shortfall);
    }

    /// The reference curve itself, shifted by 2 dB upwards all over, is 2 dB short of the curve 2 dB higher: 16 × 2 = 32.
    #[test]
    fn the_reference_curve_rates_two_above_itself() {
        let reference = BANDS.map(|(_, reference)| reference);
        assert_eq!(rate(&reference), Rating { index: 54.0, shift: 2, shortfall: 32.0 });
    }

    /// A curve raised by whole decibels has an index raised by as many.
    #[test]
    fn the_index_moves_with_the_curve() {
        let law = |mass: f64| BANDS.map(|(frequency, _)| crate::mass_law::reduction(mass, frequency));
        let base = rate(&law(40.0)).index;
        let raised = law(40.0).map(|value| value + 7.0);
        assert!((rate(&raised).index - base - 7.0).abs() < 1e-9);
        assert!((rate(&law(40.0 * 10.0_f64.powf(0.5))).index - base - 10.0).abs() < 1e-9, "×√10 in mass is 10 dB");
    }
}
