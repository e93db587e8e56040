//! The figures: nights in the bedrooms, and the way of the air, held against the facts.

use crate::support::{Found, Given, home, run};
use mateline_model::{Drawing, Figure, Mark, PathLink, PathNode, Series};
use mateline_ventilation::rates::CFM;
use serde_json::json;

fn titled<'a>(found: &'a Found, part: &str) -> Option<&'a Figure> {
    found.0.figures.iter().find(|figure| figure.title.contains(part))
}

fn night<'a>(found: &'a Found, part: &str) -> (&'a Figure, &'a [Series], &'a [Mark]) {
    let figure = titled(found, part).unwrap_or_else(|| panic!("no figure {part}"));
    match &figure.drawing {
        Drawing::Chart { series, levels, .. } => (figure, series, levels),
        other => panic!("{other:?}"),
    }
}

fn ways(found: &Found) -> (&Figure, &[PathNode], &[PathLink]) {
    let figure = titled(found, "way of the air").unwrap();
    match &figure.drawing {
        Drawing::Paths { nodes, links, .. } => (figure, nodes, links),
        other => panic!("{other:?}"),
    }
}

/// What comes to a place less what leaves it (cfm).
fn surplus(nodes: &[PathNode], links: &[PathLink], label: &str) -> f64 {
    let place = nodes.iter().position(|node| node.label == label).unwrap();
    let sum = |of: fn(&PathLink) -> usize| -> f64 {
        links.iter().filter(|link| of(link) == place).map(|link| link.value / CFM).sum()
    };
    sum(|link| link.to) - sum(|link| link.from)
}

#[test]
fn every_bedroom_has_its_night_against_the_level_of_advice() {
    let found = run(&home());
    let (figure, series, levels) = night(&found, "in ordinary operation");
    assert_eq!(figure.subject.as_str(), "spaces.bedrooms");
    assert_eq!(series.iter().map(|one| one.label.as_str()).collect::<Vec<_>>(), ["bed 1", "bed 2"]);
    for (one, room) in series.iter().zip(["spaces.bed-1", "spaces.bed-2"]) {
        assert_eq!((one.points.first(), one.points.len()), (Some(&(0.0, 600e-6)), 49));
        let (end, last) = one.points.last().unwrap();
        assert!((last - found.number(room, "co2_peak")).abs() < 1e-12 && (end - 8.0 * 3600.0).abs() < 1e-6);
    }
    assert!(matches!(levels, [level] if level.label == "advice" && (level.value - 1000e-6).abs() < 1e-12));
    let peak = format!("bed 1, at most {:.0} ppm, never above it", found.ppm("spaces.bed-1", "co2_peak"));
    assert!(figure.alternative.contains(&peak), "{}", figure.alternative);
    let (_, series, _) = night(&found, "with the main unit off");
    for (one, room) in series.iter().zip(["spaces.bed-1", "spaces.bed-2"]) {
        assert!((one.points.last().unwrap().1 - found.number(room, "co2_peak_unit_off")).abs() < 1e-12);
    }
}

#[test]
fn one_bedroom_is_its_own_subject_and_none_has_no_chart() {
    let mut one = home();
    one["spaces"]["bed-2"]["use"] = json!("office");
    one["spaces"]["bed-2"].as_object_mut().unwrap().remove("sleeps");
    let found = run(&one);
    assert_eq!(night(&found, "in ordinary operation").0.subject.as_str(), "spaces.bed-1");
    one["spaces"]["bed-1"]["use"] = json!("office");
    one["spaces"]["bed-1"].as_object_mut().unwrap().remove("sleeps");
    assert!(titled(&run(&one), "Carbon dioxide").is_none());
}

#[test]
fn nothing_changes_without_a_unit_that_does_not_run() {
    let mut still = home();
    still["systems"]["ventilation"] = json!({});
    let found = run(&still);
    assert!(titled(&found, "with the main unit off").is_none());
    assert!(titled(&found, "in ordinary operation").is_none());
    assert!(titled(&found, "way of the air").is_none());
}

/// 80 cfm in and out; living room, kitchen and hall are one place; each place loses what it gains.
#[test]
fn air_goes_from_the_outdoors_through_the_rooms() {
    let found = run(&home());
    let (figure, nodes, links) = ways(&found);
    assert_eq!(figure.subject.as_str(), "systems.ventilation");
    let labels: Vec<(&str, &str)> = nodes.iter().map(|node| (node.label.as_str(), node.note.as_str())).collect();
    assert_eq!(
        labels,
        [("outdoors", ""), ("living", "and 2 open rooms"), ("bed 1", "2 sleep"), ("bed 2", "1 sleeps"), ("bath", "")]
    );
    let supplied: f64 = links.iter().filter(|link| link.from == 0).map(|link| link.value / CFM).sum();
    assert!((supplied - 80.0).abs() < 1e-6, "{supplied}");
    for node in nodes {
        assert!(surplus(nodes, links, &node.label).abs() < 1e-4, "{}", node.label);
    }
    let unit = |label: &str| links.iter().filter(|link| link.label == label).count();
    assert_eq!((links.len(), unit("unit"), unit("leaks"), unit("")), (8, 5, 0, 3));
    assert!(figure.alternative.contains("outdoors to bed 1 by unit, 30.0 cfm"), "{}", figure.alternative);
}

/// Leaks join in where there are any; in a home with one exhaust all air comes in by them.
#[test]
fn leaks_make_up_what_fans_draw() {
    let mut exhausted = home();
    exhausted["systems"]["ventilation"] =
        json!({"fan": {"kind": "exhaust-fan", "exhaust": "40 cfm", "exhausts": {"bath": "40 cfm"}}});
    let found = Given::default().leakage(300.0).run(&exhausted);
    let (_, nodes, links) = ways(&found);
    let leaked: f64 = links.iter().filter(|link| link.label == "leaks").map(|link| link.value / CFM).sum();
    assert!((leaked - 40.0).abs() < 1e-3, "{leaked}");
    for node in nodes {
        assert!(surplus(nodes, links, &node.label).abs() < 1e-3, "{}", node.label);
    }
}

/// A pressurised home loses through its leaks what its fan brings.
#[test]
fn leaks_let_out_what_fans_bring() {
    let mut supplied = home();
    supplied["systems"]["ventilation"] =
        json!({"fan": {"kind": "supply-fan", "supply": "40 cfm", "supplies": {"living": "40 cfm"}}});
    let found = Given::default().leakage(300.0).run(&supplied);
    let (_, nodes, links) = ways(&found);
    let out: f64 = links.iter().filter(|link| link.to == 0).map(|link| link.value / CFM).sum();
    assert!((out - 40.0).abs() < 1e-3 && links.iter().all(|link| link.to != 0 || link.label == "leaks"), "{out}");
    assert!(nodes.iter().all(|node| surplus(nodes, links, &node.label).abs() < 1e-3));
}

#[test]
fn a_room_that_no_air_reaches_is_drawn_without_a_flow() {
    let mut closed = home();
    closed["spaces"]["store"] =
        json!({"use": "storage", "in": "A", "floor_area": "4 m²", "height": "2.5 m", "opens_to": "hall"});
    let found = run(&closed);
    let (figure, nodes, links) = ways(&found);
    let place = nodes.iter().position(|node| node.label == "store").unwrap();
    assert!(links.iter().all(|link| link.from != place && link.to != place));
    assert!(figure.alternative.ends_with("No air is drawn to or from: store."), "{}", figure.alternative);
}

#[test]
fn the_same_home_gives_the_same_figures() {
    let figures = || Given::default().leakage(150.0).run(&home()).0.figures;
    assert_eq!(figures(), figures());
}
