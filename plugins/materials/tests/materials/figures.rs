//! The figures of what finishes add to the air, held against the facts and against sums by hand.

use crate::support::*;
use mateline_model::{Bar, Drawing, Figure, Mark};
use mateline_sdk::Findings;
use serde_json::{Value as Json, json};

fn bars(figure: &Figure) -> (&[Bar], &[Mark], &Bar) {
    match &figure.drawing {
        Drawing::Bars { rows, targets, total: Some(total), .. } => (rows, targets, total),
        other => panic!("{other:?}"),
    }
}

fn micrograms(bar: &Bar) -> f64 {
    bar.value * 1e9
}

/// Floor 40 m² at 3 µg/(m²·h) in both rooms; cabinets 6 m² at 10 µg/(m²·h) in the living room, applied in the factory.
fn two_sources() -> Json {
    json!({
        "floor": {"category": "wood-flooring", "in": ["living", "bed"], "tested_at": "14 d", "by": "site",
            "emissions": {"formaldehyde": "3 µg/(m²·h)"}},
        "kitchen-boxes": {"category": "cabinetry", "in": "living", "area": "6 m²", "tested_at": "14 d", "by": "factory",
            "emissions": {"50-00-0": "10 µg/(m²·h)", "toluene": "5 µg/(m²·h)"}},
    })
}

fn found(finishes: Json) -> Findings {
    run(&home(finishes, json!({})), &Given::usual())
}

#[test]
fn the_home_and_the_room_with_most_are_drawn() {
    let found = found(two_sources());
    let subjects: Vec<&str> = found.figures.iter().map(|figure| figure.subject.as_str()).collect();
    assert_eq!(subjects, ["air.home-formaldehyde", "air.living-formaldehyde"]);
    for figure in &found.figures {
        let (rows, levels, total) = bars(figure);
        let whole: f64 = rows.iter().map(micrograms).sum();
        let fact = number(&found, figure.subject.as_str(), "materials.concentration", "µg/m³");
        close(whole, fact, 1e-9);
        close(micrograms(total), fact, 1e-9);
        assert!(rows.is_sorted_by(|a, b| a.value >= b.value));
        // Both published levels of formaldehyde are 9 µg/m³ and share one line.
        assert_eq!(levels.len(), 1);
        assert_eq!(levels[0].label, "chronic reference level and CDPH level");
        close(levels[0].value * 1e9, 9.0, 1e-9);
    }
    let (rows, ..) = bars(&found.figures[0]);
    assert_eq!((rows[0].label.as_str(), rows[0].group.as_str()), ("floor", "applied on site"));
    assert_eq!((rows[1].label.as_str(), rows[1].group.as_str()), ("kitchen boxes", "applied in the factory"));
    close(micrograms(&rows[0]), 3.0 * 40.0 / 80.0, 1e-9);
    close(micrograms(&rows[1]), 10.0 * 6.0 / 80.0, 1e-9);
    let words = &found.figures[1].alternative;
    assert_eq!(
        words,
        "All finishes together 5.00 µg/m³: floor, 3.00 µg/m³; kitchen boxes, 2.00 µg/m³. That is not above 9.00 µg/m³, \
         the chronic reference level and CDPH level."
    );
}

#[test]
fn small_sources_stand_together_and_unknown_ones_are_counted_in_the_title() {
    let mut finishes = json!({"paint": {"category": "flat-coating", "in": "bed", "area": "30 m²"}});
    for index in 0..14 {
        let strength = if index < 12 { 10.0 - f64::from(index) / 2.0 } else { 0.001 };
        finishes[format!("piece-{index}")] = json!({"category": "cabinetry", "in": "living", "area": "2 m²",
            "tested_at": "14 d", "emissions": {"formaldehyde": format!("{strength} µg/(m²·h)")}});
    }
    let found = found(finishes);
    let (rows, _, total) = bars(&found.figures[0]);
    assert_eq!((rows.len(), rows[10].label.as_str()), (11, "4 smaller sources"));
    close(rows.iter().map(micrograms).sum(), micrograms(total), 1e-9);
    assert_eq!(
        found.figures[0].title,
        "Formaldehyde at 14 days in the home, by finish; what one finish gives off is not known"
    );
}

#[test]
fn without_fresh_air_or_a_source_nothing_is_drawn() {
    assert!(run(&home(two_sources(), json!({})), &Given::default()).figures.is_empty());
    let others = json!({"floor": {"category": "carpet", "in": "bed", "emissions": {"styrene": "3 µg/(m²·h)"}}});
    assert!(found(others).figures.is_empty());
    let none = json!({"floor": {"category": "carpet", "in": "bed", "emissions": {"formaldehyde": "0 µg/(m²·h)"}}});
    assert!(found(none).figures.is_empty());
}

#[test]
fn the_same_home_gives_the_same_figures() {
    assert_eq!(found(two_sources()).figures, found(two_sources()).figures);
}
