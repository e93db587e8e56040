//! Homes and take-off facts for the tests of this crate.

use mateline_envelope::{Envelope, library};
use mateline_model::quantity::{Area, Length, Quantity};
use mateline_model::{Basis, Fact, Facts, Home, Subject, Value};
use mateline_sdk::{Findings, Plugin, Request};
use serde_json::json;

/// m²·K/W in one h·ft²·°F/Btu (NIST SP 811, from memory, to seven digits 0.1761102).
pub const R: f64 = 0.176_110_183_682;

/// A home of one box with these assemblies and openings, and the library's materials beside its own.
pub fn home(assemblies: serde_json::Value, openings: serde_json::Value, materials: serde_json::Value) -> Home {
    let mut home: Home = serde_json::from_value(json!({
        "home": "Test home, invented",
        "revision": {"id": "A", "date": "2026-01-01"},
        "site": {"place": "Nowhere", "climate_zone": "6A"},
        "modules": {"A": {"level": 1, "at": {"x": "0 ft", "y": "0 ft"},
            "size": {"x": "40 ft", "y": "13 ft 4 in", "z": "9 ft"}}},
        "assemblies": assemblies,
        "openings": openings,
        "materials": materials,
    }))
    .unwrap_or_else(|error| panic!("{error}"));
    for (id, material) in library() {
        home.materials.entry(id.clone()).or_insert_with(|| material.clone());
    }
    home
}

/// Take-off facts written by hand.
#[derive(Default)]
pub struct TakeOff(pub Facts);

impl TakeOff {
    fn add(mut self, subject: &str, quantity: &'static str, value: Value) -> TakeOff {
        let fact = Fact {
            subject: subject.into(),
            quantity: quantity.into(),
            value,
            basis: Basis::new("by hand", "test"),
            at: None,
        };
        self.0.insert(fact).unwrap_or_else(|fact| panic!("{} twice", fact.quantity));
        self
    }

    pub fn number(self, subject: &str, quantity: &'static str, value: impl Into<Quantity>) -> TakeOff {
        self.add(subject, quantity, Value::Number(value.into()))
    }

    pub fn text(self, subject: &str, quantity: &'static str, text: &str) -> TakeOff {
        self.add(subject, quantity, Value::Text(text.to_owned()))
    }

    /// A surface of an assembly.
    pub fn surface(self, id: &str, assembly: &str, boundary: &str, square_metres: f64) -> TakeOff {
        let subject = format!("surfaces.{id}");
        self.text(&subject, "takeoff.assembly", assembly).text(&subject, "takeoff.boundary", boundary).number(
            &subject,
            "takeoff.net_area",
            Area::from_si(square_metres),
        )
    }

    /// A closed envelope.
    pub fn closed(self, square_metres: f64) -> TakeOff {
        self.number("home", "takeoff.exterior_envelope_area", Area::from_si(square_metres))
    }

    /// An opening in an assembly.
    pub fn opening(self, id: &str, assembly: &str, square_metres: f64) -> TakeOff {
        let subject = format!("openings.{id}");
        self.text(&subject, "takeoff.assembly", assembly).number(&subject, "takeoff.area", Area::from_si(square_metres))
    }

    /// The wall of an assembly, for counting its framing.
    pub fn wall(self, assembly: &str, run: f64, height: f64, corners: f64, mate_line_ends: f64) -> TakeOff {
        let subject = format!("assemblies.{assembly}");
        self.number(&subject, "takeoff.run_length", Length::from_si(run))
            .number(&subject, "takeoff.gross_area", Area::from_si(run * height))
            .number(&subject, "takeoff.corners", corners)
            .number(&subject, "takeoff.mate_line_ends", mate_line_ends)
    }
}

pub fn run(home: &Home, takeoff: &TakeOff, settings: &[(String, serde_json::Value)]) -> Findings {
    Envelope.run(&Request { home, facts: &takeoff.0, settings, shown: true }).unwrap_or_else(|error| panic!("{error}"))
}

pub fn fact<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a Fact {
    findings
        .facts
        .iter()
        .find(|fact| fact.subject == Subject::from(subject) && fact.quantity == quantity)
        .unwrap_or_else(|| {
            panic!("no {quantity} of {subject}; missing: {:?}; problems: {:?}", findings.missing, findings.problems)
        })
}

/// A fact's number in SI.
pub fn si(findings: &Findings, subject: &str, quantity: &str) -> f64 {
    fact(findings, subject, quantity).value.number().unwrap_or_else(|| panic!("{quantity} is no number")).si
}

/// Why a fact is missing.
pub fn because<'a>(findings: &'a Findings, subject: &str, quantity: &str) -> &'a str {
    findings
        .missing
        .iter()
        .find(|missing| missing.subject == Subject::from(subject) && missing.quantity == quantity)
        .map_or_else(|| panic!("{quantity} of {subject} is not missing"), |missing| missing.because.as_str())
}

#[track_caller]
pub fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}, tolerance {tolerance}");
}
