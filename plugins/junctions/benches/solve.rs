//! How long a section takes to solve beside one product of its matrix with a vector: prints cells, milliseconds and the
//! ratio for finer and finer grids of a corner. Asserts nothing.
#![allow(clippy::print_stdout, clippy::expect_used, reason = "a benchmark prints, and may stop here")]

use mateline_junctions::arrangement::Arrangement;
use mateline_junctions::conduction::{Equations, respond};
use mateline_junctions::grid::COARSE;
use mateline_junctions::mesh::Mesh;
use mateline_junctions::section::{Environment, Part, Rect, Section, Surface};
use std::hint::black_box;
use std::time::{Duration, Instant};

fn main() {
    let section = corner();
    let arrangement = Arrangement::of(&section).expect("the corner is sound");
    println!("{:>9} {:>12} {:>14} {:>8}", "cells", "solve (ms)", "product (ms)", "ratio");
    for halvings in 0..6 {
        let mesh = Mesh::new(&section, &arrangement, &COARSE, halvings).expect("the grid is small");
        let solve = best(3, || {
            black_box(respond(&mesh, 2).expect("the corner can be solved"));
        });
        let (equations, ones, zeros) = (Equations::of(&mesh), vec![1.0; mesh.cells()], vec![0.0; mesh.cells()]);
        let product = best(10, || {
            black_box(equations.residual(&ones, &zeros));
        });
        println!(
            "{:>9} {:>12.2} {:>14.4} {:>8.0}",
            mesh.cells(),
            milliseconds(solve),
            milliseconds(product),
            solve.as_secs_f64() / product.as_secs_f64()
        );
    }
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn best(times: u32, work: impl Fn()) -> Duration {
    let once = |_| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..times).map(once).min().unwrap_or_default()
}

/// A corner of wood framing with foam outside and a steel angle in it; values invented.
fn corner() -> Section {
    let part = |left: f64, low: f64, right: f64, high: f64, conductivity: f64| Part {
        rect: Rect::new(left, low, right, high),
        conductivity,
        name: String::new(),
    };
    let surface = |left: f64, low: f64, right: f64, high: f64, environment: usize, resistance: f64| Surface {
        rect: Rect::new(left, low, right, high),
        environment,
        resistance,
        watched: true,
    };
    let environment = |name: &str, is_inside| Environment { name: name.to_owned(), is_inside };
    Section {
        parts: vec![
            part(0.0, 0.0, 1.5, 0.08, 0.035),
            part(0.0, 0.08, 0.08, 1.5, 0.035),
            part(0.08, 0.08, 0.12, 0.22, 0.12),
            part(0.12, 0.08, 1.5, 0.22, 0.04),
            part(0.08, 0.22, 0.22, 0.224, 50.0),
            part(0.08, 0.224, 0.22, 1.5, 0.04),
        ],
        surfaces: vec![
            surface(0.22, 0.22, 1.5, 0.22, 0, 0.13),
            surface(0.22, 0.22, 0.22, 1.5, 0, 0.13),
            surface(0.0, 0.0, 1.5, 0.0, 1, 0.04),
            surface(0.0, 0.0, 0.0, 1.5, 1, 0.04),
        ],
        environments: vec![environment("inside", true), environment("outside", false)],
    }
}
