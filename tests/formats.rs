//! The formats for CI, held against schemas and readers of others' making, from the home file to the bytes.

use mateline_reports::text::InputProblem;
use mateline_reports::{CheckedHome, VERSION, annotations, homes, junit, markdown, sarif};
use mateline_tests::{check_file, check_home, example, root};
use serde_json::Value;
use std::process::{Command, Stdio};

const EXAMPLES: [&str; 3] = ["heron-lane", "willow-pair", "starter"];

fn checked(name: &str) -> CheckedHome {
    let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
    CheckedHome { file: format!("examples/{name}/home.yaml"), result: Ok(report) }
}

fn of_text(text: &str) -> CheckedHome {
    let result = check_home(text).map_err(|bad| {
        let problem = |problem: &mateline_engine::load::Diagnosis| InputProblem {
            at: bad.place(problem.at),
            message: problem.message.clone(),
            notes: Vec::new(),
            help: problem.help.clone(),
        };
        bad.problems.iter().map(problem).collect()
    });
    CheckedHome { file: "a b/hömes, 100 %/home.yaml".to_owned(), result }
}

/// A home with something short and unproven and with markup of every format in all texts a person may choose. Invented.
fn hostile() -> CheckedHome {
    let evil = r#"\"]]></x>&{0}[a](1)%0A::error::,|`@all#1\u001b[31m\u202e"#;
    let text = format!(
        "home: \"{evil}\"\nrevision: {{id: \"{evil}\", date: 2026-10-05, note: \"{evil}\"}}\n\
         judge_by: [energy-code-2021, modular-practice]\n\
         site: {{place: \"{evil}\", climate_zone: 6A}}\n\
         modules:\n  A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 60 ft, y: 18 ft, z: 16 ft}}}}\n\
         waivers:\n  - {{rule: energy-code-2021/wall-u-factor, subject: \"{evil}\", reason: \"{evil}\", agreed_with: \"{evil}\", until: Z}}\nissues: [\"{evil}\", Z]\n"
    );
    let home = of_text(&text);
    let report = home.result.as_ref().unwrap_or_else(|problems| panic!("{problems:?}"));
    assert!(report.fails() && !report.remarks.is_empty(), "there has to be something to tell");
    home
}

fn broken() -> CheckedHome {
    let home = of_text("home: \"<x>\"\nrevision: {id: A, date: 2026-10-05}\nsite: {plaice: \"%0A::error::\"}\n");
    assert!(home.result.is_err());
    home
}

/// Every kind of run: one home, several, one that cannot be used among them, and none with anything open.
fn runs() -> Vec<Vec<CheckedHome>> {
    let mut runs: Vec<Vec<CheckedHome>> = EXAMPLES.iter().map(|name| vec![checked(name)]).collect();
    runs.push(vec![hostile()]);
    runs.push(vec![checked("starter"), hostile(), broken()]);
    runs.push(Vec::new());
    runs
}

fn sarif_validator() -> jsonschema::Validator {
    let text = std::fs::read_to_string(root().join("tests/schemas/sarif-2.1.0.schema.json")).unwrap();
    // The published pattern of a language, which mateline does not write, has a bracket too many for a strict reader.
    let text = text.replace("^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$", "^[a-zA-Z]{2}(-[a-zA-Z]{2})?$");
    jsonschema::validator_for(&serde_json::from_str(&text).unwrap()).unwrap()
}

#[test]
fn every_sarif_log_follows_the_published_schema_and_reads_back() {
    let validator = sarif_validator();
    for run in runs() {
        let log = sarif::log(&run, VERSION);
        let value = serde_json::to_value(&log).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&value).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
        assert!(faults.is_empty(), "{faults:#?}");
        for run in value["runs"].as_array().unwrap() {
            let texts = run["properties"]["rests_on"].as_array().map(Vec::as_slice).unwrap_or_default();
            let is_unusable = run["invocations"][0]["exitCode"] == 2;
            assert!(is_unusable != texts.iter().any(|text| text["sha256"].as_str().is_some_and(|sum| sum.len() == 64)));
        }
        assert_eq!(serde_json::from_value::<sarif::Log>(value).unwrap(), log);
    }
}

/// The schema is one that refuses: a check that accepts everything would prove nothing.
#[test]
fn the_published_schema_refuses_what_is_not_sarif() {
    let validator = sarif_validator();
    let sound = serde_json::to_value(sarif::log(&[hostile()], VERSION)).unwrap();
    let wrong = |path: &str, value: Value| {
        let mut log = sound.clone();
        *log.pointer_mut(path).unwrap_or_else(|| panic!("{path}")) = value;
        assert!(!validator.is_valid(&log), "{path}");
    };
    wrong("/version", "3.0.0".into());
    wrong("/runs/0/results/0/level", "fatal".into());
    wrong("/runs/0/results/0/message", "text".into());
    wrong("/runs/0/columnKind", "bytes".into());
    wrong("/runs/0/tool/driver/name", Value::Null);
    wrong("/runs/0/results/0/locations/0/physicalLocation/region/startLine", 0.into());
}

/// Each result names a rule that is there, and its place is a line of the file.
#[test]
fn results_rules_and_places_fit_together() {
    for name in EXAMPLES {
        let home = checked(name);
        let report = home.result.as_ref().unwrap();
        let open = report.verdicts.iter().filter(|v| {
            use mateline_model::Outcome::{Short, Unproven, Waived};
            matches!(v.outcome, Short | Unproven | Waived)
        });
        let open = open.count();
        let log = sarif::log(std::slice::from_ref(&home), VERSION);
        let run = &log.runs[0];
        assert_eq!(run.results.len(), open, "{name}");
        let mut prints: Vec<&String> =
            run.results.iter().flat_map(|result| result.partial_fingerprints.values()).collect();
        prints.sort();
        prints.dedup();
        assert_eq!(prints.len(), open, "{name}: two results have one fingerprint");
        for result in &run.results {
            assert_eq!(run.tool.driver.rules[result.rule_index].id, result.rule_id);
            assert!(!run.tool.driver.rules[result.rule_index].help.text.is_empty());
            for place in result.locations.iter().filter_map(|location| location.physical_location.as_ref()) {
                let text = std::fs::read_to_string(root().join(&place.artifact_location.uri)).unwrap();
                let region = place.region.unwrap();
                let line = text.lines().nth(region.start_line as usize - 1).unwrap_or_else(|| panic!("{region:?}"));
                let length = line.chars().count() as u32;
                assert!(region.start_column <= length + 1, "{name}: {region:?} in {line}");
                assert!(region.end_column.is_none_or(|end| end <= length + 1), "{name}: {region:?} in {line}");
            }
        }
    }
}

#[test]
fn fingerprints_outlive_edits_of_other_lines() {
    let text = "home: H\nrevision: {id: A, date: 2026-10-05}\njudge_by: [energy-code-2021, modular-practice]\n\
                site: {place: P, climate_zone: 6A}\nmodules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 60 ft, y: 18 ft, z: 16 ft}}\n";
    let edited = text
        .replace("home: H\n", "# a remark\n\nhome: Another\n")
        .replace("id: A", "id: B")
        .replace("  A: {level", "  # the box\n  A:   {level");
    let results = |text: &str| sarif::log(&[of_text(text)], VERSION).runs[0].results.clone();
    let (before, after) = (results(text), results(&edited));
    assert!(!before.is_empty());
    let prints = |of: &[sarif::Found]| of.iter().map(|r| r.partial_fingerprints.clone()).collect::<Vec<_>>();
    assert_eq!(prints(&before), prints(&after));
    let lines =
        |of: &[sarif::Found]| serde_json::to_string(&of.iter().map(|r| &r.locations).collect::<Vec<_>>()).unwrap();
    assert_ne!(lines(&before), lines(&after), "the lines have moved");
}

fn xmllint(xml: &str) -> Result<(), String> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.xml");
    std::fs::write(&file, xml).unwrap();
    let schema = root().join("tests/schemas/junit-10.xsd");
    let output =
        Command::new("xmllint").args(["--noout", "--nonet", "--schema"]).arg(schema).arg(file).output().unwrap();
    if output.status.success() { Ok(()) } else { Err(String::from_utf8_lossy(&output.stderr).into_owned()) }
}

/// Without xmllint this test passes and says that it was left out.
#[test]
fn every_junit_file_follows_the_published_schema() {
    let version = Command::new("xmllint").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    if !version.is_ok_and(|status| status.success()) {
        println!("left out: JUnit XML against its published schema (xmllint is not installed)");
        return;
    }
    for run in runs() {
        let xml = junit::suites(&run).to_xml();
        xmllint(&xml).unwrap_or_else(|fault| panic!("{fault}\n{xml}"));
        assert!(xmllint(&xml.replace("failures=", "fehler=")).is_err(), "the schema refuses what it does not know");
    }
}

/// What another library reads in the file is what was put into it.
#[test]
fn every_junit_file_reads_back_by_another_library() {
    for run in runs() {
        let suites = junit::suites(&run);
        let read = quick_junit::Report::deserialize_from_str(&suites.to_xml()).unwrap();
        assert_eq!(read.name.as_ref().map(quick_junit::XmlString::as_str), Some("mateline"));
        assert_eq!(read.test_suites.len(), suites.suites.len());
        for (read, written) in read.test_suites.iter().zip(&suites.suites) {
            assert_eq!(read.test_cases.len(), written.cases.len());
            for (read, written) in read.test_cases.iter().zip(&written.cases) {
                use junit::CaseOutcome::{Broken, Failed, Passed, Skipped};
                use quick_junit::{NonSuccessKind, TestCaseStatus};
                let (detail, message) = match (&read.status, &written.outcome) {
                    (TestCaseStatus::Success { .. }, Passed) => continue,
                    (TestCaseStatus::Skipped { message, .. }, Skipped(detail)) => (detail, message),
                    (TestCaseStatus::NonSuccess { kind: NonSuccessKind::Failure, message, .. }, Failed(detail)) => {
                        (detail, message)
                    }
                    (TestCaseStatus::NonSuccess { kind: NonSuccessKind::Error, message, .. }, Broken(detail)) => {
                        (detail, message)
                    }
                    other => panic!("{other:?}"),
                };
                let plain = |text: &str| {
                    text.chars().filter(|c| !c.is_control() && *c != '\u{fffd}' && *c != '\u{202e}').collect::<String>()
                };
                assert_eq!(message.as_ref().map(|message| plain(message.as_str())), Some(plain(&detail.message)));
            }
        }
    }
}

#[test]
fn several_homes_in_json_follow_their_schema() {
    let schema = serde_json::to_value(homes::schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for run in runs() {
        let value = serde_json::to_value(homes::json(&run, VERSION)).unwrap();
        let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{faults:?}");
    }
}

/// A comment for a review fits, and one line of a log is one finding, whatever the home is called.
#[test]
fn comments_fit_and_logs_keep_to_their_lines() {
    for run in runs() {
        assert!(markdown::markdown(&run).len() <= mateline_reports::LONGEST_COMMENT);
        let (commands, plain) = (annotations::commands(&run), annotations::plain(&run));
        assert!(commands.lines().count() <= plain.lines().count().min(30), "no more than a forge shows of a step");
        assert!(commands.lines().all(|line| line.starts_with("::")), "{commands}");
        assert!(plain.lines().all(|line| !line.starts_with("::")), "{plain}");
        assert!((commands + &plain).chars().all(|c| c == '\n' || !(c.is_control() || c == '\u{202e}')));
    }
}
