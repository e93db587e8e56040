//! Delivery room by room, and nights, checked by hand on a small invented home.

use crate::support::{Given, home, run};
use mateline_ventilation::people::{ADULT, sleeper};
use mateline_ventilation::rates::CFM;
use serde_json::json;

fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}");
}

#[test]
fn supply_exhaust_and_transfer_of_each_room() {
    let found = run(&home());
    close(found.cfm("spaces.bed-1", "supply_air"), 30.0, 1e-9);
    close(found.cfm("spaces.bath", "exhaust_air"), 40.0, 1e-9);
    // 30 + 20 cfm leave the bedrooms, 40 cfm go on to the bath.
    close(found.cfm("spaces.bath", "transfer_air"), 40.0, 1e-4);
    close(found.cfm("spaces.bed-1", "transfer_air"), 0.0, 1e-9);
    // Living room, kitchen and hall share one air of 115 m³: its 50 cfm of transfer by their volumes.
    close(found.cfm("spaces.kitchen", "transfer_air"), 50.0 * 25.0 / 115.0, 1e-4);
    for (room, by) in [("bed-1", "supply"), ("bath", "transfer"), ("hall", "shared air of living + kitchen + hall")] {
        assert!(found.flag(&format!("spaces.{room}"), "reached"));
        assert_eq!(found.text(&format!("spaces.{room}"), "reached_by"), by);
    }
    close(found.cfm("home", "supply_total"), 80.0, 1e-9);
    close(found.number("home", "imbalance"), 0.0, 1e-12);
    assert!(found.number("home", "network_residual") < 1e-10);
}

/// `Δp = (Q/(1.07 A))²` by hand: 30 cfm through 22.5 in² is 1.553 Pa; in boost 45 cfm, 3.494 Pa.
#[test]
fn pressure_across_doors() {
    let found = run(&home());
    close(found.number("spaces.bed-1", "door_pressure"), (30.0_f64 / (1.07 * 22.5)).powi(2), 1e-4);
    close(found.number("spaces.bed-1", "door_pressure_boost"), (45.0_f64 / (1.07 * 22.5)).powi(2), 1e-4);
    close(found.number("spaces.living", "door_pressure"), 0.0, 0.0);
    let assumed = &found.fact("spaces.bed-2", "door_pressure").unwrap().basis.assumptions;
    assert!(assumed.iter().any(|line| line.contains("30 in wide")));
}

/// A room with its own supply has air of age V/Q, so that its effective outdoor air is the supply; air passed on is older.
#[test]
fn fresh_air_by_age() {
    let found = run(&home());
    close(found.cfm("spaces.bed-1", "fresh_air"), 30.0, 1e-6);
    close(found.number("spaces.bed-1", "age_of_air"), 30.0 / (30.0 * CFM), 1e-3);
    // The shared air gets 30 cfm from outdoors and 50 cfm of the bedrooms' ages: Q τ = V + Σ Q_j τ_j, all by hand.
    let shared = (115.0 + 30.0 + 25.0) / (80.0 * CFM);
    close(found.number("spaces.hall", "age_of_air"), shared, 1e-2);
    close(found.number("spaces.bath", "age_of_air"), shared + 12.5 / (40.0 * CFM), 1e-2);
    close(found.number("spaces.bath", "fresh_air"), 12.5 / (shared + 12.5 / (40.0 * CFM)), 1e-8);
}

/// `C = C_ss + (C_0 − C_ss) exp(−Q t/V)` in closed form, with two adults and 30 cfm.
#[test]
fn a_night_in_a_bedroom() {
    let found = run(&home());
    let (flow, volume) = (30.0 * CFM, 30.0);
    let steady = 420.0 + 2.0 * sleeper(ADULT).si() / flow * 1e6;
    let decay = |hours: f64| (-flow * hours * 3600.0 / volume).exp();
    let at = |hours: f64| steady + (600.0 - steady) * decay(hours);
    close(found.ppm("spaces.bed-1", "co2_peak"), at(8.0), 0.01);
    let mean = steady + (600.0 - steady) * (1.0 - decay(8.0)) / (flow * 8.0 * 3600.0 / volume);
    close(found.ppm("spaces.bed-1", "co2_mean"), mean, 0.05);
    close(found.cfm("spaces.bed-1", "outdoor_air_per_sleeper"), 15.0, 1e-6);
    close(found.number("references.rates-bed-1", "co2_hours_above"), 0.0, 0.0);
}

/// With the main unit off and no leakage known a bedroom is a closed box: `C_0 + G t/V`.
#[test]
fn a_night_without_the_unit() {
    let found = run(&home());
    let rise = |people: f64, volume: f64| people * sleeper(ADULT).si() * 8.0 * 3600.0 / volume * 1e6;
    close(found.ppm("spaces.bed-1", "co2_peak_unit_off"), 600.0 + rise(2.0, 30.0), 0.01);
    close(found.ppm("spaces.bed-2", "co2_peak_unit_off"), 600.0 + rise(1.0, 25.0), 0.01);
}

#[test]
fn children_give_off_less_and_a_pack_may_name_a_level() {
    let mut home = home();
    home["spaces"]["bed-1"]["sleeper_ages"] = json!([5, 8]);
    home["systems"]["ventilation"]["unit"]["supplies"]["bed-1"] = json!("10 cfm");
    home["systems"]["ventilation"]["unit"]["supplies"]["living"] = json!("50 cfm");
    let settings = vec![("pack".to_owned(), json!({"co2_level": "800 ppm"})), ("odd".to_owned(), json!({"level": 3}))];
    let given = Given { settings, ..Given::default() };
    let found = given.run(&home);
    let steady = 420.0 + (sleeper(5) + sleeper(8)).si() / (10.0 * CFM) * 1e6;
    let tau = 30.0 / (10.0 * CFM) / 3600.0;
    // Time until C = 800 ppm: τ ln((C_ss − 600)/(C_ss − 800)).
    let until = tau * ((steady - 600.0) / (steady - 800.0)).ln();
    close(found.number("references.pack-bed-1", "co2_hours_above") / 3600.0, 8.0 - until, 1e-3);
    assert!(found.because("references.odd-bed-1", "co2_hours_above").contains("unknown field"));
}

#[test]
fn a_room_that_no_unit_reaches() {
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({"living": "60 cfm", "bed-1": "20 cfm"});
    let found = run(&home);
    assert!(!found.flag("spaces.bed-2", "reached"));
    assert_eq!(found.text("spaces.bed-2", "reached_by"), "nothing: no unit supplies it and none draws air through it");
    close(found.number("spaces.bed-2", "supply_air"), 0.0, 0.0);
    close(found.number("spaces.bed-2", "transfer_air"), 0.0, 0.0);
    // Nothing is a number too; the age of air that never came in is none.
    close(found.number("spaces.bed-2", "fresh_air"), 0.0, 0.0);
    close(found.number("spaces.bed-2", "outdoor_air_per_sleeper"), 0.0, 0.0);
    assert_eq!(found.because("spaces.bed-2", "age_of_air"), "no outdoor air gets to spaces.bed-2");
    // A closed box, and what a spot unit would have to bring stands in the calculation.
    let night = found.fact("spaces.bed-2", "co2_peak").unwrap();
    close(night.value.number().unwrap().si * 1e6, 600.0 + sleeper(ADULT).si() * 28800.0 / 25.0 * 1e6, 0.01);
    let spot = night.basis.steps.iter().find(|step| step.equation.starts_with("Q_spot")).unwrap();
    let flow = spot.result.as_ref().unwrap().value.number().unwrap().si;
    close(flow, sleeper(ADULT).si() / 580e-6, 1e-9);
    assert!(found.flag("spaces.bed-1", "reached"));
}

/// Leakage lets a little air in, but a leak is no system.
#[test]
fn leakage_does_not_count_as_reached() {
    let mut home = home();
    home["systems"]["ventilation"] = json!({"fan": {"kind": "exhaust-fan", "exhausts": {"bath": "60 cfm"}}});
    let found = Given::default().leakage(200.0).run(&home);
    assert!(!found.flag("spaces.bed-1", "reached"));
    assert!(found.flag("spaces.bath", "reached"));
    assert!(found.flag("spaces.hall", "reached") || !found.flag("spaces.living", "reached"));
    // All 60 cfm come in through leaks, spread by volume and pressure.
    let leaks: f64 = ["living", "kitchen", "hall", "bed-1", "bed-2", "bath"]
        .iter()
        .map(|room| found.cfm(&format!("spaces.{room}"), "leakage_air"))
        .sum();
    close(leaks, 60.0, 1e-4);
    assert_eq!(found.text("home", "system_kind"), "mostly exhaust");
    close(found.number("home", "imbalance"), 1.0, 1e-12);
}

#[test]
fn exhaust_alone_in_a_home_of_unknown_leakage_has_no_solution() {
    let mut home = home();
    home["systems"]["ventilation"] = json!({"fan": {"kind": "exhaust-fan", "exhausts": {"bath": "60 cfm"}}});
    let found = run(&home);
    assert!(found.because("spaces.bath", "transfer_air").contains("no leakage is known"));
    assert!(found.because("spaces.bed-1", "co2_peak").contains("no leakage is known"));
    assert!(!found.flag("spaces.bath", "reached"));
    // The dwelling's totals need no network.
    close(found.cfm("home", "delivered_flow"), 60.0, 1e-9);
}

#[test]
fn a_sealed_room_with_a_spot_unit_of_its_own() {
    let mut home = home();
    home["spaces"]["music"] =
        json!({"use": "hobby", "in": "A", "floor_area": "20 m²", "height": "2.5 m", "door_undercut": "0 in"});
    home["systems"]["ventilation"]["spot"] = json!({
        "kind": "spot-recovery", "supply": "25 cfm", "exhaust": "25 cfm",
        "supplies": {"music": "25 cfm"}, "exhausts": {"music": "25 cfm"}, "sensible_recovery": "75 %"
    });
    let found = run(&home);
    assert_eq!(found.text("spaces.music", "reached_by"), "spot unit");
    close(found.cfm("spaces.music", "fresh_air"), 25.0, 1e-6);
    assert!(found.because("spaces.music", "door_pressure").contains("leaves no gap"));
    // Without its unit nothing reaches it, and nothing is made up.
    home["systems"]["ventilation"].as_object_mut().unwrap().remove("spot");
    let found = run(&home);
    assert!(!found.flag("spaces.music", "reached"));
    assert!(found.because("spaces.music", "fresh_air").contains("no unit serves it"));
    assert!(found.missing("spaces.music", "transfer_air").is_some());
}

#[test]
fn a_supply_into_a_room_with_no_way_out() {
    let mut home = home();
    home["spaces"]["bed-2"]["door_undercut"] = json!("0 in");
    let found = run(&home);
    assert!(found.because("spaces.bed-2", "co2_peak").contains("there is no way for it"));
    assert!(!found.flag("spaces.bed-2", "reached"));
    // Even where the home's leakage would let the equations be solved.
    let found = Given::default().leakage(100.0).run(&home);
    assert!(found.because("spaces.bed-2", "co2_peak").contains("no fan holds its flow"));
}

#[test]
fn a_door_that_is_not_described() {
    let mut home = home();
    home["spaces"]["bed-1"].as_object_mut().unwrap().remove("door_undercut");
    home["spaces"]["bed-1"].as_object_mut().unwrap().remove("door_width");
    let found = run(&home);
    assert_eq!(
        found.because("spaces.bed-1", "door_pressure"),
        "spaces.bed-1 gives no door_undercut and no transfer_area"
    );
    // What is supplied gets out somehow: the night follows from the flow alone.
    close(found.cfm("spaces.bed-1", "fresh_air"), 30.0, 1e-6);
    close(found.cfm("spaces.bath", "transfer_air"), 40.0, 1e-4);
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({"living": "60 cfm", "bed-2": "20 cfm"});
    let found = run(&home);
    assert!(found.because("spaces.bed-1", "co2_peak").contains("no unit serves it"));
}

#[test]
fn air_through_a_bedroom_to_its_bath() {
    let mut home = home();
    home["spaces"]["bath"]["opens_to"] = json!("bed-2");
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({"living": "50 cfm", "bed-1": "30 cfm"});
    let found = run(&home);
    assert_eq!(found.text("spaces.bed-2", "reached_by"), "transfer");
    close(found.cfm("spaces.bed-2", "transfer_air"), 40.0, 1e-4);
    // Bedroom 1's sleepers have been in that air before: less than 40 cfm of it counts.
    let counts = found.cfm("spaces.bed-2", "outdoor_air");
    let one = sleeper(ADULT).si();
    let upstream = 2.0 * one / (80.0 * CFM);
    close(counts, one / (upstream + one / (40.0 * CFM)) / CFM, 1e-4);
}

#[test]
fn a_unit_that_names_no_rooms_and_a_bedroom_that_names_no_sleepers() {
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({});
    home["spaces"]["bed-2"].as_object_mut().unwrap().remove("sleeps");
    let found = run(&home);
    assert!(found.because("spaces.bed-1", "supply_air").contains("supplies name no rooms"));
    assert!(found.because("spaces.bed-1", "co2_peak").contains("supplies name no rooms"));
    assert!(found.because("spaces.bed-2", "co2_peak").contains("does not say how many it sleeps"));
    close(found.cfm("home", "supply_total"), 80.0, 1e-9);
}

#[test]
fn many_rooms() {
    let mut home = home();
    for index in 0..600 {
        let next = if index == 0 { json!("hall") } else { json!(format!("cell-{}", index - 1)) };
        home["spaces"][format!("cell-{index}")] = json!({
            "use": "office", "in": "A", "floor_area": "5 m²", "height": "2.5 m", "door_undercut": "1 in", "opens_to": next
        });
    }
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({"living": "60 cfm", "cell-599": "20 cfm"});
    let found = Given::default().leakage(200.0).run(&home);
    assert!(found.flag("spaces.cell-300", "reached"));
    assert!(found.number("home", "network_residual") < 1e-9);
    assert!(found.number("spaces.cell-300", "age_of_air") > 0.0);
}
