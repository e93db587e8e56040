//! What the plugin boundary costs: the takeoff of an example called as it is linked in, as a library in the same
//! process, and as a library in a child process.
//!
//! Every figure is a ratio to another of the same run. Nothing here fails. `cargo bench -p mateline --bench plugins`
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

#[allow(dead_code, reason = "of the helper a benchmark needs less than the tests")]
mod libraries;

use libraries::{built, cargo_build, root};
use mateline_engine::Engine;
use mateline_engine::host::{Host, Limits, Start};
use mateline_engine::load::Project;
use mateline_model::Facts;
use mateline_sdk::{Plugin, Request};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// The median time of an action over at least 15 runs and half a second.
fn median<T>(mut action: impl FnMut() -> T) -> Duration {
    black_box(action());
    let (start, mut times) = (Instant::now(), Vec::new());
    while times.len() < 15 || start.elapsed() < Duration::from_millis(500) {
        let one = Instant::now();
        black_box(action());
        times.push(one.elapsed());
    }
    times.sort();
    times[times.len() / 2]
}

fn row(name: &str, time: Duration, base: Duration) {
    println!("{name:<52} {:>10.3} ms {:>8.2}", time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let library = folder.path().join("takeoff.so");
    cargo_build(&["--release", "-p", "mateline", "--examples"]);
    std::fs::copy(built("release", "examples/takeoff_library"), &library).unwrap();
    let engine = Engine::new(Vec::new(), &[], mateline_plugins::materials().clone()).unwrap();
    let home = engine.load(&root().join("examples/heron-lane/home.yaml")).unwrap().home;
    let facts = Facts::default();
    let request = Request { home: &home, facts: &facts, settings: &[], shown: true };
    let host = |in_process: bool| Host {
        start: Start { program: env!("CARGO_BIN_EXE_mateline").into(), command: "plugin-child".into() },
        limits: Limits::default(),
        firm: Some(folder.path().to_owned()),
        strict: false,
        approved: Vec::new(),
        in_process,
    };
    host(false).approve(&library, &[], folder.path(), &[], mateline_engine::host::Given::default()).unwrap();
    let project = Project::at(&folder.path().canonicalize().unwrap());
    let open = |in_process: bool| {
        let guest = host(in_process).open(&project, "takeoff.so");
        guest.worker.unwrap_or_else(|| panic!("{}", guest.refused.unwrap_or_default()))
    };

    println!("{:<52} {:>13} {:>8}", "takeoff of Heron Lane", "time", "ratio");
    let linked_in = median(|| mateline_takeoff::Takeoff.run(&request).unwrap());
    row("a call, linked in", linked_in, linked_in);
    for (in_process, name) in [(true, "a library in the process"), (false, "a library in a child process")] {
        let worker = open(in_process);
        row(&format!("a call, {name}"), median(|| worker.run(&request).unwrap()), linked_in);
        row(&format!("read, hash, load and handshake, {name}"), median(|| open(in_process)), linked_in);
    }
}
