//! The boundary driven from a language that is neither C nor Rust: Python's ctypes, which knows nothing of the SDK.

use crate::libraries::{compile, has_compiler, root};
use crate::project::Project;
use mateline_sdk::message::{Handshake, RunResponse};
use std::process::Command;

#[test]
fn python_calls_a_plugin_through_the_three_functions() {
    if !has_compiler() {
        return;
    }
    if !Command::new("python3").arg("--version").output().is_ok_and(|output| output.status.success()) {
        println!("left out: a plugin called from Python, for there is no python3");
        return;
    }
    let project = Project::naming(&["compactness.so"], &[]);
    let library = project.path().join("compactness.so");
    compile(&root().join("examples/plugin-c/plugin.c"), &library);
    project.mateline(&["plugins", "approve", "compactness.so"]);
    let (_, report) = project.check(&[]);
    let home = &report["facts"]["home"];
    let value = |quantity: &str| home[quantity]["value"].as_f64().unwrap();
    let (area, volume) = (value("takeoff.interior_envelope_area"), value("takeoff.volume"));

    // The two facts the plugin reads, written by hand as `schemas/plugin-request.schema.json` describes them.
    let fact = |quantity: &str, value: f64, unit: &str| serde_json::json!({"subject": "home", "quantity": quantity, "value": {"number": {"value": value, "unit": unit}}});
    let request = serde_json::json!({
        "home": {"home": "H", "revision": {"id": "A", "date": "2026-10-05"}, "site": {"place": "P"}, "modules": {}},
        "facts": [fact("takeoff.interior_envelope_area", area, "m²"), fact("takeoff.volume", volume, "m³")],
        "settings": [],
    });
    let output = Command::new("python3")
        .arg(root().join("tests/plugins/call_plugin.py"))
        .arg(&library)
        .arg(request.to_string())
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((&said["handshake_status"], &said["run_status"]), (&0.into(), &0.into()), "{said}");
    let handshake: Handshake = serde_json::from_value(said["handshake"].clone()).unwrap();
    assert_eq!((handshake.abi, handshake.name.as_str()), (2, "compactness"));
    let response: RunResponse = serde_json::from_value(said["response"].clone()).unwrap();
    assert!(!response.facts.is_empty());
    let ratio = said["response"]["facts"][0]["value"]["number"]["value"].as_f64().unwrap();
    assert!((ratio - area / volume).abs() < 1e-12, "{ratio}");
}
