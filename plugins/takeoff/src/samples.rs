//! Homes for tests, built from JSON.

#![allow(clippy::panic, reason = "a test may stop here")]

use mateline_model::Home;
use serde_json::{Value, json};

/// A home with the given sections and a name, revision and site of its own. All values are invented.
pub fn home(sections: Value) -> Home {
    let mut all = json!({
        "home": "Test home",
        "units": "si",
        "revision": { "id": "A", "date": "2026-10-05" },
        "site": { "place": "Nowhere", "climate_zone": "6A" },
        "modules": {},
    });
    if let (Some(all), Value::Object(sections)) = (all.as_object_mut(), sections) {
        all.extend(sections);
    }
    serde_json::from_value(all).unwrap_or_else(|error| panic!("{error}"))
}
