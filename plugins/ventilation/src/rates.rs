//! Whole-dwelling rates: ASHRAE 62.2 with its infiltration credit, and the residential code's own.

use mateline_model::quantity::{Area, Flow};

/// One cubic foot per minute (m³/s).
pub const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
/// One square foot (m²).
pub const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

/// Total rate of ASHRAE 62.2.
///
/// `Q_tot = 0.03 A + 7.5 (N_br + 1) + 7.5 (N_s − N_br − 1)⁺` cfm, with `A` (ft²) the floor area, `N_br` the bedrooms (at
/// least one) and `N_s` the people who sleep in the home: those beyond one more than the bedrooms add their own share.
///
/// Source: ASHRAE 62.2-2016 to -2022, 4.1.1 and 4.1.2 (looked up in a secondary source; occupancy rule from memory).
pub fn total_rate(floor: Area, bedrooms: usize, sleepers: usize) -> Flow {
    let bedrooms = bedrooms.max(1);
    let extra = sleepers.saturating_sub(bedrooms + 1);
    Flow::from_si((0.03 * floor.si() / SQUARE_FOOT + 7.5 * (bedrooms + 1) as f64 + 7.5 * extra as f64) * CFM)
}

/// The residential code's whole-house rate.
///
/// `Q = 0.01 A + 7.5 (N_br + 1)` cfm, times 0.7 where the system is balanced and supplies every bedroom and one more of
/// living, dining and kitchen.
///
/// Source: IRC 2021, M1505.4.3 and its exception (from memory, high).
pub fn code_rate(floor: Area, bedrooms: usize, reduced: bool) -> Flow {
    let rate = 0.01 * floor.si() / SQUARE_FOOT + 7.5 * (bedrooms.max(1) + 1) as f64;
    Flow::from_si(rate * CFM * if reduced { 0.7 } else { 1.0 })
}

/// What infiltration may take off the fan's flow.
///
/// `φ Q_inf A_ext`, at most `2/3 Q_tot`; `φ = 1` for a balanced system and `Q_inf/Q_tot` for any other, `A_ext = 1` for a
/// detached home.
///
/// Source: ASHRAE 62.2-2019, 4.1.2 (from memory, high); the cap for new dwellings: 2013 and 2016 (looked up in a
/// secondary source), taken to persist.
pub fn infiltration_credit(total: Flow, infiltration: Flow, balanced: bool) -> Flow {
    let phi = if balanced { 1.0 } else { (infiltration / total).min(1.0) };
    Flow::from_si((infiltration.si() * phi).clamp(0.0, total.si() * 2.0 / 3.0))
}

/// Run share and the factor by which a fan that runs for that share of every four hours must be larger.
///
/// Source: IRC 2021, Table M1505.4.3(2) (from memory, high).
pub const INTERMITTENT_FACTORS: [(f64, f64); 6] =
    [(0.25, 4.0), (0.33, 3.0), (0.50, 2.0), (0.66, 1.5), (0.75, 1.3), (1.0, 1.0)];

/// The factor at a run share, by straight lines between the entries. `None` below the table, which the code does not
/// extend.
pub fn intermittent_factor(run_share: f64) -> Option<f64> {
    INTERMITTENT_FACTORS.windows(2).find_map(|pair| match pair {
        [(a, fa), (b, fb)] if (*a..=*b).contains(&run_share) => Some(fa + (fb - fa) * (run_share - a) / (b - a)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn cfm(flow: Flow) -> f64 {
        flow.si() / CFM
    }

    fn feet(area: f64) -> Area {
        Area::from_si(area * SQUARE_FOOT)
    }

    /// ASHRAE 62.2, Table 4.1 (from memory, high): each band at its upper end, 1 to 5 bedrooms, rounded to 1 cfm with
    /// halves up.
    #[test]
    fn every_cell_of_the_table() {
        let table = [
            (500.0, [30, 38, 45, 53, 60]),
            (1000.0, [45, 53, 60, 68, 75]),
            (1500.0, [60, 68, 75, 83, 90]),
            (2000.0, [75, 83, 90, 98, 105]),
            (2500.0, [90, 98, 105, 113, 120]),
            (3000.0, [105, 113, 120, 128, 135]),
            (3500.0, [120, 128, 135, 143, 150]),
            (4000.0, [135, 143, 150, 158, 165]),
            (4500.0, [150, 158, 165, 173, 180]),
            (5000.0, [165, 173, 180, 188, 195]),
        ];
        for (area, row) in table {
            for (bedrooms, expected) in (1..).zip(row) {
                let rate = cfm(total_rate(feet(area), bedrooms, 0));
                assert_eq!((rate + 0.5 + 1e-9).floor() as i64, expected, "{area} ft², {bedrooms} bedrooms: {rate}");
            }
        }
    }

    /// 2,400 ft² and three bedrooms: 102 cfm (looked up in a secondary source).
    #[test]
    fn the_published_example_and_a_denser_home() {
        assert!((cfm(total_rate(feet(2400.0), 3, 4)) - 102.0).abs() < 1e-9);
        assert!((cfm(total_rate(feet(2400.0), 3, 6)) - 117.0).abs() < 1e-9);
        assert!((cfm(total_rate(feet(400.0), 0, 2)) - 27.0).abs() < 1e-9);
        assert!((cfm(code_rate(feet(2400.0), 3, false)) - 54.0).abs() < 1e-9);
        assert!((cfm(code_rate(feet(2400.0), 3, true)) - 37.8).abs() < 1e-9);
    }

    #[test]
    fn the_credit_by_kind_of_system() {
        let (total, small, large) = (Flow::from_si(0.06), Flow::from_si(0.006), Flow::from_si(0.2));
        assert!((infiltration_credit(total, small, true).si() - 0.006).abs() < 1e-15);
        assert!((infiltration_credit(total, small, false).si() - 0.0006).abs() < 1e-15);
        assert!((infiltration_credit(total, large, true).si() - 0.04).abs() < 1e-15);
        assert!((infiltration_credit(total, large, false).si() - 0.04).abs() < 1e-15);
        assert_eq!(infiltration_credit(total, Flow::from_si(0.0), true).si(), 0.0);
    }

    #[test]
    fn factors_at_the_table_and_between() {
        for (share, factor) in INTERMITTENT_FACTORS {
            assert!((intermittent_factor(share).unwrap() - factor).abs() < 1e-12);
        }
        assert!((intermittent_factor(0.29).unwrap() - 3.5).abs() < 1e-12);
        assert_eq!(intermittent_factor(0.2), None);
        assert_eq!(intermittent_factor(1.1), None);
    }
}
