//! Nothing is missing in silence: what a plugin declares is a fact, or has a reason, in every output that lists facts.

use super::homes;
use crate::packets::packet;
use mateline_model::{Entry, Report, Subject};
use mateline_packets::Audience;
use mateline_reports::{html, json, text};
use mateline_tests::{check_file, example};
use std::collections::{BTreeMap, BTreeSet};

/// Quantities that are known of some subjects of a section and say nothing of others, to which they do not apply: `section
/// quantity`. None may join them.
const QUIET: &str = include_str!("quiet.txt");

fn reports() -> Vec<(&'static str, Report)> {
    homes::EXAMPLES.map(|name| (name, check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}")))).into()
}

fn about(entry: &Entry<'_>) -> (Subject, String) {
    match entry {
        Entry::Known(fact) => (fact.subject.clone(), fact.quantity.to_string()),
        Entry::Unknown(missing) => (missing.subject.clone(), missing.quantity.to_string()),
    }
}

#[test]
fn no_quantity_falls_silent() {
    let reports = reports();
    let mut spoken: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut known: BTreeMap<(&str, Subject), BTreeSet<String>> = BTreeMap::new();
    for (name, report) in &reports {
        for (subject, quantity) in report.entries().iter().map(about) {
            spoken.entry(subject.section().to_owned()).or_default().insert(quantity.clone());
            known.entry((name, subject)).or_default().insert(quantity);
        }
    }
    let quiet: BTreeSet<&str> = QUIET.lines().collect();
    let (mut silent, mut idle) = (BTreeSet::new(), quiet.clone());
    for ((name, subject), known) in &known {
        for quantity in spoken[subject.section()].difference(known) {
            // What is only asked about is stated where there is a doubt to be had.
            let line = format!("{} {quantity}", subject.section());
            idle.remove(line.as_str());
            if !quantity.starts_with("plausible.") && !quiet.contains(line.as_str()) {
                silent.insert(format!("{name}: {subject} {quantity}"));
            }
        }
    }
    assert!(silent.is_empty(), "{} are silent: {silent:#?}", silent.len());
    assert!(idle.is_empty(), "lines that nothing needs: {idle:#?}");
}

/// The reasons stand in the table of facts, in JSON, on the page and in the record.
#[test]
fn every_output_gives_the_reasons() {
    for (name, report) in reports() {
        assert!(report.missing.len() > 10, "{name}");
        let written = serde_json::to_value(json::report(&report, "0")).unwrap();
        let table = text::facts(&report, None);
        let page = html::report(&report).unwrap();
        let record = format!("{:?}", packet(&report, Audience::Record));
        let rows: BTreeSet<(&str, &str)> = table
            .lines()
            .filter(|line| line.contains("not known"))
            .filter_map(|line| {
                let mut words = line.split_whitespace();
                Some((words.next()?, words.next()?))
            })
            .collect();
        let on_page: BTreeSet<&str> =
            page.split("<code>").skip(1).filter_map(|rest| rest.split_once("</code>")).map(|(code, _)| code).collect();
        for missing in &report.missing {
            let (subject, quantity) = (missing.subject.as_str(), &*missing.quantity);
            assert_eq!(written["facts"][subject][quantity]["missing"], missing.because, "{name}: {subject} {quantity}");
            assert!(rows.contains(&(subject, quantity)), "{name}: {subject} {quantity}");
            assert!(on_page.contains(quantity), "{name}: {subject} {quantity}");
            assert!(record.contains(&format!("{:?}", missing.because)), "{name}: {subject} {quantity}");
        }
    }
}
