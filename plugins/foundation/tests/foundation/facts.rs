//! What the plugin finds of a home, what it leaves open, and what it refuses.

use crate::support::{FOOT, because, close, fact, flag, pair, rates, run, si, text, with, without};
use mateline_model::{Origin, ValueKind};
use serde_json::json;

const POUND_FORCE: f64 = 0.453_592_37 * 9.806_65;

/// By hand: A bears (30000 + 90·44·14)/(2·44) plf, B (26000 + 90·44·14)/88; 50 plf of snow on the eaves of a side.
#[test]
fn loads_along_the_lines() {
    let found = run(&pair());
    let plf = POUND_FORCE / FOOT;
    let (a, b) = (30_000.0 / 88.0 + 630.0, 26_000.0 / 88.0 + 630.0);
    close(si(&found, "modules.A", "line_load") / plf, a, 1e-6);
    close(si(&found, "home", "line_load_side") / plf, a + 50.0, 1e-6);
    close(si(&found, "home", "line_load_mate") / plf, a + b, 1e-6);
    // (q + 150·9.333·8/12)/(2000 - 125) ft.
    let wall = 150.0 * (9.0 + 8.0 + 2.0 / 12.0 - 10.0 / 12.0 - 7.0) * 8.0 / 12.0;
    close(si(&found, "home", "footing_width_needed") / FOOT, (a + 50.0 + wall) / 1875.0, 1e-6);
    close(si(&found, "home", "footing_width_given") / FOOT, 20.0 / 12.0, 1e-9);
    close(si(&found, "home", "footing_projection") / FOOT, 0.5, 1e-9);
}

/// A second storey adds its weight and 30 psf; an own live load replaces both.
#[test]
fn a_stack_bears_on_the_box_below() {
    let upper = json!({"level": 2, "at": {"x": "0 ft", "y": "0 ft"}, "size": {"x": "44 ft", "y": "14 ft", "z": "10 ft"},
        "weight": "22000 lb"});
    let home = with(pair(), "/modules/C", upper);
    let plf = POUND_FORCE / FOOT;
    close(si(&run(&home), "modules.A", "line_load") / plf, 52_000.0 / 88.0 + 7.0 * 120.0, 1e-6);
    close(si(&run(&home), "home", "storeys"), 2.0, 0.0);
    let home = with(home, "/foundation/live_load", json!("50 psf"));
    close(si(&run(&home), "modules.A", "line_load") / plf, 52_000.0 / 88.0 + 7.0 * 150.0, 1e-6);
}

#[test]
fn presumptive_bearing_by_soil() {
    let found = run(&without(pair(), "/site/soil_bearing"));
    close(si(&found, "home", "soil_bearing"), 1500.0 * 47.880_258_98, 1e-6);
    let none = without(without(pair(), "/site/soil_bearing"), "/site/soil");
    assert_eq!(because(&run(&none), "home", "soil_bearing"), "the site has neither soil_bearing nor soil");
}

#[test]
fn services_need_room_below() {
    assert!(flag(&run(&pair()), "home", "services_fit"));
    let slab = with(pair(), "/foundation", json!({"kind": "slab", "services_below_floor": true}));
    assert!(!flag(&run(&slab), "home", "services_fit"));
    let bare = with(slab, "/foundation/services_below_floor", json!(false));
    assert!(flag(&run(&bare), "home", "services_fit"));
    let unsaid = without(bare, "/foundation/services_below_floor");
    assert_eq!(because(&run(&unsaid), "home", "services_fit"), "the foundation has no services_below_floor");
    let tight = without(pair(), "/foundation/clearance_below_services");
    assert_eq!(because(&run(&tight), "home", "services_fit"), "the foundation has no clearance_below_services");
}

/// 8 ft 2 in less 60 in; the water table at 11 ft lies 2 ft 10 in below the footing.
#[test]
fn frost_and_water() {
    let found = run(&pair());
    close(si(&found, "home", "frost_margin") / FOOT, 8.0 + 2.0 / 12.0 - 5.0, 1e-9);
    close(si(&found, "home", "water_margin") / FOOT, 11.0 - 8.0 - 2.0 / 12.0, 1e-9);
    assert!(!flag(&found, "home", "water_table_high") && !flag(&found, "home", "sump_needed"));
    let wet = run(&with(pair(), "/site/water_table", json!("6 ft")));
    assert!(flag(&wet, "home", "water_table_high") && flag(&wet, "home", "sump_needed"));
    assert_eq!(because(&wet, "home", "sump_given"), "the foundation has no sump");
    assert_eq!(
        because(&run(&without(pair(), "/site/water_table")), "home", "water_table_high"),
        "the site has no water_table"
    );
    assert_eq!(
        because(&run(&without(pair(), "/site/frost_depth")), "home", "frost_margin"),
        "the site has no frost_depth"
    );
}

/// 30 x 54 in is 11.25 ft²; the sill of w1 stands 9 ft - 7 ft + 10 in + 32 in above grade, that of w2 42 in - 7 ft.
#[test]
fn escape_openings() {
    let found = run(&pair());
    close(si(&found, "openings.w1", "egress_area") / (FOOT * FOOT), 11.25, 1e-9);
    close(si(&found, "openings.w1", "egress_sill_above_grade") / FOOT, 2.0 + 10.0 / 12.0 + 32.0 / 12.0, 1e-9);
    assert!(flag(&found, "spaces.bedroom", "has_egress"));
    assert!(flag(&found, "home", "basement_habitable"));
    assert_eq!(text(&found, "home", "egress_opening"), "w2");
    close(si(&found, "home", "egress_area") / (FOOT * FOOT), 32.0 * 44.0 / 144.0, 1e-9);
    assert!(flag(&found, "home", "window_well_needed"));
    close(si(&found, "home", "window_well_area") / (FOOT * FOOT), 12.0, 1e-9);
    let fixed = run(&with(pair(), "/openings/w1/operation", json!("fixed")));
    assert!(!flag(&fixed, "spaces.bedroom", "has_egress"));
    let unsaid = run(&without(pair(), "/openings/w1/space"));
    assert_eq!(because(&unsaid, "spaces.bedroom", "has_egress"), "no opening says that it serves bedroom");
    let unclear = run(&without(pair(), "/openings/w1/clear_width"));
    assert!(because(&unclear, "spaces.bedroom", "egress_area").contains("openings.w1 has no clear_width"));
}

/// A crawl space of 44 by 28 ft inside 8 in walls: 42 ft 8 in by 26 ft 8 in.
#[test]
fn air_below_the_floor() {
    let crawl = with(
        pair(),
        "/foundation",
        json!({
            "kind": "crawl-space", "conditioned": false, "height": "4 ft", "depth_below_grade": "2 ft",
            "footing": {"width": "16 in", "thickness": "8 in", "depth": "5 ft"}, "vent_area": "8 ft²",
            "ground_cover": "6 mil", "access": {"width": "24 in", "height": "18 in", "through_floor": true}
        }),
    );
    let home = without(without(crawl, "/openings/w2"), "/spaces/music");
    let found = run(&home);
    let floor = (44.0 - 4.0 / 3.0) * (28.0 - 4.0 / 3.0);
    close(si(&found, "home", "floor_per_vent_area"), floor / 8.0, 1e-9);
    close(si(&found, "home", "vent_ratio"), 8.0 / floor, 1e-12);
    assert_eq!(text(&found, "home", "ventilation"), "vented");
    close(si(&found, "home", "access_smaller_side") / FOOT, 1.5, 1e-12);
    close(si(&found, "home", "access_larger_side") / FOOT, 2.0, 1e-12);
    let aired = with(home, "/foundation/conditioning_flow", json!("25 cfm"));
    let found = run(&aired);
    assert_eq!(text(&found, "home", "ventilation"), "unvented");
    close(si(&found, "home", "conditioning_flow_per_area") / 5.08e-3, 25.0 / floor, 1e-9);
}

#[test]
fn a_soil_that_is_not_named_leaves_only_the_earth_open() {
    let found = run(&without(pair(), "/site/soil"));
    for name in ["excavation_bank", "excavation_loose", "haul_off_loose", "truckloads"] {
        assert_eq!(because(&found, "home", name), "the site has no soil");
    }
    assert!(si(&found, "home", "concrete_total") > 0.0);
    let own = json!({"sides": "1:1", "swell": "30 %", "compacted": "90 %"});
    let found = run(&with(without(pair(), "/site/soil"), "/foundation/earthwork", own));
    close(si(&found, "home", "excavation_loose") / si(&found, "home", "excavation_bank"), 1.3, 1e-12);
}

#[test]
fn without_rates_there_are_quantities_and_no_cost() {
    let found = run(&pair());
    for kind in ["basement", "crawl-space", "piers", "slab"] {
        let subject = format!("alternatives.{kind}");
        assert!(si(&found, &subject, "excavation_bank") > 0.0);
        assert!(si(&found, &subject, "concrete_total") > 0.0);
        assert!(because(&found, &subject, "cost").contains("rates.excavation"));
    }
    let partly = with(rates(), "/drainage", json!(null));
    let found = run(&with(pair(), "/rates", partly));
    assert_eq!(because(&found, "alternatives.basement", "cost"), "rates.drainage is not given");
    assert!(si(&found, "alternatives.piers", "cost") > 0.0);
}

#[test]
fn alternatives_side_by_side() {
    let found = run(&with(pair(), "/rates", rates()));
    let of = |kind: &str, name: &str| si(&found, &format!("alternatives.{kind}"), name);
    // The chosen kind is the home's own foundation.
    close(of("basement", "excavation_bank"), si(&found, "home", "excavation_bank"), 1e-9);
    close(of("basement", "concrete_total"), si(&found, "home", "concrete_total"), 1e-9);
    assert!(of("basement", "excavation_bank") > of("crawl-space", "excavation_bank"));
    assert!(of("piers", "concrete_total") < of("crawl-space", "concrete_total"));
    let gained = (44.0 - 4.0 / 3.0) * (28.0 - 4.0 / 3.0) * FOOT * FOOT;
    close(of("basement", "floor_area_gained"), gained, 1e-9);
    close(of("crawl-space", "floor_area_gained"), 0.0, 0.0);
    assert_eq!(because(&found, "alternatives.piers", "cost_per_area_gained"), "no floor area is gained");
    let extra = (of("basement", "cost") - of("crawl-space", "cost")) / gained;
    close(of("basement", "cost_per_area_gained"), extra, 1e-9);
    for kind in ["basement", "crawl-space", "piers"] {
        assert!(of(kind, "cost_low") < of(kind, "cost") && of(kind, "cost") < of(kind, "cost_high"));
    }
    assert!(text(&found, "alternatives.slab", "fit").starts_with("unfit"));
    assert!(text(&found, "alternatives.piers", "open_points").contains("exposed to frost"));
    assert!(found.figures.iter().any(|figure| figure.title == "Foundations side by side"));
}

/// The cost by hand of what piers need, at rates of 1 for every unit in SI.
#[test]
fn the_cost_of_piers_by_hand() {
    let names = ["excavation", "haul", "backfill", "gravel", "concrete"].map(|name| (name, "1 $/m³"));
    let areas = ["formwork", "floor_insulation", "skirt"].map(|name| (name, "1 $/m²"));
    let rates: serde_json::Map<String, serde_json::Value> = names
        .into_iter()
        .chain(areas)
        .chain([("reinforcement", "1 $/kg"), ("set_up", "1 $")])
        .map(|(name, rate)| (name.to_owned(), json!(rate)))
        .collect();
    let found = run(&with(pair(), "/rates", rates.into()));
    let of = |name: &str| si(&found, "alternatives.piers", name);
    let (area, around) = (44.0 * 28.0 * FOOT * FOOT, 144.0 * FOOT * 3.0 * FOOT);
    let amounts = [
        "excavation_bank",
        "topsoil_bank",
        "haul_off_loose",
        "backfill",
        "concrete_total",
        "formwork_area",
        "reinforcement_mass",
    ];
    let sum: f64 = amounts.iter().map(|name| of(name)).sum();
    close(of("cost"), sum + area + around + 1.0, 1e-6);
}

/// B on a crawl space beside A on the basement: each part by itself, the home their sum.
#[test]
fn a_mixed_foundation_is_the_sum_of_its_parts() {
    let except = json!([{"under": "B", "kind": "crawl-space", "height": "4 ft", "depth_below_grade": "2 ft",
        "footing": {"width": "16 in", "thickness": "8 in"}}]);
    let found = run(&with(pair(), "/foundation/except", except));
    assert_eq!(text(&found, "home", "kind"), "mixed");
    for name in ["excavation_bank", "concrete_total", "backfill", "formwork_area"] {
        let parts = si(&found, "foundation.basement", name) + si(&found, "foundation.crawl-space-B", name);
        close(si(&found, "home", name), parts, 1e-9);
    }
}

#[test]
fn what_cannot_be_is_refused() {
    let cases = [
        (with(pair(), "/foundation/depth_below_grade", json!("10 ft")), "more than foundation.height"),
        (
            with(
                pair(),
                "/foundation/alternatives",
                json!({"crawl-space": {"height": "3 ft", "depth_below_grade": "4 ft"}}),
            ),
            "foundation.alternatives.crawl-space.depth_below_grade is 4.00 ft, more than its height 3.00 ft",
        ),
        (with(pair(), "/foundation/except", json!([{"under": "Z", "kind": "slab"}])), "there is no module 'Z'"),
        (
            with(pair(), "/foundation/except", json!([{"under": ["A", "B"], "kind": "slab"}])),
            "every box is an exception",
        ),
        (with(pair(), "/foundation/footing/width", json!("0 in")), "a footing has a width above zero"),
        (with(pair(), "/foundation/footing/depth", json!("2 in")), "stand out of the ground"),
        (with(pair(), "/rates", json!({"concrete": "-3 $/yd³"})), "the rate for concrete is below zero"),
        (with(pair(), "/foundation/earthwork", json!({"truck": "0 yd³"})), "truck is zero or less"),
    ];
    for (home, words) in cases {
        let found = run(&home);
        assert!(found.problems.iter().any(|problem| problem.message.contains(words)), "{words}: {:?}", found.problems);
    }
}

/// Without a foundation, the alternatives still stand.
#[test]
fn a_home_without_foundation() {
    let home = without(pair(), "/foundation");
    let home = without(without(home, "/openings/w2"), "/spaces/music");
    let found = run(&home);
    assert_eq!(because(&found, "home", "kind"), "the home has no foundation");
    assert!(si(&found, "alternatives.crawl-space", "concrete_total") > 0.0);
}

/// A hole deeper than 20 ft is beyond the method.
#[test]
fn a_deep_hole_is_left_to_the_engineer() {
    let home =
        with(with(pair(), "/foundation/height", json!("24 ft")), "/foundation/depth_below_grade", json!("21 ft"));
    let home = with(home, "/foundation/footing/depth", json!("22 ft"));
    assert!(because(&run(&home), "home", "excavation_bank").contains("deeper than 20 ft"));
}

/// Every number can be followed: a method, a source, and steps of which the last gives the value.
#[test]
fn every_basis_can_be_followed() {
    let kinds: std::collections::BTreeMap<String, ValueKind> =
        mateline_foundation::quantities().into_iter().map(|one| (one.name.to_string(), one.kind)).collect();
    let found = run(&with(pair(), "/rates", rates()));
    assert!(found.facts.len() > 150, "{}", found.facts.len());
    for fact in &found.facts {
        let name = format!("{} of {}", fact.quantity, fact.subject);
        assert!(kinds.contains_key(fact.quantity.as_ref()), "{name}");
        assert!(!fact.basis.method.is_empty() && !fact.basis.source.is_empty(), "{name}");
        let Some(value) = fact.value.number() else { continue };
        let last = fact.basis.steps.last().unwrap_or_else(|| panic!("{name} has no steps"));
        let result =
            last.result.as_ref().and_then(|term| term.value.number()).unwrap_or_else(|| panic!("{name}: {last:?}"));
        assert!(
            (result.si - value.si).abs() <= 1e-9 * value.si.abs().max(1.0),
            "{name}: {} and {}",
            result.si,
            value.si
        );
        assert_eq!(result.dimension, value.dimension, "{name}");
        for term in fact.basis.steps.iter().flat_map(|step| &step.terms) {
            // A fact cited is a fact found.
            if let Origin::Fact(subject, quantity) = &term.origin
                && quantity.starts_with("foundation.")
            {
                let cited = fact_of(&found, subject.as_str(), quantity);
                let shown = term.value.number().map(|number| number.si);
                assert!(
                    cited.is_some_and(|cited| shown.is_none_or(|si| (si - cited).abs() <= 1e-9 * cited.abs().max(1.0))),
                    "{name} cites {quantity} of {subject}"
                );
            }
        }
    }
}

fn fact_of(found: &mateline_sdk::Findings, subject: &str, quantity: &str) -> Option<f64> {
    let name = quantity.strip_prefix("foundation.")?;
    fact(found, subject, name).value.number().map(|number| number.si)
}

/// Sizes beyond all measure leave facts missing and never infinite.
#[test]
fn endless_sizes_give_no_endless_facts() {
    for (pointer, value) in [
        ("/openings/w2/clear_width", "1e300 ft"),
        ("/foundation/height", "1e300 ft"),
        ("/foundation/footing/width", "1e300 ft"),
        ("/site/ground_snow", "1e300 psf"),
        ("/modules/A/weight", "1e300 lb"),
    ] {
        let home = with(with(pair(), "/rates", rates()), pointer, json!(value));
        for fact in run(&home).facts {
            assert!(fact.value.number().is_none_or(|quantity| quantity.si.is_finite()), "{pointer}: {}", fact.quantity);
        }
    }
}
