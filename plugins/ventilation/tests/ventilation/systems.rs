//! Rates, local exhaust, ducts, recovery and depressurisation, checked by hand on a small invented home.

use crate::support::{Given, home, rates, run};
use mateline_model::quantity::Flow;
use mateline_ventilation::rates::CFM;
use serde_json::json;

fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} against {expected}");
}

/// 0.03 × 1000 + 7.5 × 3 = 52.5 cfm; by the code 0.7 × (10 + 22.5) = 22.75 cfm, balanced with supply to every bedroom.
#[test]
fn whole_dwelling_rates() {
    let found = run(&home());
    close(found.cfm("home", "total_rate"), 52.5, 1e-9);
    close(found.cfm("home", "required_flow"), 52.5, 1e-9);
    close(found.cfm("home", "required_flow_code"), 22.75, 1e-9);
    close(found.cfm("home", "delivered_flow"), 80.0, 1e-9);
    close(found.cfm("home", "flow_margin"), 27.5, 1e-9);
    assert_eq!(found.text("home", "system_kind"), "balanced");
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["supplies"] = json!({"living": "60 cfm", "bed-1": "20 cfm"});
    let found = run(&home);
    close(found.cfm("home", "required_flow_code"), 32.5, 1e-9);
    let basis = &found.fact("home", "required_flow_code").unwrap().basis;
    assert!(basis.assumptions.iter().any(|line| line == "not reduced: spaces.bed-2 has no supply"));
}

#[test]
fn the_credit_needs_a_test() {
    let mut home = home();
    let given = Given::default().number("airtightness.infiltration", Flow::from_si(6.9 * CFM));
    close(given.run(&home).cfm("home", "infiltration_credit"), 0.0, 0.0);
    home["measurements"] = json!({"door": {"kind": "blower-door", "points": []}});
    let found = given.run(&home);
    close(found.cfm("home", "infiltration_credit"), 6.9, 1e-9);
    close(found.cfm("home", "required_flow"), 45.6, 1e-9);
}

#[test]
fn a_unit_that_runs_half_the_time_and_a_fan_on_demand() {
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["run_time"] = json!("50 %");
    home["systems"]["ventilation"]["fan"] =
        json!({"kind": "exhaust-fan", "exhausts": {"bath": "50 cfm"}, "run_time": "4 %"});
    let found = run(&home);
    close(found.cfm("home", "delivered_flow"), 40.0, 1e-9);
    close(found.cfm("home", "delivered_flow_code"), 40.0, 1e-9);
    close(found.cfm("home", "exhaust_total"), 40.0, 1e-9);
    close(found.cfm("spaces.bed-1", "supply_air"), 15.0, 1e-9);
    home["systems"]["ventilation"]["unit"]["run_time"] = json!("75 %");
    close(run(&home).cfm("home", "delivered_flow_code"), 80.0 / 1.3, 1e-9);
}

#[test]
fn no_ventilation_at_all() {
    let mut home = home();
    home["systems"]["ventilation"] = json!({});
    let found = run(&home);
    for (subject, quantity) in [
        ("home", "delivered_flow"),
        ("home", "delivered_flow_code"),
        ("home", "imbalance"),
        ("home", "system_kind"),
        ("spaces.bed-1", "reached"),
        ("spaces.bath", "local_exhaust"),
    ] {
        assert_eq!(found.because(subject, quantity), "the home names no ventilation units", "{subject} {quantity}");
    }
}

#[test]
fn what_is_not_known_is_missing() {
    let given = Given { facts: mateline_model::Facts::default(), ..Given::default() };
    let found = given.run(&home());
    assert_eq!(found.because("home", "required_flow"), "takeoff.floor_area of the home is not known");
    assert!(found.missing("home", "flow_margin").is_some());
    assert_eq!(found.because("home", "hood_depressurisation"), "airtightness.best_q50 of the home is not known");
}

/// Without a pack that sets them there are no required rates; with two that differ neither pack's are taken.
#[test]
fn rates_come_from_packs() {
    let mut given = Given::default();
    given.settings.clear();
    let found = given.run(&home());
    assert_eq!(
        found.because("home", "required_flow"),
        "no pack that judges the home sets the rates of the ventilation standard"
    );
    assert!(found.missing("spaces.bath", "local_exhaust_required_code").is_some());
    close(found.cfm("home", "delivered_flow"), 80.0, 1e-9);
    let mut other = rates();
    other["standard"]["per_floor_area"] = json!("0.01 cfm/ft²");
    given.settings = vec![("one".to_owned(), other)];
    close(given.run(&home()).cfm("home", "required_flow"), 32.5, 1e-9);
    given.settings.push(("two".to_owned(), rates()));
    let found = given.run(&home());
    assert_eq!(
        found.because("home", "required_flow"),
        "the packs one and two set different rates of the ventilation standard"
    );
    close(found.cfm("home", "required_flow_code"), 22.75, 1e-9);
}

/// The bath has 40 cfm all the time, twice the 20 asked; on demand it has 60 of 50. The kitchen's hood has 200 of 100.
#[test]
fn local_exhaust() {
    let found = run(&home());
    close(found.cfm("spaces.bath", "local_exhaust"), 40.0, 1e-9);
    close(found.cfm("spaces.bath", "local_exhaust_required"), 20.0, 1e-9);
    assert_eq!(found.text("spaces.bath", "local_exhaust_mode"), "continuous");
    close(found.cfm("spaces.kitchen", "local_exhaust"), 200.0, 1e-9);
    close(found.cfm("spaces.kitchen", "local_exhaust_required"), 100.0, 1e-9);
    // By the code the unit's 60 cfm in boost and the hood add up.
    close(found.cfm("spaces.kitchen", "local_exhaust_code"), 260.0, 1e-9);
    let mut home = home();
    home["systems"]["kitchen_hood"]["vented"] = json!(false);
    home["spaces"]["kitchen"]["door_undercut"] = json!("3/4 in");
    let found = run(&home);
    // An enclosed kitchen of 25 m³: five changes are 73.6 cfm, and 40 of them are there; on demand 60 of 300.
    close(found.cfm("spaces.kitchen", "local_exhaust_required"), 125.0 / 3600.0 / CFM, 1e-9);
    close(found.cfm("spaces.kitchen", "local_exhaust"), 40.0, 1e-9);
}

/// 200 cfm against 100 cfm50: `50 × 2^(1/0.65)` = 145 Pa; with 190 cfm of make-up air `50 × 0.1^(1/0.65)` = 1.45 Pa.
#[test]
fn the_hood_against_a_tight_home() {
    let mut home = home();
    let given = Given::default().leakage(100.0);
    close(given.run(&home).number("home", "hood_depressurisation"), 50.0 * 2.0_f64.powf(1.0 / 0.65), 1e-6);
    home["systems"]["kitchen_hood"]["make_up_air"] = json!("190 cfm");
    let found = given.run(&home);
    close(found.number("home", "hood_depressurisation"), 50.0 * 0.1_f64.powf(1.0 / 0.65), 1e-6);
    // 200 cfm less 190 cfm of make-up air.
    close(found.cfm("home", "two_largest_exhausts"), 10.0, 1e-9);
    home["systems"]["clothes_dryer"] = json!({"kind": "vented", "flow": "150 cfm"});
    let found = given.run(&home);
    close(found.cfm("home", "two_largest_exhausts"), 160.0, 1e-9);
    // 160 cfm over 1000 ft².
    close(found.number("home", "two_largest_exhausts_per_area") / (CFM / 0.092_903_04), 0.16, 1e-9);
    close(found.number("home", "worst_depressurisation"), 50.0 * 1.6_f64.powf(1.0 / 0.65), 1e-6);
    home["systems"]["clothes_dryer"] = json!({"kind": "vented"});
    assert!(given.run(&home).because("home", "worst_depressurisation").contains("vented and has no flow"));
}

#[test]
fn fires_in_the_home() {
    let mut home = home();
    assert!(!run(&home).flag("home", "natural_draught"));
    home["systems"]["hot_water"] = json!({"kind": "tank", "fuel": "gas", "venting": "natural"});
    let found = run(&home);
    assert!(found.flag("home", "natural_draught"));
    assert!(found.text("home", "combustion_caution").contains("systems.hot_water burns fuel with room air"));
    home["systems"]["hot_water"] = json!({"kind": "tank", "fuel": "gas"});
    assert!(run(&home).because("home", "natural_draught").contains("has no venting"));
    home["systems"]["hot_water"] = json!({"kind": "tank", "fuel": "gas", "venting": "direct"});
    assert!(!run(&home).flag("home", "natural_draught"));
}

fn with_ducts(diameter: &str, curve: serde_json::Value) -> serde_json::Value {
    let mut home = home();
    let unit = &mut home["systems"]["ventilation"]["unit"];
    unit["ducts"] = json!({
        "main": {"length": "10 m", "diameter": diameter, "fittings": 3.0},
        "to-bed-1": {"to": "bed-1", "length": "5 m", "diameter": "100 mm", "fittings": 2.0, "after": "main"},
    });
    unit["fan_curve"] = curve;
    home
}

/// A fan that cannot push the design flow through delivers what it can, and every room gets its share of that.
#[test]
fn ducts_that_let_less_through() {
    let curve = json!([
        {"flow": "0 cfm", "pressure": "60 Pa"}, {"flow": "60 cfm", "pressure": "40 Pa"}, {"flow": "100 cfm", "pressure": "0 Pa"}
    ]);
    let found = run(&with_ducts("80 mm", curve));
    let unit = "systems.ventilation.unit";
    let through = found.cfm(unit, "operating_flow");
    assert!(through > 20.0 && through < 80.0, "{through}");
    close(found.cfm(unit, "unit_flow"), through, 1e-9);
    close(found.cfm("spaces.bed-1", "supply_air"), through * 30.0 / 80.0, 1e-9);
    close(found.cfm("home", "delivered_flow"), through, 1e-9);
    assert_eq!(found.text(unit, "worst_run"), "to-bed-1 ← main");
    // The two ducts' own drops at design add up to the run's.
    let sum = found.number("ducts.unit-main", "pressure_drop") + found.number("ducts.unit-to-bed-1", "pressure_drop");
    close(found.number(unit, "pressure_drop"), sum, 1e-9);
    close(found.number("ducts.unit-to-bed-1", "velocity"), 30.0 * CFM / (std::f64::consts::PI * 0.0025), 1e-9);
    assert!(found.text(unit, "sound_caution").contains("main at"));
    close(found.number(unit, "efficacy"), through * CFM / 50.0, 1e-12);
}

#[test]
fn a_fan_with_pressure_to_spare_is_throttled() {
    let curve = json!([{"flow": "20 cfm", "pressure": "200 Pa"}, {"flow": "120 cfm", "pressure": "150 Pa"}]);
    let found = run(&with_ducts("200 mm", curve));
    let unit = "systems.ventilation.unit";
    assert!(found.because(unit, "operating_flow").contains("ends before it meets the ducts"));
    close(found.cfm(unit, "unit_flow"), 80.0, 1e-9);
}

#[test]
fn a_fan_that_never_meets_its_ducts() {
    let curve = json!([{"flow": "50 cfm", "pressure": "2 Pa"}, {"flow": "90 cfm", "pressure": "1 Pa"}]);
    let found = run(&with_ducts("80 mm", curve));
    let unit = "systems.ventilation.unit";
    assert!(found.because(unit, "operating_flow").contains("never meets the ducts"));
    assert!(found.because("home", "delivered_flow").contains("never meets the ducts"));
    assert!(found.because("spaces.bed-1", "supply_air").contains("never meets the ducts"));
    assert!(found.because("spaces.bed-1", "co2_peak").contains("never meets the ducts"));
    assert!(found.missing("home", "flow_margin").is_some());
}

/// −20 °C outdoors, 20 °C indoors, 80 %: supply 12 °C, exhaust −12 °C, frost from −5 °C on.
#[test]
fn recovery_at_the_design_temperature() {
    let found = run(&home());
    let unit = "systems.ventilation.unit";
    close(found.number(unit, "supply_temperature"), 12.0, 1e-9);
    close(found.number(unit, "exhaust_temperature"), -12.0, 1e-9);
    assert!(found.flag(unit, "frost_risk"));
    close(found.number(unit, "frost_begins"), -5.0, 1e-3);
    // ρ c Q ΔT with 1.2 kg/m³ is 1823 W; a fifth of it is lost. 1 %: the density is that of moist indoor air.
    let whole = 1.2 * 1006.0 * 80.0 * CFM * 40.0;
    close(found.number(unit, "heat_loss") / whole, 0.2, 0.002);
    close(found.number(unit, "heat_recovered") / whole, 0.8, 0.008);
    // Warmed to −4 °C before the core, where frost begins at −5 °C: 20 − 0.8 · 24 is above 0 °C, and −4 + 0.8 · 24 = 15.2 °C.
    let mut home = home();
    home["systems"]["ventilation"]["unit"]["preheat_to"] = json!("-4 °C");
    let warmed = run(&home);
    assert!(!warmed.flag(unit, "frost_risk"));
    close(warmed.number(unit, "supply_temperature"), 15.2, 1e-9);
    close(warmed.number(unit, "heat_loss"), found.number(unit, "heat_loss"), 1e-9);
    // To less than the air outdoors it warms nothing.
    home["systems"]["ventilation"]["unit"]["preheat_to"] = json!("-30 °C");
    assert!(run(&home).flag(unit, "frost_risk"));
    home["systems"]["ventilation"]["unit"]["kind"] = json!("energy-recovery");
    assert!(run(&home).because(unit, "frost_risk").contains("no latent_recovery"));
    home["site"].as_object_mut().unwrap().remove("design_heating");
    assert_eq!(run(&home).because(unit, "supply_temperature"), "site has no design_heating");
}

#[test]
fn inputs_that_cannot_be() {
    let refused = |change: &dyn Fn(&mut serde_json::Value)| {
        let mut home = home();
        change(&mut home);
        let found = run(&home);
        assert!(found.0.facts.is_empty());
        found.problem().to_owned()
    };
    let unit = |home: &mut serde_json::Value, field: &str, value: serde_json::Value| {
        home["systems"]["ventilation"]["unit"][field] = value;
    };
    let message = refused(&|home| unit(home, "supply", json!("100 cfm")));
    assert_eq!(message, "systems.ventilation.unit.supply is 100.0 cfm, but its rooms come to 80.0 cfm");
    assert!(refused(&|home| unit(home, "boost", json!("-5 cfm"))).contains("cannot be negative"));
    let falling = json!([{"flow": "50 cfm", "pressure": "9 Pa"}, {"flow": "40 cfm", "pressure": "8 Pa"}]);
    assert!(refused(&|home| unit(home, "fan_curve", falling.clone())).contains("do not rise in flow"));
    let ring = json!({
        "a": {"length": "1 m", "diameter": "100 mm", "after": "b"}, "b": {"length": "1 m", "diameter": "100 mm", "after": "a"}
    });
    assert!(refused(&|home| unit(home, "ducts", ring.clone())).contains("leads back to itself"));
    let dangling = json!({"a": {"length": "1 m", "diameter": "100 mm", "after": "c"}});
    assert_eq!(refused(&|home| unit(home, "ducts", dangling.clone())), "there is no duct 'c'");
    let flat = json!({"a": {"length": "1 m", "diameter": "0 mm"}});
    assert!(refused(&|home| unit(home, "ducts", flat.clone())).contains("must be above zero"));
    assert!(refused(&|home| home["spaces"]["hall"]["height"] = json!("0 m")).contains("has no volume"));
    assert!(
        refused(&|home| home["spaces"]["bed-1"]["sleeper_ages"] = json!([3])).contains("sleeps 2, but gives 1 ages")
    );
    assert!(refused(&|home| home["spaces"]["bed-1"]["opens_to"] = json!("bed-1")).contains("opens to itself"));
}
