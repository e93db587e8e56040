//! How fast rules are read and judged: 300 rules over 2,000 facts, a pack of 1,000 rules, and a rule for each room about
//! its windows.
//!
//! Times are of this machine; the last column is the ratio to the row above it in the same table. Nothing here fails.
//! `cargo bench --bench rules`
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_engine::judge::{Judged, Memo, judge};
use mateline_engine::load::{Fields, FirmWords, Placed, SourceFile};
use mateline_engine::pack::Pack;
use mateline_model::quantity::{Dimension, Quantity, UnitSystem};
use mateline_model::{Basis, Fact, Facts, Home, Subject, Value};
use mateline_tests::engine;
use std::fmt::Write;
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The median time of an action over at least nine runs and a second.
fn median<T>(mut action: impl FnMut() -> T) -> Duration {
    black_box(action());
    let (start, mut times) = (Instant::now(), Vec::new());
    while times.len() < 9 || start.elapsed() < Duration::from_secs(1) {
        let one = Instant::now();
        black_box(action());
        times.push(one.elapsed());
    }
    times.sort();
    times[times.len() / 2]
}

/// A pack of so many rules, of every kind in turn.
fn pack(rules: usize) -> String {
    let mut text = "pack: many\ntitle: Many rules\nsource: invented\nrules:\n".to_owned();
    let bodies = [
        "for_each: surfaces\n    when: takeoff.kind == 'wall'\n    value: takeoff.net_area\n    at_most: 900 ft²",
        "for_each: surfaces\n    requires: takeoff.net_area <= 900 ft² or site.climate_zone == '6A'",
        "value: {sum: takeoff.net_area, over: surfaces, where: \"takeoff.kind == 'wall'\"}\n    at_most: 9000000 ft²",
        "for_each: modules\n    value: size.x\n    at_most: {by: site.climate_zone, \"0-3\": 60 ft, \"4-8\": 70 ft}",
        "value: {count: modules}\n    at_most: {by: site.elevation, \"< 4000 ft\": 40, else: 30}",
    ];
    for number in 0..rules {
        let body = bodies[number % bodies.len()];
        let _ = writeln!(
            text,
            "  r{number}:\n    title: Rule {number}\n    {body}\n    source: invented\n    provenance: common practice, no source\n    if_short: Change it."
        );
    }
    text
}

/// A pack read from a file.
fn read(text: &str) -> Pack {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("many.yaml");
    std::fs::write(&path, text).unwrap();
    engine().pack(path.to_str().unwrap()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// A thousand surfaces, each with two facts.
fn facts() -> Facts {
    let mut facts = Facts::default();
    for number in 0..1_000 {
        let subject = Subject::element("surfaces", format!("s{number}"));
        let area = Value::Number(Quantity::new(f64::from(number) / 10.0, Dimension::AREA));
        let kind = Value::Text(if number % 2 == 0 { "wall" } else { "floor" }.to_owned());
        for (quantity, value) in [("takeoff.net_area", area), ("takeoff.kind", kind)] {
            let basis = Basis::new("invented", "invented");
            facts.insert(Fact { subject: subject.clone(), quantity: quantity.into(), value, basis, at: None }).unwrap();
        }
    }
    facts
}

fn home() -> (Home, Placed) {
    let loaded = mateline_tests::loaded(
        "home: Bench\nrevision: {id: A, date: 2026-10-05}\nsite: {place: Nowhere, climate_zone: 6A, elevation: 100 ft}\n\
         modules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}\n",
    );
    (loaded.home, loaded.tree)
}

fn main() {
    judging();
    reading();
    joining();
}

/// So many rooms with a window each, joined by a field, and by a condition of which nobody can make an index.
fn joining() {
    println!("\n{:<44} {:>13} {:>8} {:>16} {:>8}", "windows of each room", "joined", "ratio", "every pair", "ratio");
    let (home, tree) = home();
    let (facts, files) = (Facts::default(), [SourceFile { name: "home.yaml".to_owned(), text: String::new() }]);
    let quantities = engine().schedule().quantities();
    let head = "pack: many\ntitle: Rooms\nsource: invented\nrules:\n  r:\n    title: Windows\n    for_each: spaces\n";
    let tail = "    at_most: 9 ft\n    source: invented\n    provenance: common practice, no source\n    if_short: Change it.\n";
    let rule =
        |joined: &str| Arc::new(read(&format!("{head}    value: sum(width over openings where {joined})\n{tail}")));
    let packs = [rule("space == this.id"), rule("not (space != this.id)")];
    let mut before = [None::<Duration>; 2];
    for rooms in [10, 100, 1_000] {
        let mut json = serde_json::to_value(&home).unwrap();
        for number in 0..rooms {
            json["spaces"][format!("s{number}")] = serde_json::json!({ "use": "bedroom" });
            json["openings"][format!("w{number}")] =
                serde_json::json!({ "width": "3 ft", "space": format!("s{number}") });
        }
        let judged = |home| Judged {
            home,
            fields: Fields::of_home(),
            facts: &facts,
            missing: &[],
            plugins: &[],
            firm: FirmWords::none(),
            former: None,
            quantities,
            tree: &tree,
            files: &files,
            units: UnitSystem::Ip,
            day: mateline_model::home::Date("2026-10-05".parse().unwrap()),
            memo: Memo::default(),
        };
        let times = packs.each_ref().map(|pack| {
            let pack = [Arc::clone(pack)];
            // The index is made anew each time, as for each home.
            median(|| judge(&pack, &judged(json.clone())).unwrap())
        });
        let ratio = |one: usize| before[one].map_or(1.0, |before| times[one].as_secs_f64() / before.as_secs_f64());
        println!(
            "{:<44} {:>10.3} ms {:>8.1} {:>13.3} ms {:>8.1}",
            format!("{rooms} rooms, {rooms} windows"),
            times[0].as_secs_f64() * 1e3,
            ratio(0),
            times[1].as_secs_f64() * 1e3,
            ratio(1)
        );
        before = times.map(Some);
    }
}

fn judging() {
    let (home, tree) = home();
    let (facts, files) = (facts(), [SourceFile { name: "home.yaml".to_owned(), text: String::new() }]);
    let quantities = engine().schedule().quantities();
    let judged = Judged {
        home: serde_json::to_value(&home).unwrap(),
        fields: Fields::of_home(),
        facts: &facts,
        missing: &[],
        plugins: &[],
        firm: FirmWords::none(),
        former: None,
        quantities,
        tree: &tree,
        files: &files,
        units: UnitSystem::Ip,
        day: home.revision.date,
        memo: Memo::default(),
    };
    let packs = [Arc::new(read(&pack(300)))];
    println!("{:<44} {:>13} {:>16}", "300 rules, 2,000 facts", "time", "verdicts per s");
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let (time, verdicts) = pool.install(|| {
            let verdicts = judge(&packs, &judged).unwrap().len();
            (median(|| judge(&packs, &judged).unwrap()), verdicts)
        });
        let rate = verdicts as f64 / time.as_secs_f64();
        let rules = 300.0 / time.as_secs_f64();
        let name = format!("{verdicts} verdicts, threads: {threads}");
        println!("{name:<44} {:>10.3} ms {rate:>16.0}   {rules:.0} rules per s", time.as_secs_f64() * 1e3);
    }
}

fn reading() {
    println!("\n{:<44} {:>13} {:>8}", "a pack is read", "time", "ratio");
    let mut before: Option<Duration> = None;
    for rules in [10, 100, 1_000] {
        let text = pack(rules);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("many.yaml");
        std::fs::write(&path, &text).unwrap();
        let path = path.to_str().unwrap().to_owned();
        let time = median(|| engine().pack(&path).unwrap_or_else(|bad| panic!("{bad}")));
        let ratio = before.map_or(1.0, |before| time.as_secs_f64() / before.as_secs_f64());
        println!(
            "{:<44} {:>10.3} ms {ratio:>8.1}",
            format!("{rules} rules, {} kB", text.len() / 1000),
            time.as_secs_f64() * 1e3
        );
        before = Some(time);
    }
}
