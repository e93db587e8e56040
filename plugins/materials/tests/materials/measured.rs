//! Samples of the air and radon, and compounds with levels of the home's own.

use crate::support::*;
use mateline_model::Home;
use serde_json::{Value, json};

fn with(section: &str, elements: Value) -> Home {
    let finishes = json!({"floor": {"category": "tile-flooring", "in": "bed", "area": "10 m²",
        "emissions": {"58-08-2": "6 µg/(m²·h)"}}});
    let mut body = serde_json::to_value(home(finishes, json!({}))).unwrap();
    body[section] = elements;
    serde_json::from_value(body).unwrap()
}

/// The chronic level of formaldehyde is 9 µg/m³ (OEHHA, looked up); 1 pCi/L is 37 Bq/m³ by definition of the curie.
#[test]
fn samples_stand_beside_the_level_of_their_compound() {
    let tests = json!({
        "bed": {"kind": "air-sample", "compound": "50-00-0", "space": "bed", "concentration": "4 µg/m³"},
        "all": {"kind": "air-sample", "compound": "TVOC", "concentration": "300 µg/m³"},
        "bare": {"kind": "air-sample", "concentration": "4 µg/m³"},
        "cellar": {"kind": "radon", "radon": "4 pCi/L"},
    });
    let found = run(&with("measurements", tests), &Given::usual());
    let of =
        |id: &str, what: &str| number(&found, &format!("measurements.{id}"), &format!("materials.{what}"), "µg/m³");
    close(of("bed", "measured_concentration"), 4.0, 1e-9);
    close(of("bed", "chronic_reference_level"), 9.0, 1e-9);
    assert_eq!(text(&found, "measurements.bed", "materials.measured_compound"), "formaldehyde");
    assert_eq!(text(&found, "measurements.all", "materials.measured_compound"), "total-voc");
    assert!(because(&found, "measurements.all", "materials.chronic_reference_level").contains("no such level"));
    assert_eq!(
        because(&found, "measurements.bare", "materials.measured_compound"),
        "measurements.bare gives no compound"
    );
    close(number(&found, "measurements.cellar", "materials.measured_radon", "Bq/m³"), 148.0, 1e-9);
}

/// 6 µg/(m²·h) from 10 m² into 10 m³/h are 6 µg/m³.
#[test]
fn a_compound_beyond_the_list_has_the_level_that_the_home_gives() {
    let own = json!({"cas": "58-08-2", "name": "Caffeine", "chronic_level": "5 µg/m³", "source": "invented",
        "provenance": "from memory, med"});
    let found = run(&with("compounds", json!({"own": own})), &Given::usual());
    let of = |what: &str| number(&found, "air.bed-cas-58-08-2", &format!("materials.{what}"), "µg/m³");
    close(of("concentration"), 6.0, 1e-9);
    close(of("chronic_reference_level"), 5.0, 1e-9);
    assert!(!flag(&found, "air.bed-cas-58-08-2", "materials.chronic_level_sure"));
    let without = run(&with("compounds", json!({})), &Given::usual());
    assert!(because(&without, "air.bed-cas-58-08-2", "materials.chronic_reference_level").contains("no such level"));
    for (cas, words) in
        [("58-08-3", "does not check"), ("caffeine", "no CAS number"), ("50-00-0", "has a level in the list already")]
    {
        let mut wrong = own.clone();
        wrong["cas"] = json!(cas);
        let found = run(&with("compounds", json!({"own": wrong})), &Given::usual());
        assert!(found.problems.iter().any(|problem| problem.message.contains(words)), "{cas}: {:?}", found.problems);
    }
}
