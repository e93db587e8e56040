//! Homes for the tests of this crate, with take-off and envelope run before the junctions.

use mateline_envelope::{Envelope, library};
use mateline_junctions::Junctions;
use mateline_model::{Fact, Facts, Home, Problem, Subject};
use mateline_sdk::{Findings, Plugin, Request};
use mateline_takeoff::Takeoff;
use serde_json::{Value, json};

/// Two pairs of boxes on a basement, all values invented. `change` is merged over it.
pub fn home(change: Value) -> Home {
    let size = json!({"x": "12 m", "y": "4.2 m", "z": "2.9 m"});
    let mut whole = json!({
        "home": "Test home, invented",
        "revision": {"id": "A", "date": "2026-01-01"},
        "site": {"place": "Nowhere", "climate_zone": "6A", "design_heating": "-15 °C", "indoor_heating": "20 °C",
            "soil": "clay"},
        "modules": {
            "A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": size},
            "B": {"level": 1, "at": {"x": "0 m", "y": "4.215 m"}, "size": size},
            "C": {"level": 2, "at": {"x": "0 m", "y": "0 m"}, "size": size},
            "D": {"level": 2, "at": {"x": "0 m", "y": "4.215 m"}, "size": size},
        },
        "assemblies": {
            "wall": {"kind": "wall", "layers": [
                {"material": "gypsum-board", "thickness": "12.7 mm"},
                {"framed": {"member": "softwood", "size": "2x6", "spacing": "16 in", "fill": "cellulose-dense-pack"}},
                {"material": "osb", "thickness": "11 mm"},
                {"material": "eps-type-ii", "thickness": "60 mm", "role": "continuous-insulation"},
                {"vented-cavity": "19 mm"},
                {"material": "fibre-cement", "thickness": "8 mm"},
            ]},
            "ceiling": {"kind": "ceiling", "layers": [
                {"material": "gypsum-board", "thickness": "12.7 mm"},
                {"framed": {"member": "softwood", "size": "2x6", "spacing": "16 in", "fill": "air"}},
                {"material": "osb", "thickness": "11 mm"},
                {"material": "cellulose-loose-fill", "thickness": "450 mm"},
            ]},
            "floor": {"kind": "interior", "layers": [
                {"material": "plywood", "thickness": "19 mm"},
                {"framed": {"member": "softwood", "size": "2x10", "spacing": "16 in", "fill": "air"}},
            ]},
            "cold-floor": {"kind": "floor", "layers": [
                {"material": "plywood", "thickness": "19 mm"},
                {"framed": {"member": "softwood", "size": "2x10", "spacing": "16 in", "fill": "cellulose-dense-pack"}},
                {"material": "mineral-wool-board", "thickness": "40 mm", "role": "continuous-insulation"},
            ]},
            "basement-wall": {"kind": "basement-wall", "layers": [
                {"material": "concrete", "thickness": "200 mm"},
                {"material": "eps-type-ii", "thickness": "75 mm", "role": "continuous-insulation"},
            ]},
            "slab": {"kind": "slab", "layers": [
                {"material": "concrete", "thickness": "100 mm"},
                {"material": "eps-type-ii", "thickness": "100 mm", "role": "continuous-insulation"},
            ]},
        },
        "enclosure": {"walls": "wall", "ceilings": "ceiling", "floors": "floor"},
        "openings": {
            "w": {"kind": "window", "module": "A", "face": "south", "width": "1.5 m", "height": "1.2 m", "count": 3,
                "u_factor": "1.0 W/(m²·K)"},
            "d": {"kind": "opaque-door", "module": "B", "face": "north", "width": "0.9 m", "height": "2.1 m",
                "u_factor": "1.1 W/(m²·K)"},
        },
        "foundation": {"kind": "basement", "conditioned": true, "wall": "basement-wall", "floor": "slab",
            "height": "2.6 m", "depth_below_grade": "2 m",
            "footing": {"width": "500 mm", "thickness": "250 mm", "depth": "2.4 m"}},
        "seams": {"default": {"sealed_by": ["factory-gasket", "site-tape"]}},
    });
    merge(&mut whole, change);
    let mut home: Home = serde_json::from_value(whole).unwrap_or_else(|error| panic!("{error}"));
    for (id, material) in library() {
        home.materials.entry(id.clone()).or_insert_with(|| material.clone());
    }
    home
}

/// Lays one JSON value over another; `null` takes away.
fn merge(under: &mut Value, over: Value) {
    match (under, over) {
        (Value::Object(under), Value::Object(over)) => {
            for (key, value) in over {
                if value.is_null() {
                    under.remove(&key);
                } else {
                    merge(under.entry(key).or_insert(Value::Null), value);
                }
            }
        }
        (under, over) => *under = over,
    }
}

/// Facts of the take-off and the envelope.
pub fn before(home: &Home) -> Facts {
    let mut facts = Facts::default();
    for plugin in [&Takeoff as &dyn Plugin, &Envelope] {
        let findings = plugin.run(&Request { home, facts: &facts, settings: &[], shown: true }).unwrap();
        assert!(findings.problems.is_empty(), "{:?}", findings.problems);
        findings.facts.into_iter().for_each(|fact| facts.insert(fact).unwrap());
    }
    facts
}

pub fn run(home: &Home) -> Findings {
    let facts = before(home);
    Junctions.run(&Request { home, facts: &facts, settings: &[], shown: true }).unwrap()
}

pub fn run_with(home: &Home, store: &dyn mateline_junctions::Store) -> Findings {
    let facts = before(home);
    mateline_junctions::run_with(&Request { home, facts: &facts, settings: &[], shown: true }, store)
}

/// Findings with what packs ask for.
pub fn asked(home: &Home, settings: &[(String, Value)]) -> Findings {
    let facts = before(home);
    Junctions.run(&Request { home, facts: &facts, settings, shown: true }).unwrap()
}

/// Findings of a home that is the usual one but for a change.
pub fn changed(change: Value) -> Findings {
    let findings = run(&home(change));
    assert!(findings.problems.is_empty(), "{:?}", findings.problems);
    findings
}

pub fn problems(change: Value) -> Vec<Problem> {
    run(&home(change)).problems
}

pub fn fact<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a Fact {
    let found = |fact: &&Fact| fact.subject == Subject::from(subject) && fact.quantity == quantity;
    findings.facts.iter().find(found).unwrap_or_else(|| {
        let missing: Vec<_> = findings.missing.iter().filter(|missing| missing.quantity == quantity).collect();
        panic!("no {quantity} of {subject}; missing: {missing:?}")
    })
}

pub fn si(findings: &Findings, subject: &str, quantity: &str) -> f64 {
    fact(findings, subject, quantity).value.number().unwrap_or_else(|| panic!("{quantity} is no number")).si
}

pub fn text<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    fact(findings, subject, quantity).value.text().unwrap_or_else(|| panic!("{quantity} is no text"))
}

/// Every kind of junction, as a home file writes it.
const KINDS: [&str; 13] = [
    "outside-corner",
    "inside-corner",
    "mate-wall",
    "mate-floor",
    "mate-roof",
    "floor-rim",
    "stacked-rim",
    "wall-to-attic",
    "window-jamb",
    "door-jamb",
    "foundation-top",
    "footing",
    "slab-edge",
];

/// A change that gives every kind of junction but `kinds`, so that only those are solved, and has these entries.
pub fn only(kinds: &[&str], entries: Value) -> Value {
    let mut junctions = entries;
    for kind in KINDS.iter().filter(|kind| !kinds.contains(kind) && **kind != "foundation-top") {
        junctions[format!("given-{kind}")] =
            json!({"kind": kind, "psi": "0 W/(m·K)", "surface_factor": 0.9, "length": "1 m"});
    }
    json!({"junctions": junctions})
}

/// ψ of the only junction of a home that is solved.
pub fn psi(change: Value, id: &str) -> f64 {
    si(&changed(change), &format!("junctions.{id}"), "junctions.psi")
}

pub fn because<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    let found = findings.missing.iter().find(|m| m.subject == Subject::from(subject) && m.quantity == quantity);
    found.map_or_else(|| panic!("{quantity} of {subject} is not missing"), |missing| missing.because.as_str())
}

#[track_caller]
pub fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}, tolerance {tolerance}");
}
