//! What a log holds, and that nothing in it is taken for what it is not.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

use super::*;
use crate::fixture;

fn home(report: Report) -> CheckedHome {
    CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(report) }
}

fn written(homes: &[CheckedHome]) -> serde_json::Value {
    serde_json::to_value(log(homes, "1.2.3")).unwrap()
}

#[test]
fn a_shortfall_is_an_error_at_its_place_with_its_rule() {
    let log = written(&[home(fixture::report())]);
    let run = &log["runs"][0];
    let result = &run["results"][0];
    assert_eq!(result["ruleId"], "energy-code-demo/wall-u-factor");
    assert_eq!(result["level"], "error");
    assert_eq!(result["message"]["text"], "short: assemblies.wall: U-factor 0.0520 Btu/(h·ft²·°F) is above 0.0450");
    let place = &result["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "a/home.yaml");
    assert_eq!(place["region"], serde_json::json!({"startLine": 8, "startColumn": 7}));
    assert_eq!(result["locations"][0]["logicalLocations"][0]["fullyQualifiedName"], "assemblies.wall");
    let rule = &run["tool"]["driver"]["rules"][result["ruleIndex"].as_u64().unwrap() as usize];
    assert_eq!(rule["id"], result["ruleId"]);
    let help = rule["help"]["text"].as_str().unwrap();
    for part in ["Table 1 (from memory, high)", "thicken the continuous insulation", "Not a code anywhere."] {
        assert!(help.contains(part), "{part} in {help}");
    }
}

#[test]
fn a_region_ends_after_its_last_character_and_needs_a_line() {
    let mut report = fixture::report();
    let place = |line, column, length| Place { file: "home.yaml".to_owned(), line, column, length };
    let region = |report: &Report| {
        written(&[home(report.clone())])["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"].clone()
    };
    report.verdicts[0].at = Some(place(8, 7, 40));
    assert_eq!(region(&report), serde_json::json!({"startLine": 8, "startColumn": 7, "endColumn": 47}));
    report.verdicts[0].at = Some(place(8, u32::MAX, u32::MAX));
    assert_eq!(region(&report)["endColumn"], u32::MAX);
    report.verdicts[0].at = Some(place(0, 0, 9));
    assert!(region(&report).is_null());
}

#[test]
fn unproven_warns_advice_notes_and_a_waiver_suppresses() {
    let log = written(&[home(fixture::report())]);
    let results = log["runs"][0]["results"].as_array().unwrap();
    let told: Vec<(&str, &str, bool)> = results
        .iter()
        .map(|r| {
            let word = r["properties"]["verdict"].as_str().unwrap();
            (word, r["level"].as_str().unwrap(), r.get("suppressions").is_some())
        })
        .collect();
    let expected =
        [("short", "error", false), ("unproven", "warning", false), ("short", "note", false), ("waived", "none", true)];
    assert_eq!(told, expected);
    let why = &results[3]["suppressions"][0]["justification"];
    assert_eq!(why, "photographed instead; agreed with factory");
    let run = &log["runs"][0]["invocations"][0];
    assert_eq!((run["exitCode"].as_i64(), run["executionSuccessful"].as_bool()), (Some(3), Some(false)));
    let told = run["toolExecutionNotifications"].as_array().unwrap();
    assert_eq!(told[0]["message"]["text"], "plugin airtightness failed: the flow exponent is 0.31");
    assert_eq!((told.len(), &told[1]["level"]), (2, &serde_json::json!("note")));
}

#[test]
fn a_fingerprint_outlives_edits_elsewhere_and_tells_results_apart() {
    let prints = |report: Report| -> Vec<String> {
        let log = log(&[home(report)], "1");
        log.runs[0].results.iter().map(|result| result.partial_fingerprints[FINGERPRINT].clone()).collect()
    };
    let before = prints(fixture::report());
    let mut edited = fixture::report();
    for verdict in &mut edited.verdicts {
        verdict.message.push_str(", in other words");
        verdict.help = None;
        if let Some(place) = &mut verdict.at {
            place.line += 40;
            place.file = "moved.yaml".to_owned();
        }
    }
    assert_eq!(prints(edited), before);
    let mut renamed = fixture::report();
    renamed.verdicts[0].subject = "assemblies.other".into();
    let after = prints(renamed);
    assert_ne!(after[0], before[0]);
    assert_eq!(after[1..], before[1..]);
    let mut once = before.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), before.len());
}

#[test]
fn a_log_reads_back_as_it_was() {
    let homes = [home(fixture::report()), fixture::unusable(), home(fixture::hostile("\u{1b}]0;\u{7}\n\"{0}[x](1)"))];
    let log = log(&homes, "1.2.3");
    let text = serde_json::to_string(&log).unwrap();
    assert_eq!(serde_json::from_str::<Log>(&text).unwrap(), log);
}

#[test]
fn a_home_that_cannot_be_used_has_its_problems_as_results() {
    let log = written(&[fixture::unusable()]);
    let run = &log["runs"][0];
    assert_eq!(run["results"][0]["ruleId"], "mateline/input");
    assert_eq!(run["results"][0]["message"]["text"], "cannot be used: 9 needs a unit");
    assert_eq!(run["results"][0]["properties"]["help"], "write 9 ft");
    assert_eq!(run["results"].as_array().unwrap().len(), 2);
    assert_eq!(run["invocations"][0]["exitCode"], 2);
    assert!(run["results"][0].get("properties").unwrap().get("verdict").is_none());
}

#[test]
fn a_remark_that_fails_the_run_is_a_result() {
    let mut report = fixture::report();
    report.remarks[0].fails = true;
    let log = written(&[home(report)]);
    let results = log["runs"][0]["results"].as_array().unwrap();
    let remark = results.iter().find(|result| result["ruleId"] == "mateline/remark").unwrap();
    assert_eq!(remark["level"], "error");
}

#[test]
fn nothing_in_a_file_becomes_a_link_or_a_placeholder() {
    assert_eq!(inert("see [here](1) {0}"), "see [here\\](1) {{0}}");
    for evil in ["[x](http://a.b)", "{0}", "\u{202e}\u{1b}[31m", "", "<b>&\"'"] {
        let log = log(&[home(fixture::hostile(evil))], "1");
        for result in &log.runs[0].results {
            let message = &result.message.text;
            assert!(message.chars().all(|c| !c.is_control() && c != '\u{202e}'), "{message:?}");
            assert!(!message.replace("\\](", "").contains("]("), "{message}");
            let uri = &result.locations.first().and_then(|l| l.physical_location.as_ref());
            assert!(uri.is_none_or(|l| l.artifact_location.uri.is_ascii() && !l.artifact_location.uri.contains(' ')));
        }
    }
}
