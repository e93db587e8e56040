//! What an edit costs in a session, and a check in a process that has checked before.
//!
//! Each figure stands beside the one it is held against, measured in turn with it in the same run: the machine's own
//! speed cancels out. Every edit is a value that has not been seen before, so that nothing is remembered of it, and
//! both sides have to solve the sections that it changes; a third solves every section, as the first check of a process does. Nothing here fails. `cargo bench --bench session`; a built
//! `mateline` beside the benchmarks is the cold process.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_engine::{Engine, Options, Session};
use mateline_tests::{Copy, Shelf};
use rayon::prelude::*;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

fn timed<T>(action: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    black_box(action());
    start.elapsed()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn engine() -> Engine {
    let plugins = mateline_plugins::built_in_with(Arc::new(Shelf::default()));
    Engine::new(plugins, mateline_rules::PACKS, mateline_plugins::materials().clone()).unwrap()
}

fn row(name: &str, time: Duration, base: Duration) {
    println!("{name:<52} {:>9.2} ms {:>8.3}", time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
}

fn main() {
    reading();
    edits();
    many();
}

/// A check in a process that has checked before, against reading the files.
fn reading() {
    println!("{:<52} {:>12} {:>8}", "Heron Lane, in one process", "time", "ratio");
    let (engine, copy, options) = (engine(), Copy::of("heron-lane"), Options::default());
    let first = timed(|| engine.check(&copy.home(), &options).unwrap());
    let (mut load, mut check) = (Vec::new(), Vec::new());
    for _ in 0..60 {
        load.push(timed(|| engine.load(&copy.home()).unwrap()));
        check.push(timed(|| engine.check(&copy.home(), &options).unwrap()));
    }
    let load = median(load);
    row("reading its files", load, load);
    row("check, warm", median(check), load);
    row("check, the first", first, load);
}

/// An edit: a file, a text in it, and what stands in its place the n-th time.
struct Edit {
    name: &'static str,
    file: &'static str,
    old: &'static str,
    new: fn(usize) -> String,
}

const EDITS: [Edit; 4] = [
    Edit {
        name: "nothing but a remark",
        file: "finishes.yaml",
        old: "finishes:",
        new: |n| format!("# remark {n}\nfinishes:"),
    },
    Edit {
        name: "(a) a finish",
        file: "finishes.yaml",
        old: "voc_content: 5 g/L",
        new: |n| format!("voc_content: {} g/L", 5.0 + n as f64 / 64.0),
    },
    Edit {
        name: "(b) a foam thickness",
        file: "home.yaml",
        old: "{material: eps-type-ii, thickness: 3 in",
        new: |n| format!("{{material: eps-type-ii, thickness: {} in", 3.0 + n as f64 / 64.0),
    },
    Edit {
        name: "(c) a box's length",
        file: "home.yaml",
        old: "size: {x: 44 ft",
        new: |n| format!("size: {{x: {} in", 528.0 + n as f64 / 64.0),
    },
];

fn edits() {
    let program = std::env::current_exe().ok().and_then(|path| Some(path.parent()?.parent()?.join("mateline")));
    let program = program.filter(|path| path.is_file());
    for Edit { name, file, old, new } in EDITS {
        println!("\n{:<52} {:>12} {:>8}", format!("after editing {name}"), "time", "ratio");
        let (of_session, of_check, copy) = (engine(), engine(), Copy::of("heron-lane"));
        let (session, options) = (Session::new(&of_session), Options::default());
        let (path, cache) = (copy.home().with_file_name(file), tempfile::tempdir().unwrap());
        let original = std::fs::read_to_string(&path).unwrap();
        assert!(original.contains(old), "'{old}' is not in {file}");
        session.check(&copy.home(), &options).unwrap();
        of_check.check(&copy.home(), &options).unwrap();
        let cold = |program: &PathBuf| run(program, &copy.home(), cache.path());
        program.iter().for_each(cold);
        let (mut again, mut anew, mut solved, mut colds) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for n in 1..=15 {
            std::fs::write(&path, original.replace(old, &new(n))).unwrap();
            again.push(timed(|| session.check(&copy.home(), &options).unwrap_or_else(|bad| panic!("{bad}"))));
            anew.push(timed(|| of_check.check(&copy.home(), &options).unwrap()));
            let fresh = engine();
            solved.push(timed(|| fresh.check(&copy.home(), &options).unwrap()));
            colds.extend(program.as_ref().map(|program| timed(|| cold(program))));
        }
        let anew = median(anew);
        row("full check in the same process, sections remembered", anew, anew);
        row("full check in the same process, every section solved", median(solved), anew);
        row("again in a session", median(again), anew);
        if !colds.is_empty() {
            row("full check in a process of its own", median(colds), anew);
        }
    }
}

fn run(program: &Path, home: &Path, cache: &Path) {
    let mut command = Command::new(program);
    command.arg("check").arg(home).arg("--cache").arg(cache).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().unwrap();
}

/// Many homes of one run, against reading as many.
fn many() {
    let count = 1_000;
    println!("\n{:<52} {:>12} {:>8}", format!("{count} homes"), "time", "ratio");
    let (engine, copy) = (engine(), Copy::of("heron-lane"));
    engine.check(&copy.home(), &Options::default()).unwrap();
    let read = timed(|| (0..count).into_par_iter().for_each(|_| drop(engine.load(&copy.home()).unwrap())));
    let checked = |_| drop(engine.check(&copy.home(), &Options::default()).unwrap());
    let check = timed(|| (0..count).into_par_iter().for_each(checked));
    row("reading", read, read);
    row("checking", check, read);
}
