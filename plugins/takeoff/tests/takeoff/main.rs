//! The takeoff plugin as a whole: arrangements worked by hand, counting against cubes, and every problem.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod arrangements;
mod counting;
mod foundations;
mod gaps;
mod missing;
mod problems;
#[path = "../../src/samples.rs"]
mod samples;
mod slopes;

use mateline_model::{Facts, Home, Subject};
use mateline_sdk::{Findings, Plugin, Request};
use mateline_takeoff::Takeoff;
use serde_json::{Value, json};

/// A box in metres.
fn metric(level: u32, [x, y]: [f64; 2], [dx, dy, dz]: [f64; 3]) -> Value {
    let m = |metres: f64| format!("{metres} m");
    json!({ "level": level, "at": { "x": m(x), "y": m(y) }, "size": { "x": m(dx), "y": m(dy), "z": m(dz) } })
}

/// Runs the plugin.
fn run(home: &Home) -> Findings {
    let facts = Facts::default();
    Takeoff.run(&Request { home, facts: &facts, settings: &[], shown: true }).unwrap()
}

/// Facts of a home that has no problems, each of which has to be declared and have a basis.
struct Found(Facts, Findings);

impl Found {
    fn of(sections: Value) -> Found {
        let mut findings = run(&samples::home(sections));
        assert_eq!(findings.problems, []);
        let mut facts = Facts::default();
        for fact in std::mem::take(&mut findings.facts) {
            let declared =
                mateline_takeoff::quantities().into_iter().find(|definition| definition.name == fact.quantity);
            let declared = declared.unwrap_or_else(|| panic!("{} is not declared", fact.quantity));
            if let Some(quantity) = fact.value.number() {
                assert_eq!(quantity.dimension, declared.dimension(), "{}", fact.quantity);
                assert!(quantity.si.is_finite(), "{} of {}", fact.quantity, fact.subject);
            }
            assert!(!fact.basis.method.is_empty(), "{} of {}", fact.quantity, fact.subject);
            facts.insert(fact).unwrap();
        }
        Found(facts, findings)
    }

    fn number(&self, subject: &str, quantity: &str) -> f64 {
        let fact = self.0.get(&Subject::from(subject), &format!("takeoff.{quantity}"));
        let fact = fact.unwrap_or_else(|| panic!("{subject} has no {quantity}: {:?}", self.missing(subject)));
        fact.value.number().unwrap().si
    }

    fn text(&self, subject: &str, quantity: &str) -> &str {
        self.0.get(&Subject::from(subject), &format!("takeoff.{quantity}")).unwrap().value.text().unwrap()
    }

    fn missing(&self, subject: &str) -> Vec<(String, String)> {
        let of = self.1.missing.iter().filter(|missing| missing.subject.as_str() == subject);
        of.map(|missing| (missing.quantity.to_string(), missing.because.clone())).collect()
    }

    #[track_caller]
    fn close(&self, subject: &str, quantity: &str, wanted: f64) {
        let value = self.number(subject, quantity);
        assert!((value - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{quantity} of {subject}: {value}, {wanted}");
    }

    /// Every surface with its gross area, in order.
    #[track_caller]
    fn surfaces(&self, wanted: &[(&str, f64)]) {
        let found: Vec<&str> =
            self.0.subjects().filter(|subject| subject.section() == "surfaces").map(|subject| subject.id()).collect();
        let names: Vec<&str> = wanted.iter().map(|(name, _)| *name).collect();
        assert_eq!(found, names);
        for (name, area) in wanted {
            self.close(&format!("surfaces.{name}"), "gross_area", *area);
        }
    }

    /// Every mate line with its contact area and the length that crosses the air barrier, in order.
    #[track_caller]
    fn seams(&self, wanted: &[(&str, f64, f64)]) {
        let found: Vec<&str> =
            self.0.subjects().filter(|subject| subject.section() == "seams").map(|subject| subject.id()).collect();
        let names: Vec<&str> = wanted.iter().map(|(name, ..)| *name).collect();
        assert_eq!(found, names);
        for (name, area, length) in wanted {
            self.close(&format!("seams.{name}"), "contact_area", *area);
            self.close(&format!("seams.{name}"), "seam_length", *length);
        }
        self.close("home", "mate_line_length", wanted.iter().map(|(_, _, length)| length).sum());
    }
}

/// Materials and assemblies with round numbers. Inside the faces of a box: wall 0.2 m, floor 0.3 m, ceiling 0.2 m,
/// concrete 0.2 m. Masses per area (kg/m²): wall 0.02·600 + 0.15·(0.25·400 + 0.75·40) + 0.03·600 + 0.1·20 = 51.5,
/// floor 0.02·600 + 0.28·130 = 48.4, ceiling 0.02·600 + 0.18·130 = 35.4.
fn built(modules: Value, more: Value) -> Value {
    let material =
        |kind: &str, density: f64| json!({ "kind": kind, "density": format!("{density} kg/m³"), "source": "invented" });
    let framed = |depth: &str| {
        let size = format!("40 mm x {depth}");
        json!({ "framed": { "member": "wood", "size": size, "spacing": "400 mm", "fill": "fill", "fraction": 0.25 } })
    };
    let board = |thickness: &str| json!({ "material": "board", "thickness": thickness });
    let foam = json!({ "material": "foam", "thickness": "100 mm" });
    let concrete = json!({ "material": "concrete", "thickness": "200 mm" });
    let mut home = json!({
        "modules": modules,
        "materials": {
            "board": material("board", 600.0), "wood": material("wood", 400.0),
            "fill": material("fibre-insulation", 40.0), "foam": material("foam-insulation", 20.0),
            "concrete": material("masonry", 2400.0),
        },
        "assemblies": {
            "wall": { "kind": "wall", "layers": [board("20 mm"), framed("150 mm"), board("30 mm"), foam] },
            "floor": { "kind": "floor", "layers": [board("20 mm"), framed("280 mm")] },
            "ceiling": { "kind": "ceiling", "layers": [board("20 mm"), framed("180 mm")] },
            "roof": { "kind": "roof", "layers": [board("20 mm"), framed("180 mm")] },
            "overhang": { "kind": "exposed-floor", "layers": [board("20 mm"), framed("280 mm"), foam] },
            "concrete-wall": { "kind": "basement-wall", "layers": [concrete, foam] },
            "slab": { "kind": "slab", "layers": [concrete, foam] },
            "garage-wall": {
                "kind": "wall", "adjoins": "garage", "layers": [board("20 mm"), framed("150 mm"), board("30 mm")]
            },
        },
        "enclosure": { "walls": "wall", "ceilings": "ceiling", "floors": "floor" },
    });
    home.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    home
}

/// Two boxes, 10 m by 4 m and 3 m high, side by side.
fn pair() -> Value {
    json!({
        "A": metric(1, [0.0, 0.0], [10.0, 4.0, 3.0]),
        "B": metric(1, [0.0, 4.0], [10.0, 4.0, 3.0]),
    })
}

/// A vented crawl space.
fn crawl() -> Value {
    json!({ "foundation": { "kind": "crawl-space" } })
}
