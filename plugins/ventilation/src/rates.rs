//! Whole-dwelling rates: ASHRAE 62.2 with its infiltration credit, and the residential code's own.

use crate::settings::{Code, RunTime, Standard};
use mateline_model::quantity::{Area, Flow, Ratio};

/// One cubic foot per minute (m³/s).
pub const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
/// One square foot (m²).
pub const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

/// Total rate of ASHRAE 62.2.
///
/// `Q_tot = q_A A + q_b (N_br + 1) + q_s N_x`, with `A` (m²) the floor area, `N_br` the bedrooms (at least one), `N_x` the
/// people who sleep in the home beyond one more than the bedrooms, and the rates `q_A` (m/s), `q_b` and `q_s` (m³/s) of a
/// pack.
///
/// Source: ASHRAE 62.2-2016 to -2022, 4.1.1 and 4.1.2 (looked up in a secondary source; occupancy rule from memory).
pub fn total_rate(rates: &Standard, floor: Area, bedrooms: usize, sleepers: usize) -> Flow {
    let bedrooms = bedrooms.max(1);
    let extra = sleepers.saturating_sub(bedrooms + 1);
    rates.per_floor_area * floor + rates.per_bedroom * (bedrooms + 1) as f64 + rates.per_further_sleeper * extra as f64
}

/// The residential code's whole-house rate.
///
/// `Q = (q_A A + q_b (N_br + 1)) k`, with the rates `q_A` (m/s) and `q_b` (m³/s) of a pack, and its reduction `k` where the
/// system is balanced and supplies every bedroom and one more of living, dining and kitchen.
///
/// Source: IRC 2021, M1505.4.3 and its exception (from memory, high).
pub fn code_rate(rates: &Code, floor: Area, bedrooms: usize, reduced: bool) -> Flow {
    let rate = rates.per_floor_area * floor + rates.per_bedroom * (bedrooms.max(1) + 1) as f64;
    rate * if reduced { rates.reduced_to.si() } else { 1.0 }
}

/// What infiltration may take off the fan's flow.
///
/// `φ Q_inf A_ext`, at most the share `most` of `Q_tot`; `φ = 1` for a balanced system and `Q_inf/Q_tot` for any other,
/// `A_ext = 1` for a detached home.
///
/// Source: ASHRAE 62.2-2019, 4.1.2 (from memory, high).
pub fn infiltration_credit(total: Flow, infiltration: Flow, balanced: bool, most: Ratio) -> Flow {
    let phi = if balanced { 1.0 } else { (infiltration / total).min(1.0) };
    Flow::from_si((infiltration.si() * phi).clamp(0.0, total.si() * most.si()))
}

impl RunTime {
    /// The factor at a run share, by straight lines between the entries. `None` below the table, which the code does not
    /// extend.
    pub fn factor(&self, run_share: f64) -> Option<f64> {
        self.factors.windows(2).find_map(|pair| match pair {
            [(a, fa), (b, fb)] if (a.si()..=b.si()).contains(&run_share) => {
                Some(fa + (fb - fa) * (run_share - a.si()) / (b.si() - a.si()))
            }
            _ => None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_credit_by_kind_of_system() {
        let most = Ratio::from_si(2.0 / 3.0);
        let (total, small, large) = (Flow::from_si(0.06), Flow::from_si(0.006), Flow::from_si(0.2));
        assert!((infiltration_credit(total, small, true, most).si() - 0.006).abs() < 1e-15);
        assert!((infiltration_credit(total, small, false, most).si() - 0.0006).abs() < 1e-15);
        assert!((infiltration_credit(total, large, true, most).si() - 0.04).abs() < 1e-15);
        assert!((infiltration_credit(total, large, false, most).si() - 0.04).abs() < 1e-15);
        assert_eq!(infiltration_credit(total, Flow::from_si(0.0), true, most).si(), 0.0);
    }
}
