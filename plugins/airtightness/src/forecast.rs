//! The finished home after a test with parts still open: homes drawn from the budget, each weighted by how likely it
//! makes the reading (importance sampling).
//!
//! A home is a draw `Z_c`, standard normal, for each row of the table; the row's parts leak `m_c e^(σ_c Z_c − σ_c²/2)`.
//! At the test the rows hold what is closed already and what is open; once finished, the same and the closed state of
//! what was open. A reading is the leakage at the test times a lognormal error of mean one.
//!
//! Draws straight from the budget would mostly miss a sure reading. So each keeps its own values in all directions but
//! the one in which the leakage at the test rises fastest, takes in that one what agrees with the reading, and has the
//! weight that makes up for it: budget times likelihood over the density it was drawn from. Whatever the direction, the
//! weighted draws are those of the budget given the reading.

use crate::budget::Budget;
use crate::item::Part;
use crate::remembered::Remembered;
use crate::spread::{CHUNK, DRAWS, Drawn, normals};
use crate::stages::StillOpen;
use mateline_model::portable::{exp, ln};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Effective draws that are wanted: the standard error of a share of one tenth is then 0.005.
const WANTED: f64 = 4_000.0;
/// Draws at most, in rounds of [`DRAWS`].
const MOST_ROUNDS: usize = 12;

/// Parts of one row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Id of the row.
    pub name: String,
    /// Geometric standard deviation (-).
    pub spread: f64,
    /// Mean of what is as it will be (m³/s at 50 Pa).
    pub shut: f64,
    /// Mean of what is still open, as it is at the test.
    pub open: f64,
    /// Mean of the same once closed.
    pub closed: f64,
}

impl Row {
    /// Whether it leaks at the test.
    fn leaks(&self) -> bool {
        self.shut + self.open > 0.0
    }
}

/// A reading at 50 Pa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The flow (m³/s).
    pub flow: f64,
    /// Standard deviation of its logarithm.
    pub sigma: f64,
}

/// What the draws say.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// The finished home (m³/s at 50 Pa).
    pub finished: Arc<Drawn>,
    /// Mean of what is closed already.
    pub shut: f64,
    /// Draws of equal weight that would say as much: `(Σ w)²/Σ w²`.
    pub effective: f64,
}

/// The rows of a budget, with parts still open.
pub(crate) fn rows(budget: &Budget, open: &StillOpen<'_>) -> Vec<Row> {
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    let mut add = |part: &Part, to: fn(&mut Row) -> &mut f64| {
        let new = || Row { name: part.component.clone(), spread: part.spread, shut: 0.0, open: 0.0, closed: 0.0 };
        *to(rows.entry(part.component.clone()).or_insert_with(new)) += part.q50().si();
    };
    for item in &budget.items {
        if open.items.iter().any(|other| other.subject == item.subject) {
            item.open.iter().flatten().for_each(|part| add(part, |row| &mut row.open));
            item.parts.iter().for_each(|part| add(part, |row| &mut row.closed));
        } else {
            item.parts.iter().for_each(|part| add(part, |row| &mut row.shut));
        }
    }
    rows.into_values().collect()
}

/// Forecasts of the homes that were checked last.
static KEPT: Remembered<(Vec<Row>, Reading), Option<Forecast>> = Remembered::of(8);

/// Draws the finished home given a reading; `None` where nothing leaks at the test.
pub fn forecast(rows: &[Row], reading: Reading) -> Option<Forecast> {
    KEPT.answer((rows.to_vec(), reading), |(rows, reading)| drawn(rows, *reading))
}

fn drawn(rows: &[Row], reading: Reading) -> Option<Forecast> {
    let sampler = Sampler::of(rows, reading)?;
    let mut draws = Vec::new();
    for round in 0..MOST_ROUNDS {
        let chunks = DRAWS / CHUNK;
        let chunks = round * chunks..(round + 1) * chunks;
        let found: Vec<Vec<Draw>> = chunks.into_par_iter().map(|chunk| sampler.chunk(chunk)).collect();
        draws.extend(found.into_iter().flatten());
        if effective(&weights(&draws)) >= WANTED {
            break;
        }
    }
    let weights = weights(&draws);
    let all: f64 = weights.iter().sum();
    let shut = draws.iter().zip(&weights).map(|(draw, weight)| draw.shut * weight).sum::<f64>() / all;
    let pairs = draws.iter().zip(&weights).map(|(draw, weight)| (draw.finished, *weight)).collect();
    (all > 0.0 && shut.is_finite()).then(|| Forecast {
        finished: Arc::new(Drawn::weighted(pairs)),
        shut,
        effective: effective(&weights),
    })
}

/// One home.
#[derive(Clone, Copy, Debug)]
struct Draw {
    finished: f64,
    shut: f64,
    log_weight: f64,
}

/// Weights, the largest one.
fn weights(draws: &[Draw]) -> Vec<f64> {
    let most = draws.iter().map(|draw| draw.log_weight).fold(f64::NEG_INFINITY, f64::max);
    draws.iter().map(|draw| exp(draw.log_weight - most)).collect()
}

fn effective(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    sum * sum / weights.iter().map(|weight| weight * weight).sum::<f64>()
}

/// How homes are drawn.
struct Sampler<'a> {
    rows: &'a [Row],
    sigmas: Vec<f64>,
    /// The direction in which the leakage at the test rises fastest, at the likeliest home; of length one.
    along: Vec<f64>,
    /// How far in that direction the likeliest home lies: where each draw begins to look for its own.
    begin: f64,
    /// What that makes of the leakage of each row that leaks at the test.
    first: Vec<f64>,
    /// Logarithm of the leakage that the reading is likeliest for.
    target: f64,
    /// Standard deviation of the reading's logarithm.
    s: f64,
}

impl<'a> Sampler<'a> {
    fn of(rows: &'a [Row], reading: Reading) -> Option<Sampler<'a>> {
        let sigmas: Vec<f64> = rows.iter().map(|row| ln(row.spread)).collect();
        let s = reading.sigma;
        let target = ln(reading.flow) + s * s / 2.0;
        if !(target.is_finite() && s > 0.0 && rows.iter().any(Row::leaks)) {
            return None;
        }
        let mut sampler =
            Sampler { rows, along: vec![0.0; sigmas.len()], begin: 0.0, first: Vec::new(), sigmas, target, s };
        (sampler.along, sampler.begin) = sampler.likeliest();
        let growth = rows.iter().zip(sampler.sigmas.iter().zip(&sampler.along)).filter(|(row, _)| row.leaks());
        sampler.first = growth.map(|(_, (sigma, along))| exp(sigma * along * sampler.begin)).collect();
        Some(sampler)
    }

    /// Logarithm of the leakage at the test of a home, and how it changes with each of its values.
    fn tested(&self, z: &[f64]) -> (f64, Vec<f64>) {
        let leak =
            |((row, sigma), z): ((&Row, &f64), &f64)| (row.shut + row.open) * exp(sigma * z - sigma * sigma / 2.0);
        let leaks: Vec<f64> = self.rows.iter().zip(&self.sigmas).zip(z).map(leak).collect();
        let sum: f64 = leaks.iter().sum();
        (ln(sum), leaks.iter().zip(&self.sigmas).map(|(leak, sigma)| leak / sum * sigma).collect())
    }

    /// The direction in which the leakage rises at the home that budget and reading make likeliest, and how far that home
    /// lies in it; by Gauss and Newton's method with shortened steps where a full one would overshoot.
    fn likeliest(&self) -> (Vec<f64>, f64) {
        let against = |z: &[f64], log: f64| {
            let off = (self.target - log) / self.s;
            (dot(z, z) + off * off) / 2.0
        };
        let mut z = vec![0.0; self.rows.len()];
        let (mut log, mut slope) = self.tested(&z);
        for _ in 0..100 {
            let factor = (self.target - log + dot(&slope, &z)) / (self.s * self.s + dot(&slope, &slope));
            let now = against(&z, log);
            let mut share = 1.0;
            let mut next = z.clone();
            for _ in 0..30 {
                next = z.iter().zip(&slope).map(|(z, a)| z + share * (a * factor - z)).collect();
                if against(&next, self.tested(&next).0) <= now {
                    break;
                }
                share /= 2.0;
            }
            let change = z.iter().zip(&next).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            z = next;
            (log, slope) = self.tested(&z);
            if change < 1e-9 {
                break;
            }
        }
        let length = dot(&slope, &slope).sqrt();
        let along: Vec<f64> = slope.iter().map(|a| if length > 0.0 { a / length } else { 0.0 }).collect();
        let far = dot(&along, &z);
        (along, far)
    }

    fn chunk(&self, chunk: usize) -> Vec<Draw> {
        let normals: Vec<Vec<f64>> = self.rows.iter().map(|row| normals(&row.name, chunk)).collect();
        let mut x = vec![0.0; self.rows.len()];
        let mut draws = Vec::with_capacity(CHUNK);
        for k in 0..CHUNK {
            for (x, row) in x.iter_mut().zip(&normals) {
                *x = row.get(k).copied().unwrap_or_default();
            }
            draws.push(self.draw(&x));
        }
        draws
    }

    /// A home from independent normal values: `z = x − u (u·x) + u y`, with `y` drawn near what agrees with the reading.
    fn draw(&self, x: &[f64]) -> Draw {
        let own = dot(&self.along, x);
        let z = |((x, u), y): ((&f64, &f64), f64)| x - u * own + u * y;
        // Leakage at the test by row where y is zero, and how its logarithm grows with y.
        let still: Vec<(f64, f64)> = self
            .rows
            .iter()
            .zip(&self.sigmas)
            .zip(x.iter().zip(&self.along))
            .filter(|((row, _), _)| row.leaks())
            .map(|((row, sigma), pair)| {
                let leak = (row.shut + row.open) * exp(sigma * z((pair, 0.0)) - sigma * sigma / 2.0);
                (leak, sigma * pair.1)
            })
            .collect();
        let tested = |y: f64| grown(&still, still.iter().map(|(_, growth)| exp(growth * y)));
        let (mut y, mut width) = (self.begin, 1.0);
        let mut found = grown(&still, self.first.iter().copied());
        for _ in 0..30 {
            let (log, b) = found;
            let next: f64 = b * (self.target - log + b * y) / (self.s * self.s + b * b);
            width = self.s / (self.s * self.s + b * b).sqrt();
            let step = (next - y).clamp(-1.5, 1.5);
            y += step;
            if step.abs() < 0.01 * width {
                break;
            }
            found = tested(y);
        }
        let y = y + width * own;
        let off = (self.target - tested(y).0) / self.s;
        let log_weight = (own * own - y * y - off * off) / 2.0 + ln(width);
        let mut draw = Draw { finished: 0.0, shut: 0.0, log_weight };
        for ((row, sigma), pair) in self.rows.iter().zip(&self.sigmas).zip(x.iter().zip(&self.along)) {
            let factor = exp(sigma * z((pair, y)) - sigma * sigma / 2.0);
            draw.shut += row.shut * factor;
            draw.finished += (row.shut + row.closed) * factor;
        }
        draw
    }
}

/// Logarithm of the leakage at the test, of rows that have grown so much, and how it changes.
fn grown(still: &[(f64, f64)], so_much: impl Iterator<Item = f64>) -> (f64, f64) {
    let (sum, slope) = still.iter().zip(so_much).fold((0.0, 0.0), |(sum, slope), ((leak, growth), so_much)| {
        let leak = leak * so_much;
        (sum + leak, slope + leak * growth)
    });
    (ln(sum), slope / sum)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
