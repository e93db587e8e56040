//! Homes for tests, built from JSON.

#![allow(clippy::panic, reason = "a test may stop here")]

use mateline_model::Home;
use serde_json::{Value, json};

/// A home of some boxes; all values are invented.
pub fn home(modules: Value) -> Home {
    let home = json!({
        "home": "Test home",
        "revision": { "id": "A", "date": "2026-10-05" },
        "site": { "place": "Nowhere", "climate_zone": "6A" },
        "modules": modules,
    });
    serde_json::from_value(home).unwrap_or_else(|error| panic!("{error}"))
}

/// A box in metres.
pub fn metric(level: u32, [x, y]: [f64; 2], [dx, dy, dz]: [f64; 3]) -> Value {
    let m = |metres: f64| format!("{metres} m");
    json!({ "level": level, "at": { "x": m(x), "y": m(y) }, "size": { "x": m(dx), "y": m(dy), "z": m(dz) } })
}
