//! How an emission factor changes with the age of the product.

use crate::facts::{AGE_UNITS, EMISSION_UNITS};
use mateline_model::home::Decay;
use mateline_model::quantity::{Duration, EmissionRate, Rate, Ratio, Units};
use mateline_model::{Step, Term};
use std::fmt;

/// An emission factor at one age and the law it follows from there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Emission {
    /// Emission factor E₀ (kg/(m²·s)) at the age t₀.
    pub factor: EmissionRate,
    /// The age t₀ (s).
    pub age: Duration,
    /// The law.
    pub law: Law,
}

/// A law of decay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// No decay is known: `E = E₀` from t₀ on, an upper bound; before t₀ nothing is known.
    Held,
    /// `E = E₀ (t/t₀)⁻ⁿ`, with n ≥ 0.
    Power {
        /// Exponent n (-).
        exponent: Ratio,
    },
    /// `E = E₀ (φ e^(−k₁(t−t₀)) + (1−φ) e^(−k₂(t−t₀)))`: a fast part and a slow one.
    TwoPart {
        /// Share φ of the fast part at t₀ (-).
        fast_share: Ratio,
        /// Rate k₁ of the fast part (1/s).
        fast: Rate,
        /// Rate k₂ of the rest (1/s).
        slow: Rate,
    },
}

/// Why an emission factor cannot be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EmissionError {
    /// It was measured later than the age asked for, and no decay is known.
    MeasuredLater {
        /// Age at the test.
        measured: Duration,
        /// Age asked for.
        wanted: Duration,
    },
    /// The law leaves the range of numbers.
    NotFinite,
}

impl fmt::Display for EmissionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EmissionError::MeasuredLater { measured, wanted } => write!(
                f,
                "was measured at {} days and no decay is known, so the factor at {} days is not",
                days(*measured),
                days(*wanted)
            ),
            EmissionError::NotFinite => f.write_str("follows a decay that leads to no finite number"),
        }
    }
}

impl std::error::Error for EmissionError {}

fn days(age: Duration) -> String {
    age.in_unit("d").map_or_else(|| age.to_string(), |days| format!("{}", (days * 1e3).round() / 1e3))
}

impl Emission {
    /// The factor at an age.
    ///
    /// # Errors
    /// [`EmissionError`].
    pub fn at(&self, age: Duration) -> Result<EmissionRate, EmissionError> {
        let since = (age - self.age).si();
        let share = match self.law {
            Law::Held if since < 0.0 => return Err(self.too_late(age)),
            Law::Held => 1.0,
            Law::Power { exponent } => (age / self.age).powf(-exponent.si()),
            Law::TwoPart { fast_share, fast, slow } => {
                let share = fast_share.si();
                share * (-fast.si() * since).exp() + (1.0 - share) * (-slow.si() * since).exp()
            }
        };
        finite(self.factor * share)
    }

    /// The mean factor between two ages: the law's integral over the time between.
    ///
    /// Power law: `E₀ t₀ⁿ (b^(1−n) − a^(1−n))/((1−n)(b−a))`, with the logarithm where n = 1. Two parts:
    /// `E₀ Σ φᵢ (e^(−kᵢ(a−t₀)) − e^(−kᵢ(b−t₀)))/(kᵢ(b−a))`. Both in a form that does not cancel near n = 1 or k = 0.
    ///
    /// # Errors
    /// [`EmissionError`].
    pub fn mean(&self, from: Duration, to: Duration) -> Result<EmissionRate, EmissionError> {
        let period = (to - from).si();
        let share = match self.law {
            Law::Held if from.si() < self.age.si() => return Err(self.too_late(from)),
            Law::Held => 1.0,
            Law::Power { exponent } => {
                let logarithm = (to / from).ln();
                let integral = from.si() * logarithm * exponential_mean((1.0 - exponent.si()) * logarithm);
                (from / self.age).powf(-exponent.si()) * integral / period
            }
            Law::TwoPart { fast_share, fast, slow } => {
                let part =
                    |rate: Rate| (-rate.si() * (from - self.age).si()).exp() * exponential_mean(-rate.si() * period);
                fast_share.si() * part(fast) + (1.0 - fast_share.si()) * part(slow)
            }
        };
        finite(self.factor * share)
    }

    fn too_late(&self, wanted: Duration) -> EmissionError {
        EmissionError::MeasuredLater { measured: self.age, wanted }
    }

    /// The law by the home's own numbers; `None` when they are not one of the two sets.
    pub(crate) fn given_law(decay: &Decay) -> Option<Law> {
        match (decay.power, decay.fast_share, decay.fast_rate, decay.slow_rate) {
            (Some(exponent), None, None, None) => Some(Law::Power { exponent }),
            (None, Some(fast_share), Some(fast), Some(slow)) => Some(Law::TwoPart { fast_share, fast, slow }),
            _ => None,
        }
    }

    /// How the factor at an age, or the mean up to a later one, comes about.
    pub(crate) fn step(
        &self,
        symbol: &str,
        from: Duration,
        to: Option<Duration>,
        result: EmissionRate,
    ) -> Option<Step> {
        let mut step = match (self.law, to) {
            (Law::Held, _) => return None,
            (Law::Power { .. }, None) => Step::new(format!("{symbol} = E₀ (t/t₀)⁻ⁿ")),
            (Law::Power { .. }, Some(_)) => {
                Step::new(format!("{symbol} = E₀ t₀ⁿ (b^(1−n) − a^(1−n))/((1−n)(b−a)), its limit where n = 1"))
            }
            (Law::TwoPart { .. }, None) => Step::new(format!("{symbol} = E₀ (φ e^(−k₁(t−t₀)) + (1−φ) e^(−k₂(t−t₀)))")),
            (Law::TwoPart { .. }, Some(_)) => Step::new(format!(
                "{symbol} = E₀ (φ m₁ + (1−φ) m₂), m_i = (e^(−k_i(a−t₀)) − e^(−k_i(b−t₀)))/(k_i(b−a))"
            )),
        };
        step = step.term(Term::new("E₀", "emission factor at t₀", self.factor, EMISSION_UNITS)).term(Term::new(
            "t₀",
            "age at the test",
            self.age,
            AGE_UNITS,
        ));
        step = match to {
            None => step.term(Term::new("t", "age", from, AGE_UNITS)),
            Some(to) => {
                step.term(Term::new("a", "first age", from, AGE_UNITS)).term(Term::new("b", "last age", to, AGE_UNITS))
            }
        };
        step = match self.law {
            Law::Held => step,
            Law::Power { exponent } => step.term(Term::new("n", "exponent of decay", exponent, Units::plain(3))),
            Law::TwoPart { fast_share, fast, slow } => {
                let rate = Units::new("1/d", 4, "1/d", 4);
                step.term(Term::new("φ", "share of the fast part", fast_share, Units::PERCENT))
                    .term(Term::new("k₁", "rate of the fast part", fast, rate.clone()))
                    .term(Term::new("k₂", "rate of the slow part", slow, rate))
            }
        };
        Some(step.result(Term::new(symbol.to_owned(), "emission factor", result, EMISSION_UNITS)))
    }
}

/// `(eˣ − 1)/x`, which is 1 where x is 0.
fn exponential_mean(x: f64) -> f64 {
    if x.abs() < 1e-12 { 1.0 } else { x.exp_m1() / x }
}

fn finite(factor: EmissionRate) -> Result<EmissionRate, EmissionError> {
    if factor.si().is_finite() { Ok(factor) } else { Err(EmissionError::NotFinite) }
}

/// The power law through emission factors at several ages, by least squares of the logarithms; exact for two.
///
/// `n = −Σ (x − x̄)(y − ȳ)/Σ (x − x̄)²`, with x = ln t and y = ln E. A factor of zero, or factors that do not fall,
/// give no law: the largest is then held. `None` without a factor.
///
/// Source: ordinary least squares; that emissions of dry products follow a power of age is common practice, no source.
pub fn fit(points: &[(Duration, EmissionRate)]) -> Option<Emission> {
    let (first, _) = points.first()?;
    let largest =
        points.iter().map(|(_, factor)| *factor).fold(EmissionRate::default(), |a, b| if b > a { b } else { a });
    let held = Emission { factor: largest, age: *first, law: Law::Held };
    if points.len() < 2 || points.iter().any(|(age, factor)| age.si() <= 0.0 || factor.si() <= 0.0) {
        return Some(held);
    }
    let count = points.len() as f64;
    let logarithms = || points.iter().map(|(age, factor)| (age.si().ln(), factor.si().ln()));
    let (x, y) = logarithms().fold((0.0, 0.0), |(x, y), (a, b)| (x + a / count, y + b / count));
    let (above, below) =
        logarithms().fold((0.0, 0.0), |(above, below), (a, b)| (above + (a - x) * (b - y), below + (a - x) * (a - x)));
    let exponent = -above / below;
    if !exponent.is_finite() || exponent <= 0.0 {
        return Some(held);
    }
    let factor = EmissionRate::from_si((y - exponent * (first.si().ln() - x)).exp());
    Some(Emission { factor, age: *first, law: Law::Power { exponent: Ratio::from_si(exponent) } })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    fn d(days: f64) -> Duration {
        Duration::from_si(days * 86_400.0)
    }

    fn e(factor: f64) -> EmissionRate {
        EmissionRate::from_si(factor)
    }

    #[test]
    fn two_ages_give_their_power_law_exactly() {
        let fitted = fit(&[(d(14.0), e(8.0)), (d(56.0), e(4.0))]).unwrap();
        let Law::Power { exponent } = fitted.law else { panic!("{:?}", fitted.law) };
        assert!((exponent.si() - 0.5).abs() < 1e-12, "a half after four times the age is a square root");
        assert!((fitted.at(d(28.0)).unwrap().si() - 8.0 / 2.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn factors_that_do_not_fall_are_held_at_the_largest() {
        for later in [e(9.0), e(8.0), e(0.0)] {
            let fitted = fit(&[(d(14.0), e(8.0)), (d(28.0), later)]).unwrap();
            assert_eq!(fitted.law, Law::Held);
            assert_eq!(fitted.factor, if later > e(8.0) { later } else { e(8.0) });
        }
        assert_eq!(fit(&[]), None);
    }

    #[test]
    fn a_held_factor_says_nothing_of_an_earlier_age() {
        let held = Emission { factor: e(3.0), age: d(28.0), law: Law::Held };
        assert_eq!(held.at(d(365.0)), Ok(e(3.0)));
        let error = held.at(d(14.0)).unwrap_err();
        assert!(error.to_string().starts_with("was measured at 28 days"), "{error}");
        assert!(held.mean(d(14.0), d(40.0)).is_err());
    }

    #[test]
    fn a_law_that_overflows_is_refused() {
        let rate = Rate::from_si(1.0);
        let law = Law::TwoPart { fast_share: Ratio::from_si(0.5), fast: rate, slow: rate };
        assert_eq!(Emission { factor: e(1.0), age: d(28.0), law }.at(d(14.0)), Err(EmissionError::NotFinite));
    }

    fn any_law() -> impl Strategy<Value = Law> {
        prop_oneof![
            (0.0..2.0_f64).prop_map(|n| Law::Power { exponent: Ratio::from_si(n) }),
            (0.0..=1.0_f64, 0.0..0.2_f64, 0.0..0.01_f64).prop_map(|(share, fast, slow)| Law::TwoPart {
                fast_share: Ratio::from_si(share),
                fast: Rate::from_si(fast / 86_400.0),
                slow: Rate::from_si(slow / 86_400.0)
            }),
        ]
    }

    proptest! {
        /// A mean lies between its ends, and two halves weigh up to the whole.
        #[test]
        fn means_lie_between_and_add_up(law in any_law(), from in 1.0..100.0_f64, length in 1.0..400.0_f64) {
            let emission = Emission { factor: e(5.0), age: d(14.0), law };
            let (a, b, c) = (d(from), d(from + length / 3.0), d(from + length));
            let (first, last) = (emission.at(a).unwrap().si(), emission.at(c).unwrap().si());
            let whole = emission.mean(a, c).unwrap().si();
            prop_assert!(last * (1.0 - 1e-9) <= whole && whole <= first * (1.0 + 1e-9));
            let parts = emission.mean(a, b).unwrap().si() / 3.0 + emission.mean(b, c).unwrap().si() * 2.0 / 3.0;
            prop_assert!((parts - whole).abs() <= 1e-9 * whole);
        }

        /// Every law has the measured factor at the measured age.
        #[test]
        fn the_measured_factor_stands(law in any_law()) {
            let emission = Emission { factor: e(5.0), age: d(14.0), law };
            prop_assert!((emission.at(d(14.0)).unwrap().si() - 5.0).abs() < 1e-12);
        }
    }
}
