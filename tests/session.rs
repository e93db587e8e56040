//! A session says of an edited home what a check from nothing says, byte for byte, and redoes only what the edit touched.

use mateline_engine::{BadInput, Options, Session};
use mateline_model::Report;
use mateline_reports::text::{Extent, Style};
use mateline_reports::{json, text};
use mateline_tests::{Copy, engine, random::Random};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// What a check came to, with all that a person or a program sees of it and the worked calculations behind.
fn told(checked: &Result<Report, BadInput>) -> String {
    match checked {
        Ok(report) => {
            let json = serde_json::to_string_pretty(&json::report(report, "0")).unwrap();
            format!("{json}\n{}\n{report:#?}", text::check(report, Style::PLAIN, Extent::All))
        }
        Err(bad) => format!("{bad}\n{bad:#?}"),
    }
}

/// Edits the lines of a home; what was done, where it could be.
type Edit = fn(&mut Vec<String>, &mut Random) -> Option<String>;

/// The kinds of edit.
const EDITS: [Edit; 8] = [
    |lines, random| number(lines, random),
    |lines, random| number(lines, random),
    |lines, random| number(lines, random),
    without_line,
    without_element,
    |lines, random| renamed(lines, random),
    |lines, random| moved(lines, random),
    commented,
];

fn indent(line: &str) -> usize {
    line.len() - line.trim_start().len()
}

/// A line that fits, chosen at random.
fn chosen(lines: &[String], random: &mut Random, fits: impl Fn(&str) -> bool) -> Option<usize> {
    let fitting: Vec<usize> = (0..lines.len()).filter(|at| fits(&lines[*at])).collect();
    fitting.get(random.below(fitting.len())).copied()
}

/// Another value for a length, a thickness, an area or any other number with a unit.
fn number(lines: &mut [String], random: &mut Random) -> Option<String> {
    const UNITS: [&str; 8] = [" in", " ft", " mm", " ft²", " g/L", " µg/(m²·h)", " cfm", " Pa"];
    let unit = UNITS[random.below(UNITS.len())];
    let at = chosen(lines, random, |line| line.contains(unit) && !line.trim().starts_with('#'))?;
    let line = lines[at].clone();
    let end = line.find(unit)?;
    let begin = line[..end].rfind(|c: char| !(c.is_ascii_digit() || c == '.'))? + 1;
    let old: f64 = line[begin..end].parse().ok()?;
    let new = [old * 0.5, old + 1.0, old * 1.01, old * 2.0][random.below(4)];
    lines[at].replace_range(begin..end, &format!("{new}"));
    Some(format!("line {}: {}", at + 1, lines[at].trim()))
}

/// Without one key.
fn without_line(lines: &mut Vec<String>, random: &mut Random) -> Option<String> {
    let at = chosen(lines, random, |line| indent(line) > 0 && line.contains(": "))?;
    Some(format!("without line {}: {}", at + 1, lines.remove(at).trim()))
}

/// The lines of an element: from its key to the next that is indented as little.
fn element(lines: &[String], at: usize) -> std::ops::Range<usize> {
    let after = lines[at + 1..].iter().position(|line| indent(line) <= indent(&lines[at]));
    at..after.map_or(lines.len(), |after| at + 1 + after)
}

fn without_element(lines: &mut Vec<String>, random: &mut Random) -> Option<String> {
    let at = chosen(lines, random, |line| indent(line) == 2 && line.contains(':') && !line.trim().starts_with('#'))?;
    let key = lines[at].trim().to_owned();
    lines.drain(element(lines, at));
    Some(format!("without {key}"))
}

/// An id becomes another wherever it stands in the file.
fn renamed(lines: &mut [String], random: &mut Random) -> Option<String> {
    let at = chosen(lines, random, |line| indent(line) == 2 && line.contains(':') && !line.trim().starts_with('#'))?;
    let id = lines[at].trim().split(':').next()?.to_owned();
    let own = indent(&lines[at]);
    let everywhere = random.below(2) == 0;
    for (number, line) in lines.iter_mut().enumerate() {
        if number == at {
            line.replace_range(own..own + id.len(), &format!("{id}x"));
        } else if everywhere && id.len() > 3 {
            *line = line.replace(&format!("{id},"), &format!("{id}x,")).replace(&format!("{id}]"), &format!("{id}x]"));
        }
    }
    Some(format!("{id} renamed"))
}

/// An element changes places with the next.
fn moved(lines: &mut [String], random: &mut Random) -> Option<String> {
    let at = chosen(lines, random, |line| indent(line) == 2 && line.contains(':') && !line.trim().starts_with('#'))?;
    let first = element(lines, at);
    let end = first.end;
    if lines.get(end).is_none_or(|line| indent(line) != 2 || !line.contains(':')) {
        return None;
    }
    let second = element(lines, end);
    lines[first.start..second.end].rotate_left(first.len());
    Some(format!("line {} moved", at + 1))
}

/// A line of comment, which shifts everything below it.
fn commented(lines: &mut Vec<String>, random: &mut Random) -> Option<String> {
    let at = random.below(lines.len() + 1);
    lines.insert(at, "# a remark".to_owned());
    Some(format!("a remark before line {}", at + 1))
}

/// YAML files of a folder, with their texts.
fn files(home: &std::path::Path) -> Vec<(PathBuf, String)> {
    let entries = std::fs::read_dir(home.parent().unwrap()).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = entries.filter(|path| path.extension().is_some_and(|end| end == "yaml")).collect();
    files.sort();
    files.into_iter().map(|path| (path.clone(), std::fs::read_to_string(path).unwrap())).collect()
}

/// Edits a home so many times and compares after each. Edits add up until one in eight takes all of them back, or the
/// home cannot be used any more.
fn edited(example: &str, count: usize, seed: u64) {
    let copy = Copy::of(example);
    let originals = files(&copy.home());
    let (session, mut random) = (Session::new(engine()), Random(seed));
    let (mut sound, mut kinds) = (0, BTreeSet::new());
    let mut broken = false;
    for step in 0..count {
        let edit = if broken || random.below(8) == 0 {
            originals.iter().for_each(|(path, text)| std::fs::write(path, text).unwrap());
            "all edits taken back".to_owned()
        } else {
            let (path, _) = &originals[random.below(originals.len())];
            let mut lines: Vec<String> = std::fs::read_to_string(path).unwrap().lines().map(str::to_owned).collect();
            let kind = random.below(EDITS.len());
            let Some(edit) = EDITS[kind](&mut lines, &mut random) else { continue };
            kinds.insert(kind);
            std::fs::write(path, lines.join("\n") + "\n").unwrap();
            format!("{}: {edit}", path.file_name().unwrap().display())
        };
        let options = Options::default();
        let (again, anew) = (session.check(&copy.home(), &options), engine().check(&copy.home(), &options));
        broken = anew.is_err();
        sound += usize::from(!broken);
        let (again, anew) = (told(&again), told(&anew));
        if again != anew {
            let differs = again.lines().zip(anew.lines()).find(|(again, anew)| again != anew);
            panic!("step {step} of seed {seed} ({edit}): {differs:#?}");
        }
    }
    assert!(sound * 3 >= count, "only {sound} of {count} edited homes could be used");
    assert!(count < 50 || kinds.len() == EDITS.len(), "some kinds of edit were never made: {kinds:?}");
}

#[test]
fn a_session_says_what_a_check_from_nothing_says() {
    edited("willow-pair", 14, 0x6d61_7465);
}

#[test]
#[ignore = "takes many minutes: 3,000 edits"]
fn a_session_says_it_after_thousands_of_edits() {
    for round in 0..30 {
        for (number, example) in ["heron-lane", "willow-pair", "starter"].into_iter().enumerate() {
            println!("{example}, round {round}");
            edited(example, 34, 0x51ed_270b + 1_000 * round + number as u64);
        }
    }
}

/// A remark in the file shifts every line of it and changes nothing that a plugin is given.
#[test]
fn only_plugins_that_are_given_something_else_run_again() {
    let copy = Copy::of("willow-pair");
    let session = Session::new(engine());
    let options = Options::default();
    let check = || drop(session.check(&copy.home(), &options).unwrap());
    check();
    let first = session.runs();
    assert!(first.values().all(|runs| *runs == 1), "{first:?}");
    let text = std::fs::read_to_string(copy.home()).unwrap();
    std::fs::write(copy.home(), format!("# a remark\n{text}")).unwrap();
    check();
    assert_eq!(session.runs(), first);
}
