//! The colours of temperatures: lightness rises evenly from cold to warm, so that the order can also be read in grey.
//!
//! The ramp is a straight line in CIELAB, a space in which equal steps look about equally large.
//! Sources: CIE 1976 L*a*b* with the D65 white point; the transfer function of IEC 61966-2-1 (sRGB); from memory.

use mateline_model::portable;

/// Number of colours.
pub(super) const STEPS: usize = 32;
/// L*, a*, b* of the coldest and of the warmest colour.
const ENDS: [[f64; 3]; 2] = [[52.0, -4.0, -36.0], [95.0, -3.0, 26.0]];
/// White point D65.
const WHITE: [f64; 3] = [0.950_47, 1.0, 1.088_83];

/// Which colour a temperature gets between the lowest and the highest.
pub(super) fn step(value: f64, low: f64, high: f64) -> Option<usize> {
    let share = if high > low { (value - low) / (high - low) } else { 0.5 };
    value.is_finite().then(|| ((share * STEPS as f64).max(0.0) as usize).min(STEPS - 1))
}

/// A colour as `#rrggbb`.
pub(super) fn colour(step: usize) -> String {
    let share = step as f64 / (STEPS - 1) as f64;
    let [cold, warm] = ENDS;
    let mut lab = [0.0; 3];
    for ((value, cold), warm) in lab.iter_mut().zip(cold).zip(warm) {
        *value = cold + (warm - cold) * share;
    }
    let [r, g, b] = srgb(lab);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// `Y = f⁻¹((L* + 16)/116)`, likewise X and Z with `a*/500` and `−b*/200` added; then linear RGB; then the transfer
/// function.
fn srgb([l, a, b]: [f64; 3]) -> [u8; 3] {
    let y = (l + 16.0) / 116.0;
    let back = |t: f64| if t > 6.0 / 29.0 { t * t * t } else { 108.0 / 841.0 * (t - 4.0 / 29.0) };
    let [x, y, z] = [back(y + a / 500.0) * WHITE[0], back(y) * WHITE[1], back(y - b / 200.0) * WHITE[2]];
    let linear = [
        3.240_454_2 * x - 1.537_138_5 * y - 0.498_531_4 * z,
        -0.969_266_0 * x + 1.876_010_8 * y + 0.041_556_0 * z,
        0.055_643_4 * x - 0.204_025_9 * y + 1.057_225_2 * z,
    ];
    linear.map(|v| {
        let v = v.clamp(0.0, 1.0);
        let encoded = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * portable::pow(v, 1.0 / 2.4) - 0.055 };
        (encoded * 255.0).round() as u8
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    /// L* of a colour by way of its relative luminance, `Y = 0.2126 R + 0.7152 G + 0.0722 B` (ITU-R BT.709, from memory).
    fn lightness(colour: &str) -> f64 {
        let part = |from: usize| f64::from(u8::from_str_radix(&colour[from..from + 2], 16).unwrap()) / 255.0;
        let linear = |v: f64| if v <= 0.040_45 { v / 12.92 } else { portable::pow((v + 0.055) / 1.055, 2.4) };
        let y = 0.2126 * linear(part(1)) + 0.7152 * linear(part(3)) + 0.0722 * linear(part(5));
        116.0 * portable::pow(y, 1.0 / 3.0) - 16.0
    }

    #[test]
    fn lightness_rises_evenly_from_cold_to_warm() {
        let all: Vec<f64> = (0..STEPS).map(|step| lightness(&colour(step))).collect();
        let even = (ENDS[1][0] - ENDS[0][0]) / (STEPS - 1) as f64;
        for (step, pair) in all.windows(2).enumerate() {
            // Colours are rounded to one part in 255, up to 0.3 in L*, at both ends of a step.
            assert!((pair[1] - pair[0] - even).abs() < 0.6, "step {step}: {all:?}");
        }
        assert!((all[0] - ENDS[0][0]).abs() < 0.5 && (all[STEPS - 1] - ENDS[1][0]).abs() < 0.5, "{all:?}");
    }

    /// White and a middle grey: their values in both spaces follow from the definitions.
    #[test]
    fn greys_are_grey() {
        assert_eq!(srgb([100.0, 0.0, 0.0]), [255, 255, 255]);
        assert_eq!(srgb([53.585, 0.0, 0.0]), [128, 128, 128]);
        assert_eq!(srgb([0.0, 0.0, 0.0]), [0, 0, 0]);
    }

    #[test]
    fn every_temperature_has_a_colour_and_what_is_none_has_not() {
        assert_eq!((step(0.0, 0.0, 10.0), step(10.0, 0.0, 10.0)), (Some(0), Some(STEPS - 1)));
        assert_eq!((step(5.0, 5.0, 5.0), step(f64::NAN, 0.0, 1.0)), (Some(STEPS / 2), None));
    }
}
