//! Networks, nights and friction factors against scipy: `tests/reference/ventilation.py` makes the numbers.

use mateline_mixing::Mixing;
use mateline_ventilation::friction::friction_factor;
use mateline_ventilation::network::{Leak, Network, Path};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    networks: Vec<Solved>,
    nights: Vec<Night>,
    friction: Vec<Friction>,
}

#[derive(Deserialize)]
struct Solved {
    fans: Vec<f64>,
    paths: Vec<(usize, usize, f64, f64)>,
    leaks: Vec<(usize, f64, f64)>,
    pressures: Vec<f64>,
    path_flows: Vec<f64>,
    leak_flows: Vec<f64>,
}

#[derive(Deserialize)]
struct Night {
    volumes: Vec<f64>,
    outdoor: Vec<f64>,
    transfers: Vec<(usize, usize, f64)>,
    source: Vec<f64>,
    start: Vec<f64>,
    times: Vec<f64>,
    values: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct Friction {
    reynolds: f64,
    rough: f64,
    factor: f64,
}

fn reference() -> Reference {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/ventilation.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// scipy 1.16.3 `optimize.root`, left to 1e-11 m³/s (computed independently). Flows to 1e-8 m³/s (0.01 mL/s); pressures
/// to 1e-6 of themselves or 1e-6 Pa.
#[test]
fn networks() {
    let cases = reference().networks;
    assert_eq!(cases.len(), 24);
    for (index, case) in cases.into_iter().enumerate() {
        let path = |(from, to, coefficient, exponent)| Path { from, to, coefficient, exponent };
        let leak = |(zone, coefficient, exponent)| Leak { zone, coefficient, exponent };
        let network = Network {
            fans: case.fans,
            paths: case.paths.into_iter().map(path).collect(),
            leaks: case.leaks.into_iter().map(leak).collect(),
        };
        let field = network.solve().unwrap();
        let flows = field.paths.iter().zip(&case.path_flows).chain(field.leaks.iter().zip(&case.leak_flows));
        for (found, expected) in flows {
            assert!((found - expected).abs() < 1e-8, "network {index}: {found} against {expected}");
        }
        for (found, expected) in field.pressures.iter().zip(&case.pressures) {
            assert!(
                (found - expected).abs() < 1e-6 * (1.0 + expected.abs()),
                "network {index}: {found} Pa, {expected} Pa"
            );
        }
        assert!(field.steps <= 40, "network {index} took {} steps", field.steps);
    }
}

/// scipy 1.16.3 `integrate.solve_ivp`, DOP853 to 1e-12 (computed independently). To 0.001 ppm.
#[test]
fn nights() {
    let cases = reference().nights;
    assert_eq!(cases.len(), 24);
    for (index, case) in cases.into_iter().enumerate() {
        let zones = Mixing { volumes: case.volumes, outdoor: case.outdoor, transfers: case.transfers };
        let series = zones.hours(&case.start, &case.source, 60.0, 480).unwrap();
        for (zone, expected) in series.iter().zip(&case.values) {
            for (time, expected) in case.times.iter().zip(expected) {
                let found = zone.get((time / 60.0) as usize).unwrap();
                assert!((found - expected).abs() < 1e-9, "night {index}, {time} s: {found} against {expected}");
            }
        }
    }
}

/// scipy 1.16.3 `optimize.brentq` on Colebrook's equation (computed independently).
#[test]
fn friction_factors() {
    let cases = reference().friction;
    assert_eq!(cases.len(), 24);
    for case in cases {
        let found = friction_factor(case.reynolds, case.rough);
        assert!((found / case.factor - 1.0).abs() < 1e-10, "Re {}: {found} against {}", case.reynolds, case.factor);
    }
}
