//! The ways that the retarder and roof tables grant, each as a construction: IRC 2021 R702.7 and R806.5 (from memory, high,
//! unless a test says otherwise).

use crate::support::{home, missing, number, run, text};
use serde_json::{Value, json};

fn wall(layers: Value, materials: Value) -> mateline_sdk::Findings {
    run(&home(json!({"materials": materials, "assemblies": {"wall": {"layers": layers}}})), &[])
}

fn studs(fill: &str, depth: &str) -> Value {
    json!({"framed": {"member": "wood", "size": format!("38 mm x {depth} mm"), "spacing": "406 mm", "fill": fill}})
}

fn board(material: &str) -> Value {
    json!({"material": material, "thickness": "12 mm"})
}

const WALL: &str = "assemblies.wall";

/// Foam of µ 80 is 2e-10/(80 · 0.089) = 2.81e-11, 0.49 perm: it stands for insulation outside with its R of 0.089/0.023 =
/// 3.870. Of µ 3 it is 13 perm and does not.
#[test]
fn tight_foam_against_the_sheathing() {
    for (mu, expected) in [(80.0, 0.089 / 0.023), (3.0, 0.0)] {
        let spray = json!({"spray": {"kind": "foam-insulation", "conductivity": "0.023 W/(m·K)", "vapour_resistance": mu, "source": "invented"}});
        let facts = wall(json!([board("gypsum-board"), studs("spray", "89"), board("osb")]), spray);
        for quantity in ["moisture.foam_against_sheathing", "moisture.sheathing_insulation"] {
            assert!((number(&facts, WALL, quantity) - expected).abs() < 1e-9, "{mu} {quantity}");
        }
        assert_eq!(number(&facts, WALL, "moisture.outside_insulation"), 0.0);
    }
}

/// Two rows of studs with wool between and in them are one framing, 89 + 100 + 89 mm deep, and none of it is outside of it.
#[test]
fn a_second_row_of_studs_is_no_insulation_outside() {
    let wool = json!({"material": "wool", "thickness": "100 mm"});
    let facts =
        wall(json!([board("gypsum-board"), studs("wool", "89"), wool, studs("wool", "89"), board("osb")]), json!({}));
    assert!((number(&facts, WALL, "moisture.framing_depth") - 0.278).abs() < 1e-9);
    assert!((number(&facts, WALL, "moisture.cavity_insulation") - 0.278 / 0.035).abs() < 1e-9);
    assert_eq!(number(&facts, WALL, "moisture.outside_insulation"), 0.0);
    // A board between is sheathing: what lies outside of it is outside.
    let facts =
        wall(json!([board("gypsum-board"), studs("wool", "140"), board("osb"), studs("wool", "89")]), json!({}));
    assert!((number(&facts, WALL, "moisture.outside_insulation") - 0.089 / 0.035).abs() < 1e-9);
}

/// Hung vinyl siding is a vented cladding by itself: R702.7.3 (looked up). It has no vapour value, and needs none.
#[test]
fn siding_behind_which_air_passes() {
    let siding = |open: Value| {
        let vinyl =
            json!({"vinyl": {"kind": "cladding", "resistance": "R-0.6", "air_open": open, "source": "invented"}});
        wall(
            json!([board("gypsum-board"), studs("wool", "140"), board("osb"), {"material": "wrap"}, {"material": "vinyl"}]),
            vinyl,
        )
    };
    assert_eq!(text(&siding(json!(true)), WALL, "moisture.vented_over"), "wood-structural-panel");
    for closed in [json!(null), json!(false)] {
        let (because, _) = missing(&siding(closed), WALL, "moisture.vented_over");
        assert!(because.starts_with("vinyl has neither vapour_resistance nor permeance"), "{because}");
    }
}

/// What counts against or above the deck of a roof, and what does not: foam in touch with the underside, and any board
/// above. R of 100 mm at 0.035 W/(m·K) is 2.857, of 140 mm of wool 4.
#[test]
fn where_insulation_of_a_roof_counts() {
    let thick = |material: &str| json!({"material": material, "thickness": "100 mm"});
    let cavity = || json!({"vented-cavity": "50 mm"});
    let r = 0.1 / 0.035;
    let gypsum = || board("gypsum-board");
    for (layers, ventilation, near, other) in [
        // Foam below the rafters touches no deck.
        (json!([gypsum(), thick("foam"), studs("wool", "140"), board("osb")]), "unvented", 0.0, r + 4.0),
        (json!([gypsum(), thick("foam"), studs("air", "140"), board("osb")]), "unvented", 0.0, r),
        (json!([gypsum(), studs("wool", "140"), thick("foam"), board("osb")]), "unvented", r, 4.0),
        (json!([gypsum(), studs("wool", "140"), board("osb"), thick("foam")]), "unvented", r, 4.0),
        // Fibre boards above the deck are boards.
        (json!([gypsum(), studs("wool", "140"), board("osb"), thick("wool")]), "unvented", r, 4.0),
        // Air above the deck does not take the question away; air below it does.
        (json!([gypsum(), studs("wool", "140"), board("osb"), thick("foam"), cavity()]), "unvented", r, 4.0),
        (json!([gypsum(), studs("wool", "140"), board("osb"), cavity()]), "unvented", 0.0, 4.0),
        (json!([gypsum(), studs("wool", "140"), cavity(), board("osb")]), "vented", 0.0, 0.0),
        (json!([gypsum(), studs("foam", "140"), board("osb")]), "unvented", 4.0, 0.0),
    ] {
        let facts = run(&home(json!({"assemblies": {"roof": {"kind": "roof", "layers": layers.clone()}}})), &[]);
        assert_eq!(text(&facts, "assemblies.roof", "moisture.roof_ventilation"), ventilation, "{layers}");
        if ventilation == "unvented" {
            assert!((number(&facts, "assemblies.roof", "moisture.deck_insulation") - near).abs() < 1e-9, "{layers}");
            assert!(
                (number(&facts, "assemblies.roof", "moisture.other_roof_insulation") - other).abs() < 1e-9,
                "{layers}"
            );
        }
    }
}

/// By hand: the coldest months of the climate are −1, 0 and 1 °C, mean 0. From the underside of the deck outwards 0.012/0.13
/// + 0.1/0.035 + 0.04 = 2.9895 of 0.10 + 0.012/0.25 + 4 + 2.9895 = 7.1375: 20 · 2.9895/7.1375 = 8.377 °C.
#[test]
fn a_deck_kept_warm_from_above() {
    let thick = json!({"material": "foam", "thickness": "100 mm"});
    let layers = json!([board("gypsum-board"), studs("wool", "140"), board("osb"), thick]);
    let facts = run(&home(json!({"assemblies": {"roof": {"kind": "roof", "layers": layers}}})), &[]);
    let found = number(&facts, "assemblies.roof", "moisture.deck_temperature");
    assert!((found - 8.377).abs() < 0.001, "{found}");
    let layers = json!([board("gypsum-board"), studs("wool", "140"), board("osb")]);
    let facts = run(&home(json!({"assemblies": {"roof": {"kind": "roof", "layers": layers}}})), &[]);
    let (because, _) = missing(&facts, "assemblies.roof", "moisture.deck_temperature");
    assert_eq!(because, "assemblies.roof has no insulation above its deck");
}

/// Open foam of µ 3, 140 mm: 2e-10/0.42 = 476.2 ng/(Pa·s·m²), 8.3 perm; with a coat of 1 perm, 57.2135 ng, 51.08.
#[test]
fn foam_below_a_deck_with_its_coat() {
    let open = json!({
        "spray": {"kind": "foam-insulation", "conductivity": "0.038 W/(m·K)", "vapour_resistance": 3, "source": "invented"},
        "coat": {"kind": "finish", "permeance": "1 perm", "source": "invented"},
    });
    for (coat, expected) in [(false, 476.19), (true, 51.08)] {
        let mut layers = vec![board("gypsum-board"), studs("spray", "140"), board("osb")];
        if coat {
            layers.insert(1, json!({"material": "coat"}));
        }
        let facts = run(
            &home(json!({"materials": open.clone(), "assemblies": {"roof": {"kind": "roof", "layers": layers}}})),
            &[],
        );
        let found = number(&facts, "assemblies.roof", "moisture.deck_foam_permeance") * 1e12;
        assert!((found - expected).abs() < 0.01, "{found}");
    }
}
