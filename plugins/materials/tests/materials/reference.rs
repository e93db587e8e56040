//! Decay, steady air and fits against `tests/reference/materials.py` (numpy 2.1.3, scipy 1.14.1).
//!
//! Tolerances: quadrature and least squares are asked for 13 digits, and 1e-9 leaves room for their rounding; the
//! integrated room has come within 1e-9 of its steady state after 60 air changes at a tolerance of 1e-11.

use mateline_materials::decay::{Emission, Law, fit};
use mateline_materials::mass_balance::{concentration, source};
use mateline_model::quantity::{Area, Duration, EmissionRate, Flow, Rate, Ratio};
use serde_json::Value;

const REFERENCE: &str = include_str!("../../../../tests/reference/materials.json");

fn cases(name: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(REFERENCE).unwrap();
    all[name].as_array().unwrap().clone()
}

fn days(number: &Value) -> Duration {
    Duration::from_si(number.as_f64().unwrap() * 86_400.0)
}

/// µg/(m²·h), as the unit of calculation of the script.
fn factor(number: &Value) -> EmissionRate {
    EmissionRate::from_si(number.as_f64().unwrap() * 1e-9 / 3_600.0)
}

#[track_caller]
fn alike(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} against {expected}");
}

#[test]
fn means_over_a_period_match_quadrature() {
    let cases = cases("means");
    assert_eq!(cases.len(), 32);
    for case in cases {
        let ratio = |key: &str| Ratio::from_si(case[key].as_f64().unwrap());
        let rate = |key: &str| Rate::from_si(case[key].as_f64().unwrap() / 86_400.0);
        let law = match case["law"].as_str().unwrap() {
            "power" => Law::Power { exponent: ratio("power") },
            _ => Law::TwoPart { fast_share: ratio("fast_share"), fast: rate("fast_rate"), slow: rate("slow_rate") },
        };
        let emission = Emission { factor: factor(&case["factor"]), age: days(&case["age"]), law };
        let (from, to) = (days(&case["from"]), days(&case["to"]));
        alike(emission.at(from).unwrap().si(), factor(&case["at_from"]).si(), 1e-12);
        alike(emission.mean(from, to).unwrap().si(), factor(&case["mean"]).si(), 1e-9);
    }
}

#[test]
fn rooms_come_to_their_steady_concentration() {
    for case in cases("rooms") {
        let parts = case["parts"].as_array().unwrap().iter();
        let parts = parts.map(|part| (factor(&part[0]), Area::from_si(part[1].as_f64().unwrap())));
        let flow = Flow::from_si(case["flow"].as_f64().unwrap() / 3_600.0);
        let found = concentration(source(parts), flow).unwrap();
        alike(found.si() * 1e9, case["concentration"].as_f64().unwrap(), 1e-8);
    }
}

#[test]
fn fits_match_least_squares() {
    for case in cases("fits") {
        let ages = case["ages"].as_array().unwrap().iter().map(days);
        let points: Vec<_> = ages.zip(case["factors"].as_array().unwrap().iter().map(factor)).collect();
        let fitted = fit(&points).unwrap();
        let Law::Power { exponent } = fitted.law else { panic!("{:?}", fitted.law) };
        alike(exponent.si(), case["power"].as_f64().unwrap(), 1e-9);
        alike(fitted.factor.si(), factor(&case["factor_at_first"]).si(), 1e-9);
    }
}
