//! Where the time of a check goes, how takeoff grows with the boxes, and what a second thread brings.
//!
//! Every figure is a ratio to another of the same run: the machine's own speed cancels out. Nothing here fails.
//! `cargo bench --bench pipeline`
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_engine::load::Fields;
use mateline_engine::pack::load_packs;
use mateline_engine::{Engine, Options};
use mateline_model::{Facts, Home};
use mateline_sdk::{Plugin, Request};
use mateline_tests::{engine, example, root};
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

/// The median time of an action over at least `least` runs and a quarter of a second.
fn median<T>(least: usize, mut action: impl FnMut() -> T) -> Duration {
    black_box(action());
    let (start, mut times) = (Instant::now(), Vec::new());
    while times.len() < least || start.elapsed() < Duration::from_millis(250) {
        let one = Instant::now();
        black_box(action());
        times.push(one.elapsed());
    }
    times.sort();
    times[times.len() / 2]
}

fn row(name: &str, time: Duration, base: Duration) {
    println!("{name:<44} {:>10.3} ms {:>8.3}", time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
}

fn main() {
    let engine = engine();
    stages(engine);
    growth();
    threads(engine);
    comparing(engine);
    println!("\npeak memory of this run: {}", peak_memory());
}

/// A check of Heron Lane, and its parts.
fn stages(engine: &Engine) {
    println!("{:<44} {:>13} {:>8}", "check of Heron Lane", "time", "share");
    let path = example("heron-lane");
    let options = Options::default();
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    one.install(|| {
        let whole = median(15, || engine.check(&path, &options).unwrap());
        row("whole check, one thread", whole, whole);
        row("load the home", median(15, || engine.load(&path).unwrap()), whole);
        let packs = median(15, || {
            let mut loaded = engine.load(&path).unwrap();
            load_packs(
                &loaded.home,
                &loaded.tree,
                &mut loaded.project,
                (engine.library(), &[]),
                engine.kept(),
                &engine.vocabulary(),
            )
            .unwrap()
        });
        row("load the home and its packs", packs, whole);
        let home = engine.load(&path).unwrap().home;
        let run = median(15, || engine.schedule().run(&home, &Default::default()));
        row("takeoff and envelope, all plugins", run, whole);
        let facts = Facts::default();
        let request = Request { home: &home, facts: &facts, settings: &[], shown: true };
        row("takeoff alone", median(15, || mateline_takeoff::Takeoff.run(&request).unwrap()), whole);
        let report = engine.check(&path, &options).unwrap();
        row("HTML report", median(15, || mateline_reports::html::report(&report).unwrap()), whole);
        row("JSON report", median(15, || mateline_reports::json::report(&report, "0")), whole);
    });
    let fields = median(3, || Fields::of_home().names(["site"]));
    black_box(fields);
}

/// A row of pairs of boxes, two storeys high.
fn many_boxes(count: usize) -> Home {
    let mut modules = serde_json::Map::new();
    let width = (count as f64).sqrt().ceil() as usize;
    for index in 0..count {
        let (x, y) = ((index % width) as f64 * 12.0, (index / width) as f64 * 4.0);
        modules.insert(
            format!("M{index}"),
            serde_json::json!({
                "level": 1,
                "at": { "x": format!("{x} m"), "y": format!("{y} m") },
                "size": { "x": "12 m", "y": "4 m", "z": "3 m" }
            }),
        );
    }
    serde_json::from_value(serde_json::json!({
        "home": "Rows of boxes",
        "revision": { "id": "A", "date": "2026-10-05" },
        "site": { "place": "Nowhere", "climate_zone": "6A" },
        "modules": modules
    }))
    .unwrap()
}

/// Time per box should hardly rise from 10 boxes to 10,000.
fn growth() {
    println!("\n{:<44} {:>13} {:>8}", "takeoff by number of boxes", "per box", "ratio");
    let mut base = None;
    for count in [10, 100, 1_000, 10_000] {
        let home = many_boxes(count);
        let facts = Facts::default();
        let request = Request { home: &home, facts: &facts, settings: &[], shown: true };
        let time = median(3, || mateline_takeoff::Takeoff.run(&request).unwrap()) / count as u32;
        row(&format!("{count} boxes"), time, *base.get_or_insert(time));
    }
}

/// A thousand checks with one thread and with two.
fn threads(engine: &Engine) {
    use rayon::prelude::*;
    println!("\n{:<44} {:>13} {:>8}", "1,000 homes", "time", "ratio");
    let path = example("heron-lane");
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let start = Instant::now();
        pool.install(|| {
            (0..1_000).into_par_iter().for_each(|_| {
                black_box(engine.check(&path, &Options::default()).unwrap());
            });
        });
        start.elapsed()
    };
    run(2);
    let (one, two) = (run(1), run(2));
    row("one thread", one, one);
    row("two threads", two, one);
    println!("two threads are {:.2} times as fast", one.as_secs_f64() / two.as_secs_f64());
}

/// A comparison is two checks, both at once, and little beside.
fn comparing(engine: &Engine) {
    println!("\n{:<44} {:>13} {:>8}", "revision B of Heron Lane with C", "time", "ratio");
    let (old, new) = (root().join("examples/heron-lane/revisions/B/home.yaml"), example("heron-lane"));
    let options = Options::default();
    let check = |path: &Path| engine.check(path, &options).unwrap();
    let both = median(15, || rayon::join(|| check(&old), || check(&new)));
    row("two checks, both at once", both, both);
    row("two checks, one after the other", median(15, || (check(&old), check(&new))), both);
    let compare = || engine.compare((&old, None), &new, &options, 0.05).unwrap();
    row("comparison", median(15, compare), both);
    let found = compare();
    row("its review comment", median(15, || mateline_reports::comparison::markdown(&found)), both);
    row("its page", median(15, || mateline_reports::comparison::html(&found).unwrap()), both);
}

fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "not known here".to_owned(), |line| line.trim().to_owned())
}
