//! What the budget's spread is: ten thousand homes drawn from lognormal leakages.
//!
//! Parts of one row of the table share one draw, since the table's error and the crew's hand are common to them. Each
//! row and each chunk of draws has a stream of its own, named after the row: the result does not depend on the number
//! of threads, and a row that is added or dropped leaves the draws of the others as they are.

use crate::item::Part;
use crate::remembered::Remembered;
use mateline_model::portable;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Number of draws.
pub const DRAWS: usize = 10_000;
/// Seed of the generator.
pub const SEED: u64 = 1950;
/// Draws of one chunk.
pub const CHUNK: usize = 500;

/// Something uncertain that adds to a sum, or is taken from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// What it is. Sources of one name in several sums have the same draws.
    pub name: String,
    /// Its mean (m³/s); below zero where it is taken away.
    pub mean: f64,
    /// Its geometric standard deviation (-).
    pub spread: f64,
}

impl Source {
    /// Logarithm of the geometric standard deviation.
    pub fn sigma(&self) -> f64 {
        portable::ln(self.spread)
    }

    /// Variance over the square of the mean.
    pub fn relative_variance(&self) -> f64 {
        portable::exp_m1(self.sigma() * self.sigma())
    }

    /// Variance `m² (e^(σ²) − 1)`, with `m` the mean and `σ` the logarithm of the geometric standard deviation.
    pub fn variance(&self) -> f64 {
        self.mean * self.mean * self.relative_variance()
    }

    /// The value that a share of all draws stays below.
    ///
    /// `m e^(σ z − σ²/2)`, with `z` the standard normal quantile of that share.
    pub fn quantile(&self, z: f64) -> f64 {
        self.mean * portable::exp(self.sigma() * z - self.sigma() * self.sigma() / 2.0)
    }
}

/// Parts as sources: one for each row of the table, in the order of their names.
pub fn sources<'a>(parts: impl IntoIterator<Item = &'a Part>) -> Vec<Source> {
    let mut rows: BTreeMap<&str, Source> = BTreeMap::new();
    for part in parts {
        let new = || Source { name: part.component.clone(), mean: 0.0, spread: part.spread };
        rows.entry(&part.component).or_insert_with(new).mean += part.q50().si();
    }
    rows.into_values().collect()
}

/// Draws of the sum of all sources.
pub fn draws(sources: &[Source]) -> Vec<f64> {
    Factors::of(sources).draws(sources)
}

/// What each draw of a source comes to over its mean, by the source's name and spread: sums that have sources in common
/// share them.
#[derive(Clone, Debug, Default)]
pub struct Factors(BTreeMap<Key, Arc<[f64]>>);

/// A source's name and the bits of its spread: all that its factors depend on.
type Key = (String, u64);

/// Factors of as many sources are kept as two homes that use every row of the table have.
static KEPT: Remembered<Key, Arc<[f64]>> = Remembered::of(128);

impl Factors {
    /// Those of each source.
    pub fn of(sources: &[Source]) -> Factors {
        Factors(sources.par_iter().map(|source| (key(source), factors(source))).collect())
    }

    /// Draws of the sum of sources: `q = Σ m_c F_c`.
    pub fn draws(&self, sources: &[Source]) -> Vec<f64> {
        let mut sums = vec![0.0; DRAWS];
        for source in sources {
            let factors = self.0.get(&key(source)).map_or_else(|| factors(source), Arc::clone);
            for (sum, factor) in sums.iter_mut().zip(factors.iter()) {
                *sum += source.mean * factor;
            }
        }
        sums
    }
}

fn key(source: &Source) -> Key {
    (source.name.clone(), source.spread.to_bits())
}

/// `F_c = e^(σ_c Z_c − σ_c²/2)`, whose mean is 1, with `Z_c` standard normal, for each draw.
fn factors(source: &Source) -> Arc<[f64]> {
    KEPT.answer(key(source), |_| {
        let sigma = source.sigma();
        let z = (0..DRAWS.div_ceil(CHUNK)).flat_map(|chunk| normals(&source.name, chunk));
        z.map(|z| portable::exp(sigma * z - sigma * sigma / 2.0)).collect()
    })
}

/// Standard normal values of a name, one for each draw of a chunk.
pub fn normals(name: &str, chunk: usize) -> Vec<f64> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    generator.set_stream(stream_of(name) ^ chunk as u64);
    (0..CHUNK).map(|_| StandardNormal.sample(&mut generator)).collect()
}

/// A number that stands for a name: FNV-1a, 64 bits.
fn stream_of(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// Draws put in order, each with its weight.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    values: Vec<f64>,
    /// Weight of each draw and of all before it.
    upto: Vec<f64>,
    mean: f64,
}

impl Drawn {
    /// From draws in any order, all of one weight.
    pub fn new(mut values: Vec<f64>) -> Drawn {
        values.sort_unstable_by(f64::total_cmp);
        let upto: Vec<f64> = (1..=values.len()).map(|count| count as f64).collect();
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        Drawn { values, upto, mean }
    }

    /// From draws with weights, in any order.
    pub fn weighted(mut draws: Vec<(f64, f64)>) -> Drawn {
        draws.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut sum, mut all) = (0.0, 0.0);
        let mut upto = Vec::with_capacity(draws.len());
        for (value, weight) in &draws {
            sum += value * weight;
            all += weight;
            upto.push(all);
        }
        Drawn { values: draws.into_iter().map(|(value, _)| value).collect(), upto, mean: sum / all }
    }

    /// The weighted mean.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// The value that a share of the draws, 0 to 1, stays below, straight between the middles of neighbouring draws'
    /// weights.
    pub fn quantile(&self, share: f64) -> f64 {
        let value = |index: usize| self.values.get(index).copied().unwrap_or(f64::NAN);
        let middle = |index: usize| {
            let upto = |index: usize| self.upto.get(index).copied().unwrap_or_default();
            let before = if index == 0 { 0.0 } else { upto(index - 1) };
            f64::midpoint(before, upto(index))
        };
        let last = self.values.len().saturating_sub(1);
        let (first, end) = (middle(0), middle(last));
        let wanted = first + share.clamp(0.0, 1.0) * (end - first);
        // The first draw whose middle reaches what is wanted.
        let (mut low, mut high) = (0, last);
        while low < high {
            let between = usize::midpoint(low, high);
            if middle(between) < wanted { low = between + 1 } else { high = between }
        }
        if low == 0 {
            return value(0);
        }
        let (before, after) = (middle(low - 1), middle(low));
        let part = if after > before { (wanted - before) / (after - before) } else { 1.0 };
        value(low - 1) + (value(low) - value(low - 1)) * part
    }

    /// The share of draws that are at most a limit.
    pub fn share_at_most(&self, limit: f64) -> f64 {
        let place = self.values.partition_point(|draw| *draw <= limit);
        let upto = place.checked_sub(1).and_then(|place| self.upto.get(place)).copied().unwrap_or_default();
        upto / self.upto.last().copied().unwrap_or(1.0)
    }

    /// How many draws there are.
    pub fn count(&self) -> usize {
        self.values.len()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    /// Three lognormals, means in m³/h; the numbers of tests/reference/airtightness.py (scipy 1.17.1, convolution).
    fn three() -> Vec<Source> {
        [("a", 40.0, 2.0), ("b", 25.0, 3.0), ("c", 90.0, 1.5)]
            .map(|(name, mean, spread)| Source { name: name.to_owned(), mean, spread })
            .to_vec()
    }

    #[test]
    fn moments_against_closed_forms() {
        let sources = three();
        let variance: f64 = sources.iter().map(Source::variance).sum();
        assert!((variance - 3_898.806_355).abs() < 1e-5, "{variance}");
        let draws = draws(&sources);
        assert_eq!(draws.len(), DRAWS);
        let mean = draws.iter().sum::<f64>() / DRAWS as f64;
        // Four standard errors of the mean.
        assert!((mean - 155.0).abs() < 4.0 * (variance / DRAWS as f64).sqrt(), "{mean}");
    }

    /// Shares of the variance: 25.3, 37.6 and 37.1 % (scipy), and they add up to one.
    #[test]
    fn shares_of_the_variance() {
        let sources = three();
        let all: f64 = sources.iter().map(Source::variance).sum();
        let shares: Vec<f64> = sources.iter().map(|source| source.variance() / all).collect();
        for (share, expected) in shares.iter().zip([0.253_126_363_7, 0.375_638_788_3, 0.371_234_848_0]) {
            assert!((share - expected).abs() < 1e-9, "{share}");
        }
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    /// Quantiles and a chance by convolution. With 10 000 draws the standard error of a chance of one half is 0.005;
    /// the tolerances are four standard errors, turned into m³/h by the density at the quantile.
    #[test]
    fn quantiles_against_convolution() {
        let drawn = Drawn::new(draws(&three()));
        for (share, expected, tolerance) in [(0.1, 91.638, 1.2), (0.5, 143.573, 1.9), (0.9, 229.988, 5.0)] {
            let value = drawn.quantile(share);
            assert!((value - expected).abs() < tolerance, "{share}: {value} against {expected}");
        }
        let chance = drawn.share_at_most(150.0);
        assert!((chance - 0.548_870).abs() < 0.02, "{chance}");
    }

    /// A lone lognormal's quantiles are known exactly.
    #[test]
    fn one_lognormal() {
        let source = Source { name: "one".to_owned(), mean: 1.0, spread: 2.0 };
        let drawn = Drawn::new(draws(std::slice::from_ref(&source)));
        let median = (-(2.0f64.ln().powi(2)) / 2.0).exp();
        assert!((source.quantile(0.0) - median).abs() < 1e-12);
        assert!((drawn.quantile(0.5) / median - 1.0).abs() < 0.04);
        assert!((drawn.quantile(0.9) / source.quantile(1.281_552) - 1.0).abs() < 0.05);
    }

    #[test]
    fn the_same_with_one_thread_and_with_two() {
        let with = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| draws(&three()))
        };
        assert_eq!(with(1), with(2));
    }

    /// A source has the same draws whichever others stand beside it.
    #[test]
    fn a_source_keeps_its_draws() {
        let all = three();
        let whole = draws(&all);
        let sum: Vec<f64> = draws(&all[..1]).iter().zip(draws(&all[1..])).map(|(a, b)| a + b).collect();
        assert!(whole.iter().zip(&sum).all(|(a, b)| (a - b).abs() < 1e-9));
    }

    #[test]
    fn quantiles_lie_between_draws() {
        let drawn = Drawn::new(vec![3.0, 1.0, 2.0]);
        assert_eq!((drawn.quantile(0.0), drawn.quantile(0.25), drawn.quantile(1.0)), (1.0, 1.5, 3.0));
        assert_eq!(drawn.share_at_most(2.0), 2.0 / 3.0);
        let weighted = Drawn::weighted(vec![(2.0, 3.0), (1.0, 1.0)]);
        assert_eq!((weighted.mean(), weighted.share_at_most(1.0), weighted.quantile(0.5)), (1.75, 0.25, 1.5));
    }
}
