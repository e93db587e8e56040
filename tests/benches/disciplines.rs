//! What each discipline costs, and how it grows. Ratios within one run; nothing here fails.
//! `cargo bench --bench disciplines`
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_airtightness::spread::{DRAWS, Source, draws};
use mateline_engine::Options;
use mateline_mixing::Mixing;
use mateline_model::{Facts, Home};
use mateline_sdk::{Plugin, Request};
use mateline_tests::{engine, example};
use mateline_ventilation::network::{Leak, Network, Path};
use std::hint::black_box;
use std::time::{Duration, Instant};

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
    println!("{name:<52} {:>10.3} ms {:>9.3}", time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
}

fn main() {
    plugins();
    spread();
    rooms();
    finishes();
}

/// Every plugin on Heron Lane, on one thread, with the facts of those it reads.
fn plugins() {
    println!("{:<52} {:>13} {:>9}", "plugins on Heron Lane, one thread", "time", "share");
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    one.install(|| {
        let report = engine().check(&example("heron-lane"), &Options::default()).unwrap();
        let mut all = Facts::default();
        report.facts.iter().for_each(|fact| drop(all.insert(fact.clone())));
        let whole = median(9, || engine().check(&example("heron-lane"), &Options::default()).unwrap());
        row("whole check", whole, whole);
        for plugin in mateline_plugins::built_in() {
            let request = Request { home: &report.home, facts: &all, settings: &[], shown: true };
            let name = plugin.declaration().name;
            row(name, median(5, || plugin.run(&request).unwrap()), whole);
        }
    });
}

/// Ten thousand draws of a budget of fifty rows, with one thread and with two.
fn spread() {
    println!("\n{:<52} {:>13} {:>9}", "spread of a budget of 50 rows", "time", "ratio");
    let sources: Vec<Source> = (0..50)
        .map(|row| Source { name: format!("row {row}"), mean: 1e-3 * f64::from(row + 1), spread: 1.5 })
        .collect();
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| median(9, || draws(&sources)))
    };
    let (one, two) = (run(1), run(2));
    row("one thread", one, one);
    row("two threads", two, one);
    println!("{:.0} draws of the sum per second with two threads", DRAWS as f64 / two.as_secs_f64());
}

/// A row of rooms along a corridor: each has a door, a leak, and air supplied; the corridor is exhausted.
fn corridor(rooms: usize) -> Network {
    let supply = 0.01;
    let mut network = Network { fans: vec![supply; rooms], ..Network::default() };
    network.fans.push(-supply * rooms as f64 * 0.95);
    for room in 0..rooms {
        let door = 0.008 + 0.002 * (room % 5) as f64;
        network.paths.push(Path { from: room, to: rooms, coefficient: door, exponent: 0.5 });
        network.leaks.push(Leak { zone: room, coefficient: 3e-4, exponent: 0.65 });
        if room > 0 {
            network.paths.push(Path { from: room - 1, to: room, coefficient: 2e-4, exponent: 0.6 });
        }
    }
    network
}

/// Networks of rooms, and a night of eight hours in them.
fn rooms() {
    println!("\n{:<52} {:>13} {:>9}", "air-flow network, then a night of 8 h", "per room", "ratio");
    let mut base = None;
    for count in [10, 100, 1_000] {
        let network = corridor(count);
        let solved = network.solve().unwrap();
        let time = median(3, || network.solve().unwrap()) / count as u32;
        row(&format!("{count} rooms, {} steps", solved.steps), time, *base.get_or_insert(time));
    }
    let count = 20;
    let network = corridor(count);
    let solved = network.solve().unwrap();
    let flows = network
        .paths
        .iter()
        .zip(&solved.paths)
        .map(|(path, flow)| if *flow >= 0.0 { (path.from, path.to, *flow) } else { (path.to, path.from, -*flow) });
    let mixing = Mixing {
        volumes: vec![30.0; count + 1],
        outdoor: network.fans.iter().map(|fan| fan.max(0.0)).collect(),
        transfers: flows.collect(),
    };
    let (start, source) = (vec![0.0; count + 1], vec![6e-6; count + 1]);
    let night = median(5, || mixing.hours(&start, &source, 300.0, 96).unwrap());
    row("a night in 20 rooms", night, night);
}

/// Ten thousand products of forty compounds in twenty rooms, and a tenth and a hundredth of them.
fn finishes() {
    println!("\n{:<52} {:>13} {:>9}", "products with 40 compounds in 20 rooms", "per product", "ratio");
    let mut base = None;
    for count in [100, 1_000, 10_000] {
        let home = products(count);
        let facts = Facts::default();
        let request = Request { home: &home, facts: &facts, settings: &[], shown: true };
        let time = median(2, || mateline_materials::Materials.run(&request).unwrap()) / count as u32;
        row(&format!("{count} products"), time, *base.get_or_insert(time));
    }
}

fn products(count: usize) -> Home {
    let compounds: Vec<&String> = mateline_materials::compound::compounds().keys().take(40).collect();
    let mut spaces = serde_json::Map::new();
    for room in 0..20 {
        let space = serde_json::json!({ "use": "office", "in": "A", "floor_area": "12 m²", "height": "2.5 m" });
        spaces.insert(format!("room-{room}"), space);
    }
    let mut finishes = serde_json::Map::new();
    for product in 0..count {
        let emissions: serde_json::Map<String, serde_json::Value> =
            compounds.iter().map(|compound| ((*compound).to_owned(), "2 µg/(m²·h)".into())).collect();
        finishes.insert(
            format!("product-{product}"),
            serde_json::json!({
                "category": "flat", "in": format!("room-{}", product % 20), "area": "10 m²", "emissions": emissions
            }),
        );
    }
    serde_json::from_value(serde_json::json!({
        "home": "Many products",
        "revision": { "id": "A", "date": "2026-10-05" },
        "site": { "place": "Nowhere", "climate_zone": "6A" },
        "modules": { "A": {
            "level": 1, "at": { "x": "0 m", "y": "0 m" }, "size": { "x": "20 m", "y": "4 m", "z": "3 m" }
        } },
        "spaces": spaces,
        "finishes": finishes
    }))
    .unwrap()
}
