//! Steady air flow through the zones of a dwelling.
//!
//! Every zone has one pressure; air passes between zones and to the outdoors by power-law paths; fans are fixed flows.
//! The pressures are those at which every zone gains as much air as it loses. No wind, no stack effect.

use mateline_mixing::linear::{Symmetric, add, at};
use mateline_model::portable;

/// Below this pressure difference (Pa) a path is taken as linear, so that its slope stays finite at rest.
pub const LINEAR_BELOW: f64 = 1e-3;

/// A path between two zones: `Q = C Δp^n` from `from` to `to`, with `Q` (m³/s) and `Δp` (Pa).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Zone.
    pub from: usize,
    /// Zone.
    pub to: usize,
    /// `C` (m³/(s·Paⁿ)).
    pub coefficient: f64,
    /// `n`, 0.5 for an orifice.
    pub exponent: f64,
}

/// A zone's leakage from and to the outdoors, by the same law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// Zone.
    pub zone: usize,
    /// `C` (m³/(s·Paⁿ)).
    pub coefficient: f64,
    /// `n`, about 0.65 for cracks.
    pub exponent: f64,
}

/// A network to be solved.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// What fans bring into each zone, less what they take out (m³/s).
    pub fans: Vec<f64>,
    /// Paths between zones.
    pub paths: Vec<Path>,
    /// Leakage.
    pub leaks: Vec<Leak>,
}

/// A solved network.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Pressure of each zone above the outdoors, or above the first zone of its group where the group has no leakage (Pa).
    pub pressures: Vec<f64>,
    /// Flow of each path, positive from `from` to `to` (m³/s).
    pub paths: Vec<f64>,
    /// Flow of each leak, positive inwards (m³/s).
    pub leaks: Vec<f64>,
    /// Zones whose fans bring in more than can leave (or less, negative), for want of any way: (zone, surplus of its
    /// group in m³/s).
    pub stuck: Vec<(usize, f64)>,
    /// Newton steps taken.
    pub steps: usize,
    /// Largest air flow that a zone gains and does not lose (m³/s).
    pub residual: f64,
}

/// Why a network has no solution.
#[derive(Clone, Debug, PartialEq)]
pub enum Unsolved {
    /// A path or leak names a zone that does not exist, or its numbers make no sense.
    Malformed,
    /// Newton's method stopped with this residual (m³/s).
    NotConverged(f64),
}

impl std::fmt::Display for Unsolved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Unsolved::Malformed => f.write_str("the air-flow network is malformed"),
            Unsolved::NotConverged(residual) => {
                write!(f, "the air-flow network did not converge: {:.3e} m³/s is left over", residual)
            }
        }
    }
}

/// Newton steps allowed.
const MOST_STEPS: usize = 200;

impl Network {
    /// Solves for the pressures by Newton's method; a step that does not bring the residual down is halved until it does.
    ///
    /// Done when no zone keeps more than 1e-11 m³/s plus 1e-10 of the largest fan.
    ///
    /// # Errors
    /// When the network is malformed or the method does not converge.
    pub fn solve(&self) -> Result<Field, Unsolved> {
        self.check()?;
        let (pinned, stuck) = self.groups();
        let mut is_stuck = vec![false; self.fans.len()];
        for (zone, _) in &stuck {
            if let Some(flag) = is_stuck.get_mut(*zone) {
                *flag = true;
            }
        }
        let fixed: Vec<bool> = pinned.iter().zip(&is_stuck).map(|(pinned, stuck)| *pinned || *stuck).collect();
        let largest = self.fans.iter().fold(0.0_f64, |largest, fan| largest.max(fan.abs()));
        let goal = 1e-11 + 1e-10 * largest;
        let mut pressures = vec![0.0; self.fans.len()];
        let mut excess = self.excess(&pressures, &fixed);
        let mut steps = 0;
        while norm(&excess) > goal {
            if steps == MOST_STEPS {
                return Err(Unsolved::NotConverged(norm(&excess)));
            }
            steps += 1;
            let direction =
                self.slopes(&pressures, &fixed).solve(&excess).ok_or(Unsolved::NotConverged(norm(&excess)))?;
            let mut share = 1.0;
            loop {
                let next: Vec<f64> = pressures.iter().zip(&direction).map(|(p, d)| p + share * d).collect();
                let left = self.excess(&next, &fixed);
                if length(&left) < length(&excess) {
                    (pressures, excess) = (next, left);
                    break;
                }
                share *= 0.5;
                if share < 1e-12 {
                    return Err(Unsolved::NotConverged(norm(&excess)));
                }
            }
        }
        let drop = |path: &Path| at(&pressures, path.from) - at(&pressures, path.to);
        Ok(Field {
            paths: self.paths.iter().map(|path| flow(path.coefficient, path.exponent, drop(path))).collect(),
            leaks: self
                .leaks
                .iter()
                .map(|leak| flow(leak.coefficient, leak.exponent, -at(&pressures, leak.zone)))
                .collect(),
            residual: norm(&excess),
            pressures,
            stuck,
            steps,
        })
    }

    fn check(&self) -> Result<(), Unsolved> {
        let sound = |zone: usize, coefficient: f64, exponent: f64| {
            zone < self.fans.len() && coefficient > 0.0 && coefficient.is_finite() && (0.5..=1.0).contains(&exponent)
        };
        let good = self.fans.iter().all(|fan| fan.is_finite())
            && self
                .paths
                .iter()
                .all(|p| sound(p.from, p.coefficient, p.exponent) && p.to < self.fans.len() && p.from != p.to)
            && self.leaks.iter().all(|leak| sound(leak.zone, leak.coefficient, leak.exponent));
        if good { Ok(()) } else { Err(Unsolved::Malformed) }
    }

    /// Zones that hold their pressure at zero because their group has no leakage, and the zones of groups without leakage
    /// whose fans do not balance.
    fn groups(&self) -> (Vec<bool>, Vec<(usize, f64)>) {
        let mut sets = Sets::new(self.fans.len());
        for path in &self.paths {
            sets.join(path.from, path.to);
        }
        let roots: Vec<usize> = (0..self.fans.len()).map(|zone| sets.root(zone)).collect();
        let mut leaky = vec![false; self.fans.len()];
        for leak in &self.leaks {
            if let Some(flag) = roots.get(leak.zone).and_then(|root| leaky.get_mut(*root)) {
                *flag = true;
            }
        }
        let (mut surplus, mut moved) = (vec![0.0; self.fans.len()], vec![0.0; self.fans.len()]);
        for (root, fan) in roots.iter().zip(&self.fans) {
            add(&mut surplus, *root, *fan);
            add(&mut moved, *root, fan.abs());
        }
        let has_leak = |root: usize| leaky.get(root).copied().unwrap_or(false);
        let pinned = roots.iter().enumerate().map(|(zone, root)| zone == *root && !has_leak(*root)).collect();
        let stuck = roots
            .iter()
            .enumerate()
            .filter(|(_, root)| !has_leak(**root) && at(&surplus, **root).abs() > 1e-12 + 1e-9 * at(&moved, **root))
            .map(|(zone, root)| (zone, at(&surplus, *root)))
            .collect();
        (pinned, stuck)
    }

    /// What each zone gains and does not lose (m³/s); nothing for zones that are fixed.
    fn excess(&self, pressures: &[f64], fixed: &[bool]) -> Vec<f64> {
        let mut excess = self.fans.clone();
        for path in &self.paths {
            let through = flow(path.coefficient, path.exponent, at(pressures, path.from) - at(pressures, path.to));
            add(&mut excess, path.from, -through);
            add(&mut excess, path.to, through);
        }
        for leak in &self.leaks {
            add(&mut excess, leak.zone, -flow(leak.coefficient, leak.exponent, at(pressures, leak.zone)));
        }
        excess.iter_mut().zip(fixed).filter(|(_, fixed)| **fixed).for_each(|(value, _)| *value = 0.0);
        excess
    }

    /// How the losses grow with the pressures: a symmetric, positive definite matrix.
    fn slopes(&self, pressures: &[f64], fixed: &[bool]) -> Symmetric {
        let held = |zone: usize| fixed.get(zone).copied().unwrap_or(false);
        let mut matrix = Symmetric { diagonal: vec![0.0; self.fans.len()], links: Vec::new() };
        for path in &self.paths {
            let slope = slope(path.coefficient, path.exponent, at(pressures, path.from) - at(pressures, path.to));
            for zone in [path.from, path.to] {
                add(&mut matrix.diagonal, zone, slope);
            }
            if !held(path.from) && !held(path.to) {
                matrix.links.push((path.from, path.to, slope));
            }
        }
        for leak in &self.leaks {
            add(&mut matrix.diagonal, leak.zone, slope(leak.coefficient, leak.exponent, at(pressures, leak.zone)));
        }
        matrix.diagonal.iter_mut().zip(fixed).filter(|(_, fixed)| **fixed).for_each(|(value, _)| *value = 1.0);
        matrix
    }
}

/// `Q = C |Δp|^n sgn Δp`; linear below [`LINEAR_BELOW`], where it joins without a step.
pub fn flow(coefficient: f64, exponent: f64, drop: f64) -> f64 {
    if drop.abs() < LINEAR_BELOW {
        coefficient * portable::pow(LINEAR_BELOW, exponent - 1.0) * drop
    } else {
        coefficient * portable::pow(drop.abs(), exponent) * drop.signum()
    }
}

fn slope(coefficient: f64, exponent: f64, drop: f64) -> f64 {
    if drop.abs() < LINEAR_BELOW {
        coefficient * portable::pow(LINEAR_BELOW, exponent - 1.0)
    } else {
        coefficient * exponent * portable::pow(drop.abs(), exponent - 1.0)
    }
}

fn norm(values: &[f64]) -> f64 {
    values.iter().fold(0.0_f64, |largest, value| largest.max(value.abs()))
}

fn length(values: &[f64]) -> f64 {
    values.iter().map(|value| value * value).sum::<f64>().sqrt()
}

/// Disjoint sets of indices.
#[derive(Debug)]
pub(crate) struct Sets(Vec<usize>);

impl Sets {
    pub(crate) fn new(count: usize) -> Sets {
        Sets((0..count).collect())
    }

    /// The set's representative: its smallest member.
    pub(crate) fn root(&mut self, index: usize) -> usize {
        let mut here = index;
        while let Some(up) = self.0.get(here).copied()
            && up != here
        {
            let above = self.0.get(up).copied().unwrap_or(up);
            if let Some(link) = self.0.get_mut(here) {
                *link = above;
            }
            here = above;
        }
        here
    }

    pub(crate) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        if let Some(link) = self.0.get_mut(a.max(b)) {
            *link = a.min(b);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    fn path(from: usize, to: usize, coefficient: f64) -> Path {
        Path { from, to, coefficient, exponent: 0.5 }
    }

    /// One room on a fan and one door: `Δp = (Q/C)²`.
    #[test]
    fn a_room_behind_a_door() {
        let network = Network { fans: vec![0.01, -0.01], paths: vec![path(0, 1, 0.008)], leaks: Vec::new() };
        let field = network.solve().unwrap();
        assert!((field.paths.first().unwrap() - 0.01).abs() < 1e-10);
        assert!((at(&field.pressures, 0) - at(&field.pressures, 1) - (0.01_f64 / 0.008).powi(2)).abs() < 1e-7);
    }

    /// Only leakage: `Δp = (Q/C)^(1/n)`.
    #[test]
    fn an_exhaust_fan_in_a_tight_home() {
        let leak = Leak { zone: 0, coefficient: 0.08 / 50.0_f64.powf(0.65), exponent: 0.65 };
        let network = Network { fans: vec![-0.04], paths: Vec::new(), leaks: vec![leak] };
        let field = network.solve().unwrap();
        assert!((at(&field.pressures, 0) + 50.0 * 0.5_f64.powf(1.0 / 0.65)).abs() < 1e-6);
        assert!((at(&field.leaks, 0) - 0.04).abs() < 1e-10);
    }

    #[test]
    fn a_room_with_no_way_out_is_stuck() {
        let network = Network { fans: vec![0.01, 0.02, -0.02], paths: vec![path(1, 2, 0.01)], leaks: Vec::new() };
        let field = network.solve().unwrap();
        assert_eq!(field.stuck, vec![(0, 0.01)]);
        assert!((at(&field.paths, 0) - 0.02).abs() < 1e-10);
    }

    #[test]
    fn nonsense_is_refused() {
        let network = Network { fans: vec![0.0], paths: vec![path(0, 3, 0.01)], leaks: Vec::new() };
        assert_eq!(network.solve(), Err(Unsolved::Malformed));
        let network = Network { fans: vec![f64::NAN], ..Network::default() };
        assert_eq!(network.solve(), Err(Unsolved::Malformed));
    }

    /// A chain longer than the dense solver takes.
    #[test]
    fn a_long_chain() {
        let n = 400;
        let mut fans = vec![0.0; n];
        add(&mut fans, 0, 0.01);
        let paths = (1..n).map(|k| path(k - 1, k, 0.02)).collect();
        let leaks = vec![Leak { zone: n - 1, coefficient: 0.01, exponent: 0.65 }];
        let field = Network { fans, paths, leaks }.solve().unwrap();
        assert!(field.paths.iter().all(|flow| (flow - 0.01).abs() < 1e-8), "{:?}", field.steps);
    }

    proptest! {
        /// Every zone loses what it gains, in any network with leakage, and flow runs from high to low pressure.
        #[test]
        fn mass_is_kept(
            fans in proptest::collection::vec(-0.05..0.05f64, 2..12),
            links in proptest::collection::vec((0..12usize, 0..12usize, 1e-4..0.1f64, 0.5..0.7f64), 0..24),
            leak in 1e-5..1e-2f64,
        ) {
            let n = fans.len();
            let paths: Vec<Path> = links
                .into_iter()
                .map(|(from, to, coefficient, exponent)| Path { from: from % n, to: to % n, coefficient, exponent })
                .filter(|path| path.from != path.to)
                .collect();
            let leaks: Vec<Leak> = (0..n).map(|zone| Leak { zone, coefficient: leak, exponent: 0.65 }).collect();
            let network = Network { fans, paths, leaks };
            let field = network.solve();
            prop_assert!(field.is_ok(), "{field:?}");
            let field = field.unwrap();
            let mut balance = network.fans.clone();
            for (path, flow) in network.paths.iter().zip(&field.paths) {
                add(&mut balance, path.from, -flow);
                add(&mut balance, path.to, *flow);
                let drop = at(&field.pressures, path.from) - at(&field.pressures, path.to);
                prop_assert!(flow * drop >= 0.0);
            }
            for (leak, flow) in network.leaks.iter().zip(&field.leaks) {
                add(&mut balance, leak.zone, *flow);
            }
            prop_assert!(norm(&balance) < 1e-10, "{balance:?}");
        }
    }
}
