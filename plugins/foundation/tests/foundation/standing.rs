//! How boxes stand on one another and on the ground: loads by hand and by the sum of all weights, pads and strips.

use crate::support::{FOOT, because, close, fact, pair, run, si, with, without};
use mateline_sdk::Findings;
use proptest::prelude::*;
use serde_json::{Value, json};

const POUND_FORCE: f64 = 0.453_592_37 * 9.806_65;
const PLF: f64 = POUND_FORCE / FOOT;
const PSF: f64 = POUND_FORCE / (FOOT * FOOT);

/// A box of 44 ft by some width (ft), its south edge at some y (ft).
fn upper(y: f64, width: f64, pounds: f64) -> Value {
    json!({"level": 2, "at": {"x": "0 ft", "y": format!("{y} ft")},
        "size": {"x": "44 ft", "y": format!("{width} ft"), "z": "10 ft"}, "weight": format!("{pounds} lb")})
}

/// The sum of what the lowest boxes bear on their long sides (lbf).
fn borne(found: &Findings, boxes: &[(&str, f64)]) -> f64 {
    let one = |(id, length): &(&str, f64)| 2.0 * length * si(found, &format!("modules.{id}"), "line_load") / PLF;
    boxes.iter().map(one).sum()
}

/// By statics: C, 44 by 14 ft, hangs 4 ft over the south side of A. C weighs 22,000 lb with 80 psf on it, 71,280 lb at
/// 3 ft from A's south side; A 30,000 lb with 40 psf at 7 ft; snow on the 4 ft of A that C leaves open, 8,800 lb at 12 ft.
/// Together 134,720 lb, 1.7898 ft south of A's middle.
#[test]
fn an_overhanging_box_bears_its_whole_load() {
    let found = run(&with(pair(), "/modules/C", upper(-4.0, 14.0, 22_000.0)));
    assert_eq!(found.problems, []);
    close(si(&found, "modules.C", "load_down") / POUND_FORCE, 71_280.0, 1e-3);
    close(si(&found, "modules.A", "load_down") / POUND_FORCE, 134_720.0, 1e-3);
    let (q, e) = (134_720.0 / 88.0, (71_280.0 * 4.0 - 8_800.0 * 5.0) / 134_720.0);
    close(si(&found, "modules.A", "line_load") / PLF, q, 1e-6);
    close(si(&found, "modules.A", "line_load_low") / PLF, q * (1.0 + 2.0 * e / 14.0), 1e-6);
    close(si(&found, "modules.A", "line_load_high") / PLF, q * (1.0 - 2.0 * e / 14.0), 1e-6);
    // The heaviest side is A's south side, with the eaves.
    close(si(&found, "home", "line_load_side") / PLF, q * (1.0 + 2.0 * e / 14.0) + 50.0, 1e-6);
}

/// A box whose middle lies beyond what it stands on would tip: its load is nobody's guess.
#[test]
fn a_box_that_would_tip_is_left_open() {
    let found = run(&with(pair(), "/modules/C", upper(-8.0, 14.0, 22_000.0)));
    assert!(because(&found, "modules.A", "line_load").contains("C lies too far beyond"));
    assert!(because(&found, "home", "line_load_side").contains("C lies too far beyond"));
}

/// A box of 40 ft over two of 14 ft with 12 ft between them: half of it on each.
#[test]
fn a_bridging_box_bears_on_both() {
    let mut home = with(pair(), "/modules/B/at/y", json!("26 ft"));
    home = with(home, "/modules/C", upper(0.0, 40.0, 60_000.0));
    let found = run(&home);
    assert_eq!(found.problems, []);
    let whole = 60_000.0 + 80.0 * 44.0 * 40.0;
    close(si(&found, "modules.C", "load_down") / POUND_FORCE, whole, 1e-3);
    close(si(&found, "modules.A", "line_load") / PLF, (30_000.0 + 40.0 * 44.0 * 14.0 + whole / 2.0) / 88.0, 1e-6);
    let all = 30_000.0 + 26_000.0 + 2.0 * 40.0 * 44.0 * 14.0 + whole;
    close(borne(&found, &[("A", 44.0), ("B", 44.0)]) / all, 1.0, 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// What the lowest boxes bear comes to all weights, live loads and the snow on the plan of the whole, wherever upper
    /// boxes lie; a box that would tip leaves all of it open.
    #[test]
    fn loads_come_to_the_whole(y in -9i32..30, width in 4i32..28, z in -6i32..6, narrow in 3i32..10, pounds in 1i32..60_000) {
        let (y, width, pounds) = (f64::from(y), f64::from(width), f64::from(pounds));
        let third = (y + f64::from(z), f64::from(narrow));
        let mut home = with(pair(), "/modules/C", upper(y, width, pounds));
        let mut top = upper(third.0, third.1, 9_000.0);
        top["level"] = json!(3);
        home = with(home, "/modules/D", top);
        let found = run(&home);
        prop_assume!(found.problems.is_empty());
        let missing = found.missing.iter().any(|missing| {
            ["modules.A", "modules.B"].contains(&missing.subject.as_str()) && missing.quantity == "foundation.line_load"
        });
        prop_assume!(!missing);
        // Snow lies on everything seen from above: the union of the three layers along y.
        let mut spans = vec![(0.0, 28.0), (y, y + width), (third.0, third.0 + third.1)];
        spans.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut seen, mut end) = (0.0, f64::NEG_INFINITY);
        for (lo, hi) in spans {
            seen += (hi - lo.max(end)).max(0.0);
            end = end.max(hi);
        }
        let areas = 44.0 * (50.0 * seen + 40.0 * 28.0 + 30.0 * (width + third.1));
        let all = 30_000.0 + 26_000.0 + pounds + 9_000.0 + areas;
        let sum = borne(&found, &[("A", 44.0), ("B", 44.0)]);
        prop_assert!((sum / all - 1.0).abs() < 1e-9, "{sum} against {all}");
    }
}

/// Two boxes on piers.
fn on_piers(pad: &str, bearing: &str) -> Value {
    let home = without(without(pair(), "/openings/w2"), "/spaces/music");
    let home = with(home, "/site/soil_bearing", json!(bearing));
    with(
        home,
        "/foundation",
        json!({"kind": "piers", "height": "3 ft",
            "footing": {"width": pad, "thickness": "10 in", "depth": "5 ft"}}),
    )
}

/// Pads of 16 in under the mate line's load at 8 ft: q·8/(16/12)² and 150 lb/ft³ of concrete 10 in thick, by hand.
#[test]
fn pads_as_drawn_press_on_the_soil() {
    let found = run(&on_piers("16 in", "1500 psf"));
    let mate = si(&found, "home", "line_load_mate") / PLF;
    close(mate, 30_000.0 / 88.0 + 26_000.0 / 88.0 + 1260.0, 1e-6);
    let pressure = mate * 8.0 / (16.0_f64 / 12.0).powi(2) + 150.0 * 10.0 / 12.0;
    close(si(&found, "home", "soil_pressure_pads") / PSF, pressure, 1e-6);
    close(si(&found, "home", "soil_pressure_mate") / PSF, pressure, 1e-6);
    close(si(&found, "home", "soil_pressure") / PSF, pressure, 1e-6);
    assert!(pressure > 7.0 * 1_100.0);
    close(si(&found, "home", "pad_side_given") / FOOT, 16.0 / 12.0, 1e-12);
    close(si(&found, "home", "footing_projection") / FOOT, 2.0 / 12.0, 1e-12);
    assert!(because(&found, "home", "soil_pressure_wall").contains("piers stand on pads"));
}

/// Pads of the size that would do press with the bearing value itself, and are no thinner than they stand out.
#[test]
fn the_pad_that_would_do_does() {
    let found = run(&on_piers("16 in", "1500 psf"));
    let needed = fact(&found, "home", "pad_side_needed");
    let side = needed.value.number().unwrap().si / FOOT;
    let terms = || needed.basis.steps.iter().flat_map(|step| step.terms.iter().chain(&step.result));
    let thick = terms().find(|term| term.symbol == "t_p").and_then(|term| term.value.number()).unwrap().si / FOOT;
    close(thick, ((side - 1.0) / 2.0).max(10.0 / 12.0), 1e-9);
    let mate = si(&found, "home", "line_load_mate") / PLF;
    close(mate * 8.0 / (side * side) + 150.0 * thick, 1500.0, 1e-6);
}

/// A wall's strip by hand: (q + 150·9.333·8/12)/(20/12) and its own 125 psf.
#[test]
fn a_strip_presses_on_the_soil() {
    let found = run(&pair());
    let side = si(&found, "home", "line_load_side") / PLF;
    let wall = 150.0 * (9.0 + 8.0 + 2.0 / 12.0 - 10.0 / 12.0 - 7.0) * 8.0 / 12.0;
    close(si(&found, "home", "soil_pressure_wall") / PSF, (side + wall) * 12.0 / 20.0 + 125.0, 1e-6);
    assert_eq!(because(&found, "home", "soil_pressure_mate"), "the home draws no pads under its mate lines");
}

/// A slab under two boxes of 44 ft has a footing under their mate line: 44 ft of 20 by 10 in beside the 142 ft round it
/// along the middle of an 8 in wall: 2·(44 + 28) - 4·8/12.
#[test]
fn a_slab_has_a_footing_under_the_mate_line() {
    let found = run(&pair());
    let run_of_footing = 144.0 - 4.0 * 8.0 / 12.0 + 44.0;
    let cubic_feet = si(&found, "alternatives.slab", "concrete_footing") / (FOOT * FOOT * FOOT);
    close(cubic_feet, run_of_footing * 20.0 / 12.0 * 10.0 / 12.0, 1e-6);
}
