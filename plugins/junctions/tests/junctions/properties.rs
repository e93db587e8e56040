//! What every solution has in common, whatever the section.

use mateline_conduction::grid::COARSE;
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_conduction::solution::{Accuracy, Solution, solve, solve_once};
use proptest::prelude::*;

fn environments() -> Vec<Environment> {
    vec![
        Environment { name: "inside".to_owned(), is_inside: true },
        Environment { name: "outside".to_owned(), is_inside: false },
    ]
}

fn part(rect: Rect, conductivity: f64) -> Part {
    Part { rect, conductivity, name: "material".to_owned() }
}

fn surface(rect: Rect, environment: usize, resistance: f64) -> Surface {
    Surface { rect, environment, resistance, watched: true }
}

/// A corner of two layers, inside at the upper right: the walls' thicknesses and conductivities, and the films.
fn corner(a: f64, b: f64, inner: f64, outer: f64, films: (f64, f64)) -> Section {
    let reach = 4.0 * (a + b);
    let whole = a + b;
    Section {
        parts: vec![
            part(Rect::new(0.0, 0.0, reach, a), outer),
            part(Rect::new(0.0, a, a, reach), outer),
            part(Rect::new(a, a, reach, whole), inner),
            part(Rect::new(a, whole, whole, reach), inner),
        ],
        surfaces: vec![
            surface(Rect::new(whole, whole, reach, whole), 0, films.0),
            surface(Rect::new(whole, whole, whole, reach), 0, films.0),
            surface(Rect::new(0.0, 0.0, reach, 0.0), 1, films.1),
            surface(Rect::new(0.0, 0.0, 0.0, reach), 1, films.1),
        ],
        environments: environments(),
    }
}

/// Multiplies lengths, conductivities and resistances.
fn scaled(section: &Section, lengths: f64, conductivities: f64, resistances: f64) -> Section {
    let rect = |r: Rect| Rect::new(r.left * lengths, r.low * lengths, r.right * lengths, r.high * lengths);
    let mut section = section.clone();
    for part in &mut section.parts {
        part.rect = rect(part.rect);
        part.conductivity *= conductivities;
    }
    for surface in &mut section.surfaces {
        surface.rect = rect(surface.rect);
        surface.resistance *= resistances;
    }
    section
}

/// On a grid that scales with the section.
fn on_one_grid(section: &Section, lengths: f64) -> Solution {
    let grading = mateline_conduction::grid::Grading { first: COARSE.first * lengths, ..COARSE };
    solve_once(section, &grading, 0).unwrap()
}

/// A plane wall is solved exactly on any grid: `L2D = w/(Rsi + Σ d/λ + Rse)`.
#[test]
fn a_plane_wall_is_exact() {
    let wall = Section {
        parts: vec![
            part(Rect::new(0.0, 0.0, 1.3, 0.2), 1.8),
            part(Rect::new(0.0, 0.2, 1.3, 0.34), 0.031),
            part(Rect::new(0.0, 0.34, 1.3, 0.352), 0.25),
        ],
        surfaces: vec![
            surface(Rect::new(0.0, 0.352, 1.3, 0.352), 0, 0.13),
            surface(Rect::new(0.0, 0.0, 1.3, 0.0), 1, 0.04),
        ],
        environments: environments(),
    };
    let u = 1.0 / (0.13 + 0.2 / 1.8 + 0.14 / 0.031 + 0.012 / 0.25 + 0.04);
    let solution = solve(&wall, &Accuracy::STANDARD).unwrap();
    assert!((solution.l2d() - 1.3 * u).abs() < 1e-12);
    assert!((solution.lowest().unwrap().factor - (1.0 - 0.13 * u)).abs() < 1e-12);
    // Between wool and board, from the inside: film and board.
    let theta = 1.0 - (0.13 + 0.012 / 0.25) * u;
    assert!((solution.temperature_at(0.4, 0.34, &[1.0, 0.0]) - theta).abs() < 1e-9);
}

/// Square corner of one material between fixed temperatures: the walls' own flow and 0.559 of a conductivity.
///
/// Source: shape factor of the corner of a thick-walled square duct, `S = 0.54` of handbooks (from memory, common
/// practice), and the exact value 0.5592 by conformal mapping (from memory); tolerance one of the last digit.
#[test]
fn a_homogeneous_corner_adds_its_shape_factor() {
    let corner = corner(0.1, 0.1, 1.0, 1.0, (0.0, 0.0));
    let solution = solve(&corner, &Accuracy { flow: 0.0001, ..Accuracy::FINE }).unwrap();
    let (reach, thickness) = (0.8, 0.2);
    let shape = solution.l2d() - 2.0 * (reach - thickness) / thickness;
    assert!((shape - 0.5592).abs() < 0.001, "{shape}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn heat_in_is_heat_out_and_factors_lie_between(
        a in 0.02..0.3_f64, b in 0.02..0.3_f64, inner in 0.02..3.0_f64, outer in 0.02..60.0_f64,
    ) {
        let solution = solve_once(&corner(a, b, inner, outer, (0.13, 0.04)), &COARSE, 0).unwrap();
        prop_assert!(solution.response.balance_error < 1e-9, "{}", solution.response.balance_error);
        let lowest = solution.lowest().unwrap().factor;
        prop_assert!((0.0..=1.0).contains(&lowest));
        // Weights of the environments add up to one in every cell.
        for cell in 0..solution.mesh.cells() {
            prop_assert!((solution.temperature(cell, &[1.0, 1.0]) - 1.0).abs() < 1e-9);
        }
    }

    /// Lengths and conductivities by one factor, films unchanged: the same temperatures, and the flow by that factor.
    #[test]
    fn lengths_and_conductivities_scale_together(factor in 0.2..5.0_f64, a in 0.05..0.2_f64, b in 0.05..0.2_f64) {
        let section = corner(a, b, 0.04, 0.9, (0.13, 0.04));
        let (first, second) = (on_one_grid(&section, 1.0), on_one_grid(&scaled(&section, factor, factor, 1.0), factor));
        prop_assert!((second.l2d() / first.l2d() / factor - 1.0).abs() < 1e-7);
        prop_assert!((second.lowest().unwrap().factor - first.lowest().unwrap().factor).abs() < 1e-7);
    }

    /// Without films, lengths alone change nothing.
    #[test]
    fn without_films_size_does_not_matter(factor in 0.2..5.0_f64) {
        let section = corner(0.1, 0.15, 0.04, 0.9, (0.0, 0.0));
        let (first, second) = (on_one_grid(&section, 1.0), on_one_grid(&scaled(&section, factor, 1.0, 1.0), factor));
        prop_assert!((second.l2d() / first.l2d() - 1.0).abs() < 1e-7);
    }

    /// Laid on its side, a section gives the same.
    #[test]
    fn x_and_y_are_alike(a in 0.05..0.3_f64, outer in 0.02..3.0_f64) {
        let mut upright = corner(a, 0.1, 0.04, outer, (0.13, 0.04));
        upright.parts.push(part(Rect::new(0.2 + a, 0.1 + a, 0.4 + a, 0.15 + a), 0.3));
        let mut laid = upright.clone();
        laid.parts.iter_mut().for_each(|part| part.rect = part.rect.transposed());
        laid.surfaces.iter_mut().for_each(|surface| surface.rect = surface.rect.transposed());
        // The extra part covers some of the inner surface, and has none of its own.
        let (first, second) = (solve_once(&upright, &COARSE, 0).unwrap(), solve_once(&laid, &COARSE, 0).unwrap());
        prop_assert!((second.l2d() / first.l2d() - 1.0).abs() < 1e-9);
    }
}
