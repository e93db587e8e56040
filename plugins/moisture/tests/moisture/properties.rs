//! What holds of every assembly, whatever its layers.

use crate::support::MOULD;
use mateline_model::quantity::{Pressure, Temperature};
use mateline_moisture::conditions::{Air, Conditions};
use mateline_moisture::diagram::{Diagram, Sheet};
use mateline_moisture::indoor::conditions;
use mateline_moisture::surface::factor_needed;
use mateline_moisture::year::Year;
use proptest::prelude::*;

fn layers() -> impl Strategy<Value = Vec<Sheet>> {
    let layer = (0.0..4.0_f64, -2.0..1.5_f64).prop_map(|(resistance, sd)| Sheet { resistance, sd: 10_f64.powf(sd) });
    prop::collection::vec(layer, 1..6)
}

fn climate(mean: f64, swing: f64, excess: f64) -> [Conditions; 12] {
    std::array::from_fn(|month| {
        let t = mean - swing * (2.0 * std::f64::consts::PI * month as f64 / 12.0).cos();
        let outside = Air::of_humidity(Temperature::from_si(t), 0.8);
        conditions(outside, Temperature::from_si(20.0), Pressure::from_si(excess))
    })
}

proptest! {
    /// Water is never negative, the string never above saturation, and what settles is what flows in and not out.
    #[test]
    fn water_and_pressures_keep_their_bounds(layers in layers(), mean in -8.0..20.0_f64, swing in 0.0..18.0_f64, excess in 0.0..1080.0_f64) {
        let diagram = Diagram::split(0.13, &layers, 0.04);
        let year = Year::of(&diagram, &climate(mean, swing, excess));
        prop_assert_eq!(year.months.len(), 12);
        let depths = diagram.depths();
        for month in &year.months {
            prop_assert!(month.water.iter().all(|held| *held >= 0.0));
            prop_assert_eq!(month.water[0], 0.0);
            let profile = &month.profile;
            for plane in 0..diagram.planes() {
                prop_assert!(profile.vapour[plane] <= profile.saturation[plane] * (1.0 + 1e-9));
            }
            let flow = |from: usize, to: usize| 2e-10 * (profile.vapour[from] - profile.vapour[to]) / (depths[to] - depths[from]);
            let last = diagram.planes() - 1;
            let balance = flow(0, 1) - flow(last - 1, last);
            let settled: f64 = profile.gain.iter().sum();
            prop_assert!((balance - settled).abs() < 1e-9 * (flow(0, 1).abs() + flow(last - 1, last).abs()) + 1e-18);
        }
    }

    /// A sheet that lets nothing through on the inner side keeps the vapour out.
    #[test]
    fn a_tight_inner_sheet_keeps_an_assembly_dry(layers in layers(), mean in -8.0..15.0_f64, swing in 0.0..15.0_f64) {
        let mut layers = layers;
        layers.insert(0, Sheet { resistance: 0.0, sd: 1e9 });
        let year = Year::of(&Diagram::split(0.13, &layers, 0.04), &climate(mean, swing, 540.0));
        prop_assert!(year.peak() < 1e-4, "{}", year.peak());
    }

    /// Doubling every resistance to vapour halves every flow, and moves no plane.
    #[test]
    fn twice_the_resistance_to_vapour_is_half_the_water(layers in layers(), excess in 0.0..1080.0_f64) {
        let double: Vec<Sheet> = layers.iter().map(|sheet| Sheet { sd: 2.0 * sheet.sd, ..*sheet }).collect();
        let conditions = climate(4.0, 11.0, excess);
        let first = |layers: &[Sheet]| Year::of(&Diagram::split(0.13, layers, 0.04), &conditions).months[0].total();
        prop_assert!((first(&layers) - 2.0 * first(&double)).abs() < 1e-9 * (1.0 + first(&layers)));
    }

    /// More vapour inside never asks for less of a surface.
    #[test]
    fn damp_rooms_ask_for_more(mean in -10.0..15.0_f64, a in 0.0..1080.0_f64, b in 0.0..1080.0_f64) {
        let (less, more) = (a.min(b), a.max(b));
        let need = |excess| factor_needed(&climate(mean, 0.0, excess)[0], MOULD).unwrap();
        prop_assert!(need(less) <= need(more) + 1e-12);
    }
}
