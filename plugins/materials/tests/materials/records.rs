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
    assert!(because(&found, "evidence.undated", "materials.evidence_valid").contains("no date"));
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
    assert_eq!(text(&found, "finishes.rug", "materials.emission_certificate"), "expired");
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

#[test]
fn a_chain_of_custody_counts_for_the_box_its_panels_are_in() {
    let found = run(&home(finishes(), evidence()), &Given::usual());
    close(number(&found, "modules.A", "materials.panel_count", ""), 1.0, 0.0);
    close(number(&found, "modules.A", "materials.custody_count", ""), 1.0, 0.0);
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
