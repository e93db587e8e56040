//! ISO 10211:2017, annex C, cases 1 and 2: what a two-dimensional method must reproduce.

use mateline_conduction::grid::COARSE;
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_conduction::solution::{Accuracy, Solution, solve, solve_once};

fn part(left: f64, low: f64, right: f64, high: f64, conductivity: f64) -> Part {
    let rect = Rect::new(left / 1e3, low / 1e3, right / 1e3, high / 1e3);
    Part { rect, conductivity, name: format!("{conductivity} W/(m·K)") }
}

fn surface(left: f64, low: f64, right: f64, high: f64, environment: usize, resistance: f64) -> Surface {
    let rect = Rect::new(left / 1e3, low / 1e3, right / 1e3, high / 1e3);
    Surface { rect, environment, resistance, watched: true }
}

fn environments() -> Vec<Environment> {
    vec![
        Environment { name: "cold".to_owned(), is_inside: false },
        Environment { name: "warm".to_owned(), is_inside: true },
    ]
}

/// Half of a square column, 4 by 8 units of 100 mm; the top is held at 20 °C, left and bottom at 0 °C.
fn column() -> Section {
    Section {
        parts: vec![part(0.0, 0.0, 400.0, 800.0, 1.0)],
        surfaces: vec![
            surface(0.0, 800.0, 400.0, 800.0, 1, 0.0),
            surface(0.0, 0.0, 0.0, 800.0, 0, 0.0),
            surface(0.0, 0.0, 400.0, 0.0, 0, 0.0),
        ],
        environments: environments(),
    }
}

/// Case 1. Published temperatures from memory, to 0.1 K; exact values from the Fourier series of the square,
/// `T = (80/π) Σ sin(n π x)/n · sinh(n π y)/sinh(n π)` over odd `n`, to 0.001 K. The standard asks for 0.1 K.
#[test]
fn case_1_column_with_known_surface_temperatures() {
    let published = [
        [9.7, 13.4, 14.7, 15.1],
        [5.3, 8.6, 10.3, 10.8],
        [3.2, 5.6, 7.0, 7.5],
        [2.0, 3.6, 4.7, 5.0],
        [1.3, 2.3, 3.0, 3.2],
        [0.7, 1.4, 1.8, 1.9],
        [0.3, 0.6, 0.8, 0.9],
    ];
    let exact = [
        [9.658, 13.379, 14.729, 15.085],
        [5.252, 8.641, 10.316, 10.811],
        [3.189, 5.609, 7.014, 7.465],
        [2.014, 3.641, 4.658, 5.000],
        [1.262, 2.309, 2.986, 3.219],
        [0.740, 1.359, 1.767, 1.908],
        [0.342, 0.630, 0.820, 0.886],
    ];
    let solution = solve_once(&column(), &COARSE, 5).unwrap();
    for (row, (published, exact)) in published.iter().zip(&exact).enumerate() {
        for (place, (published, exact)) in published.iter().zip(exact).enumerate() {
            let (x, y) = (0.1 * (place as f64 + 1.0), 0.8 - 0.1 * (row as f64 + 1.0));
            let found = solution.temperature_at(x, y, &[0.0, 20.0]);
            assert!((found - published).abs() < 0.1, "row {row}, place {place}: {found} against {published}");
            assert!((found - exact).abs() < 0.005, "row {row}, place {place}: {found} against {exact}");
        }
    }
}

/// Concrete, wood, insulation and an aluminium profile. The section is 47.5 mm high: 6 + 40 + 1.5.
fn profile(height: f64) -> Section {
    let (concrete, wood, insulation, aluminium) = (1.15, 0.12, 0.029, 230.0);
    // y from the warm face at the bottom; the description measures down from the cold face at the top.
    let y = |down: f64| height - down;
    let sheet = height - 1.5;
    Section {
        parts: vec![
            part(0.0, y(6.0), 500.0, y(0.0), concrete),
            part(0.0, y(11.0), 15.0, y(6.0), wood),
            part(0.0, y(12.5), 15.0, y(11.0), aluminium),
            part(0.0, y(sheet), 1.5, y(12.5), aluminium),
            part(0.0, y(height), 500.0, y(sheet), aluminium),
            part(15.0, y(12.5), 500.0, y(6.0), insulation),
            part(1.5, y(sheet), 500.0, y(12.5), insulation),
        ],
        surfaces: vec![
            surface(0.0, y(0.0), 500.0, y(0.0), 0, 0.06),
            surface(0.0, y(height), 500.0, y(height), 1, 0.11),
        ],
        environments: environments(),
    }
}

fn heat(solution: &Solution) -> f64 {
    solution.heat_from(1, &[0.0, 20.0])
}

/// Case 2. Published temperatures to 0.1 K and 9.5 W/m, from memory; tolerances 0.1 K and 0.1 W/m as the standard asks.
#[test]
fn case_2_four_materials() {
    let solution = solve(&profile(47.5), &Accuracy::FINE).unwrap();
    assert!((heat(&solution) - 9.5).abs() < 0.1, "{} W/m", heat(&solution));
    // The standard asks for 1e-4 (from memory); a factorisation does far better, even with 230 beside 0.029 W/(m·K).
    assert!(solution.response.balance_error < 1e-7, "{}", solution.response.balance_error);
    let points = [
        ("A", 0.0, 0.0, 7.1),
        ("B", 500.0, 0.0, 0.8),
        ("C", 0.0, 6.0, 7.9),
        ("D", 15.0, 6.0, 6.3),
        ("E", 500.0, 6.0, 0.8),
        ("F", 0.0, 11.0, 16.4),
        ("G", 15.0, 11.0, 16.3),
        ("H", 0.0, 47.5, 16.8),
        ("I", 500.0, 47.5, 18.3),
    ];
    for (name, x, down, published) in points {
        let found = solution.temperature_at(x / 1e3, (47.5 - down) / 1e3, &[0.0, 20.0]);
        assert!((found - published).abs() < 0.1, "{name}: {found} against {published}");
    }
}

/// Refined until the flow settles it is 9.491 W/m (finite volumes of another hand, 82,000 cells, smallest 0.02 mm);
/// tolerance 0.01 W/m. One more doubling moves it by less than 0.01 W/m.
#[test]
fn case_2_by_refinement() {
    let coarse = solve_once(&profile(47.5), &COARSE, 2).unwrap();
    let fine = solve_once(&profile(47.5), &COARSE, 3).unwrap();
    assert!((heat(&fine) - 9.491).abs() < 0.01, "{} W/m at {} cells", heat(&fine), fine.mesh.cells());
    assert!((heat(&fine) - heat(&coarse)).abs() < 0.01);
}

/// Taking the 40 mm for the distance to the bottom of the sheet (46 mm in all) gives 9.68 W/m: it fails on the flow,
/// although the temperatures pass.
#[test]
fn case_2_tells_a_wrong_height_by_its_flow() {
    let wrong = solve(&profile(46.0), &Accuracy::FINE).unwrap();
    assert!((heat(&wrong) - 9.68).abs() < 0.01, "{} W/m", heat(&wrong));
}
