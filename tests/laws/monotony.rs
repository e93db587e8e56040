//! More of what helps never harms: insulation, emission, seals.

use super::homes::{self, Site};
use mateline_engine::{Options, Session};
use mateline_model::Report;
use mateline_model::quantity::parse;
use mateline_tests::{engine, random::Random};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Numbers of one quantity or several, by subject and quantity.
fn numbers(report: &Report, quantities: &[&str]) -> BTreeMap<String, f64> {
    let wanted = report.facts.iter().filter(|fact| quantities.contains(&&*fact.quantity));
    wanted.filter_map(|fact| Some((format!("{} {}", fact.subject, fact.quantity), fact.value.number()?.si))).collect()
}

/// Which of them rose, beyond what iterations leave.
fn rose(before: &BTreeMap<String, f64>, after: &BTreeMap<String, f64>, room: f64) -> Vec<String> {
    let higher = |(name, old): (&String, &f64)| {
        let new = after.get(name)?;
        (*new > old + room * old.abs() + 1e-12).then(|| format!("{name}: {old} {new}"))
    };
    before.iter().filter_map(higher).collect()
}

/// Places of insulating layers.
fn insulation(home: &Value) -> Vec<String> {
    let insulating = ["eps", "xps", "mineral-wool-board", "polyiso", "cellulose-loose-fill"];
    let mut found = Vec::new();
    for (id, assembly) in home["assemblies"].as_object().unwrap() {
        for (number, layer) in assembly["layers"].as_array().into_iter().flatten().enumerate() {
            let material = layer["material"].as_str().unwrap_or_default();
            if insulating.iter().any(|kind| material.starts_with(kind)) {
                found.push(format!("/assemblies/{id}/layers/{number}/thickness"));
            }
        }
    }
    found
}

/// Thicker insulation never raises a U-factor, the sum of the envelope, nor that of envelope, ground and junctions.
/// The last follows from sections solved to within 1 %. One layer in so many is tried, at random.
fn insulate(one_in: usize) {
    let (session, site) = (Session::new(engine()), Site::new());
    let mut random = Random::of(11);
    let mut tried = 0;
    for name in ["willow-pair", "starter"] {
        let home = homes::example(name);
        let check =
            |home: &Value| session.check(&site.put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
        let before = check(&home);
        for pointer in insulation(&home) {
            if !random.once_in(one_in) {
                continue;
            }
            tried += 1;
            let mut thicker = home.clone();
            let old = parse(home.pointer(&pointer).unwrap().as_str().unwrap()).unwrap().si;
            *thicker.pointer_mut(&pointer).unwrap() = json!(format!("{} mm", (old + 0.03) * 1000.0));
            let after = check(&thicker);
            let exact = ["envelope.u_factor", "envelope.u_parallel_path", "envelope.ua", "envelope.ua_parallel_path"];
            let found = rose(&numbers(&before, &exact), &numbers(&after, &exact), 1e-9);
            assert!(found.is_empty(), "{name} {pointer}: {found:#?}");
            let solved = ["junctions.ua_with_junctions"];
            let found = rose(&numbers(&before, &solved), &numbers(&after, &solved), 0.0);
            assert!(found.is_empty(), "{name} {pointer}: {found:#?}");
        }
    }
    assert!(tried >= 2, "{tried}");
}

#[test]
fn more_insulation_never_loses_more_heat() {
    insulate(5);
}

#[test]
#[ignore = "takes minutes: every insulating layer of two homes"]
fn more_insulation_anywhere_never_loses_more_heat() {
    insulate(1);
}

/// More of a compound from one finish is nowhere less of it in the air, and less nowhere more.
#[test]
fn more_emission_is_nowhere_less() {
    let (session, site) = (Session::new(engine()), Site::new());
    let home = homes::example("heron-lane");
    let check =
        |home: &Value| session.check(&site.put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let of_air = [
        "materials.concentration",
        "materials.concentration_move_in",
        "materials.concentration_one_year",
        "materials.hazard_index",
        "materials.scenario_concentration",
    ];
    let before = numbers(&check(&home), &of_air);
    assert!(before.len() > 100, "{}", before.len());
    let mut tried = 0;
    for (id, finish) in home["finishes"].as_object().unwrap() {
        for (compound, factor) in finish["emissions"].as_object().into_iter().flatten() {
            tried += 1;
            if tried % 16 != 0 {
                continue;
            }
            let old = parse(factor.as_str().unwrap()).unwrap().si * 3.6e12;
            let mut more = home.clone();
            more["finishes"][id]["emissions"][compound] = json!(format!("{} µg/(m²·h)", old * 1.7));
            let after = numbers(&check(&more), &of_air);
            let found = rose(&after, &before, 1e-9);
            assert!(found.is_empty(), "{id} {compound}: {found:#?}");
            assert_ne!(before, after, "{id} {compound}");
        }
    }
    assert!(tried >= 8, "{tried}");
}

/// A seam that is inspected, or has one seal more, raises no forecast. The chances rest on random draws, the same for each.
#[test]
fn a_tighter_seam_raises_no_forecast() {
    let (session, site) = (Session::new(engine()), Site::new());
    let check =
        |home: &Value| session.check(&site.put(home), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let budget = [
        "airtightness.q50",
        "airtightness.q50_seams",
        "airtightness.q50_low",
        "airtightness.q50_median",
        "airtightness.q50_high",
        "airtightness.ach50",
    ];
    let forecast = ["airtightness.predicted_q50", "airtightness.predicted_q50_low", "airtightness.predicted_q50_high"];
    for name in ["starter"] {
        let mut loose = homes::example(name);
        loose["seams"] = json!({"default": {"sealed_by": ["site-tape"], "inspected": false, "by": "site"}});
        let mut seals = vec![json!(["site-tape"]), json!(["site-tape", "factory-gasket"])];
        for inspected in [false, true] {
            for sealed_by in std::mem::take(&mut seals) {
                let mut tight = loose.clone();
                tight["seams"]["default"] = json!({"sealed_by": sealed_by, "inspected": inspected, "by": "site"});
                let (before, after) = (check(&loose), check(&tight));
                let found = rose(&numbers(&before, &budget), &numbers(&after, &budget), 1e-9);
                assert!(found.is_empty(), "{name} {sealed_by}: {found:#?}");
                // All seams are closed when the home is tested, or open then: the reading weighs the same draws.
                let found = rose(&numbers(&before, &forecast), &numbers(&after, &forecast), 1e-3);
                assert!(found.is_empty(), "{name} {sealed_by}: {found:#?}");
                loose = tight;
            }
            seals = vec![json!(["site-tape", "factory-gasket"]), json!(["site-tape", "factory-gasket", "membrane"])];
        }
    }
}
