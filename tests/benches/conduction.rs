//! What conduction through junctions costs. Ratios within one run; nothing here fails.
//! `cargo bench -p mateline-tests --bench conduction`; with `-- matrix FOLDER CELLS` it writes one matrix and its own
//! figures for `conduction.py`, which solves the same matrix by other means.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_conduction::arrangement::Arrangement;
use mateline_conduction::conduction::{Equations, respond};
use mateline_conduction::grid::COARSE;
use mateline_conduction::mesh::Mesh;
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_conduction::solution::solve_once;
use mateline_junctions::{Accuracy, Nothing, Solution, Store, run_with, sections, solve};
use mateline_model::{Facts, Home};
use mateline_sdk::Request;
use mateline_tests::{engine, example};
use std::collections::BTreeMap;
use std::hint::black_box;
use std::io::Write;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    if let [word, folder, cells] = arguments.as_slice()
        && word == "matrix"
    {
        matrix(Path::new(folder), cells.parse().expect("a number of cells"));
        return;
    }
    let (home, facts) = heron_lane();
    let request = Request { home: &home, facts: &facts, settings: &[], shown: true };
    cells_against_error(&request);
    each_junction(&request);
    threads_and_cache(&request);
}

/// The best of some runs.
fn best<T>(times: u32, mut work: impl FnMut() -> T) -> Duration {
    let once = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..times).map(once).min().unwrap_or_default()
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn heron_lane() -> (Home, Facts) {
    let loaded = engine().load(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let mut facts = Facts::default();
    for plugin in mateline_plugins::built_in() {
        if ["takeoff", "envelope"].contains(&plugin.declaration().name) {
            let found = plugin.run(&Request { home: &loaded.home, facts: &facts, settings: &[], shown: true }).unwrap();
            found.facts.into_iter().for_each(|fact| drop(facts.insert(fact)));
        }
    }
    (loaded.home, facts)
}

fn part(left: f64, low: f64, right: f64, high: f64, conductivity: f64) -> Part {
    let rect = Rect::new(left, low, right, high);
    Part { rect, conductivity, name: String::new() }
}

fn surface(left: f64, low: f64, right: f64, high: f64, environment: usize, resistance: f64) -> Surface {
    Surface { rect: Rect::new(left, low, right, high), environment, resistance, watched: true }
}

fn environments() -> Vec<Environment> {
    let environment = |name: &str, is_inside| Environment { name: name.to_owned(), is_inside };
    vec![environment("inside", true), environment("outside", false)]
}

/// Case 1 of ISO 10211, as a strip whose ends meet at a jump of temperature: its flow has no limit, so a point is looked
/// at. The exact value in the middle is a quarter of 20 °C.
fn case_1() -> Section {
    Section {
        parts: vec![part(0.0, 0.0, 0.4, 0.8, 1.0)],
        surfaces: vec![
            surface(0.0, 0.8, 0.4, 0.8, 0, 0.0),
            surface(0.0, 0.0, 0.0, 0.8, 1, 0.0),
            surface(0.0, 0.0, 0.4, 0.0, 1, 0.0),
        ],
        environments: environments(),
    }
}

/// Case 2: concrete, wood, insulation and an aluminium profile, 47.5 mm high.
fn case_2() -> Section {
    let (low, high) = (0.0, 0.047_5);
    let mm = |down: f64| high - down / 1e3;
    Section {
        parts: vec![
            part(0.0, mm(6.0), 0.5, high, 1.15),
            part(0.0, mm(11.0), 0.015, mm(6.0), 0.12),
            part(0.0, mm(12.5), 0.015, mm(11.0), 230.0),
            part(0.0, mm(46.0), 0.001_5, mm(12.5), 230.0),
            part(0.0, low, 0.5, mm(46.0), 230.0),
            part(0.015, mm(12.5), 0.5, mm(6.0), 0.029),
            part(0.001_5, mm(46.0), 0.5, mm(12.5), 0.029),
        ],
        surfaces: vec![surface(0.0, high, 0.5, high, 1, 0.06), surface(0.0, low, 0.5, low, 0, 0.11)],
        environments: environments(),
    }
}

/// How many cells it takes to come how near; the reference is the finest grid, twice extrapolated.
fn cells_against_error(request: &Request<'_>) {
    println!("{:<24} {:>9} {:>12}", "section", "cells", "error");
    for halvings in 0..4 {
        let solution = solve_once(&case_1(), &COARSE, halvings).unwrap();
        let found = solution.temperature_at(0.4, 0.4, &[20.0, 0.0]);
        println!("{:<24} {:>9} {:>10.4} K", "case 1, middle", solution.mesh.cells(), (found - 5.0).abs());
    }
    let mut drawn: Vec<(String, Section)> = vec![("case 2, flow".to_owned(), case_2())];
    let wanted = ["rim", "corner", "window-jamb"];
    drawn.extend(sections(request).into_iter().filter(|(id, _)| wanted.contains(&id.as_str())));
    for (name, section) in drawn {
        let found: Vec<(usize, f64)> = (0..5)
            .map(|halvings| solve_once(&section, &COARSE, halvings).unwrap())
            .map(|solution| (solution.mesh.cells(), solution.l2d()))
            .collect();
        let [.., (_, before), (_, last)] = found.as_slice() else { continue };
        let limit = last + (last - before);
        for (cells, flow) in &found[..4] {
            println!("{name:<24} {cells:>9} {:>10.4} %", (flow / limit - 1.0).abs() * 100.0);
        }
    }
}

/// What each junction of Heron Lane takes until its grid no longer matters, in products of its last matrix with a vector.
fn each_junction(request: &Request<'_>) {
    println!("\n{:<24} {:>9} {:>12} {:>9} {:>11}", "junction", "cells", "last change", "time", "in products");
    let row = |name: &str, cells: usize, change: String, time: Duration, product: Duration| {
        let products = time.as_secs_f64() / product.as_secs_f64();
        println!("{name:<24} {cells:>9} {change:>12} {:>6.1} ms {products:>11.0}", milliseconds(time));
    };
    let mut whole = (0, Duration::ZERO, Duration::ZERO);
    for (name, section) in sections(request) {
        let flow = if name == "footing" { Accuracy::GROUND } else { Accuracy::FINE };
        let surfaces: fn(&Solution) -> String = |solution| format!("{:.4} fRsi", solution.factor_change);
        let flows: fn(&Solution) -> String = |solution| format!("{:.3} %", solution.refinement_change * 100.0);
        for (accuracy, change) in [(flow, flows), (Accuracy::STANDARD, surfaces)] {
            let solution = solve(&section, &accuracy).unwrap();
            let (equations, cells) = (Equations::of(&solution.mesh), solution.mesh.cells());
            let (ones, zeros) = (vec![1.0; cells], vec![0.0; cells]);
            let product = best(20, || equations.residual(&ones, &zeros));
            let time = best(3, || solve(&section, &accuracy).unwrap());
            row(&name, cells, change(&solution), time, product);
            whole = (whole.0 + cells, whole.1 + time, whole.2 + product);
        }
    }
    row("all of them", whole.0, String::new(), whole.1, whole.2);
}

#[derive(Default)]
struct Shelf(Mutex<BTreeMap<String, Vec<u8>>>);

impl Store for Shelf {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        self.0.lock().unwrap().get(name).cloned()
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        self.0.lock().unwrap().insert(name.to_owned(), bytes.to_vec());
    }
}

/// All junctions of Heron Lane: one thread and two, from nothing and from what was kept.
fn threads_and_cache(request: &Request<'_>) {
    let pool = |threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let (alone, pair) = (pool(1), pool(2));
    let cold = |pool: &rayon::ThreadPool| pool.install(|| best(1, || run_with(request, &Nothing)));
    // In turn, so that a busy machine slows both alike.
    let (ones, twos): (Vec<_>, Vec<_>) = (0..15).map(|_| (cold(&alone), cold(&pair))).unzip();
    let least = |times: Vec<Duration>| times.into_iter().min().unwrap_or_default();
    let (one, two) = (least(ones), least(twos));
    let shelf = Shelf::default();
    run_with(request, &shelf);
    let kept = alone.install(|| best(9, || run_with(request, &shelf)));
    println!("\n{:<44} {:>12} {:>8}", "all junctions of Heron Lane", "time", "ratio");
    let row = |name: &str, time: Duration, to: Duration| {
        println!("{name:<44} {:>9.1} ms {:>8.2}", milliseconds(time), time.as_secs_f64() / to.as_secs_f64());
    };
    row("one thread", one, one);
    row("two threads", two, one);
    row("one thread, all of it kept", kept, one);
}

/// A corner of wood framing with foam outside and a steel angle in it; values invented.
fn corner() -> Section {
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
        environments: environments(),
    }
}

/// Writes the matrix of the first grid with at least so many cells, and prints what solving it here takes. One solution,
/// as the other solvers give one.
fn matrix(folder: &Path, least: usize) {
    let section = corner();
    let arrangement = Arrangement::of(&section).unwrap();
    let mesh = (0..9)
        .map(|halvings| Mesh::new(&section, &arrangement, &COARSE, halvings).unwrap())
        .find(|mesh| mesh.cells() >= least)
        .expect("a grid of that size");
    let mut side = vec![0.0; mesh.cells()];
    mesh.faces.iter().filter(|face| face.environment == 0).for_each(|face| side[face.unknown] += face.conductance);
    let equations = Equations::of(&mesh);
    let (starts, rows, values) = equations.parts();
    let mut file = std::io::BufWriter::new(std::fs::File::create(folder.join("matrix.bin")).unwrap());
    file.write_all(&(mesh.cells() as u64).to_le_bytes()).unwrap();
    file.write_all(&(rows.len() as u64).to_le_bytes()).unwrap();
    starts.iter().chain(rows).for_each(|number| file.write_all(&number.to_le_bytes()).unwrap());
    values.iter().chain(&side).for_each(|number| file.write_all(&number.to_le_bytes()).unwrap());
    file.flush().unwrap();
    let before = peak();
    let times = if mesh.cells() > 500_000 { 2 } else { 5 };
    let sides = std::slice::from_ref(&side);
    let time = best(times, || equations.solve(sides).unwrap());
    let memory = peak() - before;
    let (both, zeros) = (best(2, || respond(&mesh, 2).unwrap()), vec![0.0; mesh.cells()]);
    let product = best(20, || equations.residual(&side, &zeros));
    let found = equations.solve(sides).unwrap();
    let sum: f64 = found[0].iter().sum();
    println!(
        "{{\"cells\": {}, \"solve_ms\": {:.3}, \"both_environments_ms\": {:.3}, \"product_ms\": {:.4}, \"memory_mb\": \
         {:.1}, \"sum\": {sum:.9}}}",
        mesh.cells(),
        milliseconds(time),
        milliseconds(both),
        milliseconds(product),
        memory
    );
}

/// Most memory that this process has held (MB); nothing where the system does not say.
fn peak() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches("kB").trim().parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
}
