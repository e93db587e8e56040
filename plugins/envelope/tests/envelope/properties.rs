//! What holds of any component (ISO 6946: R'' ≤ R ≤ R', equal when all ways are alike).

use mateline_envelope::combined::{CombinedError, GREATEST_RATIO, combined};
use mateline_envelope::framed::{Component, LayerResistance, MOST_FRAMED_LAYERS};
use mateline_envelope::isothermal_planes::lower_limit;
use mateline_envelope::parallel_path::upper_limit;
use mateline_model::quantity::{Ratio, ThermalResistance};
use proptest::prelude::*;

fn r(si: f64) -> ThermalResistance {
    ThermalResistance::from_si(si)
}

fn any_layer() -> impl Strategy<Value = LayerResistance> {
    prop_oneof![
        (0.0..5.0_f64).prop_map(|value| LayerResistance::Uniform(r(value))),
        (0.01..5.0_f64, 0.01..5.0_f64, 0.0..=1.0_f64).prop_map(|(cavity, member, fraction)| LayerResistance::Framed {
            cavity: r(cavity),
            member: r(member),
            fraction: Ratio::from_si(fraction)
        }),
    ]
}

fn any_component() -> impl Strategy<Value = Component> {
    prop::collection::vec(any_layer(), 0..MOST_FRAMED_LAYERS).prop_map(|layers| Component {
        inner: r(0.12),
        layers,
        outer: r(0.03),
    })
}

proptest! {
    #[test]
    fn the_mean_lies_between_the_limits(component in any_component()) {
        let upper = upper_limit(&component.sections().unwrap()).si();
        let lower = lower_limit(&component).si();
        prop_assert!(lower <= upper * (1.0 + 1e-12));
        match combined(&component) {
            Ok(found) => {
                prop_assert!(found.total.si() >= lower * (1.0 - 1e-12) && found.total.si() <= upper * (1.0 + 1e-12));
                prop_assert!(found.error.si() >= -1e-12 && found.error.si() <= 0.2 + 1e-12);
            }
            Err(CombinedError::OutOfRange { ratio }) => prop_assert!(ratio > GREATEST_RATIO),
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        }
    }

    #[test]
    fn shares_of_the_ways_add_up_to_one(component in any_component()) {
        let sum: f64 = component.sections().unwrap().iter().map(|section| section.fraction.si()).sum();
        prop_assert!((sum - 1.0).abs() < 1e-12);
    }

    #[test]
    fn alike_ways_make_all_three_equal(value in 0.01..5.0_f64, fraction in 0.0..=1.0_f64) {
        let layer = LayerResistance::Framed { cavity: r(value), member: r(value), fraction: Ratio::from_si(fraction) };
        let component = Component { inner: r(0.12), layers: vec![layer, layer], outer: r(0.03) };
        let found = combined(&component).unwrap();
        for each in [found.upper, found.lower, found.total] {
            prop_assert!((each.si() - (0.15 + 2.0 * value)).abs() < 1e-9);
        }
    }

    #[test]
    fn more_framing_of_a_better_conductor_never_insulates_better(a in 0.0..=1.0_f64, b in 0.0..=1.0_f64) {
        let with = |fraction: f64| {
            let layer = LayerResistance::Framed { cavity: r(3.6), member: r(1.2), fraction: Ratio::from_si(fraction) };
            combined(&Component { inner: r(0.12), layers: vec![layer], outer: r(0.03) }).unwrap().total.si()
        };
        prop_assert!(with(a.max(b)) <= with(a.min(b)) + 1e-12);
    }
}

/// Steel in wool: 25 % of R 0.003 in R 4 puts the limits far beyond a ratio of 1.5.
#[test]
fn limits_too_far_apart_are_refused() {
    let layer = LayerResistance::Framed { cavity: r(4.0), member: r(0.003), fraction: Ratio::from_si(0.25) };
    let error = combined(&Component { inner: r(0.13), layers: vec![layer], outer: r(0.04) }).unwrap_err();
    assert!(matches!(error, CombinedError::OutOfRange { ratio } if ratio > GREATEST_RATIO));
    let message = error.to_string();
    assert!(message.contains("two-dimensional solution"), "{message}");
}

#[test]
fn too_many_framed_layers_are_refused() {
    let layer = LayerResistance::Framed { cavity: r(4.0), member: r(1.0), fraction: Ratio::from_si(0.25) };
    let component = Component { inner: r(0.13), layers: vec![layer; 30], outer: r(0.04) };
    assert!(combined(&component).unwrap_err().to_string().starts_with("30 framed layers are more than"));
}
