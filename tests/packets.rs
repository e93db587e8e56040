//! The packets of the examples: what has to be in them, where each number comes from, and what hostile text does.

use mateline_engine::Options;
use mateline_model::{Fact, OpenCounts, OpenPoint, Origin, Outcome, Report, Severity, Subject, Verdict};
use mateline_packets::{
    Attached, Audience, Block, Cell, Inputs, OutFile, Packet, Paper, Trace, folder, manifest, verify,
};
use mateline_reports::shown;
use mateline_tests::{check_file, checked, engine, example};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

fn heron() -> &'static Report {
    static REPORT: OnceLock<Report> = OnceLock::new();
    REPORT.get_or_init(|| check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}")))
}

/// The files that records name, as they lie in the example.
fn attached(report: &Report) -> Attached {
    let folder = example("heron-lane").parent().unwrap().to_owned();
    Attached::read(report, |name| fs::read(folder.join(name)).map_err(|_| format!("cannot read '{name}'")))
}

pub fn packet(report: &Report, audience: Audience) -> Packet {
    mateline_packets::build(report, &attached(report), audience).unwrap_or_else(|error| panic!("{error}"))
}

/// All files of a packet, the manifest at the end.
fn files(report: &Report, audience: Audience) -> Vec<OutFile> {
    let packet = packet(report, audience);
    let attached = attached(report);
    let inputs = Inputs { library: mateline_rules::PACKS, attached: &attached };
    let mut files = mateline_packets::files(&packet, report, Paper::Letter, inputs).unwrap_or_else(|e| panic!("{e}"));
    let manifest = manifest::of(&packet, report, &attached, Paper::Letter, &files).text().unwrap();
    files.push(OutFile { path: manifest::NAME.to_owned(), bytes: manifest.into_bytes() });
    files
}

fn text<'a>(files: &'a [OutFile], path: &str) -> &'a str {
    let file = files.iter().find(|file| file.path == path).unwrap_or_else(|| panic!("{path} is not there"));
    std::str::from_utf8(&file.bytes).unwrap()
}

/// The rows of a schedule by the text of their first cell.
fn column<'a>(packet: &'a Packet, schedule: &str) -> Vec<&'a str> {
    let table = packet.tables().find(|table| table.name.as_deref() == Some(schedule));
    let table = table.unwrap_or_else(|| panic!("no schedule {schedule}"));
    table.rows.iter().filter_map(|row| row.first()).map(|cell| cell.text.as_str()).collect()
}

/// The blocks of a packet and of its annex.
fn with_annex(packet: &Packet) -> impl Iterator<Item = &Block> {
    let papers = std::iter::once(packet).chain(packet.annex.as_deref());
    papers.flat_map(|papers| &papers.sections).flat_map(|section| &section.blocks)
}

#[test]
fn the_factory_finds_every_box_seam_hole_opening_material_and_record() {
    let report = heron();
    let packet = packet(report, Audience::Factory);
    let ids: Vec<&str> = packet.sections.iter().map(|section| section.id).collect();
    let expected = [
        "project",
        "revisions",
        "open-points",
        "boxes",
        "box-sheets",
        "assemblies",
        "mate-lines",
        "mate-line-sections",
        "penetrations",
        "openings",
        "materials",
        "ventilation",
        "tests-in-the-plant",
        "work-split",
        "cautions",
        "sign-off",
    ];
    assert_eq!(ids, expected);
    let home = &report.home;
    let keys = |ids: Vec<String>| ids;
    for (schedule, wanted) in [
        ("boxes", keys(home.modules.keys().map(ToString::to_string).collect())),
        ("assemblies", keys(home.assemblies.keys().map(ToString::to_string).collect())),
        ("penetrations", keys(home.penetrations.keys().map(ToString::to_string).collect())),
        ("openings", keys(home.openings.keys().map(ToString::to_string).collect())),
        ("materials", keys(home.finishes.keys().map(ToString::to_string).collect())),
        ("records", keys(home.evidence.keys().map(ToString::to_string).collect())),
        ("ventilation-units", keys(home.systems.ventilation.keys().map(ToString::to_string).collect())),
    ] {
        assert!(!wanted.is_empty());
        assert_eq!(column(&packet, schedule), wanted, "{schedule}");
    }
    assert_eq!(column(&packet, "mate-lines"), ["A-B", "A-C", "B-D", "C-D"]);
    // The schedule states the gap and gasket of the section that is drawn: 1/2 in and 1 in.
    let seams = packet.tables().find(|table| table.name.as_deref() == Some("mate-lines")).unwrap();
    let of = |head: &str| seams.columns.iter().position(|column| column.head == head).unwrap();
    for row in seams.rows.iter().filter(|row| row[1].text == "side-by-side") {
        assert_eq!((row[of("Gap")].text.as_str(), row[of("Gasket")].text.as_str()), ("0.500 in", "1.000 in"));
    }
    let plans = |block: &Block| matches!(block, Block::Figure(figure) if figure.title.starts_with("Modules of level"));
    assert_eq!(packet.sections.iter().flat_map(|section| &section.blocks).filter(|block| plans(block)).count(), 2);
    assert_eq!(temperatures(&packet), ["mate-wall", "mate-roof", "stacked-rim"]);
}

/// Which sections a packet shows the temperatures of.
fn temperatures(packet: &Packet) -> Vec<String> {
    let blocks = packet.sections.iter().flat_map(|section| &section.blocks);
    let title = |block: &Block| match block {
        Block::Figure(figure) => figure.title.strip_prefix("Temperatures at ").map(str::to_owned),
        _ => None,
    };
    let first = |title: String| title.split([',', ':']).next().unwrap_or_default().to_owned();
    blocks.filter_map(title).map(first).collect()
}

#[test]
fn the_verifier_sees_every_junction_with_its_numbers_and_its_picture() {
    let report = heron();
    let packet = packet(report, Audience::Verifier).annex.unwrap();
    let solved: Vec<&str> =
        report.facts.iter().filter(|fact| fact.quantity == "junctions.psi").map(|fact| fact.subject.id()).collect();
    assert!(solved.len() >= 10);
    assert_eq!(column(&packet, "junctions"), solved);
    let mut pictured = temperatures(&packet);
    pictured.sort();
    assert_eq!(pictured, solved);
    let whole = packet.sections.iter().flat_map(|section| &section.blocks).find_map(|block| match block {
        Block::Pairs { pairs } => pairs.iter().find(|pair| pair.name == "Junctions together"),
        _ => None,
    });
    let fact = report.facts.get(&Subject::home(), "junctions.loss_total").unwrap();
    assert_eq!(whole.unwrap().value.text, shown::fact(report, fact));
}

#[test]
fn every_open_point_stands_in_the_packets_of_those_who_can_close_it() {
    let report = heron();
    let open = report.open_points();
    assert!(open.len() > 5 && open.iter().any(|point| !point.under.is_empty()));
    for audience in [Audience::Factory, Audience::Verifier, Audience::Record] {
        let packet = packet(report, audience);
        let table = packet.tables().find(|table| table.name.as_deref() == Some("open-points")).unwrap();
        assert_eq!(table.rows.len(), open.len());
        for OpenPoint { verdict, under } in &open {
            let trace = Trace::Verdict { rule: verdict.full_name(), subject: verdict.subject.clone() };
            let row = table.rows.iter().find(|row| row.iter().any(|cell| cell.trace.as_ref() == Some(&trace)));
            let row = row.unwrap_or_else(|| panic!("{} of {}", verdict.full_name(), verdict.subject));
            assert!(row.iter().any(|cell| cell.text == verdict.message));
            assert!(under.iter().all(|waiting| row.iter().any(|cell| cell.text.contains(&waiting.title))));
            let who = ["designer", "plant", "site crew", "tester", "owner"];
            assert!(row.iter().any(|cell| who.contains(&cell.text.as_str())), "nobody acts on {}", verdict.full_name());
        }
        assert!(packet.standing.sentences.iter().any(|sentence| sentence.contains("advice")));
    }
    let owner = files(report, Audience::Owner);
    let page = text(&owner, "packet.html");
    assert!(report.verdicts.iter().filter(|verdict| verdict.is_open()).all(|verdict| page.contains(&verdict.title)));
}

#[test]
fn the_verifier_finds_every_requirement_that_concerns_the_home_with_its_source() {
    let report = heron();
    let packet = packet(report, Audience::Verifier);
    let annex = packet.annex.as_ref().unwrap();
    let judged: Vec<_> = report.verdicts.iter().filter(|v| v.outcome != Outcome::NotApplicable).collect();
    let rows: Vec<&Vec<Cell>> = annex
        .tables()
        .filter(|table| table.name.as_deref().is_some_and(|name| name.starts_with("requirements-")))
        .flat_map(|table| &table.rows)
        .collect();
    let subjects: usize = rows.iter().map(|row| row[2].text.split(", ").count()).sum();
    assert_eq!(subjects, judged.len(), "each verdict once");
    for verdict in judged {
        let row = rows.iter().find(|row| {
            let is_rule = matches!(&row[0].trace, Some(Trace::Verdict { rule, .. }) if *rule == verdict.full_name());
            is_rule && row[2].text.split(", ").any(|subject| subject == verdict.subject.as_str())
        });
        let row = row.unwrap_or_else(|| panic!("{} of {}", verdict.full_name(), verdict.subject));
        let cited = shown::wording(&shown::cited(&verdict.source, Some(&verdict.provenance)), report.units);
        assert!(row.iter().any(|cell| cell.text == cited));
        if let Some(value) = &verdict.value {
            let value = verdict.limit.as_ref().map_or_else(
                || shown::value(value, &verdict.units, report.units),
                |limit| shown::pair(value, limit, &verdict.units, report.units).0,
            );
            assert_eq!(row[4].text, value, "{} of {}", verdict.full_name(), verdict.subject);
        }
    }
    let sheets = with_annex(&packet);
    assert!(sheets.filter(|block| matches!(block, Block::Sheet { sheet, .. } if !sheet.steps.is_empty())).count() > 40);
    let flows = packet.tables().find(|table| table.name.as_deref() == Some("flows-to-measure")).unwrap();
    let tolerances = flows.rows.iter().filter(|row| row.iter().any(|cell| cell.text == "at most 10.0 %")).count();
    assert!(tolerances >= 14, "the terminals with a tolerance: {tolerances}");
    // The record gives 10 cfm for the powder room: that is the unit's terminal, and the fan of 50 cfm was never measured.
    let measured = |unit: &str, room: &str| {
        let row = flows.rows.iter().find(|row| row[0].text == room && row[1].text == unit).unwrap();
        [5, 6, 7].map(|column| row[column].text.clone())
    };
    assert_eq!(measured("main-unit", "powder"), ["10.0 cfm", "0.0 %", "met"]);
    assert_eq!(measured("powder-fan", "powder"), ["________", "–", "–"]);
    let waivers = column(&packet, "waivers");
    assert_eq!(waivers, ["seams.B-D"]);
    let forms = packet.sections.iter().flat_map(|section| &section.blocks);
    assert!(forms.filter(|block| matches!(block, Block::Form(_))).count() >= 2, "forms for the air test");
}

/// What waits for another open point is none by itself: the first page counts as the terminal and the report do.
#[test]
fn the_first_page_counts_open_points() {
    let report = heron();
    let advice = report.open_points().iter().filter(|point| !point.verdict.fails()).count();
    assert!(advice < report.verdicts.iter().filter(|v| v.is_open() && !v.fails()).count(), "some wait for others");
    for audience in Audience::ALL {
        let told = packet(report, audience).standing.sentences;
        assert!(told.iter().any(|told| told.starts_with(&format!("{advice} pieces of advice are open"))), "{told:?}");
        let lines: Vec<String> = packet(report, audience).standing.lines.into_iter().map(|line| line.text).collect();
        let wanted = ["No requirement; ", "Tester.", "At the final test of the finished home"];
        assert!(lines.iter().zip(wanted).all(|(line, start)| line.starts_with(start)), "{lines:?}");
    }
}

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
fn hostile(evil: &str) -> Report {
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

/// The owner's count is of requirements; advice that is followed or not is none of them.
#[test]
fn the_owner_is_told_how_many_requirements_are_met() {
    let report = heron();
    let packet = packet(report, Audience::Owner);
    let table = packet.tables().find(|table| table.columns.iter().any(|column| column.head == "Requirements met"));
    let table = table.unwrap();
    let mut told = 0;
    for row in &table.rows {
        let pack = report.packs.iter().find(|pack| pack.title == row[0].text).unwrap();
        let concerns = |v: &&Verdict| v.pack == pack.id && v.outcome != Outcome::NotApplicable;
        let required: Vec<&Verdict> =
            report.verdicts.iter().filter(concerns).filter(|v| v.severity == Severity::Required).collect();
        let met = required.iter().filter(|verdict| verdict.outcome == Outcome::Met).count();
        let wanted = match required.len() {
            0 => "asks for nothing, gives advice".to_owned(),
            all => format!("{met} of {all}"),
        };
        assert_eq!(row[1].text, wanted, "{}", pack.id);
        told += required.len();
    }
    assert!(told > 100);
}

/// A weight that is summed from layers is told as such, and leaves room for the weighed one.
#[test]
fn a_weight_from_layers_is_not_for_lifting() {
    let packet = packet(heron(), Audience::Factory);
    let table = packet.tables().find(|table| table.name.as_deref() == Some("boxes")).unwrap();
    let of = |head: &str| table.columns.iter().position(|column| column.head == head).unwrap();
    let told: Vec<[&str; 3]> = table
        .rows
        .iter()
        .map(|row| ["Weight", "Weight from", "Weighed"].map(|head| row[of(head)].text.as_str()))
        .collect();
    assert_eq!(told[0], ["24500 lb", "the home file", "________"]);
    assert_eq!(told[1], ["about 14000 lb", "envelope layers only, not for lifting", "________"]);
}

#[test]
fn thousands_of_verdicts_fill_a_packet() {
    let mut report = hostile("x");
    let once = report.verdicts.clone();
    while report.verdicts.len() < 4000 {
        report.verdicts.extend(once.iter().cloned());
    }
    for audience in Audience::ALL {
        let page = files(&report, audience);
        assert!(text(&page, "packet.html").ends_with("</html>"), "{audience:?}");
    }
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

#[test]
#[ignore = "writes the packets of Heron Lane for a look: MATELINE_LOOK=FOLDER cargo test packets::look -- --ignored"]
fn look() {
    let folder = std::path::PathBuf::from(std::env::var("MATELINE_LOOK").expect("a folder is given"));
    for audience in Audience::ALL {
        let here = folder.join(audience.word());
        for file in files(heron(), audience) {
            let path = here.join(&file.path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, file.bytes).unwrap();
        }
        let data = serde_json::to_vec(&packet(heron(), audience)).unwrap();
        fs::write(here.join("packet.json"), data).unwrap();
    }
    fs::write(folder.join("report.html"), mateline_reports::html::report(heron()).unwrap()).unwrap();
}
