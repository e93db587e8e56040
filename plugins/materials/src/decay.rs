//! How an emission factor changes with the age of the product.

use crate::facts::EMISSION_UNITS;
use mateline_equation::equation;
use mateline_model::Step;
use mateline_model::home::Decay;
use mateline_model::portable;
use mateline_model::quantity::{Duration, EmissionRate, Rate, Ratio, Units};
use std::fmt;

const DECAY_RATE: Units = Units::new("1/d", 4, "1/d", 4);

equation! {
    /// Emission factor at an age, by a power of the age. Source: that emissions of dry products follow a power of age is
    /// common practice, no source.
    pub PowerAt = "E = E₀ (t₀/t)^n" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_0 "E₀": EmissionRate "emission factor at t₀" [EMISSION_UNITS],
        t_0 "t₀": Duration "age at the test" [Units::DAYS],
        t: Duration "age" [Units::DAYS],
        n: Ratio "exponent of decay" [Units::plain(3)],
    }

    /// Its mean between two ages. Source: integral of the power.
    pub PowerMean = "E (1 − n)(b − a) = E₀ a (t₀/a)^n ((b/a)^(1 − n) − 1)" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_0 "E₀": EmissionRate "emission factor at t₀" [EMISSION_UNITS],
        t_0 "t₀": Duration "age at the test" [Units::DAYS],
        a: Duration "first age" [Units::DAYS],
        b: Duration "last age" [Units::DAYS],
        n: Ratio "exponent of decay" [Units::plain(3)],
    }

    /// The same where the exponent is one. Source: integral of the power.
    pub InverseMean = "E = E₀ t₀ ln(b/a)/(b − a)" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_0 "E₀": EmissionRate "emission factor at t₀" [EMISSION_UNITS],
        t_0 "t₀": Duration "age at the test" [Units::DAYS],
        a: Duration "first age" [Units::DAYS],
        b: Duration "last age" [Units::DAYS],
    }

    /// Emission factor of a fast part and a slow one at an age. Source: two exponential parts, common practice, no source.
    pub TwoPartsAt = "E = E₀ (φ exp(k₁ (t₀ − t)) + (1 − φ) exp(k₂ (t₀ − t)))" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_0 "E₀": EmissionRate "emission factor at t₀" [EMISSION_UNITS],
        t_0 "t₀": Duration "age at the test" [Units::DAYS],
        t: Duration "age" [Units::DAYS],
        φ: Ratio "share of the fast part" [Units::PERCENT],
        k_1 "k₁": Rate "rate of the fast part" [DECAY_RATE],
        k_2 "k₂": Rate "rate of the slow part" [DECAY_RATE],
    }

    /// What is left of one part on the mean between two ages. Source: integral of the exponential.
    pub PartLeft = "m k (b − a) = exp(k (t₀ − a)) − exp(k (t₀ − b))" {
        m: f64 "mean left of the part" [Units::PERCENT],
        k: Rate "rate of the part" [DECAY_RATE],
        t_0 "t₀": Duration "age at the test" [Units::DAYS],
        a: Duration "first age" [Units::DAYS],
        b: Duration "last age" [Units::DAYS],
    }

    /// Mean emission factor of both parts. Source: addition.
    pub TwoPartsMean = "E = E₀ (φ m₁ + (1 − φ) m₂)" {
        E: EmissionRate "emission factor" [EMISSION_UNITS],
        E_0 "E₀": EmissionRate "emission factor at t₀" [EMISSION_UNITS],
        φ: Ratio "share of the fast part" [Units::PERCENT],
        m_1 "m₁": f64 "mean left of the fast part" [Units::PERCENT],
        m_2 "m₂": f64 "mean left of the slow part" [Units::PERCENT],
    }
}

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
    /// [`PowerAt`], with n ≥ 0.
    Power {
        /// Exponent n (-).
        exponent: Ratio,
    },
    /// [`TwoPartsAt`]: a fast part and a slow one.
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
        match self.law {
            Law::Held if age < self.age => Err(self.too_late(age)),
            Law::Held => finite(self.factor),
            Law::Power { exponent } => finite(self.power_at(age, exponent).value()),
            Law::TwoPart { fast_share, fast, slow } => finite(self.parts_at(age, fast_share, fast, slow).value()),
        }
    }

    fn power_at(&self, age: Duration, exponent: Ratio) -> PowerAt {
        PowerAt { E_0: self.factor, t_0: self.age, t: age, n: exponent }
    }

    fn parts_at(&self, age: Duration, share: Ratio, fast: Rate, slow: Rate) -> TwoPartsAt {
        TwoPartsAt { E_0: self.factor, t_0: self.age, t: age, φ: share, k_1: fast, k_2: slow }
    }

    /// The mean factor between two ages: the law's integral over the time between, in a form that does not cancel near
    /// an exponent of one or a rate of zero.
    ///
    /// # Errors
    /// [`EmissionError`].
    pub fn mean(&self, from: Duration, to: Duration) -> Result<EmissionRate, EmissionError> {
        let period = (to - from).si();
        let share = match self.law {
            Law::Held if from.si() < self.age.si() => return Err(self.too_late(from)),
            Law::Held => 1.0,
            Law::Power { exponent } => {
                let logarithm = portable::ln(to / from);
                let integral = from.si() * logarithm * exponential_mean((1.0 - exponent.si()) * logarithm);
                portable::pow(self.age / from, exponent.si()) * integral / period
            }
            Law::TwoPart { fast_share, fast, slow } => {
                return finite(
                    self.parts_mean(fast_share, self.left(fast, from, to), self.left(slow, from, to)).value(),
                );
            }
        };
        finite(self.factor * share)
    }

    /// What is left of a part on the mean between two ages.
    fn left(&self, rate: Rate, from: Duration, to: Duration) -> f64 {
        portable::exp(-rate.si() * (from - self.age).si()) * exponential_mean(-rate.si() * (to - from).si())
    }

    fn parts_mean(&self, share: Ratio, fast: f64, slow: f64) -> TwoPartsMean {
        TwoPartsMean { E_0: self.factor, φ: share, m_1: fast, m_2: slow }
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

    /// How the factor at an age, or the mean up to a later one, comes about from the factor at `path`. No step where it
    /// is held.
    pub(crate) fn steps(&self, path: &str, from: Duration, to: Option<Duration>, result: EmissionRate) -> Vec<Step> {
        let (factor, age) = (self.factor, self.age);
        match (self.law, to) {
            (Law::Held, _) => Vec::new(),
            (Law::Power { exponent }, None) => {
                vec![self.power_at(from, exponent).step().1.given(PowerAt::E_0, path)]
            }
            (Law::Power { exponent: n }, Some(b)) if n.si() == 1.0 => {
                vec![InverseMean { E_0: factor, t_0: age, a: from, b }.step().1.given(InverseMean::E_0, path)]
            }
            (Law::Power { exponent: n }, Some(b)) => {
                let mean = PowerMean { E: result, E_0: factor, t_0: age, a: from, b, n };
                vec![mean.step().1.given(PowerMean::E_0, path)]
            }
            (Law::TwoPart { fast_share, fast, slow }, None) => {
                vec![self.parts_at(from, fast_share, fast, slow).step().1.given(TwoPartsAt::E_0, path)]
            }
            (Law::TwoPart { fast_share, fast, slow }, Some(b)) => {
                let left = |k: Rate| PartLeft { m: self.left(k, from, b), k, t_0: age, a: from, b };
                let both = self.parts_mean(fast_share, left(fast).m, left(slow).m);
                let part = |k: Rate, symbol: mateline_model::Symbol, which: &str| {
                    let step = left(k).step().1.meaning(PartLeft::k, format!("rate of the {which} part"));
                    step.meaning(PartLeft::m, format!("{}, mean left of the {which} part", symbol.0))
                };
                vec![
                    part(fast, TwoPartsMean::m_1, "fast"),
                    part(slow, TwoPartsMean::m_2, "slow"),
                    both.step().1.given(TwoPartsMean::E_0, path),
                ]
            }
        }
    }
}

/// `(eˣ − 1)/x`, which is 1 where x is 0.
fn exponential_mean(x: f64) -> f64 {
    if x.abs() < 1e-12 { 1.0 } else { portable::exp_m1(x) / x }
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
    let logarithms = || points.iter().map(|(age, factor)| (portable::ln(age.si()), portable::ln(factor.si())));
    let (x, y) = logarithms().fold((0.0, 0.0), |(x, y), (a, b)| (x + a / count, y + b / count));
    let (above, below) =
        logarithms().fold((0.0, 0.0), |(above, below), (a, b)| (above + (a - x) * (b - y), below + (a - x) * (a - x)));
    let exponent = -above / below;
    if !exponent.is_finite() || exponent <= 0.0 {
        return Some(held);
    }
    let factor = EmissionRate::from_si(portable::exp(y - exponent * (portable::ln(first.si()) - x)));
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
