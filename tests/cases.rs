//! Case homes: `tests/cases/*.md`, prose with a home and what must come of it.
//!
//! A case is a `##` heading, a `yaml` block with the home (or `yaml patch` with lines `OLD => NEW` applied to the home
//! of the case above, `\n` for a new line) and an `expect` block. Its lines are `OUTCOME PACK/RULE SUBJECT`, or
//! `SUBJECT QUANTITY = VALUE ± TOLERANCE` with the tolerance in the value's unit.

use mateline_model::Report;
use mateline_model::quantity::parse;
use mateline_tests::{checked, root};

/// Fenced blocks under headings: (heading, info string, text).
fn blocks(markdown: &str) -> Vec<(String, String, String)> {
    let (mut heading, mut open, mut blocks) = (String::new(), None::<(String, String)>, Vec::new());
    for line in markdown.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => open = Some((info.trim().to_owned(), String::new())),
            (Some(_), Some(_)) => {
                let (info, text) = open.take().unwrap();
                blocks.push((heading.clone(), info, text));
            }
            (Some((_, text)), None) => {
                text.push_str(line);
                text.push('\n');
            }
            (None, None) => {
                if let Some(title) = line.strip_prefix("## ") {
                    heading = title.to_owned();
                }
            }
        }
    }
    assert!(open.is_none(), "a block is not closed");
    blocks
}

#[test]
fn every_case_comes_out_as_it_says() {
    let mut cases = 0;
    let mut wrong = Vec::new();
    let mut files: Vec<_> =
        std::fs::read_dir(root().join("tests/cases")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    for file in files {
        let markdown = std::fs::read_to_string(&file).unwrap();
        let (mut home, mut report) = (String::new(), None);
        for (heading, info, text) in blocks(&markdown) {
            match info.as_str() {
                "yaml" => (home, report) = (text, None),
                "yaml patch" => {
                    for line in text.lines() {
                        let (old, new) = line.split_once(" => ").unwrap_or_else(|| panic!("{line} is no patch"));
                        assert!(home.contains(old.trim()), "{heading}: '{old}' is not in the home");
                        home = home.replace(old.trim(), &new.trim().replace("\\n", "\n"));
                    }
                    report = None;
                }
                "expect" => {
                    let report = report.get_or_insert_with(|| checked(&home));
                    for line in text.lines().filter(|line| !line.trim().is_empty()) {
                        cases += 1;
                        if let Err(found) = expect(report, line) {
                            wrong.push(format!("{} / {heading}: {line}\n  {found}", file.display()));
                        }
                    }
                }
                _ => {}
            }
        }
    }
    assert!(cases > 0 && wrong.is_empty(), "{}", wrong.join("\n"));
}

fn expect(report: &Report, line: &str) -> Result<(), String> {
    if let Some((left, right)) = line.split_once(" = ") {
        let (subject, quantity) = left.trim().split_once(' ').ok_or("needs a subject and a quantity")?;
        let fact = report.facts.get(&subject.into(), quantity.trim()).ok_or("there is no such fact")?;
        let Some((value, tolerance)) = right.split_once(" ± ") else {
            let found = fact.value.text().map_or_else(|| format!("{:?}", fact.value), str::to_owned);
            return if found == right.trim() { Ok(()) } else { Err(format!("it is {found}")) };
        };
        let expected = parse(value).map_err(|error| error.to_string())?;
        let unit = value.trim().split_once(' ').map_or("", |(_, unit)| unit);
        let scale = if value.starts_with("R-") { parse("R-1") } else { parse(&format!("1 {unit}")) };
        let scale = scale.map_err(|error| error.to_string())?.si;
        let tolerance: f64 = tolerance.trim().parse().map_err(|_| "the tolerance is no number")?;
        let found = fact.value.number().ok_or("it is not a number")?;
        if found.dimension != expected.dimension {
            return Err(format!("it is a {}", found.dimension));
        }
        let difference = (found.si - expected.si) / scale;
        return if difference.abs() <= tolerance { Ok(()) } else { Err(format!("it is off by {difference}")) };
    }
    let words: Vec<&str> = line.split_whitespace().collect();
    let [outcome, rule, subject] = words.as_slice() else { return Err("cannot be read".to_owned()) };
    let verdict = report.verdicts.iter().find(|v| v.full_name() == *rule && v.subject.as_str() == *subject);
    let verdict = verdict.ok_or("there is no such verdict")?;
    if verdict.outcome.to_string() == *outcome {
        Ok(())
    } else {
        Err(format!("it is {}: {}", verdict.outcome, verdict.message))
    }
}
