//! Whole-dwelling rates: ASHRAE 62.2 with its infiltration credit, and the residential code's own.

use crate::facts::{RATE, RATE_PER_AREA};
use crate::settings::{Code, RunTime, Standard};
use mateline_equation::equation;
use mateline_model::quantity::{Area, Units};

/// One cubic foot per minute (m³/s).
pub const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
/// One square foot (m²).
pub const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

equation! {
    /// Total rate of a dwelling, with the rates of a pack: people who sleep in the home beyond one more than the bedrooms
    /// add their own share.
    ///
    /// Source: ASHRAE 62.2-2016 to -2022, 4.1.1 and 4.1.2 (looked up in a secondary source; occupancy rule from memory).
    pub TotalRate = "Q_tot = q_A A + q_b (N_br + 1) + q_s max(0, N_s − N_br − 1)" {
        Q_tot: Flow "total rate" [Units::FLOW],
        q_A: FlowPerArea "rate for each floor area" [RATE_PER_AREA],
        q_b: Flow "rate for each bedroom and one more" [RATE],
        q_s: Flow "rate for each sleeper beyond" [RATE],
        A: Area "floor area" [Units::AREA],
        N_br: f64 "bedrooms, at least one" [Units::plain(0)],
        N_s: f64 "sleepers" [Units::plain(0)],
    }

    /// The residential code's whole-house rate, with the rates of a pack, and its reduction where the system is balanced
    /// and supplies every bedroom and one more of living, dining and kitchen.
    ///
    /// Source: IRC 2021, M1505.4.3 and its exception (from memory, high).
    pub CodeRate = "Q = (q_A A + q_b (N_br + 1)) k" {
        Q: Flow "rate of the residential code" [Units::FLOW],
        q_A: FlowPerArea "rate for each floor area" [RATE_PER_AREA],
        q_b: Flow "rate for each bedroom and one more" [RATE],
        A: Area "floor area" [Units::AREA],
        N_br: f64 "bedrooms, at least one" [Units::plain(0)],
        k: f64 "reduction" [Units::plain(2)],
    }

    /// What infiltration takes off the fan's flow in a detached home with a balanced system.
    ///
    /// Source: ASHRAE 62.2-2019, 4.1.2 (from memory, high).
    pub BalancedCredit = "Q_c = min(Q_inf, k_c Q_tot)" {
        Q_c: Flow "credit" [Units::FLOW],
        Q_inf: Flow "annual effective infiltration" [Units::FLOW],
        Q_tot: Flow "total rate" [Units::FLOW],
        k_c: Ratio "greatest share credited" [Units::plain(3)],
    }

    /// The same with any other system, of which only the share `Q_inf/Q_tot` counts. Source: as for a balanced one.
    pub UnbalancedCredit = "Q_c = min(Q_inf²/Q_tot, k_c Q_tot)" {
        Q_c: Flow "credit" [Units::FLOW],
        Q_inf: Flow "annual effective infiltration" [Units::FLOW],
        Q_tot: Flow "total rate" [Units::FLOW],
        k_c: Ratio "greatest share credited" [Units::plain(3)],
    }
}

/// The standard's rate of a home with so many bedrooms and sleepers.
pub fn total_rate(rates: &Standard, floor: Area, bedrooms: usize, sleepers: usize) -> TotalRate {
    TotalRate {
        q_A: rates.per_floor_area,
        q_b: rates.per_bedroom,
        q_s: rates.per_further_sleeper,
        A: floor,
        N_br: bedrooms.max(1) as f64,
        N_s: sleepers as f64,
    }
}

/// The residential code's rate of a home with so many bedrooms.
pub fn code_rate(rates: &Code, floor: Area, bedrooms: usize, reduced: bool) -> CodeRate {
    CodeRate {
        q_A: rates.per_floor_area,
        q_b: rates.per_bedroom,
        A: floor,
        N_br: bedrooms.max(1) as f64,
        k: if reduced { rates.reduced_to.si() } else { 1.0 },
    }
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
    use mateline_model::quantity::{Flow, Ratio};

    #[test]
    fn the_credit_by_kind_of_system() {
        let most = Ratio::from_si(2.0 / 3.0);
        let (total, small, large) = (Flow::from_si(0.06), Flow::from_si(0.006), Flow::from_si(0.2));
        let balanced = |found| BalancedCredit { Q_inf: found, Q_tot: total, k_c: most }.value().si();
        let other = |found| UnbalancedCredit { Q_inf: found, Q_tot: total, k_c: most }.value().si();
        assert!((balanced(small) - 0.006).abs() < 1e-15);
        assert!((other(small) - 0.0006).abs() < 1e-15);
        assert!((balanced(large) - 0.04).abs() < 1e-15);
        assert!((other(large) - 0.04).abs() < 1e-15);
        assert_eq!(balanced(Flow::from_si(0.0)), 0.0);
    }
}
