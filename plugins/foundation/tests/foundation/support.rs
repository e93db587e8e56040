//! Homes for the tests of this crate, run through takeoff, envelope and foundation. All values are invented.

use mateline_envelope::{Envelope, library};
use mateline_foundation::FoundationPlugin;
use mateline_model::{Fact, Facts, Home, Subject};
use mateline_sdk::{Findings, Plugin, Request};
use mateline_takeoff::Takeoff;
use serde_json::{Value, json};

/// yd³ in m³.
pub const YARD: f64 = 0.764_554_857_984;
pub const FOOT: f64 = 0.3048;

/// Two boxes of 44 ft by 14 ft side by side on a basement in clay.
pub fn pair() -> Value {
    json!({
        "home": "Test home, invented",
        "units": "ip",
        "revision": {"id": "A", "date": "2026-10-05"},
        "site": {
            "place": "Nowhere", "climate_zone": "6A", "frost_depth": "60 in", "radon_zone": 1, "soil": "clay",
            "soil_bearing": "2000 psf", "water_table": "11 ft", "ground_snow": "50 psf"
        },
        "modules": {
            "A": {"level": 1, "at": {"x": "0 ft", "y": "0 ft"}, "size": {"x": "44 ft", "y": "14 ft", "z": "10 ft"},
                "weight": "30000 lb"},
            "B": {"level": 1, "at": {"x": "0 ft", "y": "14 ft"}, "size": {"x": "44 ft", "y": "14 ft", "z": "10 ft"},
                "weight": "26000 lb"}
        },
        "roof": {"kind": "vented-attic", "overhang": "12 in"},
        "spaces": {
            "bedroom": {"use": "bedroom", "in": "A", "floor_area": "150 ft²", "height": "8 ft", "sleeps": 2},
            "music": {"use": "hobby", "in": "foundation", "floor_area": "200 ft²", "height": "8 ft"}
        },
        "assemblies": {
            "wall": {"kind": "wall", "layers": [{"material": "osb", "thickness": "1 in"}]},
            "ceiling": {"kind": "ceiling", "layers": [{"material": "osb", "thickness": "1 in"}]},
            "floor": {"kind": "interior", "layers": [
                {"material": "osb", "thickness": "3/4 in"}, {"air-space": "9 1/4 in"}]},
            "basement-wall": {"kind": "basement-wall", "layers": [{"material": "concrete", "thickness": "8 in"}]},
            "basement-slab": {"kind": "slab", "layers": [
                {"material": "concrete", "thickness": "4 in"}, {"material": "gravel", "thickness": "4 in"}]}
        },
        "enclosure": {"walls": "wall", "ceilings": "ceiling", "floors": "floor"},
        "openings": {
            "w1": {"kind": "window", "module": "A", "face": "south", "width": "3 ft", "height": "5 ft", "sill": "32 in",
                "clear_width": "30 in", "clear_height": "54 in", "space": "bedroom"},
            "w2": {"kind": "window", "module": "foundation", "face": "south", "width": "3 ft", "height": "4 ft",
                "sill": "42 in", "clear_width": "32 in", "clear_height": "44 in", "space": "music"}
        },
        "foundation": {
            "kind": "basement", "conditioned": true, "wall": "basement-wall", "floor": "basement-slab",
            "height": "9 ft", "depth_below_grade": "7 ft", "services_below_floor": true,
            "clearance_below_services": "7 ft",
            "footing": {"width": "20 in", "thickness": "10 in", "depth": "8 ft 2 in"},
            "anchor_spacing": "4 ft", "levelness": "1/4 in", "bears_mate_lines": true,
            "drainage": {"discharge": "daylight", "filter_fabric": true},
            "water_protection": "waterproofing", "fixtures_below_sewer": false, "ground_cover": "10 mil",
            "radon": {"permeable_layer": "4 in", "vent_pipe": "4 in", "fan_ready": true},
            "window_well": {"width": "4 ft", "projection": "3 ft", "depth": "4 ft", "ladder": true}
        }
    })
}

/// Unit rates, invented; two of them ranges.
pub fn rates() -> Value {
    json!({
        "excavation": {"low": "10 $/yd³", "high": "14 $/yd³"}, "haul": "20 $/yd³", "backfill": "15 $/yd³",
        "gravel": "45 $/yd³", "concrete": {"low": "180 $/yd³", "high": "220 $/yd³"}, "formwork": "8 $/ft²",
        "reinforcement": "1.50 $/lb", "waterproofing": "4 $/ft²", "dampproofing": "1 $/ft²", "drainage": "12 $/ft",
        "wall_insulation": "5 $/ft²", "slab_insulation": "4 $/ft²", "floor_insulation": "4 $/ft²",
        "ground_cover": "1 $/ft²", "skirt": "9 $/ft²", "post": "400 $", "sump": "1500 $", "ejector": "2500 $",
        "egress_window": "3000 $", "set_up": "2000 $"
    })
}

/// Changes a value of a home, by JSON pointer; the parent has to exist.
pub fn with(mut home: Value, pointer: &str, value: Value) -> Value {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    let parent = home.pointer_mut(parent).unwrap_or_else(|| panic!("{pointer}"));
    parent.as_object_mut().unwrap().insert(key.to_owned(), value);
    home
}

/// Takes a value out of a home.
pub fn without(mut home: Value, pointer: &str) -> Value {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    home.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(key).unwrap_or_else(|| panic!("{pointer}"));
    home
}

/// What the plugin finds, after takeoff and envelope, whose problems come first.
pub fn run(home: &Value) -> Findings {
    let mut home: Home = serde_json::from_value(home.clone()).unwrap_or_else(|error| panic!("{error}"));
    for (id, material) in library() {
        home.materials.entry(id.clone()).or_insert_with(|| material.clone());
    }
    let mut facts = Facts::default();
    let mut problems = Vec::new();
    for plugin in [&Takeoff as &dyn Plugin, &Envelope] {
        let found = plugin.run(&Request { home: &home, facts: &facts, settings: &[], shown: true }).unwrap();
        problems.extend(found.problems);
        for fact in found.facts {
            facts.insert(fact).unwrap_or_else(|fact| panic!("{} twice", fact.quantity));
        }
    }
    let mut found = FoundationPlugin.run(&Request { home: &home, facts: &facts, settings: &[], shown: true }).unwrap();
    problems.append(&mut found.problems);
    found.problems = problems;
    found
}

#[track_caller]
pub fn fact<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a Fact {
    let name = format!("foundation.{quantity}");
    findings.facts.iter().find(|fact| fact.subject == Subject::from(subject) && fact.quantity == name).unwrap_or_else(
        || {
            let why = findings.missing.iter().find(|m| m.subject == Subject::from(subject) && m.quantity == name);
            panic!("no {name} of {subject}: {why:?}; problems: {:?}", findings.problems)
        },
    )
}

/// A fact's number in SI.
#[track_caller]
pub fn si(findings: &Findings, subject: &str, quantity: &str) -> f64 {
    fact(findings, subject, quantity).value.number().unwrap().si
}

#[track_caller]
pub fn text<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    fact(findings, subject, quantity).value.text().unwrap()
}

#[track_caller]
pub fn flag(findings: &Findings, subject: &str, quantity: &str) -> bool {
    fact(findings, subject, quantity).value == mateline_model::Value::Flag(true)
}

/// Why a fact is missing.
#[track_caller]
pub fn because<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    let name = format!("foundation.{quantity}");
    let found = findings.missing.iter().find(|m| m.subject == Subject::from(subject) && m.quantity == name);
    found.map_or_else(|| panic!("{name} of {subject} is not missing"), |missing| missing.because.as_str())
}

#[track_caller]
pub fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}, tolerance {tolerance}");
}
