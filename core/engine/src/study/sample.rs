//! Which variants a study takes, by number. Nothing is drawn by lot: the same number is the same variant everywhere.

use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::fmt;

/// Which variants are taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sample {
    /// All combinations.
    #[default]
    Grid,
    /// What stands, and each change by itself.
    OneAtATime,
    /// So many combinations spread evenly over all, by a Halton sequence.
    Spread(usize),
}

impl<'de> Deserialize<'de> for Sample {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Sample, D::Error> {
        struct Written;
        impl Visitor<'_> for Written {
            type Value = Sample;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("grid, one-at-a-time, or how many variants are spread evenly")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Sample, E> {
                match text {
                    "grid" => Ok(Sample::Grid),
                    "one-at-a-time" => Ok(Sample::OneAtATime),
                    other => Err(E::custom(format!("'{other}' is none of grid, one-at-a-time or a number"))),
                }
            }

            fn visit_u64<E: de::Error>(self, points: u64) -> Result<Sample, E> {
                usize::try_from(points)
                    .ok()
                    .filter(|points| *points > 0)
                    .map(Sample::Spread)
                    .ok_or_else(|| E::custom("no variant"))
            }

            fn visit_i64<E: de::Error>(self, points: i64) -> Result<Sample, E> {
                u64::try_from(points).map_err(E::custom).and_then(|points| self.visit_u64(points))
            }
        }
        deserializer.deserialize_any(Written)
    }
}

impl Sample {
    /// How many variants there are of dials with so many steps each.
    pub fn count(self, steps: &[usize]) -> u128 {
        match self {
            Sample::Grid => steps.iter().fold(1, |count, steps| count.saturating_mul(*steps as u128)),
            Sample::OneAtATime => 1 + steps.iter().map(|steps| *steps as u128).sum::<u128>(),
            Sample::Spread(points) => points as u128,
        }
    }

    /// The step of each dial in a variant; none where what stands is left.
    pub fn variant(self, steps: &[usize], number: u128) -> Vec<Option<usize>> {
        match self {
            // The last dial turns fastest.
            Sample::Grid => {
                let mut left = number;
                let digits = steps.iter().rev().map(|steps| {
                    let steps = (*steps).max(1) as u128;
                    let digit = left % steps;
                    left /= steps;
                    Some(digit as usize)
                });
                let mut digits: Vec<_> = digits.collect();
                digits.reverse();
                digits
            }
            Sample::OneAtATime => {
                let mut before = 1;
                let step = |steps: &usize| {
                    let within = number.checked_sub(before).filter(|within| *within < *steps as u128);
                    before += *steps as u128;
                    within.map(|within| within as usize)
                };
                steps.iter().map(step).collect()
            }
            Sample::Spread(_) => std::iter::zip(steps, PRIMES.into_iter().cycle())
                .map(|(steps, prime)| {
                    let share = radical_inverse(number as u64 + 1, prime);
                    Some(((share * *steps as f64) as usize).min(steps.saturating_sub(1)))
                })
                .collect(),
        }
    }
}

/// The bases of the sequence, one for each dial.
const PRIMES: [u64; 16] = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53];

/// The digits of a number in a base, mirrored at the point.
fn radical_inverse(mut number: u64, base: u64) -> f64 {
    let (mut share, mut value) = (1.0, 0.0);
    while number > 0 {
        share /= base as f64;
        value += share * (number % base) as f64;
        number /= base;
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// The first members of the sequence in bases 2 and 3, as any textbook on it has them (from memory).
    #[test]
    fn the_sequence_is_haltons() {
        let found: Vec<(f64, f64)> = (1..=5).map(|n| (radical_inverse(n, 2), radical_inverse(n, 3))).collect();
        let known = [(0.5, 1.0 / 3.0), (0.25, 2.0 / 3.0), (0.75, 1.0 / 9.0), (0.125, 4.0 / 9.0), (0.625, 7.0 / 9.0)];
        for ((a, b), (c, d)) in std::iter::zip(found, known) {
            assert!((a - c).abs() < 1e-15 && (b - d).abs() < 1e-15, "{a} {b}");
        }
    }

    /// A grid has every combination once; one at a time changes nothing or one dial; a spread of as many points as there
    /// are combinations of coprime dials meets each of them.
    #[test]
    fn every_variant_comes_once() {
        let steps = [2, 3, 4];
        let all =
            |sample: Sample| -> BTreeSet<_> { (0..sample.count(&steps)).map(|n| sample.variant(&steps, n)).collect() };
        assert_eq!(all(Sample::Grid).len(), 24);
        let single = all(Sample::OneAtATime);
        assert_eq!(single.len(), 10);
        assert!(single.iter().all(|variant| variant.iter().flatten().count() <= 1));
        let spread: BTreeSet<_> = (0..6).map(|n| Sample::Spread(6).variant(&[2, 3], n)).collect();
        assert_eq!(spread.len(), 6);
    }
}
