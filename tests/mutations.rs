//! Good homes, spoiled at random: never a panic, and never a clean bill for a home that was not read.

use mateline_engine::load::{Node, Placed};
use mateline_model::{Outcome, Subject};
use mateline_tests::shapes::SHAPES;
use mateline_tests::{check_home, engine, example};
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::TestRunner;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// The examples as JSON, which is YAML too.
fn homes() -> &'static [Value] {
    static HOMES: OnceLock<Vec<Value>> = OnceLock::new();
    HOMES.get_or_init(|| {
        let load = |name| {
            let mut home = engine().load(&example(name)).unwrap_or_else(|bad| panic!("{bad}")).tree.to_json();
            home.as_object_mut().unwrap().shift_remove("include");
            home
        };
        ["heron-lane", "willow-pair", "starter"].map(load).to_vec()
    })
}

/// Pointers to every value of a tree.
fn pointers(value: &Value, here: String, all: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let pointer = format!("{here}/{}", key.replace('~', "~0").replace('/', "~1"));
                all.push(pointer.clone());
                pointers(value, pointer, all);
            }
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                let pointer = format!("{here}/{index}");
                all.push(pointer.clone());
                pointers(value, pointer, all);
            }
        }
        _ => {}
    }
}

/// What is done to a value.
#[derive(Clone, Debug)]
enum Spoil {
    Drop,
    Rename(String),
    Put(Value),
}

fn spoil() -> impl Strategy<Value = Spoil> {
    let values = vec![
        Value::Null,
        true.into(),
        (-1).into(),
        0.into(),
        1e300.into(),
        i64::MAX.into(),
        "".into(),
        "NaN".into(),
        ".nan".into(),
        "-3 ft".into(),
        "0 ft".into(),
        "1e300 ft".into(),
        "1e-300 m".into(),
        "200 %".into(),
        "R-0".into(),
        "5 ft -6 in".into(),
        "-5 ft 6 in".into(),
        "1e-320 ft".into(),
        "1e-300 in".into(),
        "1e300 cfm".into(),
        "1e9 in".into(),
        4_000_000_000_i64.into(),
        "16000".into(),
        "31.12.2025".into(),
        "until the roof is on".into(),
        "\u{200b}\u{2060}".into(),
        "0 W/(m·K)".into(),
        "\u{202e}\u{0}🏠".into(),
        "x".repeat(10_000).into(),
        Value::Array(Vec::new()),
        Value::Object(serde_json::Map::new()),
        serde_json::json!([[["deep"]]]),
    ];
    prop_oneof![
        Just(Spoil::Drop),
        "[a-z_]{0,6}|\\PC{0,8}".prop_map(Spoil::Rename),
        proptest::sample::select(values).prop_map(Spoil::Put),
    ]
}

fn apply(home: &mut Value, pointer: &str, spoil: &Spoil) {
    let Some((parent, last)) = pointer.rsplit_once('/') else { return };
    let last = last.replace("~1", "/").replace("~0", "~");
    match (home.pointer_mut(parent), spoil) {
        (Some(Value::Object(map)), Spoil::Drop) => {
            map.shift_remove(&last);
        }
        (Some(Value::Object(map)), Spoil::Rename(name)) => {
            if let Some(value) = map.shift_remove(&last) {
                map.insert(name.clone(), value);
            }
        }
        (Some(Value::Array(list)), Spoil::Drop | Spoil::Rename(_)) => {
            if let Ok(index) = last.parse::<usize>()
                && index < list.len()
            {
                list.remove(index);
            }
        }
        (Some(_), Spoil::Put(value)) => {
            if let Some(slot) = home.pointer_mut(pointer) {
                *slot = value.clone();
            }
        }
        _ => {}
    }
}

/// A home spoiled at a few places.
fn spoiled(which: usize, spots: &[(Index, Spoil)]) -> String {
    let mut home = homes()[which].clone();
    for (spot, spoil) in spots {
        let mut all = Vec::new();
        pointers(&home, String::new(), &mut all);
        if !all.is_empty() {
            apply(&mut home, spot.get::<String>(&all), spoil);
        }
    }
    home.to_string()
}

/// What was accepted was read: it has a name, boxes, and facts about every box. What was not is told.
fn is_read_or_told(text: &str) -> Result<(), TestCaseError> {
    match check_home(text) {
        Ok(report) => {
            prop_assert!(!report.home.modules.is_empty());
            for id in report.home.modules.keys() {
                let subject = Subject::element("modules", id);
                prop_assert!(report.facts.get(&subject, "takeoff.volume").is_some());
            }
            // No plugin was brought down by what a file can hold.
            for plugin in &report.plugins {
                prop_assert_eq!(&plugin.failure, &None);
            }
        }
        Err(bad) => prop_assert!(!bad.problems.is_empty() && bad.problems.iter().all(|p| !p.message.is_empty())),
    }
    Ok(())
}

/// Tries so many cases of something.
fn hold<S: Strategy>(cases: u32, of: &S, test: impl Fn(S::Value) -> Result<(), TestCaseError>) {
    let config = ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() };
    TestRunner::new(config).run(of, test).unwrap_or_else(|failure| panic!("{failure}"));
}

fn spoil_homes(cases: u32) {
    let homes = (0usize..3, proptest::collection::vec((any::<Index>(), spoil()), 1..4));
    hold(cases, &homes, |(which, spots)| is_read_or_told(&spoiled(which, &spots)));
}

#[test]
fn a_spoiled_home_never_panics() {
    spoil_homes(64);
}

#[test]
#[ignore = "takes minutes: a thousand homes"]
fn many_spoiled_homes_never_panic() {
    spoil_homes(1_000);
}

fn waiver_until(until: &str) -> Result<(), TestCaseError> {
    let mut home = homes()[0].clone();
    home["waivers"][0]["until"] = until.into();
    let issues = ["A", "B", "C", "D"];
    match check_home(&home.to_string()) {
        Ok(report) => {
            prop_assert!(issues.contains(&until), "accepted: {until:?}");
            let waived = report.verdicts.iter().any(|verdict| verdict.outcome == Outcome::Waived);
            prop_assert_eq!(waived, until == "D", "{}", until);
        }
        Err(bad) => prop_assert!(!issues.contains(&until), "{until:?}: {bad}"),
    }
    Ok(())
}

/// What decides an outcome is never free text: a waiver ends, a figure has a unit, or the home is refused.
fn try_waivers(cases: u32) {
    hold(cases, &"\\PC{1,12}|[0-9]{4}-[0-9]{2}-[0-9]{2}|[A-Z]{1,2}", |until| waiver_until(&until));
}

#[test]
fn a_waiver_ends_with_an_issue_or_not_at_all() {
    for until in ["A", "B", "C", "D", "2025-12-31", "31.12.2025", "until the roof is on"] {
        waiver_until(until).unwrap_or_else(|failure| panic!("{failure}"));
    }
    try_waivers(24);
}

#[test]
#[ignore = "takes minutes: a thousand homes"]
fn many_waivers_end_with_an_issue_or_not_at_all() {
    try_waivers(1_000);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_refused_or_read(text in "\\PC{0,200}|([a-z]{1,6}: ?[\\[\\]{}&*!|>'\"%@`,a-z0-9\n -]{0,20}\n){0,8}") {
        if let Err(bad) = check_home(&text) {
            prop_assert!(!bad.problems.is_empty());
        } else {
            prop_assert!(false, "accepted: {text:?}");
        }
    }
}

/// What is no figure or more than any home has, by the unit at its end. A figure less than nothing in the smaller unit was
/// once read as one more than nothing.
const ABSURD: &[(&str, &[&str])] = &[
    (" in", &["5 ft -6 in", "3 ft -2 in", "1e-300 in", "1e9 in"]),
    (" ft", &["5 ft -6 in", "1e-320 ft", "1e300 ft"]),
    (" cfm", &["1e-300 cfm", "1e300 cfm"]),
];

/// Every figure is tried, some in one home: all that is wrong with it is told.
#[test]
fn absurd_figures_are_refused_wherever_a_figure_stands() {
    let home = &homes()[0];
    let mut all = Vec::new();
    pointers(home, String::new(), &mut all);
    let absurd = |(nth, pointer): (usize, &String)| {
        let text = home.pointer(pointer)?.as_str().filter(|text| text.starts_with(|c: char| c.is_ascii_digit()))?;
        let (_, absurd) = ABSURD.iter().find(|(unit, _)| text.ends_with(unit))?;
        Some((pointer.clone(), absurd[nth % absurd.len()]))
    };
    let figures: Vec<_> = all.iter().enumerate().filter_map(absurd).collect();
    assert!(figures.len() > 100, "{} figures", figures.len());
    for some in figures.chunks(8) {
        let mut home = home.clone();
        some.iter().for_each(|(pointer, put)| apply(&mut home, pointer, &Spoil::Put((*put).into())));
        let Err(bad) = check_home(&home.to_string()) else { panic!("accepted: {some:?}") };
        let places: BTreeSet<_> = bad.problems.iter().map(|problem| format!("{:?}", problem.at)).collect();
        assert!(places.len() >= some.len(), "{} of {some:?}: {bad}", places.len());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    /// A text in quotes that goes on behind them is refused in words that say so.
    #[test]
    fn a_text_in_quotes_with_more_behind_it_is_refused(which in 0usize..3, at in any::<Index>(), more in "[ ]?[a-z(;][ a-z,]{0,5}") {
        let home = homes()[which].to_string();
        let ends = home.as_bytes().windows(3).enumerate();
        let ends = ends.filter(|(_, bytes)| matches!(bytes, [before, b'"', b',' | b':'] if *before != b'\\'));
        let ends: Vec<usize> = ends.map(|(at, _)| at + 2).collect();
        let mut text = home.clone();
        text.insert_str(*at.get(&ends), &more);
        match check_home(&text) {
            Ok(_) => prop_assert!(false, "accepted: {more:?}"),
            Err(bad) => prop_assert!(bad.to_string().contains("more follows: put the whole in quotes"), "{}", bad),
        }
    }
}

/// However large and odd a file is, what is said about it is bounded. What it costs is shown by `benches/load.rs`.
#[test]
fn every_shape_of_file_is_loaded_or_refused_in_few_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("home.yaml");
    for (name, text) in SHAPES {
        std::fs::write(&path, text(40_000)).unwrap();
        match engine().load(&path) {
            Ok(loaded) => assert!(!loaded.home.modules.is_empty(), "{name}"),
            Err(bad) => {
                assert!((1..=201).contains(&bad.problems.len()), "{name}: {} problems", bad.problems.len());
                assert!(bad.problems.iter().all(|problem| problem.message.len() < 4_000), "{name}");
            }
        }
    }
}

/// Every place the loader keeps lies inside the file it names.
#[test]
fn places_lie_in_their_files() {
    fn walk(placed: &Placed, files: &[Vec<usize>]) {
        let line = placed.span.line as usize;
        let lines = &files[placed.span.file];
        assert!(line >= 1 && line <= lines.len(), "{:?}", placed.span);
        assert!(placed.span.column as usize <= lines[line - 1] + 1, "{:?}", placed.span);
        match &placed.node {
            Node::Seq(items) => items.iter().for_each(|item| walk(item, files)),
            Node::Map(entries) => entries.iter().for_each(|entry| walk(&entry.value, files)),
            _ => {}
        }
    }
    let loaded = engine().load(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let files: Vec<Vec<usize>> = loaded
        .project
        .files()
        .iter()
        .map(|file| file.text.lines().map(|line| line.chars().count()).collect())
        .collect();
    walk(&loaded.tree, &files);
}
