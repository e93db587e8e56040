//! Where each number of a packet comes from: its fact, the home, or a calculation that the packet prints.

use super::{files, heron, packet, text, with_annex};
use mateline_model::{Fact, Origin, Subject};
use mateline_packets::{Audience, Block, Cell, Trace};
use mateline_reports::shown;
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn every_number_of_a_schedule_is_that_of_its_fact() {
    let report = heron();
    for audience in Audience::ALL {
        let packet = packet(report, audience);
        let mut facts = 0;
        for table in packet.tables() {
            for row in &table.rows {
                assert_eq!(row.len(), table.columns.len(), "{}", table.title);
                for (cell, column) in row.iter().zip(&table.columns) {
                    assert!(!cell.number || cell.trace.is_some(), "a number without an origin: {}", cell.text);
                    if let Some(Trace::Fact { subject, quantity }) = &cell.trace {
                        let fact = report.facts.get(subject, quantity).unwrap();
                        assert_eq!(cell.text, shown::fact(report, fact));
                        facts += 1;
                    }
                    if let (Some(bare), Some(unit)) = (&cell.bare, &column.unit) {
                        assert_eq!(format!("{bare} {unit}"), cell.text);
                    }
                    assert!(!cell.text.contains("NaN") && !cell.text.contains("(SI,"), "{}", cell.text);
                }
            }
        }
        assert!(facts > 5, "{audience:?}: {facts}");
    }
}

#[test]
fn every_value_of_the_home_is_at_the_path_it_names() {
    let report = heron();
    let home = serde_json::to_value(&report.home).unwrap();
    let packet = packet(report, Audience::Record);
    let mut seen = 0;
    for cell in packet.tables().flat_map(|table| table.rows.iter().flatten()) {
        let Some(Trace::Home { path }) = &cell.trace else { continue };
        let found = path.split('.').try_fold(&home, |here, step| match step.parse::<usize>() {
            Ok(index) if here.is_array() => here.get(index),
            _ => here.get(step),
        });
        // A field that has its usual value is not written out again.
        let parent = path.rsplit_once('.').map_or("", |(parent, _)| parent);
        let parent = parent.split('.').try_fold(&home, |here, step| match step.parse::<usize>() {
            Ok(index) if here.is_array() => here.get(index),
            _ => here.get(step),
        });
        assert!(found.is_some() || parent.is_some(), "{path}");
        seen += 1;
    }
    assert!(seen > 200);
}

#[test]
fn the_page_says_which_fact_each_number_is() {
    let files = files(heron(), Audience::Factory);
    let page = text(&files, "packet.html");
    assert!(page.contains("data-fact=\"modules.A takeoff.weight\">24500</td>"), "the weight of box A");
    for absent in ["<script", "https://", "@import", "src="] {
        assert!(!page.contains(absent), "{absent}");
    }
}

#[test]
fn schedules_are_csv_with_units_in_the_heads() {
    let files = files(heron(), Audience::Factory);
    let boxes = text(&files, "schedules/boxes.csv");
    let mut lines = boxes.split("\r\n");
    assert_eq!(
        lines.next().unwrap(),
        "Box,Level,Length (ft),Width (ft),Height (ft),Floor area (ft²),Weight (lb),Weight from,Weighed,Note"
    );
    assert!(lines.next().unwrap().starts_with("A,1,44.00,13.75,9.67,605.0,24500,"));
    assert!(boxes.ends_with("\r\n") && !boxes.replace("\r\n", "").contains('\n'));
    for file in files.iter().filter(|file| file.path.ends_with(".csv")) {
        let text = std::str::from_utf8(&file.bytes).unwrap();
        let dangerous = |line: &str| line.split(',').any(|cell| cell.starts_with(['=', '+', '@']));
        assert!(!text.lines().any(dangerous), "{}", file.path);
    }
}

/// Every value that a sheet or its table prints is one of the calculation of that fact.
#[test]
fn every_number_of_a_calculation_is_that_of_its_fact() {
    let report = heron();
    for audience in [Audience::Verifier, Audience::Record] {
        let packet = packet(report, audience);
        let sheets = with_annex(&packet);
        let sheets =
            sheets.filter_map(|block| if let Block::Sheet { sheet, all } = block { Some((sheet, all)) } else { None });
        let (mut terms, mut cells) = (0, 0);
        for (sheet, all) in sheets {
            let fact = report.facts.get(&sheet.subject.as_str().into(), &sheet.quantity).unwrap();
            assert_eq!(sheet.value, shown::fact(report, fact));
            assert_eq!(sheet.steps.len(), fact.basis.steps.len());
            for (printed, step) in sheet.steps.iter().zip(&fact.basis.steps) {
                assert_eq!(printed.equation, step.equation);
                let all = step.terms.iter().chain(&step.result);
                for (printed, term) in printed.terms.iter().chain(&printed.result).zip(all) {
                    assert_eq!(printed.value, shown::value(&term.value, &term.units, report.units));
                    terms += 1;
                }
            }
            let all = all.iter().flat_map(|table| table.rows.iter().flatten());
            for cell in all {
                let Some(Trace::Term { subject, quantity, symbol }) = &cell.trace else { continue };
                let fact = report.facts.get(subject, quantity).unwrap();
                let steps = fact.basis.steps.iter().flat_map(|step| &step.terms);
                let mut values = steps
                    .filter(|term| *term.symbol == *symbol.as_str())
                    .map(|term| shown::value(&term.value, &term.units, report.units));
                assert!(values.any(|value| value == cell.text), "{symbol} of {quantity} of {subject}: {}", cell.text);
                cells += 1;
            }
        }
        assert!(terms > 300, "{audience:?}: {terms}");
        assert!((cells > 50) == (audience == Audience::Verifier), "{audience:?}: {cells}");
    }
}

/// Every calculation that a requirement rests on is in the verifier's packet, on its own sheet or as a row.
#[test]
fn the_verifier_finds_the_calculation_of_every_requirement() {
    let report = heron();
    let packet = packet(report, Audience::Verifier);
    let sheets = with_annex(&packet);
    let mut found: Vec<(String, String)> = Vec::new();
    let mut count = 0;
    for block in sheets {
        let Block::Sheet { sheet, all } = block else { continue };
        count += 1;
        found.push((sheet.subject.clone(), sheet.quantity.clone()));
        for row in all.iter().flat_map(|table| &table.rows) {
            let fact = |cell: &Cell| matches!(&cell.trace, Some(Trace::Fact { .. }));
            assert!(row.iter().any(fact), "a row without what comes out");
            found.extend(row.first().map(|cell| (cell.text.clone(), sheet.quantity.clone())));
        }
    }
    let is_there = |fact: &Fact| found.contains(&(fact.subject.to_string(), fact.quantity.to_string()));
    let calculated = |fact: &Fact| !fact.basis.steps.is_empty();
    let names = read_by_rules();
    let mut behind: Vec<&Fact> = Vec::new();
    for verdict in mateline_reports::worked::required(report) {
        let named = names.get(&verdict.full_name()).into_iter().flatten();
        let of_subject = named.flat_map(|name| {
            let own = report.facts.get(&verdict.subject, name);
            own.or_else(|| report.facts.get(&Subject::home(), name).filter(|_| verdict.limit.is_some()))
        });
        behind.extend(of_subject.filter(|fact| calculated(fact)));
        behind.extend(mateline_reports::worked::judged(report, verdict).filter(|fact| calculated(fact)));
    }
    assert!(behind.len() > 100, "{}", behind.len());
    let mut seen = BTreeSet::new();
    while let Some(fact) = behind.pop() {
        let name = (fact.subject.to_string(), fact.quantity.to_string());
        assert!(is_there(fact), "{name:?}");
        if seen.insert(name) {
            let terms = fact.basis.steps.iter().flat_map(|step| &step.terms);
            let of_facts = terms.filter_map(|term| match &term.origin {
                Origin::Fact(subject, quantity) => report.facts.get(subject, quantity),
                _ => None,
            });
            behind.extend(of_facts.filter(|fact| calculated(fact)));
        }
    }
    // A limit that is itself computed, and what an expression is made of.
    for quantity in ["ventilation.required_flow", "airtightness.shown_q50_per_area"] {
        assert!(seen.iter().any(|(_, known)| known == quantity), "{quantity}");
    }
    // Eight disciplines; water, surfaces and retarders take six sheets of them, what limits and expressions are made of
    // some thirty.
    assert!(count < 130, "{count} sheets are no packet that anybody reads");
}

/// The names with a dot in the value, the limits and the requirement of each rule that comes with mateline, as its pack's
/// YAML has them. Inherited rules are left to the pack that they come from.
fn read_by_rules() -> BTreeMap<String, Vec<String>> {
    fn texts(value: &serde_json::Value, found: &mut Vec<String>) {
        match value {
            // Within a join names are those of the other elements, which the packet tells where these are judged.
            serde_json::Value::String(text) if text.contains("== this.id") => {}
            serde_json::Value::String(text) => {
                let words = text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '.'));
                found.extend(words.filter(|word| word.contains('.')).map(str::to_owned));
            }
            serde_json::Value::Object(map) => map.values().for_each(|value| texts(value, found)),
            serde_json::Value::Array(list) => list.iter().for_each(|value| texts(value, found)),
            _ => {}
        }
    }
    let mut names = BTreeMap::new();
    for (id, text) in mateline_rules::PACKS {
        let pack: serde_json::Value = serde_yaml::from_str(text).unwrap();
        let as_read = |name: String| match &pack["reads_as"][&name] {
            serde_json::Value::String(other) => other.clone(),
            _ => name,
        };
        for (rule, body) in pack["rules"].as_object().into_iter().flatten() {
            let mut found = Vec::new();
            for key in ["value", "at_least", "at_most", "between", "requires"] {
                texts(&body[key], &mut found);
            }
            names.insert(format!("{id}/{rule}"), found.into_iter().map(as_read).collect());
        }
    }
    names
}

/// Papers in inches and pounds hold no resistance in SI units, wherever it stands in words.
#[test]
fn inch_pound_papers_hold_no_si_resistance() {
    let report = heron();
    for audience in Audience::ALL {
        let packet = serde_json::to_string(&packet(report, audience)).unwrap();
        let at = packet.find("m²·K/W").map(|at| &packet[packet.floor_char_boundary(at.saturating_sub(80))..at]);
        assert_eq!(at, None, "{audience:?}");
    }
}
