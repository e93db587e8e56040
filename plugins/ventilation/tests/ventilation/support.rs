//! A small invented home, and what the plugin finds out about it.

use mateline_model::home::Home;
use mateline_model::quantity::{Area, Flow, Quantity};
use mateline_model::{Basis, Fact, Facts, Missing, Subject, Value};
use mateline_sdk::{Findings, Plugin, Request};
use mateline_ventilation::Ventilation;
use mateline_ventilation::rates::{CFM, SQUARE_FOOT};
use serde_json::{Value as Json, json};

/// Two bedrooms, a bath and a living room that is open to a hall, with one balanced unit.
pub fn home() -> Json {
    json!({
        "home": "Plover Row",
        "revision": {"id": "A", "date": "2026-11-01"},
        "site": {"place": "an invented town", "climate_zone": "6A", "design_heating": "-20 °C", "indoor_heating": "20 °C"},
        "modules": {"A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": {"x": "12 m", "y": "4 m", "z": "3 m"}}},
        "spaces": {
            "living": {"use": "living", "in": "A", "floor_area": "30 m²", "height": "2.5 m"},
            "kitchen": {"use": "kitchen", "in": "A", "floor_area": "10 m²", "height": "2.5 m", "opens_to": "living"},
            "hall": {"use": "hall", "in": "A", "floor_area": "6 m²", "height": "2.5 m"},
            "bed-1": {"use": "bedroom", "in": "A", "floor_area": "12 m²", "height": "2.5 m", "sleeps": 2,
                      "door_undercut": "3/4 in", "door_width": "30 in"},
            "bed-2": {"use": "bedroom", "in": "A", "floor_area": "10 m²", "height": "2.5 m", "sleeps": 1,
                      "door_undercut": "3/4 in"},
            "bath": {"use": "bathroom", "in": "A", "floor_area": "5 m²", "height": "2.5 m", "door_undercut": "3/4 in"}
        },
        "systems": {
            "ventilation": {"unit": {
                "kind": "heat-recovery", "supply": "80 cfm", "exhaust": "80 cfm", "boost": "120 cfm",
                "supplies": {"living": "30 cfm", "bed-1": "30 cfm", "bed-2": "20 cfm"},
                "exhausts": {"kitchen": "40 cfm", "bath": "40 cfm"},
                "sensible_recovery": "80 %", "power": "50 W"
            }},
            "heating": {"kind": "heat pump", "fuel": "heat-pump"},
            "hot_water": {"kind": "storage heater", "fuel": "heat-pump"},
            "kitchen_hood": {"vented": true, "flow": "200 cfm"},
            "clothes_dryer": {"kind": "condensing"}
        }
    })
}

/// The rates of ASHRAE 62.2 and of IRC 2021, M1505 (from memory, high), as a pack would hand them over.
pub fn rates() -> Json {
    let asked = |rate: &str| json!({"rate": rate, "provenance": "from memory, high"});
    let bath = json!({"continuous": asked("20 cfm"), "on_demand": asked("50 cfm")});
    json!({
        "co2_level": "1000 ppm",
        "heard_from": "600 ft/min",
        "standard": {
            "source": "ASHRAE 62.2, 4.1", "provenance": "from memory, high", "per_floor_area": "0.03 cfm/ft²",
            "per_bedroom": "7.5 cfm", "per_further_sleeper": "7.5 cfm", "greatest_credit": "2/3",
            "balanced_within": "10 %",
            "local_exhaust": {
                "source": "ASHRAE 62.2, 5.2 and 5.3", "bathroom": bath,
                "kitchen": {"hood": asked("100 cfm"), "on_demand": asked("300 cfm"), "air_changes": asked("5 1/h")}
            }
        },
        "code": {
            "source": "IRC 2021, M1505.4", "provenance": "from memory, high", "per_floor_area": "0.01 cfm/ft²",
            "per_bedroom": "7.5 cfm", "reduced_to": "70 %", "balanced_within": "10 %",
            "run_time": {
                "source": "IRC 2021, Table M1505.4.3(2)", "provenance": "from memory, high",
                "factors": [["25 %", 4], ["33 %", 3], ["50 %", 2], ["66 %", 1.5], ["75 %", 1.3], ["100 %", 1]]
            },
            "local_exhaust": {
                "source": "IRC 2021, Table M1505.4.4", "bathroom": bath, "half-bath": bath,
                "kitchen": {"continuous": asked("25 cfm"), "on_demand": asked("100 cfm")}
            }
        }
    })
}

/// Facts that other plugins would have found.
pub struct Given {
    pub facts: Facts,
    pub settings: Vec<(String, Json)>,
}

impl Default for Given {
    /// 1000 ft², two bedrooms, three sleepers; the leakage is not known.
    fn default() -> Given {
        let given = Given { facts: Facts::default(), settings: vec![("rates".to_owned(), rates())] };
        given
            .number("takeoff.floor_area", Area::from_si(1000.0 * SQUARE_FOOT))
            .number("takeoff.bedrooms", 2.0)
            .number("takeoff.sleepers", 3.0)
    }
}

impl Given {
    pub fn number(mut self, quantity: &'static str, value: impl Into<Quantity>) -> Given {
        let value = Value::Number(value.into());
        let basis = Basis::new("given to the test", "none");
        let fact = Fact { subject: Subject::home(), quantity: quantity.into(), value, basis, at: None };
        self.facts.insert(fact).unwrap();
        self
    }

    pub fn leakage(self, cfm50: f64) -> Given {
        self.number("airtightness.best_q50", Flow::from_si(cfm50 * CFM))
    }

    pub fn run(&self, home: &Json) -> Found {
        let home: Home = serde_json::from_value(home.clone()).unwrap();
        let request = Request { home: &home, facts: &self.facts, settings: &self.settings, shown: true };
        Found(Ventilation.run(&request).unwrap())
    }
}

pub fn run(home: &Json) -> Found {
    Given::default().run(home)
}

pub struct Found(pub Findings);

impl Found {
    pub fn fact(&self, subject: &str, name: &str) -> Option<&Fact> {
        let name = format!("ventilation.{name}");
        self.0.facts.iter().find(|fact| fact.subject.as_str() == subject && fact.quantity == name)
    }

    /// A number in SI.
    pub fn number(&self, subject: &str, name: &str) -> f64 {
        let fact = self.fact(subject, name);
        let number = fact.and_then(|fact| fact.value.number());
        number
            .unwrap_or_else(|| {
                panic!("{name} of {subject}: {:?} {:?}", fact.map(|f| &f.value), self.missing(subject, name))
            })
            .si
    }

    pub fn cfm(&self, subject: &str, name: &str) -> f64 {
        self.number(subject, name) / CFM
    }

    pub fn ppm(&self, subject: &str, name: &str) -> f64 {
        self.number(subject, name) * 1e6
    }

    pub fn flag(&self, subject: &str, name: &str) -> bool {
        match self.fact(subject, name).map(|fact| &fact.value) {
            Some(Value::Flag(flag)) => *flag,
            other => panic!("{name} of {subject}: {other:?}"),
        }
    }

    pub fn text(&self, subject: &str, name: &str) -> &str {
        self.fact(subject, name).and_then(|fact| fact.value.text()).unwrap_or_else(|| panic!("{name} of {subject}"))
    }

    pub fn missing(&self, subject: &str, name: &str) -> Option<&Missing> {
        let name = format!("ventilation.{name}");
        self.0.missing.iter().find(|missing| missing.subject.as_str() == subject && missing.quantity == name)
    }

    pub fn because(&self, subject: &str, name: &str) -> &str {
        assert!(self.fact(subject, name).is_none(), "{name} of {subject} is both found and missing");
        &self.missing(subject, name).unwrap_or_else(|| panic!("{name} of {subject} is not missing")).because
    }

    pub fn problem(&self) -> &str {
        &self.0.problems.first().unwrap_or_else(|| panic!("no problem")).message
    }
}
