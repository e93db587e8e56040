//! Every fact is declared, stated once, and has a calculation that can be followed; figures' data agree with the facts.

use crate::support::{Given, home};
use mateline_model::home::Home;
use mateline_model::{Origin, ValueKind};
use mateline_sdk::{Plugin, Request};
use mateline_ventilation::curves::{air_paths, co2_curves};
use mateline_ventilation::rates::CFM;
use mateline_ventilation::{Mode, Ventilation};
use serde_json::{Value as Json, json};
use std::collections::{BTreeMap, BTreeSet};

/// The home with everything described that a basis can point to.
fn full() -> Json {
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["ducts"] = json!({
        "main": {"length": "6 m", "diameter": "160 mm"},
        "to-bed-1": {"to": "bed-1", "length": "5 m", "diameter": "100 mm", "fittings": 2.0, "after": "main"},
    });
    home["systems"]["ventilation"]["unit"]["filter_drop"] = json!("25 Pa");
    home["systems"]["ventilation"]["unit"]["fan_curve"] =
        json!([{"flow": "20 cfm", "pressure": "200 Pa"}, {"flow": "150 cfm", "pressure": "10 Pa"}]);
    home["systems"]["ventilation"]["fan"] =
        json!({"kind": "exhaust-fan", "exhaust": "50 cfm", "exhausts": {"bath": "50 cfm"}, "run_time": "5 %"});
    home["spaces"]["closet"] =
        json!({"use": "closet", "in": "A", "floor_area": "2 m²", "height": "2.5 m", "opens_to": "bed-1"});
    home["openings"] = json!({"w": {"kind": "window", "module": "A", "face": "south", "width": "0.6 m", "height": "0.9 m",
        "operation": "casement", "space": "bath"}});
    home["measurements"] = json!({"flows": {"kind": "ventilation-flows", "flows": {"bath": "41 cfm"}}});
    home
}

fn exists(home: &Json, path: &str) -> bool {
    path.split('.')
        .try_fold(home, |here, step| match here {
            Json::Array(list) => list.get(step.parse::<usize>().ok()?),
            other => other.get(step),
        })
        .is_some()
}

#[test]
fn facts_are_declared_stated_once_and_can_be_followed() {
    let full = full();
    let definitions = Ventilation.declaration().quantities;
    let definitions: BTreeMap<&str, _> =
        definitions.iter().map(|definition| (definition.name.as_ref(), definition)).collect();
    let mut seen = BTreeSet::new();
    for given in [Given::default(), Given::default().leakage(150.0)] {
        let found = given.run(&full);
        let stated: BTreeSet<(String, String)> =
            found.0.facts.iter().map(|fact| (fact.subject.to_string(), fact.quantity.to_string())).collect();
        assert_eq!(stated.len(), found.0.facts.len(), "a fact is stated twice");
        for missing in &found.0.missing {
            let key = (missing.subject.to_string(), missing.quantity.to_string());
            assert!(!stated.contains(&key), "{key:?} is both found and missing");
            assert!(definitions.contains_key(missing.quantity.as_ref()));
        }
        for fact in &found.0.facts {
            let name = format!("{} {}", fact.subject, fact.quantity);
            let definition =
                definitions.get(fact.quantity.as_ref()).unwrap_or_else(|| panic!("{name} is not declared"));
            match definition.kind {
                ValueKind::Number => {
                    let number = fact.value.number().unwrap_or_else(|| panic!("{name}"));
                    assert!(number.si.is_finite(), "{name}");
                    assert_eq!(number.dimension, definition.dimension(), "{name}");
                }
                ValueKind::Text => assert!(fact.value.text().is_some(), "{name}"),
                ValueKind::Flag => assert!(matches!(fact.value, mateline_model::Value::Flag(_)), "{name}"),
            }
            assert!(!fact.basis.method.is_empty() && !fact.basis.source.is_empty(), "{name}");
            assert!(!fact.basis.steps.is_empty(), "{name}");
            for term in fact.basis.steps.iter().flat_map(|step| step.terms.iter().chain(&step.result)) {
                match &term.origin {
                    Origin::Given(path) => assert!(exists(&full, path), "{name}: {path} is not in the home"),
                    Origin::Fact(subject, quantity) if quantity.starts_with("ventilation.") => {
                        assert!(
                            stated.contains(&(subject.to_string(), quantity.to_string())),
                            "{name}: {subject} {quantity}"
                        );
                    }
                    Origin::Fact(subject, quantity) => {
                        assert!(given.facts.get(subject, quantity).is_some(), "{name}: {subject} {quantity}");
                    }
                    Origin::Computed | Origin::Published(_) => {}
                }
                if let Some(number) = term.value.number() {
                    assert_eq!(Some(number.dimension), term.units.dimension(), "{name}: {}", term.symbol);
                }
            }
            if let Some(at) = &fact.at {
                assert!(exists(&full, &at.path), "{name}: {} is not in the home", at.path);
            }
            seen.insert(fact.quantity.to_string());
        }
    }
    let unseen: Vec<&&str> = definitions.keys().filter(|name| !seen.contains(**name)).collect();
    assert!(unseen.is_empty(), "{unseen:?}");
}

#[test]
fn the_same_home_gives_the_same_facts() {
    let found = [full(), full()].map(|home| Given::default().leakage(150.0).run(&home).0);
    let [first, second] = found;
    assert_eq!(first.facts, second.facts);
    assert_eq!(first.missing, second.missing);
}

#[test]
fn data_for_figures() {
    let home: Home = serde_json::from_value(home()).unwrap();
    let given = Given::default();
    let request = Request { home: &home, facts: &given.facts, settings: &[], shown: true };
    let curves = co2_curves(&request);
    assert_eq!(curves.len(), 4);
    let night = curves.first().unwrap();
    assert_eq!((night.space.as_str(), night.unit_off, night.points.len()), ("bed-1", false, 49));
    assert_eq!(night.points.first(), Some(&(0.0, 600.0)));
    let peak = given.run(&crate::support::home()).ppm("spaces.bed-1", "co2_peak");
    assert!((night.points.last().unwrap().1 - peak).abs() < 1e-6);
    let paths = air_paths(&request, Mode::Ordinary);
    let flow = |from: &str, to: &str| paths.iter().find(|path| path.from == from && path.to == to).unwrap().flow / CFM;
    assert!((flow("unit", "bed-1") - 30.0).abs() < 1e-9);
    assert!((flow("bed-1", "living + kitchen + hall") - 30.0).abs() < 1e-6);
    assert!((flow("living + kitchen + hall", "bath") - 40.0).abs() < 1e-6);
    assert!(air_paths(&request, Mode::MainOff).is_empty());
}
