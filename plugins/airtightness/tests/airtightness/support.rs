//! A home of four boxes on a basement, with the take-off's facts written by hand.

use mateline_airtightness::Airtightness;
use mateline_model::home::Home;
use mateline_model::quantity::{Dimension, Quantity};
use mateline_model::{Basis, Fact, Facts, Value};
use mateline_sdk::{Findings, Plugin, Request};
use serde_json::{Value as Json, json};

/// Two boxes over two, 44 ft by 13 ft 9 in, on a conditioned basement. Invented.
pub fn home() -> Json {
    let at = |y: &str| json!({"x": "0 ft", "y": y});
    let size = json!({"x": "44 ft", "y": "13 ft 9 in", "z": "9 ft 8 in"});
    let wall = json!([{"material": "osb", "thickness": "7/16 in", "role": "air-barrier"}]);
    json!({
        "home": "four boxes", "revision": {"id": "A", "date": "2026-10-05"},
        "site": {"place": "x", "climate_zone": "6A", "weather_shielding_factor": 0.57, "elevation": "330 ft"},
        "modules": {
            "A": {"level": 1, "at": at("0 ft"), "size": size}, "B": {"level": 1, "at": at("13 ft 9 in"), "size": size},
            "C": {"level": 2, "at": at("0 ft"), "size": size}, "D": {"level": 2, "at": at("13 ft 9 in"), "size": size},
        },
        "assemblies": {
            "wall": {"kind": "wall", "layers": wall}, "ceiling": {"kind": "ceiling", "layers": wall},
            "floor": {"kind": "interior", "layers": []}, "basement": {"kind": "basement-wall", "layers": []},
            "slab": {"kind": "slab", "layers": []},
        },
        "enclosure": {"walls": "wall", "ceilings": "ceiling", "floors": "floor"},
        "foundation": {"kind": "basement", "wall": "basement", "floor": "slab"},
        "openings": {
            "south": {"kind": "window", "module": "A", "face": "south", "width": "6 ft", "height": "5 ft", "count": 4,
                "air_leakage": "0.02 cfm/ft²"},
            "north": {"kind": "window", "module": "D", "face": "north", "width": "4 ft", "height": "4 ft", "count": 6,
                "operation": "double-hung"},
            "door": {"kind": "opaque-door", "module": "B", "face": "north", "width": "3 ft", "height": "7 ft"},
        },
        "seams": {"default": {"sealed_by": ["factory-gasket", "site-tape"], "by": "site"},
            "C-A": {"sealed_by": "factory-gasket", "by": "site"}},
        "penetrations": {
            "sewer": {"kind": "pipe", "diameter": "4 in", "module": "foundation", "seal": "sealant",
                "trade": "plumbing"},
            "cables": {"kind": "cable", "count": 6, "diameter": "1/2 in", "module": "C", "seal": "foam",
                "by": "factory", "trade": "electrical"},
            "stack": {"kind": "vent-stack", "diameter": "3 in", "module": "D", "seal": "grommet", "trade": "plumbing"},
            "fan": {"kind": "exhaust-damper", "module": "B", "seal": "tape", "trade": "ventilation"},
        },
        "systems": {"kitchen_hood": {"vented": true}, "clothes_dryer": {"kind": "vented"},
            "ventilation": {"bath": {"kind": "exhaust-fan"}}},
        "measurements": {},
    })
}

pub fn number(subject: &str, quantity: &'static str, si: f64, dimension: Dimension) -> Fact {
    let value = Value::Number(Quantity::new(si, dimension));
    Fact { subject: subject.into(), quantity: quantity.into(), value, basis: Basis::default(), at: None }
}

pub fn text(subject: &str, quantity: &'static str, text: &str) -> Fact {
    let value = Value::Text(text.to_owned());
    Fact { subject: subject.into(), quantity: quantity.into(), value, basis: Basis::default(), at: None }
}

/// What the take-off finds, reckoned by hand and rounded.
pub fn takeoff() -> Facts {
    let (length, area, volume) = (Dimension::LENGTH, Dimension::AREA, Dimension::VOLUME);
    let mut all = vec![
        number("home", "takeoff.interior_volume", 786.0, volume),
        number("home", "takeoff.exterior_envelope_area", 601.0, area),
        number("home", "takeoff.interior_envelope_area", 545.0, area),
        number("home", "takeoff.foundation_perimeter", 43.6, length),
        number("home", "takeoff.height", 5.89, length),
        number("assemblies.wall", "takeoff.run_length", 87.2, length),
        number("openings.south", "takeoff.area", 120.0 * 0.092_903, area),
        number("openings.north", "takeoff.area", 96.0 * 0.092_903, area),
        number("openings.door", "takeoff.area", 21.0 * 0.092_903, area),
    ];
    for id in ["south", "north", "door"] {
        all.push(text(&format!("openings.{id}"), "takeoff.assembly", "wall"));
    }
    for (id, kind, long) in [
        ("A-B", "side-by-side", 5.89),
        ("C-D", "side-by-side", 19.3),
        ("A-C", "stacked", 21.8),
        ("B-D", "stacked", 21.8),
    ] {
        let subject = format!("seams.{id}");
        all.push(text(&subject, "takeoff.seam_kind", kind));
        all.push(number(&subject, "takeoff.seam_length", long, length));
    }
    for id in ["A", "B", "C", "D"] {
        let subject = format!("modules.{id}");
        all.push(number(&subject, "takeoff.exposed_area", if id < "C" { 64.0 } else { 120.0 }, area));
        all.push(number(&subject, "takeoff.volume", 165.6, volume));
        all.push(number(&subject, "takeoff.travel_height", 2.95, length));
    }
    for (id, assembly, kind, size) in [
        ("wall-outdoor-south", "wall", "wall", 66.0),
        ("wall-outdoor-north", "wall", "wall", 68.0),
        ("wall-outdoor-east", "wall", "wall", 49.0),
        ("wall-outdoor-west", "wall", "wall", 49.0),
        ("ceiling-attic-up", "ceiling", "ceiling", 112.4),
        ("basement-ground-below-grade", "basement", "basement-wall", 119.6),
        ("slab-ground-down", "slab", "slab", 112.4),
    ] {
        let subject = format!("surfaces.{id}");
        all.push(text(&subject, "takeoff.assembly", assembly));
        all.push(text(&subject, "takeoff.kind", kind));
        all.push(number(&subject, "takeoff.net_area", size, area));
    }
    let mut facts = Facts::default();
    for fact in all {
        facts.insert(fact).unwrap();
    }
    facts
}

pub fn run_with(home: Json, facts: &Facts, settings: Json) -> Findings {
    let home: Home = serde_json::from_value(home).unwrap();
    let settings = [("pack".to_owned(), settings)];
    Airtightness.run(&Request { home: &home, facts, settings: &settings, shown: true }).unwrap()
}

pub fn run(home: Json) -> Findings {
    let targets =
        json!({"targets": {"loose": "5 ACH", "volume": "1.0 ACH", "area": "0.04 cfm/ft²", "tight": "0.2 ACH"}});
    let findings = run_with(home, &takeoff(), targets);
    assert!(findings.problems.is_empty(), "{:?}", findings.problems);
    findings
}

pub fn find<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> Option<&'a Fact> {
    let name = format!("airtightness.{quantity}");
    findings.facts.iter().find(|fact| fact.subject.as_str() == subject && fact.quantity == name)
}

pub fn si(findings: &Findings, subject: &str, quantity: &str) -> f64 {
    let fact = find(findings, subject, quantity);
    let fact = fact.unwrap_or_else(|| panic!("no {quantity} of {subject}: {:?}", lack(findings, subject, quantity)));
    fact.value.number().unwrap().si
}

pub fn words<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    find(findings, subject, quantity).unwrap_or_else(|| panic!("{quantity} of {subject}")).value.text().unwrap()
}

pub fn lack<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> Option<&'a str> {
    let name = format!("airtightness.{quantity}");
    let missing = findings.missing.iter().find(|one| one.subject.as_str() == subject && one.quantity == name);
    missing.map(|one| one.because.as_str())
}

pub fn near(what: &str, value: f64, expected: f64, share: f64) {
    assert!((value / expected - 1.0).abs() <= share, "{what}: {value} against {expected}");
}

pub fn with_test(stage: &str, still_open: &[&str]) -> Json {
    let mut home = home();
    let points: Vec<Json> = [60.0, 50.0, 40.0, 30.0, 20.0, 12.0f64]
        .iter()
        .flat_map(|p| [-*p, *p])
        .map(|p: f64| json!({"pressure": format!("{p} Pa"), "flow": format!("{} m³/h", 40.0 * p.abs().powf(0.65))}))
        .collect();
    home["measurements"]["door"] = json!({
        "stage": stage, "points": points, "zero_flow": ["0 Pa", "0 Pa"], "indoor": "20 °C", "outdoor": "20 °C",
        "barometer": "101325 Pa", "still_open": still_open,
    });
    home
}

/// 40 m³/h at 1 Pa and n = 0.65, in m³/s at 50 Pa.
pub fn measured() -> f64 {
    40.0 / 3600.0 * 50.0f64.powf(0.65)
}
