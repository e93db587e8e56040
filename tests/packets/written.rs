//! Packets as files: the same bytes, what the record holds, what verification tells, and hostile text.

use super::{files, heron, packet, text};
use mateline_engine::Options;
use mateline_model::{OpenCounts, Report, Severity};
use mateline_packets::{Audience, folder, verify};
use mateline_reports::shown;
use mateline_tests::{check_file, checked, engine, example};
use std::fs;
use std::path::Path;

#[test]
fn the_same_report_gives_the_same_bytes() {
    let again = engine().check(&example("heron-lane"), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    for audience in Audience::ALL {
        assert_eq!(files(heron(), audience), files(&again, audience));
    }
}

#[test]
fn the_record_holds_what_the_result_can_be_reproduced_from() {
    let files = files(heron(), Audience::Record);
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("record");
    folder::write(&folder, &files).unwrap();
    let again = check_file(&folder.join("inputs/home.yaml")).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(again.facts, heron().facts);
    assert_eq!(again.verdicts, heron().verdicts);
    for pack in &heron().packs {
        let path = format!("inputs/packs-of-mateline/{}.yaml", pack.id);
        assert_eq!(Some(text(&files, &path)), mateline_rules::pack(&pack.id));
    }
}

#[test]
fn verify_tells_what_was_altered_added_and_taken_away() {
    let place = tempfile::tempdir().unwrap();
    let written = |name: &str| {
        let folder = place.path().join(name);
        folder::write(&folder, &files(heron(), Audience::Owner)).unwrap();
        assert!(verify::folder(&folder).unwrap().is_whole());
        folder
    };
    let folder = written("altered");
    let page = folder.join("packet.html");
    let mut bytes = fs::read(&page).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 1;
    fs::write(&page, bytes).unwrap();
    assert_eq!(verify::folder(&folder).unwrap().altered, ["packet.html"]);

    let folder = written("added");
    fs::write(folder.join("schedules/more.csv"), "x").unwrap();
    assert_eq!(verify::folder(&folder).unwrap().added, ["schedules/more.csv"]);

    let folder = written("missing");
    fs::remove_file(folder.join("packet.html")).unwrap();
    assert_eq!(verify::folder(&folder).unwrap().missing, ["packet.html"]);

    let folder = written("none");
    fs::write(folder.join("manifest.json"), "{}").unwrap();
    let error = verify::folder(&folder).unwrap_err().to_string();
    assert!(error.contains("is no manifest of a packet"), "{error}");
    assert!(verify::folder(Path::new("/nowhere/at/all")).is_err());
}

#[test]
fn a_manifest_leads_nowhere_outside_its_folder() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("packet");
    folder::write(&folder, &files(heron(), Audience::Owner)).unwrap();
    fs::write(place.path().join("secret"), "x").unwrap();
    let path = folder.join("manifest.json");
    let manifest = fs::read_to_string(&path).unwrap().replacen("packet.html", "../secret", 1);
    fs::write(&path, manifest).unwrap();
    let found = verify::folder(&folder).unwrap();
    assert_eq!((found.missing, found.added), (vec!["../secret".to_owned()], vec!["packet.html".to_owned()]));
}

#[test]
fn a_packet_with_open_requirements_says_so_first() {
    let report = hostile("x");
    assert!(report.verdicts.iter().any(|v| v.fails() && v.severity == Severity::Required));
    for audience in Audience::ALL {
        let packet = packet(&report, audience);
        assert!(packet.standing.open);
        let named = packet.standing.sentences.iter().filter(|sentence| sentence.contains(" acts")).count();
        assert!((1..=6).contains(&named), "{:?}", packet.standing.sentences);
        let lines = &packet.standing.lines;
        assert_eq!(lines.iter().map(|line| line.name).collect::<Vec<_>>(), ["What is open", "Who acts", "By when"]);
        let OpenCounts { short, unproven, .. } = report.open_counts();
        assert!(short + unproven > 0);
        for count in [short, unproven].into_iter().filter(|count| *count > 0) {
            assert!(lines[0].text.contains(&format!("{count} requirement")), "{}", lines[0].text);
        }
        assert!(lines[1].text.to_lowercase().contains("designer"), "{}", lines[1].text);
        let files = files(&report, audience);
        let page = text(&files, "packet.html");
        let (at, first) = (page.find("Not final: requirements are open").unwrap(), page.find("<main>").unwrap());
        assert!(at < first);
    }
    assert!(!packet(heron(), Audience::Factory).standing.open);
}

#[test]
fn hostile_text_stays_text() {
    for evil in [
        "</script></style></title><script>alert(1)</script>",
        "\\\" onload=\\\"alert(1)\\\" x='",
        "{{ 7 * 7 }}{% include 'x' %}",
        "#panic(\\\"boom\\\") $x$ <tag> @ref */ //",
        "=cmd|' /C calc'!A0",
        "🏠👩‍🔧 שלום مرحبا 家の壁 \\u202e\\u0007",
        &"long ".repeat(400),
        &"x".repeat(2000),
    ] {
        let report = hostile(evil);
        for audience in Audience::ALL {
            for file in files(&report, audience).iter().filter(|file| !file.path.starts_with("inputs/")) {
                let text = std::str::from_utf8(&file.bytes).unwrap();
                // The manifest is data for programs and keeps each text as it is.
                let moves = text.contains(['\u{202e}', '\u{7}']);
                assert!(!moves || file.path.ends_with(".json"), "{}", file.path);
                if file.path.ends_with(".html") {
                    assert!(!text.contains("<script") && !text.contains("onload=\"") && !text.contains("49{%"));
                }
                if file.path.ends_with(".csv") {
                    let formula = |line: &str| line.starts_with('=') || line.contains(",=") || line.contains(",\"=");
                    assert!(!text.lines().any(formula), "{}", file.path);
                }
            }
        }
    }
}

/// A home with something open and with the same text wherever a person may choose one. Invented.
pub(super) fn hostile(evil: &str) -> Report {
    checked(&format!(
        "home: \"{evil}\"\nrevision: {{id: \"{evil}\", date: 2026-10-05, note: \"{evil}\"}}\n\
         judge_by: [energy-code-2021, modular-practice, healthy-materials]\n\
         site: {{place: \"{evil}\", climate_zone: 6A}}\n\
         modules:\n\
         \x20 A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 60 ft, y: 18 ft, z: 16 ft}}, note: \"{evil}\"}}\n\
         seams: {{default: {{detail: \"{evil}\"}}}}\n\
         finishes:\n\
         \x20 f: {{category: \"{evil}\", product: \"{evil}\", lot: \"{evil}\", contains: [\"{evil}\"], evidence: [e]}}\n\
         evidence: {{e: {{kind: photograph, product: \"{evil}\", method: \"{evil}\", file: \"records/x.txt\"}}}}\n\
         measurements: {{m: {{kind: radon, by: \"{evil}\", method: \"{evil}\"}}}}\n\
         waivers:\n\
         \x20 - {{rule: modular-practice/penetrations-listed, subject: home, reason: \"{evil}\", agreed_with: \"{evil}\", until: Z}}\nissues: [\"{evil}\", Z]\n"
    ))
}

/// The digests of the records are those that the check itself states.
#[test]
fn a_record_has_the_digest_that_the_check_found() {
    let report = heron();
    let packet = packet(report, Audience::Verifier);
    let table = packet.tables().find(|table| table.name.as_deref() == Some("record-files")).unwrap();
    let digest_of = |file: &str| table.rows.iter().find(|row| row[0].text == file).map(|row| &row[3].text);
    for (id, record) in &report.home.evidence {
        let Some(file) = &record.file else { continue };
        let subject = format!("evidence.{id}");
        let fact = report.facts.get(&subject.as_str().into(), "materials.evidence_sha256").unwrap();
        assert_eq!(digest_of(file), Some(&shown::fact(report, fact)), "{subject}");
    }
    let named: Vec<&str> = table.rows.iter().flat_map(|row| row[1].text.split(", ")).collect();
    assert_eq!(named.len(), report.home.evidence.values().filter(|record| record.file.is_some()).count());
    let mut files: Vec<&str> = table.rows.iter().map(|row| &*row[0].text).collect();
    files.sort_unstable();
    files.dedup();
    assert_eq!(files.len(), table.rows.len(), "a file stands once");
}
