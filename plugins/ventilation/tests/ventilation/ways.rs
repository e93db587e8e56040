//! The ways that codes grant beside the plain one: windows in place of a fan, a kitchen's air by volume, recovery by some of
//! the units, and how far ducts reach. By hand, on a small invented home.

use crate::support::{Given, home, rates, run};
use serde_json::json;

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found} against {expected}");
}

/// Two windows of 0.6 m by 0.9 m are 1.08 m². A casement opens whole, a slider half, a fixed one not; clear sizes come first.
#[test]
fn how_much_of_a_room_s_windows_opens() {
    let with = |window: serde_json::Value| {
        let mut home = home();
        home["openings"] = json!({"w": window});
        run(&home)
    };
    let window = |more: serde_json::Value| {
        let mut window = json!({"kind": "window", "module": "A", "face": "south", "width": "0.6 m", "height": "0.9 m", "count": 2, "space": "bath"});
        for (key, value) in more.as_object().unwrap() {
            window[key] = value.clone();
        }
        window
    };
    for (more, openable) in [
        (json!({"operation": "casement"}), 1.08),
        (json!({"operation": "slider"}), 0.54),
        (json!({"operation": "fixed"}), 0.0),
        (json!({"operation": "fixed", "clear_width": "0.5 m", "clear_height": "0.8 m"}), 0.8),
    ] {
        let found = with(window(more));
        close(found.number("spaces.bath", "openable_area"), openable);
    }
    let found = with(window(json!({})));
    assert_eq!(found.because("spaces.bath", "openable_area"), "openings.w does not say how it opens");
    // A door, and a window of another room or of none, are none of its windows.
    for more in [json!({"kind": "opaque-door"}), json!({"space": "kitchen"}), json!({"space": null})] {
        let found = with(window(more));
        assert_eq!(found.because("spaces.bath", "openable_area"), "no window names spaces.bath as its space");
    }
}

/// An enclosed kitchen of 10 m² by 2.5 m asks 5 · 25 = 125 m³/h, 73.57 cfm, on demand too: ASHRAE 62.2, 5.2 (from memory, med).
#[test]
fn an_enclosed_kitchen_on_demand() {
    let mut home = home();
    home["systems"]["kitchen_hood"] = json!({"vented": false});
    home["systems"]["ventilation"]["wall-fan"] =
        json!({"kind": "exhaust-fan", "exhausts": {"kitchen": "80 cfm"}, "run_time": "4 %"});
    home["spaces"]["kitchen"]["door_undercut"] = json!("3/4 in");
    let mut given = Given::default();
    let mut rates = rates();
    rates["standard"]["local_exhaust"]["kitchen"]["air_changes_on_demand"] =
        json!({"rate": "5 1/h", "provenance": "from memory, med"});
    given.settings = vec![("rates".to_owned(), rates)];
    let found = given.run(&home);
    assert_eq!(found.text("spaces.kitchen", "local_exhaust_mode"), "on demand");
    assert!((found.cfm("spaces.kitchen", "local_exhaust_required") - 73.57).abs() < 0.01);
}

/// A supply fan of 20 cfm brings air and no heat back: 80 of the home's 100 cfm are recovered.
#[test]
fn what_units_with_recovery_bring() {
    let mut home = home();
    home["systems"]["ventilation"]["fan"] = json!({"kind": "supply-fan", "supplies": {"hall": "20 cfm"}});
    let found = run(&home);
    close(found.cfm("home", "delivered_flow_code"), 100.0);
    close(found.cfm("home", "recovered_flow"), 80.0);
}

/// Main 2 m, branches of 3 m and 6 m supply, 1 m exhausts: the shortest run is 2 + 1, the longest that supplies 2 + 6.
#[test]
fn how_far_ducts_reach() {
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["ducts"] = json!({
        "main": {"length": "2 m", "diameter": "160 mm"},
        "near": {"to": "living", "length": "3 m", "diameter": "125 mm"},
        "far": {"to": "bed-1", "length": "6 m", "diameter": "125 mm"},
        "out": {"to": "bath", "length": "1 m", "diameter": "125 mm"},
    });
    let found = run(&home);
    close(found.number("systems.ventilation.unit", "shortest_run"), 3.0);
    close(found.number("systems.ventilation.unit", "longest_run"), 8.0);
}
