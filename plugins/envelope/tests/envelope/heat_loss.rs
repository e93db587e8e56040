//! Windows, UA and the comparison with a pack's reference values.

use crate::support::{R, TakeOff, because, close, fact, home, run, si};
use mateline_model::Home;
use mateline_model::quantity::{Area, ThermalTransmittance};
use serde_json::{Value, json};

/// Assemblies whose U-factors are round: films and one layer make R 5, 10 and 4 m²·K/W.
fn round_home(openings: Value) -> Home {
    let own = |r: f64| json!({"resistance": format!("RSI {r}"), "density": "100 kg/m³", "source": "the test"});
    let layer = |id: &str| json!([{"material": id}]);
    home(
        json!({
            "wall": {"kind": "wall", "layers": layer("w")},
            "ceiling": {"kind": "ceiling", "layers": layer("c")},
            "slab": {"kind": "slab", "layers": layer("s")},
        }),
        openings,
        json!({"w": own(5.0 - 0.85 * R), "c": own(10.0 - 1.22 * R), "s": own(4.0 - 0.92 * R)}),
    )
}

fn takeoff() -> TakeOff {
    TakeOff::default()
        .surface("wall-outdoor-south", "wall", "outdoor", 50.0)
        .surface("wall-garage-north", "wall", "garage", 10.0)
        .surface("ceiling-attic-up", "ceiling", "attic", 40.0)
        .surface("slab-ground-down", "slab", "ground", 40.0)
        .opening("w1", "wall", 6.0)
        .opening("d1", "wall", 2.0)
        .closed(148.0)
}

fn openings() -> Value {
    let place = json!({"module": "A", "face": "south", "width": "1 m", "height": "2 m"});
    let with = |more: Value| {
        let mut opening = place.clone();
        opening.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        opening
    };
    json!({
        "w1": with(json!({"kind": "window", "u_factor": "1.0 W/(m²·K)", "shgc": 0.5})),
        "d1": with(json!({"kind": "opaque-door", "u_factor": "1.5 W/(m²·K)"})),
    })
}

/// By hand: 50 x 0.2 + 10/(5 + (0.68 − 0.17) R) + 40 x 0.1 + 40 x 0.25 + 6 x 1.0 + 2 x 1.5 W/K; the wall to the garage
/// has still air outside.
#[test]
fn heat_loss_by_hand() {
    let found = run(&round_home(openings()), &takeoff(), &[]);
    let expected = 50.0 * 0.2 + 10.0 / (5.0 + 0.51 * R) + 4.0 + 10.0 + 6.0 + 3.0;
    close(si(&found, "home", "envelope.ua"), expected, 1e-9);
    close(si(&found, "home", "envelope.ua_parallel_path"), expected, 1e-9);
    close(si(&found, "home", "envelope.u_mean"), expected / 148.0, 1e-9);
    let fact = fact(&found, "home", "envelope.ua");
    assert_eq!(fact.at.as_ref().unwrap().path, "assemblies.wall");
    assert_eq!(fact.basis.steps.len(), 7);
    assert!(fact.basis.assumptions.iter().any(|line| line.contains("below grade")));
}

#[test]
fn a_window_without_a_u_factor_leaves_the_sum_open() {
    let mut openings = openings();
    openings["w1"].as_object_mut().unwrap().shift_remove("u_factor");
    let found = run(&round_home(openings), &takeoff(), &[]);
    for (subject, quantity) in [
        ("openings.w1", "envelope.u_factor"),
        ("home", "envelope.ua"),
        ("home", "envelope.u_mean"),
        ("home", "envelope.window_u_average"),
    ] {
        assert_eq!(because(&found, subject, quantity), "openings.w1 has no u_factor");
    }
    assert_eq!(because(&found, "openings.d1", "envelope.shgc"), "openings.d1 has no shgc");
}

/// A take-off that could not close the envelope must not give a heat loss that leaves parts out.
#[test]
fn an_open_envelope_has_no_heat_loss() {
    let open = TakeOff::default().surface("wall-outdoor-south", "wall", "outdoor", 50.0);
    let found = run(&round_home(openings()), &open, &[]);
    let message = because(&found, "home", "envelope.ua");
    assert!(message.contains("takeoff.exterior_envelope_area"), "{message}");
}

/// Averages by hand: (1.0 x 6 + 2.0 x 2)/8 = 1.25 and (0.5 x 6 + 0.3 x 2)/8 = 0.45; the exempt window stays out.
#[test]
fn averages_weigh_by_area_and_leave_exempt_windows_out() {
    let mut openings = openings();
    openings["d1"]["kind"] = json!("glazed-door");
    openings["d1"]["u_factor"] = json!("2.0 W/(m²·K)");
    openings["d1"]["shgc"] = json!(0.3);
    let mut exempt = openings["w1"].clone();
    exempt["u_factor"] = json!("5 W/(m²·K)");
    exempt["code_exempt"] = json!(true);
    openings["w2"] = exempt;
    let takeoff = takeoff()
        .opening("w2", "wall", 1.0)
        .number("home", "takeoff.window_area", Area::from_si(9.0))
        .number("home", "takeoff.floor_area", Area::from_si(60.0));
    let found = run(&round_home(openings), &takeoff, &[]);
    close(si(&found, "home", "envelope.window_u_average"), 1.25, 1e-12);
    close(si(&found, "home", "envelope.window_shgc_average"), 0.45, 1e-12);
    close(si(&found, "home", "envelope.window_share"), 0.15, 1e-12);
    assert_eq!(because(&found, "home", "envelope.skylight_u_average"), "the home has no skylight that counts");
    let basis = &fact(&found, "home", "envelope.window_u_average").basis;
    assert_eq!(basis.assumptions, ["left out as exempt: w2"]);
}

fn settings(reference: Value) -> Vec<(String, Value)> {
    vec![("some-pack".to_owned(), json!({"framed_method": "parallel-path", "reference": reference}))]
}

/// By hand with reference 0.3, 0.15, 0.4, 1.6 and 2.0 W/(m²·K): 60 x 0.3 + 40 x 0.15 + 40 x 0.4 + 6 x 1.6 + 2 x 2.0
/// = 53.6 W/K. Without a requirement for the slab it drops out of both sums.
#[test]
fn the_reference_takes_the_same_areas() {
    let u = |si: f64| json!(format!("{} W/(m²·K)", ThermalTransmittance::from_si(si).si()));
    let mut table =
        json!({"wall": u(0.3), "ceiling": u(0.15), "slab": u(0.4), "window": u(1.6), "opaque-door": u(2.0)});
    let subject = "references.some-pack";
    let found = run(&round_home(openings()), &takeoff(), &settings(table.clone()));
    let proposed = si(&found, "home", "envelope.ua_parallel_path");
    close(si(&found, subject, "envelope.reference_ua"), 53.6, 1e-9);
    close(si(&found, subject, "envelope.proposed_ua"), proposed, 1e-9);
    close(si(&found, subject, "envelope.ua_margin"), (53.6 - proposed) / 53.6, 1e-12);

    table["slab"] = json!("none");
    let found = run(&round_home(openings()), &takeoff(), &settings(table.clone()));
    close(si(&found, subject, "envelope.reference_ua"), 37.6, 1e-9);
    close(si(&found, subject, "envelope.proposed_ua"), proposed - 10.0, 1e-9);
    let note = "left out of both sums, as the pack sets no U-factor: surfaces.slab-ground-down";
    assert!(fact(&found, subject, "envelope.reference_ua").basis.assumptions.iter().any(|line| line == note));

    table.as_object_mut().unwrap().shift_remove("slab");
    let found = run(&round_home(openings()), &takeoff(), &settings(table.clone()));
    close(si(&found, subject, "envelope.reference_ua"), 37.6, 1e-9);

    table.as_object_mut().unwrap().shift_remove("window");
    let found = run(&round_home(openings()), &takeoff(), &settings(table));
    assert_eq!(
        because(&found, subject, "envelope.ua_margin"),
        "some-pack gives no reference U-factor for window (openings.w1)"
    );
}

#[test]
fn settings_that_cannot_be_read_are_said() {
    for (reference, words) in [
        (json!({"wall": "R-13"}), "reference.wall cannot be read"),
        (json!({"wal": "0.3 W/(m²·K)"}), "reference names wal"),
    ] {
        let found = run(&round_home(openings()), &takeoff(), &settings(reference));
        let message = because(&found, "references.some-pack", "envelope.reference_ua");
        assert!(message.starts_with(words), "{message}");
    }
    let wrong = [("some-pack".to_owned(), json!({"framed": 1}))];
    let found = run(&round_home(openings()), &takeoff(), &wrong);
    assert!(because(&found, "references.some-pack", "envelope.proposed_ua").contains("cannot be read"));
}
