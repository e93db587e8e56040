//! A scale with round numbers along it, even or logarithmic.

use mateline_model::portable;
use mateline_model::quantity::number;

/// Fewest decades over which a logarithmic scale is numbered at 1, 2 and 5 only.
const MANY_DECADES: f64 = 1.2;

/// From shown values to the drawing.
pub(super) struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
    is_logarithmic: bool,
    /// The round numbers, rising, with their texts.
    pub ticks: Vec<(f64, String)>,
}

impl Scale {
    /// An even scale over all values, with about `most` round numbers, drawn from `from` to `to`.
    pub(super) fn even(values: &[f64], most: f64, (from, to): (f64, f64)) -> Scale {
        let (low, high) = reach(values).unwrap_or((0.0, 1.0));
        let (low, high) = if low > 0.0 && low < 0.4 * high { (0.0, high) } else { (low, high) };
        let (low, high) = if high - low > 1e-9 * high.abs().max(low.abs()) {
            (low, high)
        } else {
            (low - 0.1 * low.abs(), high + if high == 0.0 { 1.0 } else { 0.1 * high.abs() })
        };
        let step = round_up((high - low) / most);
        let first = (low / step + 1e-6).floor();
        let last = (high / step - 1e-6).ceil();
        let digits = decimals(step);
        let ticks = (0..=(last - first) as u32).map(|index| (first + f64::from(index)) * step);
        let ticks: Vec<(f64, String)> = ticks.map(|value| (value, number(value, digits))).collect();
        Scale { low: first * step, high: last * step, from, to, is_logarithmic: false, ticks }
    }

    /// An even scale from the least value to the greatest, with about `most` round numbers between them.
    pub(super) fn tight(values: &[f64], most: f64, ends: (f64, f64)) -> Scale {
        let mut scale = Scale::even(values, most, ends);
        if let Some((low, high)) = reach(values).filter(|(low, high)| high - low > 1e-9 * high.abs().max(low.abs())) {
            let slack = 1e-9 * (high - low);
            (scale.low, scale.high) = (low, high);
            scale.ticks.retain(|(value, _)| (low - slack..=high + slack).contains(value));
        }
        scale
    }

    /// A logarithmic scale over all values, which are above zero.
    pub(super) fn logarithmic(values: &[f64], (from, to): (f64, f64)) -> Scale {
        let (low, high) = reach(values).unwrap_or((1.0, 10.0));
        let decades = portable::log10(high / low);
        let steps: &[f64] = match decades {
            d if d > 4.0 => &[1.0],
            d if d > MANY_DECADES => &[1.0, 2.0, 5.0],
            _ => &[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0],
        };
        let first = portable::log10(low).floor() as i32 - 1;
        let last = portable::log10(high).ceil() as i32 + 1;
        let all: Vec<f64> =
            (first..=last).flat_map(|d| steps.iter().map(move |s| s * portable::powi(10.0, d))).collect();
        let low = all.iter().copied().rfind(|tick| *tick <= low * (1.0 + 1e-9)).unwrap_or(low);
        let high = all.iter().copied().find(|tick| *tick >= high * (1.0 - 1e-9) && *tick > low).unwrap_or(high);
        let ticks = all.into_iter().filter(|tick| *tick >= low && *tick <= high);
        let ticks = ticks.map(|value| (value, number(value, decimals_of(value)))).collect();
        Scale { low, high, from, to, is_logarithmic: true, ticks }
    }

    /// Where a value stands on the drawing.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = if self.is_logarithmic {
            portable::log10(value / self.low) / portable::log10(self.high / self.low)
        } else {
            (value - self.low) / (self.high - self.low)
        };
        self.from + share * (self.to - self.from)
    }
}

/// The least and the greatest of some values.
fn reach(values: &[f64]) -> Option<(f64, f64)> {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low <= high).then_some((low, high))
}

/// The next number with 1, 2 or 5 as its only digit.
fn round_up(value: f64) -> f64 {
    let decade = portable::powi(10.0, portable::log10(value).floor() as i32);
    let steps = [1.0, 2.0, 5.0].map(|step| step * decade);
    steps.into_iter().find(|step| *step >= value * (1.0 - 1e-9)).unwrap_or(10.0 * decade)
}

/// Decimals that show a step of 1, 2 or 5 times a power of ten.
pub(super) fn decimals(step: f64) -> u8 {
    (-(portable::log10(step) + 1e-9).floor()).clamp(0.0, 9.0) as u8
}

/// Decimals that show a tick of a logarithmic scale; one and a half needs one more.
fn decimals_of(tick: f64) -> u8 {
    let digits = decimals(tick);
    let scaled = tick * portable::powi(10.0, i32::from(digits));
    if (scaled - scaled.round()).abs() > 1e-6 { digits + 1 } else { digits }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(scale: &Scale) -> Vec<&str> {
        scale.ticks.iter().map(|(_, text)| text.as_str()).collect()
    }

    #[test]
    fn an_even_scale_has_round_numbers_around_all_values() {
        let scale = Scale::even(&[12.0, 87.0], 5.0, (100.0, 0.0));
        assert_eq!(texts(&scale), ["0", "20", "40", "60", "80", "100"]);
        assert!((scale.at(25.0) - 75.0).abs() < 1e-12);
        assert_eq!(texts(&Scale::even(&[420.0, 1_130.0], 5.0, (0.0, 1.0))), ["0", "500", "1000", "1500"]);
        assert_eq!(texts(&Scale::even(&[0.12, 0.16], 5.0, (0.0, 1.0))), ["0.12", "0.13", "0.14", "0.15", "0.16"]);
        assert_eq!(texts(&Scale::even(&[-3.0, 4.0], 5.0, (0.0, 1.0))), ["-4", "-2", "0", "2", "4"]);
    }

    #[test]
    fn a_logarithmic_scale_has_equal_ratios_equally_far_apart() {
        let scale = Scale::logarithmic(&[11.0, 64.0], (0.0, 300.0));
        assert_eq!(texts(&scale), ["10", "15", "20", "30", "40", "50", "60", "80"]);
        assert!((scale.at(20.0) - scale.at(10.0) - (scale.at(80.0) - scale.at(40.0))).abs() < 1e-9);
        assert_eq!(
            texts(&Scale::logarithmic(&[0.3, 40.0], (0.0, 1.0))),
            ["0.2", "0.5", "1", "2", "5", "10", "20", "50"]
        );
    }

    #[test]
    fn a_tight_scale_begins_and_ends_with_the_values() {
        let months = Scale::tight(&[1.0, 12.0], 12.0, (0.0, 110.0));
        assert_eq!((texts(&months).first(), texts(&months).last()), (Some(&"1"), Some(&"12")));
        assert!((months.at(1.0), months.at(12.0)) == (0.0, 110.0));
        assert_eq!(texts(&Scale::tight(&[0.0, 0.19], 5.0, (0.0, 1.0))), ["0.00", "0.05", "0.10", "0.15"]);
        assert_eq!(texts(&Scale::tight(&[5.0], 5.0, (0.0, 1.0))), texts(&Scale::even(&[5.0], 5.0, (0.0, 1.0))));
    }

    #[test]
    fn one_value_or_none_still_makes_a_scale() {
        for values in [&[][..], &[0.0], &[5.0], &[-5.0, -5.0], &[1e12], &[1e-12]] {
            let scale = Scale::even(values, 5.0, (0.0, 100.0));
            assert!(scale.ticks.len() >= 2 && scale.ticks.len() < 12, "{values:?}: {:?}", scale.ticks);
            assert!(values.iter().all(|value| (-1e-6..100.000_001).contains(&scale.at(*value))), "{values:?}");
        }
        for values in [&[][..], &[5.0], &[1e12, 1e-12]] {
            let scale = Scale::logarithmic(values, (0.0, 100.0));
            assert!(scale.ticks.len() >= 2 && scale.ticks.len() < 30, "{values:?}: {:?}", scale.ticks);
            assert!(values.iter().all(|value| (0.0..=100.0).contains(&scale.at(*value))), "{values:?}");
        }
    }
}
