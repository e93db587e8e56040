//! Random assemblies and climates against `tests/reference/moisture.py` (numpy 2.1.3), which solves each month as an obstacle
//! problem and knows no convex hull.
//!
//! Tolerances: a linear system of some tens of planes whose vapour resistances lie three orders of magnitude apart keeps about
//! ten digits, and the active set counts a plane as dry within 1e-9 Pa; 1e-6 kg/m² and 1e-6 of the value leave room for both.

use crate::support::MOULD;
use mateline_model::quantity::{Pressure, Temperature};
use mateline_moisture::conditions::{Air, Conditions};
use mateline_moisture::diagram::{Diagram, Sheet};
use mateline_moisture::surface::{CONDENSATION, factor_needed};
use mateline_moisture::year::Year;
use serde::Deserialize;

const REFERENCE: &str = include_str!("../../../../tests/reference/moisture.json");

#[derive(Deserialize)]
struct Reference {
    years: Vec<Case>,
    surfaces: Vec<[f64; 5]>,
}

#[derive(Deserialize)]
struct Case {
    rsi: f64,
    rse: f64,
    layers: Vec<[f64; 2]>,
    /// Temperature inside and outside, vapour pressure inside and outside.
    months: [[f64; 4]; 12],
    start: Option<usize>,
    totals: [f64; 12],
    /// Water on the planes between the surfaces when there is most.
    planes: Vec<f64>,
    peak: f64,
}

fn reference() -> Reference {
    serde_json::from_str(REFERENCE).unwrap()
}

fn air(temperature: f64, vapour: f64) -> Air {
    Air { temperature: Temperature::from_si(temperature), vapour: Pressure::from_si(vapour) }
}

#[track_caller]
fn alike(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6 + 1e-6 * expected.abs(), "{found} against {expected}");
}

#[test]
fn random_years_match_the_obstacle_problem() {
    let years = reference().years;
    assert_eq!(years.len(), 60);
    assert!(years.iter().filter(|case| case.peak > 0.0).count() == 40);
    assert!(years.iter().filter(|case| case.totals[11] > 0.0).count() >= 10, "some never dry");
    for (number, case) in years.iter().enumerate() {
        let sheets: Vec<Sheet> =
            case.layers.iter().map(|[resistance, sd]| Sheet { resistance: *resistance, sd: *sd }).collect();
        let diagram = Diagram::split(case.rsi, &sheets, case.rse);
        let months = case.months.map(|[ti, te, pi, pe]| Conditions { inside: air(ti, pi), outside: air(te, pe) });
        let year = Year::of(&diagram, &months);
        if let Some(start) = case.start {
            assert_eq!(year.months[0].month, start, "case {number}");
        }
        for (found, expected) in year.months.iter().zip(case.totals) {
            alike(found.total(), expected);
        }
        alike(year.peak(), case.peak);
        let fullest = year.peak_month().unwrap();
        if case.peak > 0.0 {
            for (plane, expected) in case.planes.iter().enumerate() {
                alike(fullest.water[plane + 1], *expected);
            }
        }
    }
}

#[test]
fn surface_factors_match_bisection() {
    let surfaces = reference().surfaces;
    assert!(surfaces.len() >= 30);
    for [ti, te, pi, mould, condensation] in surfaces {
        let month = Conditions { inside: air(ti, pi), outside: air(te, 100.0) };
        alike(factor_needed(&month, MOULD).unwrap(), mould);
        alike(factor_needed(&month, CONDENSATION).unwrap(), condensation);
    }
}
