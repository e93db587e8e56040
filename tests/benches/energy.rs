//! What a year of hours costs. Ratios within one run; nothing here fails.
//! `cargo bench -p mateline-tests --bench energy`; with `-- network FILE` it writes one zone with its year as JSON for
//! `tests/reference/network.py`, which solves it by scipy's sparse factors.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a benchmark may stop, and prints its table"
)]

use mateline_energy::Energy;
use mateline_energy::elements::{Arrival, Element, Outside, USUAL, Zone};
use mateline_energy::touching::Touching;
use mateline_model::home::Weather;
use mateline_sdk::{Plugin, Request};
use mateline_tests::{check_file, example, root};
use serde_json::json;
use std::hint::black_box;
use std::time::{Duration, Instant};

const HOURS: usize = 8_760;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    if let [word, file] = arguments.as_slice()
        && word == "network"
    {
        std::fs::write(file, network(40).to_string()).expect("the file can be written");
        return;
    }
    heron_lane();
    growth();
}

/// The best of some runs.
fn best<T>(times: u32, mut work: impl FnMut() -> T) -> f64 {
    let once = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..times).map(once).min().unwrap_or(Duration::ZERO).as_secs_f64() * 1e3
}

/// The whole plugin for Heron Lane, by mean days and through the public year that Sparrow Court keeps.
fn heron_lane() {
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let declaration = Energy.declaration();
    let (mut home, facts) = (report.home.only(declaration.sections), report.facts.of_namespaces(declaration.reads));
    let run = |home: &mateline_model::Home, settings: &[(String, serde_json::Value)]| {
        Energy.run(&Request { home, facts: &facts, settings, shown: true }).expect("the plugin runs")
    };
    println!("Heron Lane, one thread:");
    println!("  by mean days                 {:8.2} ms", best(20, || run(&home, &[])));
    let name = "examples/sparrow-court/weather/greensboro.csv";
    let text = std::fs::read_to_string(root().join(name)).expect("the weather of the example");
    println!("  reading the year             {:8.2} ms", best(20, || mateline_plugins::weather::read(&text)));
    (home.site.latitude, home.site.elevation) = (None, None);
    home.weather = Some(Weather { file: "greensboro.csv".parse().expect("a name") });
    let file = ("project".to_owned(), json!({"weather_file": {"text": text}}));
    let settings = [file.clone()];
    println!("  through 8,760 hours, read too {:7.2} ms", best(20, || run(&home, &settings)));
    machines(&mut home);
    let settings = [file, ("energy-code-2021".to_owned(), path())];
    let found = run(&home, &settings);
    let compares = found.facts.iter().filter(|fact| fact.quantity.contains("_source")).count();
    println!(
        "  with machines and the reference home {:7.2} ms ({compares} homes compared)",
        best(20, || run(&home, &settings))
    );
}

/// Machines that Heron Lane does not have: those of Sparrow Court, twice as large. Invented.
fn machines(home: &mut mateline_model::Home) {
    let systems = &mut home.systems;
    systems.heating = serde_json::from_value(json!({
        "kind": "heat pump", "fuel": "heat-pump", "ducted": true, "ducts_inside": true, "part_load": "10 %",
        "rated": [
            {"outdoor": "47 °F", "capacity": "28000 Btu/h", "cop": 3.9},
            {"outdoor": "35 °F", "capacity": "23600 Btu/h", "cop": 3.1, "frosting": true},
            {"outdoor": "17 °F", "capacity": "22000 Btu/h", "cop": 2.6},
            {"outdoor": "5 °F", "capacity": "19000 Btu/h", "cop": 2.2}
        ]
    }))
    .expect("a heat pump");
    systems.cooling = serde_json::from_value(json!({
        "kind": "heat-pump", "part_load": "10 %",
        "rated": [
            {"outdoor": "82 °F", "capacity": "25200 Btu/h", "cop": 4.6},
            {"outdoor": "95 °F", "capacity": "24000 Btu/h", "cop": 3.7}
        ]
    }))
    .expect("a heat pump");
    systems.hot_water = serde_json::from_value(json!({
        "kind": "heat-pump storage heater", "fuel": "heat-pump", "draw": "50 gal/d", "delivered_at": "125 °F",
        "pipe_loss": "8 %", "uef": 3.4, "heat_from": "rooms"
    }))
    .expect("a heater");
}

/// The performance path of the energy code, as its pack hands it over in zone 6.
fn path() -> serde_json::Value {
    let u = |u: f64| format!("{u} Btu/(h·ft²·°F)");
    json!({"performance": {
        "source": "IECC 2021, Table R405.4.2(1)", "provenance": "from memory, med",
        "u_factors": {
            "window": u(0.30), "opaque-door": u(0.30), "ceiling": u(0.024), "roof": u(0.024), "wall": u(0.045),
            "mass-wall": u(0.060), "floor": u(0.033), "exposed-floor": u(0.033), "basement-wall": u(0.050),
            "crawl-wall": u(0.055)
        },
        "shgc": 0.40, "inner_shade": {"clear": 0.92, "falls": 0.21}, "most_glazing": "15 %", "door": "40 ft²",
        "leakage": "3.0 ACH", "indoor": {"heating": "72 °F", "cooling": "75 °F"},
        "fresh_air": {"per_floor_area": "0.01 cfm/ft²", "per_bedroom": "7.5 cfm"}, "recovery": "0 %",
        "fans": "3.8 cfm/W",
        "inside": {"home": "745.8 Btu/h", "per_floor_area": "0.9917 Btu/(h·ft²)", "per_bedroom": "171.0 Btu/h"},
        "hot_water": {"home": "25.5 gal/d", "per_bedroom": "8.5 gal/d"},
        "source_factors": {"electricity": 3.16, "fuel": 1.1}
    }})
}

fn zone(elements: usize) -> (Vec<Element>, Zone) {
    let element = |number: usize| match number % 3 {
        2 => Element::light(2.0, 0.6 + 0.001 * number as f64, 24.14, 2.5),
        _ => Element::opaque(15.0, 4.0 + 0.01 * number as f64, 15e3, 24.14, 2.5),
    };
    let elements: Vec<Element> = (0..elements).map(element).collect();
    let zone = Zone::new(&elements, 40.0, 3e6, USUAL, 0.5);
    (elements, zone)
}

/// Outdoor air, what surfaces take up, and sun of an hour. Invented.
fn hour(number: usize) -> (f64, f64, f64) {
    let (day, turn) = (number / 24, (number % 24) as f64 / 24.0 * std::f64::consts::TAU);
    let air = 10.0 - 12.0 * (day as f64 / 365.0 * std::f64::consts::TAU).cos() - 5.0 * turn.cos();
    let sun = (-turn.cos()).max(0.0);
    (air, 40.0 * sun - 10.0, 1_500.0 * sun)
}

fn year(zone: &Zone, elements: usize) -> f64 {
    let mut state = zone.state(20.0);
    let mut arrival = Arrival { outside: vec![Outside::default(); elements], internal: 400.0, ..Arrival::default() };
    let mut sum = 0.0;
    for number in 0..HOURS {
        let (air, taken_up, sun) = hour(number);
        arrival.outside.fill(Outside { temperature: air, taken_up });
        (arrival.supply, arrival.solar) = (air, sun);
        zone.hour(&mut state, &arrival, 20.0, 25.0);
        sum += state.heat.abs();
    }
    sum
}

/// A year of zones of 10 elements that touch, together.
fn together(zone: &Zone, count: usize) -> f64 {
    let links = (0..count).flat_map(|one| [1, 2].map(|apart| (one, one + apart, 20.0)));
    let mut touching = Touching::new(count, links.filter(|(_, other, _)| *other < count).collect());
    let zones: Vec<Zone> = (0..count).map(|place| zone.clone().touching(touching.of(place))).collect();
    let zones: Vec<&Zone> = zones.iter().collect();
    let mut states: Vec<_> = zones.iter().map(|zone| zone.state(20.0)).collect();
    let arrival = Arrival { outside: vec![Outside::default(); 10], internal: 400.0, ..Arrival::default() };
    let mut arrivals = vec![arrival; count];
    let mut sum = 0.0;
    for number in 0..HOURS {
        let (air, taken_up, sun) = hour(number);
        for (place, arrival) in arrivals.iter_mut().enumerate() {
            arrival.outside.fill(Outside { temperature: air, taken_up });
            // More sun on every second, so that some are held while others are free.
            (arrival.supply, arrival.solar) = (air, if place % 2 == 0 { sun } else { 0.3 * sun });
        }
        touching.hour(&zones, &mut states, &arrivals, 20.0, 25.0);
        sum += states.iter().map(|state| state.heat.abs()).sum::<f64>();
    }
    sum
}

/// A year by the number of elements, and of zones one after another.
fn growth() {
    println!("a year of one zone by its elements:");
    for elements in [10, 30, 100, 300, 1_000] {
        let (_, zone) = zone(elements);
        let time = best(5, || year(&zone, elements));
        let each = time * 1e6 / (HOURS * elements) as f64;
        println!("  {elements:5} elements {time:8.2} ms, {each:5.1} ns each element and hour");
    }
    println!("a year of zones with 10 elements each:");
    let (_, zone) = zone(10);
    for zones in [1, 3, 10, 30] {
        let time = best(5, || (0..zones).map(|_| year(&zone, 10)).sum::<f64>());
        println!("  {zones:5} zones {time:8.2} ms, {:5.2} ms each", time / f64::from(zones));
    }
    println!("a year of zones with 10 elements each, each of which touches the next two:");
    for zones in [1, 3, 10, 30] {
        let time = best(5, || together(&zone, zones));
        println!("  {zones:5} zones {time:8.2} ms, {:5.2} ms each", time / zones as f64);
    }
}

/// A zone with its year, and what mateline takes and finds.
fn network(count: usize) -> serde_json::Value {
    let (elements, zone) = zone(count);
    let time = best(10, || year(&zone, count));
    let elements: Vec<_> = elements
        .iter()
        .map(|one| json!({"area": one.area, "outer": one.outer, "between": one.between, "stores": one.stores, "inner": one.inner}))
        .collect();
    let hours: Vec<_> = (0..HOURS).map(hour).collect();
    json!({"elements": elements, "air": 40.0, "stores": 3e6, "hours": hours, "milliseconds": time, "sum": year(&zone, count)})
}
