//! Content, the standard residence, substances to avoid, and values that cannot be.

use crate::support::*;
use serde_json::json;

#[test]
fn content_comes_out_in_the_words_of_the_rules() {
    let finishes = json!({
        "paint": {"category": "flat-paint", "area": "50 m²", "voc_content": "45 g/L", "colourant_voc": "20 g/L"},
        "primer": {"category": "primer"},
        "boxes": {"category": "cabinetry", "composite_wood": "no-added-formaldehyde", "panel": "mdf",
            "panel_formaldehyde": "0.04 ppm"},
        "shelf": {"category": "shelving"},
        "odd": {"category": "wallpaint", "voc_content": "10 g/L"},
        "own": {"category": "glazing-paste", "kind": "sealant", "length": "3 m"},
        "bead": {"category": "seam-sealant", "voc_content": "28 g/L"},
    });
    let found = run(&home(finishes, json!({})), &Given::usual());
    assert_eq!(text(&found, "finishes.paint", "materials.category"), "flat");
    assert_eq!(text(&found, "finishes.paint", "materials.kind"), "coating");
    close(number(&found, "finishes.paint", "materials.voc_content", "g/L"), 45.0, 1e-9);
    assert_eq!(because(&found, "finishes.primer", "materials.voc_content"), "finishes.primer has no voc_content");
    assert_eq!(text(&found, "finishes.boxes", "materials.panel"), "mdf");
    close(number(&found, "finishes.boxes", "materials.panel_formaldehyde", "ppm"), 0.04, 1e-12);
    assert_eq!(because(&found, "finishes.shelf", "materials.composite_wood"), "finishes.shelf has no composite_wood");
    let why = because(&found, "finishes.odd", "materials.kind");
    assert!(
        why.starts_with("finishes.odd has the category 'wallpaint', which is not in the list (did you mean "),
        "{why}"
    );
    assert_eq!(text(&found, "finishes.own", "materials.kind"), "sealant");
    close(number(&found, "finishes.bead", "materials.length", "m"), 12.0, 1e-12);
}

/// The scenario by hand: 2 µg/(m²·h) over 211 m² into 547 m³ × 0.23 1/h × 0.9 = 113.23 m³/h; without 0.9, 125.81.
#[test]
fn a_product_in_the_standard_residence() {
    let finishes = json!({
        "floor": {"category": "wood-flooring", "in": "bed", "emissions": {"formaldehyde": "2 µg/(m²·h)"}},
        "boxes": {"category": "cabinetry", "in": "bed", "area": "20 m²", "emissions": {"formaldehyde": "6 µg/(m²·h)"}},
        "board": {"category": "gypsum-board", "area": "90 m²", "emissions": {"acetaldehyde": "1 µg/(m²·h)"}},
    });
    let found = run(&home(finishes, json!({})), &Given::usual());
    let c = |subject: &str| number(&found, subject, "materials.scenario_concentration", "µg/m³");
    close(c("emissions.floor-formaldehyde"), 2.0 * 211.0 / (547.0 * 0.23 * 0.9), 1e-9);
    let whole = number(&found, "emissions.floor-formaldehyde", "materials.scenario_concentration_whole_flow", "µg/m³");
    close(whole, 2.0 * 211.0 / (547.0 * 0.23), 1e-9);
    close(c("emissions.boxes-formaldehyde"), 6.0 * 20.0 / (547.0 * 0.23 * 0.9), 1e-9);
    close(c("emissions.board-acetaldehyde"), 560.0 / (547.0 * 0.23 * 0.9), 1e-9);
    let loading = |subject| text(&found, subject, "materials.scenario_loading");
    assert_eq!(loading("emissions.floor-formaldehyde"), "floor");
    assert_eq!(loading("emissions.boxes-formaldehyde"), "project");
    assert_eq!(loading("emissions.board-acetaldehyde"), "wall");
    close(number(&found, "emissions.floor-formaldehyde", "materials.cdph_allowable", "µg/m³"), 9.0, 1e-9);
    assert_eq!(text(&found, "emissions.floor-formaldehyde", "materials.finish"), "floor");
}

#[test]
fn a_compound_without_a_level_says_so() {
    let finishes = json!({"floor": {"category": "wood-flooring", "in": "bed",
        "emissions": {"hexanal": "9 µg/(m²·h)", "58-08-2": "1 µg/(m²·h)"}}});
    let found = run(&home(finishes, json!({})), &Given::usual());
    for subject in ["emissions.floor-hexanal", "emissions.floor-cas-58-08-2", "air.bed-cas-58-08-2"] {
        assert!(because(&found, subject, "materials.cdph_allowable").ends_with("has no such level in the list"));
    }
    close(number(&found, "air.bed-cas-58-08-2", "materials.concentration", "µg/m³"), 1.0, 1e-9);
}

#[test]
fn contents_are_matched_or_said_to_be_undeclared() {
    let finishes = json!({
        "floor": {"category": "resilient-flooring", "contains": ["PVC", "chalk", "DINP (28553-12-0)", "DEHP"]},
        "carpet": {"category": "carpet", "contains": ["wool"]},
        "silent": {"category": "carpet"},
        "stated": {"category": "carpet", "product": "Carpet", "evidence": ["statement"]},
        "lapsed": {"category": "carpet", "product": "Carpet", "evidence": ["old-statement"]},
    });
    let evidence = json!({
        "statement": {"kind": "content-statement", "issued": "2026-03-03", "product": "Carpet"},
        "old-statement": {"kind": "content-statement", "issued": "2020-03-03", "expires": "2021-03-03", "product": "Carpet"},
    });
    let found = run(&home(finishes, evidence), &Given::usual());
    assert_eq!(text(&found, "finishes.floor", "materials.avoided"), "pvc, ortho-phthalates");
    close(number(&found, "finishes.floor", "materials.avoided_count", ""), 2.0, 0.0);
    let at = fact(&found, "finishes.floor", "materials.avoided").at.as_ref().unwrap();
    assert_eq!(at.path, "finishes.floor.contains.0");
    assert_eq!(text(&found, "finishes.carpet", "materials.avoided"), "none");
    assert_eq!(
        because(&found, "finishes.silent", "materials.avoided"),
        "finishes.silent does not say what it contains"
    );
    assert!(!flag(&found, "finishes.silent", "materials.contents_declared"));
    assert_eq!(text(&found, "finishes.stated", "materials.avoided"), "none");
    assert!(!flag(&found, "finishes.lapsed", "materials.contents_declared"));
}

#[test]
fn what_cannot_be_is_a_problem_at_its_line() {
    let finishes = json!({
        "a": {"category": "carpet", "area": "-1 m²", "voc_content": "-5 g/L", "contains": ["wool", "x 117-81-6", "diisononyl phtalate"],
            "emissions": {"tolune": "1 µg/(m²·h)", "50-00-1": "1 µg/(m²·h)", "styrene": "-1 µg/(m²·h)"}},
        "b": {"category": "carpet", "emissions": {"formaldehyde": "1 µg/(m²·h)", "50-00-0": "2 µg/(m²·h)"},
            "tested_at": "0 d", "decay": {"power": 0.5, "fast_share": "200 %"}, "panel_formaldehyde": 0.05},
        "c": {"category": "carpet", "emissions": {"phenol": "1 µg/(m²·h)"}, "tested_with": "d",
            "later_emissions": [{"tested_at": "14 d", "emissions": {"toluene": "1 µg/(m²·h)"}}]},
    });
    let evidence = json!({"r": {"kind": "photograph", "issued": "2026-03-03", "expires": "2026-03-02"}});
    let found = run(&home(finishes, evidence), &Given::usual());
    let problems = problems(&found);
    let expected = [
        ("finishes.a.area", "it cannot be negative"),
        ("finishes.a.voc_content", "it cannot be negative"),
        ("finishes.a.emissions.tolune", "unknown compound 'tolune' (did you mean 'toluene'?)"),
        ("finishes.a.emissions.50-00-1", "its last digit would be 0"),
        ("finishes.a.emissions.styrene", "it cannot be negative"),
        ("finishes.a.contains.1", "CAS number 117-81-6 does not check: its last digit would be 7"),
        ("finishes.a.contains.2", "did you mean 'diisononyl phthalate'?"),
        ("finishes.b.panel_formaldehyde", "is 50000 ppm"),
        ("finishes.b.tested_at", "must be above zero"),
        ("finishes.b.decay", "is neither a 'power' nor"),
        ("finishes.b.decay.fast_share", "between 0 and 1"),
        ("finishes.b.emissions.50-00-0", "are the same compound"),
        ("finishes.c.later_emissions.0.tested_at", "not later than 14 days"),
        ("finishes.c.later_emissions.0.emissions.toluene", "has no first value"),
        ("finishes.c.tested_with", "there is no finish 'd'"),
        ("evidence.r.expires", "before it is issued"),
    ];
    for (path, words) in expected {
        assert!(
            problems.iter().any(|(at, message)| at == path && message.contains(words)),
            "{path}: {words}; found {problems:#?}"
        );
    }
    assert_eq!(problems.len(), expected.len(), "{problems:#?}");
    assert!(found.facts.is_empty());
}
