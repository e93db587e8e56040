//! Records, what they say for finishes, and the chain of custody for boxes.

use crate::support::*;
use mateline_sdk::Plugin;
use serde_json::json;
use std::collections::BTreeSet;

fn evidence() -> serde_json::Value {
    json!({
        "good": {"kind": "emission-certificate", "issued": "2026-02-01", "expires": "2027-02-01",
            "product": "Oak floor", "lot": "44", "file": "good.pdf"},
        "old": {"kind": "emission-certificate", "issued": "2025-02-01", "expires": "2026-10-04",
            "product": "oak floor"},
        "label": {"kind": "composite-wood-label", "product": "boxes", "owed_by": "factory"},
        "chain": {"kind": "chain-of-custody", "issued": "2026-05-22", "product": "boxes", "lot": "K"},
        "undated": {"kind": "photograph", "file": "a.jpg"},
    })
}

fn finishes() -> serde_json::Value {
    json!({
        "floor": {"category": "wood-flooring", "in": "bed", "product": "oak floor", "lot": "44", "by": "site",
            "emissions": {"formaldehyde": "2 µg/(m²·h)"}, "evidence": ["old", "good"]},
        "stairs": {"category": "wood-flooring", "in": "bed", "product": "beech stairs", "by": "site",
            "emissions": {"formaldehyde": "2 µg/(m²·h)"}, "evidence": ["good"]},
        "rug": {"category": "carpet", "in": "bed", "emissions": {"styrene": "2 µg/(m²·h)"}, "evidence": ["old"]},
        "mat": {"category": "carpet", "in": "bed", "emissions": {"styrene": "2 µg/(m²·h)"}},
        "boxes": {"category": "cabinetry", "in": "living", "composite_wood": "certified", "panel": "mdf",
            "product": "boxes", "lot": "K", "evidence": ["label"]},
    })
}

#[test]
fn states_are_those_of_the_day() {
    let found = run(&home(finishes(), evidence()), &Given::usual());
    for (id, state) in
        [("good", "valid"), ("old", "expired"), ("label", "missing"), ("chain", "valid"), ("undated", "no-dates")]
    {
        assert_eq!(text(&found, &format!("evidence.{id}"), "materials.evidence_state"), state, "{id}");
    }
    assert!(flag(&found, "evidence.good", "materials.evidence_valid"));
    assert!(!flag(&found, "evidence.old", "materials.evidence_valid"));
    assert!(because(&found, "evidence.label", "materials.evidence_valid").contains("has not arrived"));
    assert!(
        because(&found, "evidence.undated", "materials.evidence_valid").contains("does not say when it was issued")
    );
    // From 2026-10-05: 119 days to 2027-02-01 (26 + 30 + 31 + 31 + 1), and one day past 2026-10-04.
    close(number(&found, "evidence.good", "materials.evidence_days_left", "d"), 119.0, 1e-9);
    close(number(&found, "evidence.old", "materials.evidence_days_left", "d"), -1.0, 1e-9);
    assert_eq!(text(&found, "evidence.label", "materials.evidence_owed_by"), "factory");
    assert_eq!(text(&found, "evidence.good", "materials.evidence_owed_by"), "site");
    close(number(&found, "evidence.good", "materials.evidence_uses", ""), 2.0, 0.0);
    assert!(flag(&found, "evidence.good", "materials.evidence_file_named"));
    assert!(!flag(&found, "evidence.label", "materials.evidence_file_named"));
}

#[test]
fn a_finish_has_the_state_of_its_best_record() {
    let found = run(&home(finishes(), evidence()), &Given::usual());
    assert_eq!(text(&found, "finishes.floor", "materials.emission_certificate"), "valid");
    assert_eq!(because(&found, "finishes.rug", "materials.emission_certificate"), "finishes.rug names no product");
    assert_eq!(
        because(&found, "finishes.stairs", "materials.emission_certificate"),
        "evidence.good is for the product 'Oak floor', not 'beech stairs'"
    );
    assert_eq!(
        because(&found, "finishes.mat", "materials.emission_certificate"),
        "finishes.mat names no emission certificate"
    );
    assert!(because(&found, "finishes.boxes", "materials.composite_wood_label").contains("has not arrived"));
    assert!(flag(&found, "finishes.floor", "materials.evidence_matches"));
    assert!(!flag(&found, "finishes.stairs", "materials.evidence_matches"));
    let at = fact(&found, "finishes.stairs", "materials.evidence_matches").at.clone().unwrap();
    assert_eq!(at.note.as_deref(), Some("product is 'Oak floor', not 'beech stairs'"));
    assert!(because(&found, "finishes.rug", "materials.evidence_matches").contains("no product"));
}

/// What a certificate is for and when it held: each row changes the finish and the record, and what comes of it.
#[test]
fn a_certificate_belongs_to_its_product() {
    let tried = |finish: serde_json::Value, record: serde_json::Value| {
        let mut floor = json!({"category": "wood-flooring", "in": "bed", "product": "Oak floor", "evidence": ["c"],
            "emissions": {"formaldehyde": "2 µg/(m²·h)"}});
        let mut c = json!({"kind": "emission-certificate", "issued": "2026-02-01", "expires": "2027-02-01", "product": "Oak floor"});
        for (into, from) in [(&mut floor, finish), (&mut c, record)] {
            for (key, value) in from.as_object().unwrap() {
                into[key] = value.clone();
            }
        }
        let year = [("p".to_owned(), json!({"greatest_age": {"emission-certificate": "365 d"}}))];
        run_with(&home(json!({"floor": floor}), json!({"c": c})), &Given::usual(), &year)
    };
    let certificate = "materials.emission_certificate";
    for (finish, record, state) in [
        (json!({}), json!({}), "valid"),
        (json!({"maker": "Firm"}), json!({"maker": " firm"}), "valid"),
        (json!({"model": "7"}), json!({"model": ["6", "7"]}), "valid"),
        (json!({}), json!({"category": ["carpet", "wood-flooring"]}), "valid"),
        (json!({}), json!({"expires": null, "issued": "2025-10-05"}), "valid"),
        (json!({"used_on": "2026-02-01"}), json!({}), "valid"),
        // In force when it was used, though no longer.
        (json!({"used_on": "2026-03-01"}), json!({"expires": "2026-04-01"}), "valid"),
        (json!({}), json!({"expires": "2026-04-01"}), "expired"),
    ] {
        assert_eq!(text(&tried(finish, record), "finishes.floor", certificate), state);
    }
    for (finish, record, why) in [
        (json!({"product": "Ash floor"}), json!({}), "evidence.c is for the product 'Oak floor', not 'Ash floor'"),
        (json!({"product": null}), json!({}), "finishes.floor names no product"),
        (json!({}), json!({"product": null}), "evidence.c names no product"),
        (json!({"maker": "Firm"}), json!({"maker": "Other"}), "evidence.c is for the maker 'Other', not 'Firm'"),
        (json!({"maker": "Firm"}), json!({}), "evidence.c names no maker"),
        (json!({}), json!({"maker": "Firm"}), "finishes.floor names no maker"),
        (json!({"model": "8"}), json!({"model": ["6", "7"]}), "evidence.c is for the model '6, 7', not '8'"),
        (json!({}), json!({"category": "carpet"}), "evidence.c is for the category 'carpet', not 'wood-flooring'"),
        (
            json!({}),
            json!({"expires": null, "issued": "2025-10-04"}),
            "evidence.c gives no last day, and is older than a pack lets it be",
        ),
        (json!({"used_on": "2026-01-31"}), json!({}), "evidence.c is issued after 2026-01-31, the day of use"),
        (json!({}), json!({"issued": "2026-10-06"}), "evidence.c is issued after 2026-10-05, the day of judging"),
    ] {
        assert_eq!(because(&tried(finish, record), "finishes.floor", certificate), why);
    }
}

/// A product that was photographed before its certificate was issued may have been used before it: without the day of use
/// nothing can be said.
#[test]
fn a_product_seen_before_its_certificate_states_the_day_of_use() {
    let tried = |used_on: serde_json::Value, photographed: &str| {
        let floor = json!({"category": "wood-flooring", "in": "bed", "product": "Oak floor", "evidence": ["c", "p"],
            "used_on": used_on, "emissions": {"formaldehyde": "2 µg/(m²·h)"}});
        let records = json!({
            "c": {"kind": "emission-certificate", "issued": "2026-02-01", "expires": "2027-02-01", "product": "Oak floor"},
            "p": {"kind": "photograph", "issued": photographed},
        });
        run(&home(json!({"floor": floor}), records), &Given::usual())
    };
    let certificate = "materials.emission_certificate";
    let why = "finishes.floor names no used_on, and evidence.p shows it before evidence.c is issued";
    assert_eq!(because(&tried(json!(null), "2026-01-15"), "finishes.floor", certificate), why);
    assert_eq!(text(&tried(json!(null), "2026-02-15"), "finishes.floor", certificate), "valid");
    assert_eq!(text(&tried(json!("2026-02-02"), "2026-01-15"), "finishes.floor", certificate), "valid");
}

/// A window's report counts for the product it names alone.
#[test]
fn a_report_belongs_to_its_window() {
    let mut home =
        home(json!({}), json!({"r": {"kind": "test-report", "issued": "2026-02-01", "product": "Window one"}}));
    let window = |product: &str| {
        serde_json::from_value(
            json!({"kind": "window", "module": "A", "face": "south", "width": "1 m", "height": "1 m",
            "product": product, "evidence": ["r"]}),
        )
        .unwrap()
    };
    home.openings.insert("w".parse().unwrap(), window("window one"));
    home.openings.insert("v".parse().unwrap(), window("Window two"));
    let found = run(&home, &Given::usual());
    assert_eq!(text(&found, "openings.w", "materials.product_record"), "valid");
    let why = "evidence.r is for the product 'Window one', not 'Window two'";
    assert_eq!(because(&found, "openings.v", "materials.product_record"), why);
}

#[test]
fn a_chain_of_custody_counts_for_the_box_its_panels_are_in() {
    let mut told = finishes();
    for floor in ["floor", "stairs"] {
        told[floor]["composite_wood"] = json!("no-composite-wood");
    }
    let found = run(&home(told, evidence()), &Given::usual());
    close(number(&found, "modules.A", "materials.panel_count", ""), 1.0, 0.0);
    close(number(&found, "modules.A", "materials.custody_count", ""), 1.0, 0.0);
    // A wood floor that does not say whether it holds composite wood leaves the count open.
    let found = run(&home(finishes(), evidence()), &Given::usual());
    let why = because(&found, "modules.A", "materials.panel_count");
    assert_eq!(why, "finishes.floor does not say whether it holds composite wood");
    assert!(flag(&found, "finishes.floor", "materials.may_hold_composite_wood"));
    assert!(!flag(&found, "finishes.rug", "materials.may_hold_composite_wood"));
}

/// Every fact is declared, stated once, and has a step that says where its numbers come from.
#[test]
fn every_fact_has_a_basis_that_can_be_followed() {
    let found = run(&home(finishes(), evidence()), &Given::usual());
    let declared: BTreeSet<String> =
        mateline_materials::Materials.declaration().quantities.iter().map(|one| one.name.to_string()).collect();
    let mut seen = BTreeSet::new();
    for fact in &found.facts {
        assert!(declared.contains(fact.quantity.as_ref()), "{}", fact.quantity);
        assert!(
            seen.insert((fact.subject.clone(), fact.quantity.clone())),
            "{} of {} twice",
            fact.quantity,
            fact.subject
        );
        assert!(!fact.basis.method.is_empty() && !fact.basis.source.is_empty(), "{}", fact.quantity);
        assert!(!fact.basis.steps.is_empty(), "{} of {}", fact.quantity, fact.subject);
    }
    for missing in &found.missing {
        assert!(declared.contains(missing.quantity.as_ref()), "{}", missing.quantity);
        let key = (missing.subject.clone(), missing.quantity.clone());
        assert!(!seen.contains(&key), "{} of {} is both", missing.quantity, missing.subject);
    }
    let stated: BTreeSet<String> = found.facts.iter().map(|fact| fact.quantity.to_string()).collect();
    assert!(stated.len() > 25, "{stated:?}");
}
