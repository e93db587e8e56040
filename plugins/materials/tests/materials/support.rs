//! Homes and ventilation facts for the tests of this crate.

use mateline_materials::Materials;
use mateline_model::quantity::{Flow, Length, Quantity};
use mateline_model::{Basis, Fact, Facts, Home, Subject, Value};
use mateline_sdk::{Findings, Plugin, Request};
use serde_json::{Value as Json, json};

/// A home of two rooms and a garage with these finishes and records, judged on 2026-10-05.
pub fn home(finishes: Json, evidence: Json) -> Home {
    serde_json::from_value(json!({
        "home": "Test home, invented",
        "revision": {"id": "A", "date": "2026-10-05"},
        "site": {"place": "Nowhere", "climate_zone": "6A"},
        "modules": {"A": {"level": 1, "at": {"x": "0 ft", "y": "0 ft"},
            "size": {"x": "40 ft", "y": "13 ft 4 in", "z": "9 ft"}}},
        "spaces": {
            "living": {"use": "living", "in": "A", "floor_area": "30 m²", "height": "2.5 m"},
            "bed": {"use": "bedroom", "in": "A", "floor_area": "10 m²", "height": "2.5 m"},
            "cars": {"use": "garage", "in": "A", "floor_area": "40 m²", "height": "2.5 m"},
        },
        "finishes": finishes,
        "evidence": evidence,
    }))
    .unwrap_or_else(|error| panic!("{error}"))
}

/// Facts of other plugins, written by hand.
#[derive(Default)]
pub struct Given(pub Facts);

impl Given {
    /// 30 m³/h into the living room, 10 into the bedroom, 80 into the home in all; 12 m of mate lines.
    pub fn usual() -> Given {
        Given::default()
            .zones(&[("living", 30.0), ("bed", 10.0)], &[])
            .number("home", "ventilation.delivered_flow", flow(80.0))
            .number("home", "takeoff.mate_line_length", Length::from_si(12.0))
    }

    /// Zones with their outdoor air, each of one room, and what passes from zone to zone (m³/h). The rooms' fresh air is only
    /// asked whether there is any.
    pub fn zones(self, zones: &[(&str, f64)], airways: &[(&str, &str, f64)]) -> Given {
        let given = zones.iter().fold(self, |given, (id, outdoor)| {
            let room = format!("spaces.{id}");
            given.number(&room, "ventilation.fresh_air", flow(1.0)).text(&room, "ventilation.zone", id).number(
                &format!("zones.{id}"),
                "ventilation.zone_outdoor_air",
                flow(*outdoor),
            )
        });
        airways.iter().fold(given, |given, (from, to, passed)| {
            let airway = format!("airways.{from}-to-{to}");
            given.text(&airway, "ventilation.airway_from", from).text(&airway, "ventilation.airway_to", to).number(
                &airway,
                "ventilation.airway_flow",
                flow(*passed),
            )
        })
    }

    pub fn text(self, subject: &str, quantity: &'static str, word: &str) -> Given {
        self.fact(subject, quantity, Value::Text(word.to_owned()))
    }

    pub fn number(self, subject: &str, quantity: &'static str, value: impl Into<Quantity>) -> Given {
        self.fact(subject, quantity, Value::Number(value.into()))
    }

    fn fact(mut self, subject: &str, quantity: &'static str, value: Value) -> Given {
        let basis = Basis::new("by hand", "test");
        let fact = Fact { subject: subject.into(), quantity: quantity.into(), value, basis, at: None };
        self.0.insert(fact).unwrap_or_else(|fact| panic!("{} twice", fact.quantity));
        self
    }
}

pub fn flow(cubic_metres_per_hour: f64) -> Flow {
    Flow::from_si(cubic_metres_per_hour / 3_600.0)
}

pub fn run(home: &Home, given: &Given) -> Findings {
    run_with(home, given, &[])
}

pub fn run_with(home: &Home, given: &Given, settings: &[(String, Json)]) -> Findings {
    Materials.run(&Request { home, facts: &given.0, settings, shown: true }).unwrap_or_else(|error| panic!("{error}"))
}

pub fn fact<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a Fact {
    found(findings, subject, quantity).unwrap_or_else(|| {
        panic!("no {quantity} of {subject}; missing: {:?}; problems: {:?}", findings.missing, findings.problems)
    })
}

pub fn found<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> Option<&'a Fact> {
    findings.facts.iter().find(|fact| fact.subject == Subject::from(subject) && fact.quantity == quantity)
}

/// A fact's number in a unit; none for a plain number.
pub fn number(findings: &Findings, subject: &str, quantity: &str, unit: &str) -> f64 {
    let quantity =
        fact(findings, subject, quantity).value.number().unwrap_or_else(|| panic!("{quantity} is no number"));
    if unit.is_empty() {
        return quantity.si;
    }
    mateline_model::quantity::unit(unit).unwrap_or_else(|| panic!("{unit}")).of_si(quantity.si)
}

/// A fact's word.
pub fn text<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    fact(findings, subject, quantity).value.text().unwrap_or_else(|| panic!("{quantity} is no text"))
}

/// A fact's yes or no.
pub fn flag(findings: &Findings, subject: &str, quantity: &str) -> bool {
    match fact(findings, subject, quantity).value {
        Value::Flag(flag) => flag,
        ref other => panic!("{quantity} is {other:?}"),
    }
}

/// Why a fact is missing.
pub fn because<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    assert!(found(findings, subject, quantity).is_none(), "{quantity} of {subject} is stated");
    findings
        .missing
        .iter()
        .find(|missing| missing.subject == Subject::from(subject) && missing.quantity == quantity)
        .map_or_else(|| panic!("{quantity} of {subject} is not missing"), |missing| missing.because.as_str())
}

/// Messages of problems with their places.
pub fn problems(findings: &Findings) -> Vec<(String, String)> {
    findings.problems.iter().map(|problem| (problem.at.path.clone(), problem.message.clone())).collect()
}

#[track_caller]
pub fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}, tolerance {tolerance}");
}
