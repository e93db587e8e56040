//! A small home with materials of its own, and the facts that other plugins would have found.

use mateline_model::quantity::{Dimension, Quantity};
use mateline_model::{Basis, Fact, Facts, Home, Value as FactValue};
use mateline_moisture::Moisture;
use mateline_sdk::{Findings, Plugin, Request};
use serde_json::{Value, json};

/// Relative humidity at a surface above which mould grows: ISO 13788:2012, 5.1 (from memory, high).
pub const MOULD: f64 = 0.8;

/// One box in the example climate of ISO 13788:2012 (from memory), all else invented. `change` is merged over it; null takes away.
pub fn home(change: Value) -> Home {
    let climate = [
        ("jan", -1, 85),
        ("feb", 0, 84),
        ("mar", 4, 78),
        ("apr", 9, 72),
        ("may", 14, 68),
        ("jun", 18, 69),
        ("jul", 19, 73),
        ("aug", 19, 75),
        ("sep", 15, 79),
        ("oct", 10, 83),
        ("nov", 5, 88),
        ("dec", 1, 88),
    ];
    let months: serde_json::Map<String, Value> = climate
        .iter()
        .map(|(month, t, humidity)| {
            ((*month).to_owned(), json!({"temperature": format!("{t} °C"), "humidity": format!("{humidity} %")}))
        })
        .collect();
    let material = |kind: &str, conductivity: &str, mu: f64| json!({"kind": kind, "conductivity": conductivity, "vapour_resistance": mu, "source": "invented"});
    let mut whole = json!({
        "home": "Test home, invented",
        "revision": {"id": "A", "date": "2026-01-01"},
        "site": {"place": "Nowhere", "climate_zone": "5A", "months": months},
        "modules": {"A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": {"x": "12 m", "y": "4 m", "z": "3 m"}}},
        "materials": {
            "gypsum-board": material("board", "0.25 W/(m·K)", 10.0),
            "osb": material("board", "0.13 W/(m·K)", 50.0),
            "wood-fibre-board": material("board", "0.05 W/(m·K)", 5.0),
            "wood": material("wood", "0.13 W/(m·K)", 50.0),
            "wool": material("fibre-insulation", "0.035 W/(m·K)", 1.0),
            "foam": material("foam-insulation", "0.035 W/(m·K)", 60.0),
            "foil": {"name": "Foil", "kind": "membrane", "permeance": "0.01 perm", "source": "invented"},
            "wrap": {"kind": "membrane", "permeance": "50 perm", "source": "invented"},
            "paint": {"kind": "finish", "permeance": "6 perm", "source": "invented"},
        },
        "assemblies": {
            "wall": {"kind": "wall", "layers": [
                {"material": "gypsum-board", "thickness": "12.5 mm"},
                {"framed": {"member": "wood", "size": "38 mm x 140 mm", "spacing": "406 mm", "fill": "wool"}},
                {"material": "osb", "thickness": "11 mm"},
                {"material": "foam", "thickness": "50 mm"},
                {"vented-cavity": "20 mm"},
            ]},
            "ceiling": {"kind": "ceiling", "layers": [
                {"material": "gypsum-board", "thickness": "12.5 mm"},
                {"material": "wool", "thickness": "400 mm"},
            ]},
        },
    });
    whole["materials"]["wool"]["name"] = "Wool".into();
    whole["materials"]["osb"]["name"] = "Osb".into();
    let paint = json!({"material": "paint"});
    if let Some(layers) = whole["assemblies"]["wall"]["layers"].as_array_mut() {
        layers.insert(0, paint);
    }
    merge(&mut whole, change);
    serde_json::from_value(whole).unwrap_or_else(|error| panic!("{error}"))
}

fn merge(into: &mut Value, change: Value) {
    match (into, change) {
        (Value::Object(into), Value::Object(change)) => {
            for (key, value) in change {
                if value.is_null() {
                    into.remove(&key);
                } else {
                    merge(into.entry(key).or_insert(Value::Null), value);
                }
            }
        }
        (into, change) => *into = change,
    }
}

/// Runs the plugin with these facts known beforehand: subject, quantity, SI value.
pub fn run(home: &Home, known: &[(&str, &str, f64)]) -> Findings {
    let mut facts = Facts::default();
    for (subject, quantity, value) in known {
        let value = FactValue::Number(Quantity::new(*value, Dimension::PLAIN));
        let fact = Fact {
            subject: (*subject).into(),
            quantity: (*quantity).to_owned().into(),
            value,
            basis: Basis::default(),
            at: None,
        };
        drop(facts.insert(fact));
    }
    let settings = [(
        "moisture-control".to_owned(),
        json!({"tight": "0.1 perm", "responsive": "1.0 perm", "mould": "80 %", "foam_retarder": "1.5 perm", "deck": {"indoor": "68 °F", "coldest_months": 3}}),
    )];
    Moisture.run(&Request { home, facts: &facts, settings: &settings, shown: true }).unwrap()
}

fn value<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a FactValue {
    let fact = findings.facts.iter().find(|fact| fact.subject.as_str() == subject && fact.quantity == quantity);
    &fact.unwrap_or_else(|| panic!("{subject} has no {quantity}; missing: {:?}", findings.missing)).value
}

/// A number, in SI.
pub fn number(findings: &Findings, subject: &str, quantity: &str) -> f64 {
    value(findings, subject, quantity).number().unwrap().si
}

/// A word.
pub fn text<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    value(findings, subject, quantity).text().unwrap()
}

/// A yes or no.
pub fn found(findings: &Findings, subject: &str, quantity: &str) -> bool {
    *value(findings, subject, quantity) == FactValue::Flag(true)
}

/// Why a fact is missing, and where that could be given.
pub fn missing(findings: &Findings, subject: &str, quantity: &str) -> (String, String) {
    let lack = findings.missing.iter().find(|lack| lack.subject.as_str() == subject && lack.quantity == quantity);
    let lack = lack.unwrap_or_else(|| panic!("{quantity} of {subject} is not among what is missing"));
    (lack.because.clone(), lack.at.clone().map_or_else(String::new, |at| at.path))
}
