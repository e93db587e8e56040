//! What people or materials give off, carried through zones of mixed air: the steady state, the hours on the way to it,
//! and the age of the air.
//!
//! `V_i dC_i/dt = Σ_j Q_ji C_j − Q_i C_i + G_i`, with `V` (m³) the volume, `C` (-) the concentration above that of the
//! outdoor air, `Q_ji` (m³/s) the flow from zone `j` to `i`, `Q_i` (m³/s) all air that enters zone `i`, and `G` (m³/s)
//! what is given off in it. Each zone is well mixed; nothing settles or reacts.
//!
//! Source: mass balance; age of air as in ASTM E2029 and ISO 16000-8 (from memory).

pub mod linear;

use crate::linear::{DENSE, add, at, eliminate_all};
use mateline_model::portable;

/// Flows below this (m³/s) are a solver's remainder, not air.
pub const NO_FLOW: f64 = 1e-9;
/// Terms of one step's series.
const MOST_TERMS: usize = 400;
/// Steps that one interval is cut into at most.
const MOST_CUTS: f64 = 5_000.0;

/// Zones of mixed air and the flows between them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mixing {
    /// Volume of each zone (m³).
    pub volumes: Vec<f64>,
    /// Outdoor air that enters each zone (m³/s).
    pub outdoor: Vec<f64>,
    /// Flow from zone to zone, none negative: (from, to, m³/s).
    pub transfers: Vec<(usize, usize, f64)>,
}

impl Mixing {
    /// All air that enters each zone (m³/s).
    pub fn inflows(&self) -> Vec<f64> {
        let mut inflows = self.outdoor.clone();
        for (_, to, flow) in &self.transfers {
            add(&mut inflows, *to, *flow);
        }
        inflows
    }

    /// Zones that outdoor air gets to, directly or through others.
    pub fn reached(&self) -> Vec<bool> {
        let mut onwards: Vec<Vec<usize>> = vec![Vec::new(); self.outdoor.len()];
        for (from, to, flow) in &self.transfers {
            if let Some(onwards) = onwards.get_mut(*from).filter(|_| *flow > NO_FLOW) {
                onwards.push(*to);
            }
        }
        let mut reached: Vec<bool> = self.outdoor.iter().map(|flow| *flow > NO_FLOW).collect();
        let mut next: Vec<usize> =
            (0..reached.len()).filter(|zone| reached.get(*zone).is_some_and(|flag| *flag)).collect();
        while let Some(zone) = next.pop() {
            for to in onwards.get(zone).into_iter().flatten() {
                if let Some(flag) = reached.get_mut(*to).filter(|flag| !**flag) {
                    *flag = true;
                    next.push(*to);
                }
            }
        }
        reached
    }

    /// Steady concentrations above the outdoor air: `Q_i C_i − Σ_j Q_ji C_j = G_i`. `None` for a zone that no outdoor air
    /// gets to, and for all where the equations have no solution.
    pub fn steady(&self, source: &[f64]) -> Vec<Option<f64>> {
        self.steady_all(&[source.to_vec()]).pop().unwrap_or_default()
    }

    /// The same for several sources at once.
    pub fn steady_all(&self, sources: &[Vec<f64>]) -> Vec<Vec<Option<f64>>> {
        let reached = self.reached();
        let inflows = self.inflows();
        let n = self.outdoor.len();
        let live = |zone: usize| reached.get(zone).copied().unwrap_or(false);
        let solved = if n <= DENSE {
            let mut rows = vec![vec![0.0; n]; n];
            for (zone, row) in rows.iter_mut().enumerate() {
                add(row, zone, if live(zone) { at(&inflows, zone) } else { 1.0 });
            }
            for (from, to, flow) in &self.transfers {
                if let Some(row) = rows.get_mut(*to).filter(|_| live(*to) && live(*from)) {
                    add(row, *from, -flow);
                }
            }
            let right =
                |source: &Vec<f64>| (0..n).map(|zone| if live(zone) { at(source, zone) } else { 0.0 }).collect();
            eliminate_all(rows, &sources.iter().map(right).collect::<Vec<_>>())
        } else {
            sources.iter().map(|source| self.steady_by_sweeps(source, &inflows, &reached)).collect()
        };
        let Some(solved) = solved else { return vec![vec![None; n]; sources.len()] };
        let kept =
            |solved: Vec<f64>| solved.into_iter().zip(&reached).map(|(value, live)| live.then_some(value)).collect();
        solved.into_iter().map(kept).collect()
    }

    /// The zones whose air gets to a zone, itself among them.
    pub fn upstream(&self, zone: usize) -> Vec<bool> {
        let mut back: Vec<Vec<usize>> = vec![Vec::new(); self.outdoor.len()];
        for (from, to, _) in self.transfers.iter().filter(|(.., flow)| *flow > NO_FLOW) {
            if let Some(back) = back.get_mut(*to) {
                back.push(*from);
            }
        }
        let mut found = vec![false; self.outdoor.len()];
        let mut next = vec![zone];
        while let Some(zone) = next.pop() {
            if let Some(flag) = found.get_mut(zone).filter(|flag| !**flag) {
                *flag = true;
                next.extend(back.get(zone).into_iter().flatten());
            }
        }
        found
    }

    /// Each zone from its neighbours, over and over, until nothing changes by more than 1e-12.
    fn steady_by_sweeps(&self, source: &[f64], inflows: &[f64], reached: &[bool]) -> Option<Vec<f64>> {
        let mut from_others: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.outdoor.len()];
        for (from, to, flow) in &self.transfers {
            from_others.get_mut(*to)?.push((*from, *flow));
        }
        let mut values = vec![0.0; self.outdoor.len()];
        for _ in 0..2_000 {
            let (mut change, mut size) = (0.0_f64, 0.0_f64);
            for (zone, others) in from_others.iter().enumerate() {
                if !reached.get(zone).copied().unwrap_or(false) {
                    continue;
                }
                let brought: f64 = others.iter().map(|(from, flow)| flow * at(&values, *from)).sum();
                let next = (brought + at(source, zone)) / at(inflows, zone);
                change = change.max((next - at(&values, zone)).abs());
                size = size.max(next.abs());
                *values.get_mut(zone)? = next;
            }
            if change <= 1e-12 * size {
                return Some(values);
            }
        }
        None
    }

    /// Mean age of the air in each zone (s): `Q_i τ_i − Σ_j Q_ji τ_j = V_i`.
    pub fn ages(&self) -> Vec<Option<f64>> {
        self.steady(&self.volumes)
    }

    /// Concentrations above the outdoor air at the start and after each of `count` intervals (s), zone by zone.
    ///
    /// Exact for constant flows: `C(t+h) = e^{Ah} C(t) + ∫₀ʰ e^{As} ds G/V`, both by a series of non-negative terms
    /// (uniformisation), so that nothing can swing past its steady state. `None` when air changes so fast that the series
    /// would be too long.
    pub fn hours(&self, start: &[f64], source: &[f64], interval: f64, count: usize) -> Option<Vec<Vec<f64>>> {
        let inflows = self.inflows();
        let rates: Vec<f64> = inflows.iter().zip(&self.volumes).map(|(flow, volume)| flow / volume).collect();
        if !rates.iter().all(|rate| rate.is_finite()) {
            return None;
        }
        let fastest = rates.iter().fold(0.0_f64, |fastest, rate| fastest.max(*rate));
        let cuts = (fastest * interval / 20.0).ceil().max(1.0);
        if cuts > MOST_CUTS {
            return None;
        }
        let h = interval / cuts;
        let gain: Vec<f64> = source.iter().zip(&self.volumes).map(|(source, volume)| source / volume).collect();
        let weights = poisson(fastest * h)?;
        let gained = self.integral(&gain, &rates, fastest, h, &weights);
        let mut series: Vec<Vec<f64>> = start.iter().map(|value| vec![*value]).collect();
        let mut now = start.to_vec();
        for _ in 0..count {
            for _ in 0..cuts as usize {
                let mut next = gained.clone();
                let mut term = now.clone();
                for weight in &weights {
                    next.iter_mut().zip(&term).for_each(|(next, term)| *next += weight * term);
                    term = self.stir(&term, &rates, fastest);
                }
                now = next;
            }
            series.iter_mut().zip(&now).for_each(|(series, value)| series.push(*value));
        }
        Some(series)
    }

    /// `∫₀ʰ e^{As} ds b`.
    fn integral(&self, b: &[f64], rates: &[f64], fastest: f64, h: f64, weights: &[f64]) -> Vec<f64> {
        if fastest <= 0.0 {
            return b.iter().map(|b| b * h).collect();
        }
        let mut sum = vec![0.0; b.len()];
        let mut term = b.to_vec();
        // The share of the series' weight that is still to come, counted from its small end.
        let mut tails = vec![0.0; weights.len()];
        let mut tail = 0.0;
        for (slot, weight) in tails.iter_mut().zip(weights).rev() {
            *slot = tail;
            tail += weight;
        }
        for tail in tails {
            sum.iter_mut().zip(&term).for_each(|(sum, term)| *sum += tail / fastest * term);
            term = self.stir(&term, rates, fastest);
        }
        sum
    }

    /// `P x`, with `P = 1 + A/λ` and `λ` the fastest rate: no entry of `P` is negative.
    fn stir(&self, x: &[f64], rates: &[f64], fastest: f64) -> Vec<f64> {
        if fastest <= 0.0 {
            return x.to_vec();
        }
        let mut y: Vec<f64> = x.iter().zip(rates).map(|(x, rate)| x * (1.0 - rate / fastest)).collect();
        for (from, to, flow) in &self.transfers {
            let volume = at(&self.volumes, *to);
            add(&mut y, *to, flow / volume / fastest * at(x, *from));
        }
        y
    }
}

/// Weights of a Poisson distribution of mean `m`, until less than 1e-16 is left; their sum is scaled to 1.
fn poisson(m: f64) -> Option<Vec<f64>> {
    let mut weight = portable::exp(-m);
    let mut weights = vec![weight];
    let mut k = 0.0;
    while k < m || weight > 1e-18 {
        k += 1.0;
        weight *= m / k;
        weights.push(weight);
        if weights.len() > MOST_TERMS {
            return None;
        }
    }
    let sum: f64 = weights.iter().sum();
    Some(weights.into_iter().map(|weight| weight / sum).collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    /// Two adults, 0.0066 L/s, in 30 m³, from 600 ppm, outdoors 420 ppm (computed independently; 0.1 ppm).
    #[test]
    fn the_table_of_a_bedroom() {
        let table = [
            (3.5, 2305.7, [1185.0, 1569.3, 1987.8, 2246.5]),
            (7.5, 1300.0, [1015.4, 1184.3, 1280.9, 1299.5]),
            (15.0, 860.0, [817.0, 852.9, 859.8, 860.0]),
        ];
        for (litres, steady, hours) in table {
            let room = Mixing { volumes: vec![30.0], outdoor: vec![litres / 1e3], transfers: Vec::new() };
            let found = room.steady(&[6.6e-6]).first().copied().flatten().unwrap() * 1e6 + 420.0;
            assert!((found - steady).abs() < 0.1, "{found} against {steady}");
            let series = room.hours(&[180e-6], &[6.6e-6], 60.0, 480).unwrap();
            for (hour, expected) in [1, 2, 4, 8].into_iter().zip(hours) {
                let found = at(series.first().unwrap(), hour * 60) * 1e6 + 420.0;
                assert!((found - expected).abs() < 0.1, "{litres} L/s, {hour} h: {found} against {expected}");
            }
        }
    }

    /// Two sleepers at the measured 11 L/h each: 10.54 L/s hold 1000 ppm, 16.08 L/s 800 ppm (computed independently).
    #[test]
    fn the_flow_for_a_level() {
        let given_off = 2.0 * 11.0 / 3600.0;
        for (ppm, litres) in [(1000.0, 10.54), (800.0, 16.08)] {
            let room = Mixing { volumes: vec![30.0], outdoor: vec![litres / 1e3], transfers: Vec::new() };
            let found = room.steady(&[given_off / 1e3]).first().copied().flatten().unwrap() * 1e6 + 420.0;
            // The flow has four digits.
            assert!((found - ppm).abs() < 0.4, "{found}");
        }
    }

    #[test]
    fn air_passed_on_is_older() {
        let rooms = Mixing { volumes: vec![20.0, 40.0], outdoor: vec![0.01, 0.0], transfers: vec![(0, 1, 0.01)] };
        assert_eq!(rooms.ages(), vec![Some(2000.0), Some(6000.0)]);
    }

    #[test]
    fn a_closed_box_fills_in_a_straight_line_and_has_no_steady_state() {
        let closed = Mixing { volumes: vec![30.0], outdoor: vec![0.0], transfers: Vec::new() };
        assert_eq!(closed.steady(&[6.6e-6]), vec![None]);
        let series = closed.hours(&[0.0], &[6.6e-6], 60.0, 480).unwrap();
        assert!((at(series.first().unwrap(), 480) - 6.6e-6 * 8.0 * 3600.0 / 30.0).abs() < 1e-12);
    }

    #[test]
    fn a_thimble_in_a_gale_is_refused() {
        let odd = Mixing { volumes: vec![1e-9], outdoor: vec![1.0], transfers: Vec::new() };
        assert_eq!(odd.hours(&[0.0], &[0.0], 60.0, 480), None);
    }

    /// Sweeps and elimination agree.
    #[test]
    fn both_ways_to_the_steady_state() {
        let n = 50;
        let transfers: Vec<(usize, usize, f64)> = (1..n).map(|k| (k - 1, k, 0.01)).chain([(n - 1, 3, 0.004)]).collect();
        let mut outdoor = vec![0.0; n];
        add(&mut outdoor, 0, 0.01);
        let chain = Mixing { volumes: vec![10.0; n], outdoor, transfers };
        let source: Vec<f64> = (0..n).map(|k| k as f64 * 1e-7).collect();
        let sweeps = chain.steady_by_sweeps(&source, &chain.inflows(), &chain.reached()).unwrap();
        for (a, b) in chain.steady(&source).into_iter().zip(sweeps) {
            assert!((a.unwrap() / b - 1.0).abs() < 1e-9 || b == 0.0);
        }
    }

    proptest! {
        /// A single zone never crosses its steady state, from above or below.
        #[test]
        fn never_past_the_steady_state(flow in 1e-4..0.1f64, volume in 5.0..100.0f64, source in 0.0..2e-5f64, start in 0.0..5e-3f64) {
            let room = Mixing { volumes: vec![volume], outdoor: vec![flow], transfers: Vec::new() };
            let steady = source / flow;
            for value in room.hours(&[start], &[source], 60.0, 480).unwrap().remove(0) {
                prop_assert!((value - steady) * (start - steady) >= -1e-18);
            }
        }

        /// With nothing given off, every zone decays and none rises above the highest at the start.
        #[test]
        fn without_a_source_it_decays(a in 1e-3..0.05f64, b in 0.0..0.05f64, start in 1e-4..5e-3f64) {
            let rooms = Mixing {
                volumes: vec![30.0, 50.0],
                outdoor: vec![a, b],
                transfers: vec![(0, 1, a)],
            };
            let series = rooms.hours(&[start, start], &[0.0, 0.0], 60.0, 480).unwrap();
            for zone in series {
                prop_assert!(zone.windows(2).all(|pair| matches!(pair, [x, y] if y <= x && *y >= 0.0)));
            }
        }
    }
}
