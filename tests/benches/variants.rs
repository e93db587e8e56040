//! What a search for remedies and a variant of a study cost.
//!
//! Each figure stands beside the one it is held against, in the same run. Nothing here fails. `cargo bench --bench variants`;
//! a built `mateline` beside the benchmarks is the cold process.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_engine::load::Edit;
use mateline_engine::remedies::Search;
use mateline_engine::study::{Plan, Shard};
use mateline_engine::{Engine, Options, Session};
use mateline_model::Outcome;
use mateline_tests::{Shelf, example, root};
use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

fn timed<T>(action: impl FnOnce() -> T) -> (Duration, T) {
    let start = Instant::now();
    let value = black_box(action());
    (start.elapsed(), value)
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn row(name: &str, time: Duration, base: Duration) {
    println!("{name:<58} {:>10.2} ms {:>8.2}", time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
}

fn main() {
    let store: Arc<dyn mateline_plugins::Store> = Arc::new(Shelf::default());
    let plugins = mateline_plugins::built_in_with(Arc::clone(&store));
    let engine = Engine::new(plugins, mateline_rules::PACKS, mateline_plugins::materials().clone()).unwrap();
    let engine = engine.with_levers(mateline_rules::LEVERS).trying_with(mateline_plugins::roughly(store));
    remedies(&engine);
    studies(&engine);
}

/// The remedies of one verdict, against a warm check of the home with another foam thickness.
fn remedies(engine: &Engine) {
    println!("{:<58} {:>13} {:>8}", "Heron Lane", "time", "ratio");
    let (home, options) = (example("heron-lane"), Options::default());
    let session = Session::new(engine);
    session.check(&home, &options).unwrap();
    let path = ["assemblies", "wall", "layers", "4", "thickness"].map(str::to_owned).to_vec();
    let warm = |n: usize| {
        let edit = Edit { path: path.clone(), text: format!("{} in", 3.0 + n as f64 / 64.0) };
        timed(|| session.check_edited(&home, &[edit], &options).unwrap()).0
    };
    let warm = median((1..10).map(warm).collect());
    row("a warm check after an edit of foam", warm, warm);
    let search = Search::new(engine, &home, options).unwrap();
    for (rule, subject) in [
        ("passive-envelope/opaque-u-factor-by-class", "assemblies.wall"),
        ("moisture-control/peak-water", "assemblies.basement-wall"),
        ("passive-envelope/airtightness-by-volume", "home"),
        ("passive-envelope/window-u-factor-installed", "openings.entry-sidelight"),
    ] {
        let of = search.base().verdicts.iter().find(|v| v.full_name() == rule && v.subject.as_str() == subject);
        let Some(verdict) = of.filter(|verdict| verdict.outcome == Outcome::Short) else { continue };
        let (time, found) = timed(|| search.remedies(verdict).len());
        row(&format!("remedies of {rule}, {found} found"), time, warm);
    }
}

/// A variant of a study, against a check by a process of its own; one thread against two.
fn studies(engine: &Engine) {
    println!("\n{:<58} {:>13} {:>8}", "the example of a study, a variant of it", "time", "ratio");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("study.yaml");
    let starter = example("starter");
    let text = std::fs::read_to_string(root().join("examples/study/study.yaml")).unwrap();
    let text = text.replace("../starter/home.yaml", starter.to_str().unwrap()).replace("sample: grid", "sample: 600");
    std::fs::write(&file, text).unwrap();
    for site in ["here.yaml", "colder.yaml"] {
        std::fs::copy(root().join("examples/study").join(site), folder.path().join(site)).unwrap();
    }
    let program = std::env::current_exe().unwrap();
    let program = program.ancestors().nth(2).unwrap().join("mateline");
    let process = |path: &Path| {
        let mut command = Command::new(&program);
        command.args(["check", "--quiet", path.to_str().unwrap()]).stdout(Stdio::null()).stderr(Stdio::null());
        timed(|| command.status().unwrap()).0
    };
    let cold = program.exists().then(|| median((0..9).map(|_| process(&starter)).collect()));
    let plan = Plan::read(engine, &file, Options::default()).unwrap();
    let all = |threads: usize, most: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let numbers = plan.numbers(Shard { number: 1, of: 1 }).take(most);
        let mut rows = 0_usize;
        let (time, ended) = timed(|| {
            pool.install(|| {
                plan.run(numbers, |_| {
                    rows += 1;
                    Ok::<(), ()>(())
                })
            })
        });
        ended.unwrap();
        time / u32::try_from(rows).unwrap()
    };
    let base = cold.unwrap_or_else(|| all(1, 64));
    row(
        if cold.is_some() { "a check by a process of its own" } else { "no mateline beside the benchmarks" },
        base,
        base,
    );
    for (threads, most) in [(1, 64), (1, 1_200), (2, 1_200)] {
        row(&format!("{threads} thread, {most} variants"), all(threads, most), base);
    }
}
