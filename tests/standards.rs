//! Forty standards of an invented office, each of another kind: every one is a rule with examples, and what the language
//! adds for them (joins, names that lead to other elements, fields of the firm's own, tables) is held against sums by hand.

use mateline_engine::judge::{Judged, Memo, judge, run_examples};
use mateline_engine::load::{Fields, FirmWords, SourceFile};
use mateline_engine::pack::{language, words_of_rules};
use mateline_engine::{BadInput, Engine, Options};
use mateline_model::quantity::UnitSystem;
use mateline_model::{Facts, Outcome, Report, Verdict};
use mateline_tests::{engine, root, shelf};
use std::path::Path;
use std::sync::Arc;
use tempfile::TempDir;

const PACK: &str = "tests/standards/firm/packs/forty-standards.yaml";

fn for_firm(folder: &Path) -> Engine {
    let plugins = mateline_plugins::built_in_with(shelf());
    let engine = Engine::new(plugins, mateline_rules::PACKS, mateline_plugins::materials().clone()).unwrap();
    engine.for_firm(folder)
}

#[test]
fn forty_standards_are_rules_whose_examples_come_out() {
    let engine = for_firm(&root().join("tests/standards/firm"));
    let pack = engine.pack("forty-standards").unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(pack.rules.len(), 40);
    for (number, rule) in pack.rules.iter().enumerate() {
        assert_eq!(rule.source, (number + 1).to_string(), "{}", rule.id);
        let has = |outcome| rule.examples.iter().any(|example| example.expect == outcome);
        let is_open = has(Outcome::Short) || has(Outcome::Unproven);
        assert!(has(Outcome::Met) && is_open, "{} has no example of both", rule.id);
    }
    let wrong: Vec<_> =
        run_examples(&pack, &engine.vocabulary()).into_iter().filter(|result| !result.holds()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The page of the language: its words as they are, then a rule of each kind.
#[test]
fn the_page_of_the_language_is_current() {
    let rules = std::fs::read_to_string(root().join(PACK)).unwrap();
    let own = std::fs::read_to_string(root().join("tests/standards/firm/own.yaml")).unwrap();
    let details = std::fs::read_to_string(root().join("tests/standards/firm/tables/details.csv")).unwrap();
    let page = format!(
        "{}\n## Forty kinds of standard\n\nThe rules of an invented office, one of each kind; a test runs their examples. The office's \
         folder declares fields of its own in `own.yaml` and keeps tables, of which `tables/details.csv` is one.\n\n\
         ```text\n{own}```\n\n```text\n{details}```\n\n```yaml\n{rules}```\n",
        language(&engine().vocabulary())
    );
    let path = root().join("rules/LANGUAGE.md");
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(committed == page, "rules/LANGUAGE.md is stale; write it with MATELINE_BLESS=1 cargo test");
    let found = words_of_rules(&engine().vocabulary(), "solar").unwrap();
    assert!(found.contains("openings.ID.shgc (field)"), "{found}");
    assert!(
        words_of_rules(&engine().vocabulary(), "matchs").unwrap_err().contains("did you mean"),
        "a near one is named"
    );
}

const HOME: &str = "\
home: Alder Court
revision: {id: B, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}, own: {detail: A-501}}
  B: {level: 1, at: {x: 0 ft, y: 12 ft}, size: {x: 40 ft, y: 12 ft, z: 9 ft}}
spaces:
  study: {use: bedroom, in: A, floor_area: 120 ft², height: 8 ft}
  attic: {use: living, in: B, floor_area: 100 ft², height: 8 ft}
openings:
  study-1: {kind: window, module: A, face: south, width: 3 ft, height: 4 ft, count: 2, space: study}
  w2: {kind: window, module: B, face: north, width: 2 ft, height: 4 ft, space: attic}
systems:
  ventilation:
    erv:
      kind: heat-recovery
      supply: 60 cfm
      exhaust: 60 cfm
      power: 45 W
      supplies: {study: 30 cfm, attic: 30 cfm}
      ducts:
        bed: {to: study, length: 12 ft, diameter: 4 in}
        rest: {to: attic, length: 9 ft, diameter: 6 in}
";

/// A home judged by a firm's pack of one rule.
fn judged(more: &str, body: &str) -> Result<(Report, TempDir), BadInput> {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("home.yaml", &format!("{HOME}firm: firm\njudge_by: [office]\n{more}"));
    write("firm/own.yaml", &std::fs::read_to_string(root().join("tests/standards/firm/own.yaml")).unwrap());
    write("firm/tables/widths.csv", "room,least width [ft]\nstudy,3\nattic,2.5\n");
    let body: String = body.lines().map(|line| format!("    {line}\n")).collect();
    let rule = format!(
        "{body}    source: page 3\n    provenance: common practice, no source\n    if_short: Choose another.\n"
    );
    write(
        "firm/packs/office.yaml",
        &format!("pack: office\ntitle: Standards\nsource: Manual\nrules:\n  one:\n    title: One rule\n{rule}"),
    );
    engine().check(&folder.path().join("home.yaml"), &Options::default()).map(|report| (report, folder))
}

fn verdicts(more: &str, body: &str) -> Vec<Verdict> {
    judged(more, body).unwrap_or_else(|bad| panic!("{bad}")).0.verdicts
}

fn outcomes(more: &str, body: &str) -> Vec<(String, String)> {
    verdicts(more, body).into_iter().map(|one| (one.subject.to_string(), one.outcome.to_string())).collect()
}

fn told(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs.iter().map(|(subject, outcome)| ((*subject).to_owned(), (*outcome).to_owned())).collect()
}

#[test]
fn a_room_is_held_against_its_own_windows() {
    // 2 · 3 · 4 = 24 ft² over 120 ft²; 8 ft² over 100 ft².
    let rule = "for_each: spaces\nvalue: sum(width * height * count over openings where space == this.id) / floor_area\nat_least: 10 %";
    assert_eq!(outcomes("", rule), told(&[("spaces.study", "met"), ("spaces.attic", "short")]));
    let messages: Vec<String> = verdicts("", rule).into_iter().map(|one| one.message).collect();
    assert_eq!(messages, ["one rule 20.0 % reaches 10.0 %", "one rule 8.0 % is below 10.0 %"]);
}

#[test]
fn ducts_have_their_fields_and_lead_to_their_rooms() {
    let rule = "for_each: ducts\nwhen: to.use == 'bedroom'\nvalue: diameter\nat_least: 5 in";
    let found = verdicts("", rule);
    let [bed, rest] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!((bed.subject.as_str(), bed.outcome), ("ducts.erv-bed", Outcome::Short));
    assert_eq!((rest.subject.as_str(), rest.outcome), ("ducts.erv-rest", Outcome::NotApplicable));
    assert_eq!(bed.at.as_ref().map(|at| at.line), Some(22), "the diameter of the duct is pointed at");
}

#[test]
fn a_power_for_each_flow_is_told_in_the_unit_of_its_limit() {
    let rule = "for_each: systems.ventilation\nvalue: power / supply\nat_most: 0.65 W/cfm";
    assert_eq!(verdicts("", rule)[0].message, "one rule 0.75 W/cfm is above 0.65 W/cfm");
}

#[test]
fn the_part_of_a_condition_that_fails_is_told_with_its_value() {
    let rule = "for_each: spaces\nrequires: height >= 7 ft and use != 'bedroom' and floor_area > 110 ft²";
    let messages: Vec<String> = verdicts("", rule).into_iter().map(|one| one.message).collect();
    assert_eq!(
        messages,
        [
            "one rule: not so: use != 'bedroom', but use is bedroom",
            "one rule: not so: floor_area > 110 ft², but floor_area is 100.0 ft²"
        ]
    );
}

#[test]
fn fields_of_the_firms_own_are_checked_and_read() {
    let rule = "for_each: modules\nrequires: matches(own.detail, 'A-5[0-9]{2}')";
    assert_eq!(outcomes("", rule), told(&[("modules.A", "met"), ("modules.B", "unproven")]));
    let wrong = |own: &str| {
        let found = judged(&format!("penetrations: {{p: {{kind: pipe, module: A, own: {own}}}}}\n"), rule);
        found.err().map(|bad| bad.problems[0].message.clone()).unwrap_or_default()
    };
    assert_eq!(wrong("{detial: A-501}"), "the firm declares no field 'detial' (did you mean 'detail'?)");
    assert_eq!(wrong("{set_on: soon}"), "'soon' is not a date such as 2026-10-05");
    assert_eq!(wrong("{lap: 3 lb}"), "3 lb is not a length");
    assert_eq!(wrong("{lap: 13 in}"), "");
}

#[test]
fn a_table_of_the_firm_is_a_section() {
    let rule = "for_each: openings\nvalue: width\nat_least: {expression: max(least_width over tables.widths where room == this.space)}";
    assert_eq!(outcomes("", rule), told(&[("openings.study-1", "met"), ("openings.w2", "short")]));
    let wrong = judged("", "for_each: openings\nrequires: any(tables.width where room == this.space)").err().unwrap();
    assert_eq!(wrong.problems[0].message, "unknown table 'width' (did you mean 'widths'?)");
}

#[test]
fn a_section_left_out_is_none_where_it_is_counted_and_open_elsewhere() {
    let found = verdicts("", "value: count(penetrations)\nat_most: 12");
    assert_eq!(
        found[0].message,
        "one rule 0 is within the greatest allowed, 12; penetrations is not given, which counts as none"
    );
    let found = verdicts("", "for_each: modules\nrequires: none(penetrations where module == this.id)");
    assert!(
        found.iter().all(|one| one.outcome == Outcome::Unproven && one.message == "penetrations is not given"),
        "{found:?}"
    );
    // A home that waives nothing says so by saying nothing.
    let found = verdicts("", "value: count(waivers)\nat_most: 3");
    assert_eq!(found[0].message, "one rule 0 is within the greatest allowed, 3");
}

#[test]
fn waivers_are_judged_one_by_one() {
    let waivers =
        "waivers:\n  - {rule: office/one, subject: home, reason: r, agreed_with: factory, until_date: 2027-01-01}\n";
    let found = verdicts(waivers, "for_each: waivers\nrequires: until_date - today <= 60 d");
    assert_eq!((found[0].subject.as_str(), found[0].outcome), ("waivers.0", Outcome::Short));
}

#[test]
fn rules_that_concern_nothing_are_remarked() {
    let (report, _folder) =
        judged("", "for_each: spaces\nwhen: use == 'garage'\nvalue: height\nat_least: 9 ft").unwrap();
    let remarks: Vec<&str> = report.remarks.iter().map(|remark| remark.message.as_str()).collect();
    assert!(remarks.contains(&"1 of the 1 rules of office concern nothing in this home: one"), "{remarks:?}");
}

#[test]
fn a_name_in_an_example_that_no_rule_reads_is_told() {
    let wrong = |given: &str| {
        let rule =
            format!("for_each: spaces\nvalue: height\nat_least: 8 ft\nexamples:\n  - {{given: {given}, expect: met}}");
        judged("", &rule).err().map(|bad| bad.problems[0].message.clone()).unwrap_or_default()
    };
    assert_eq!(wrong("{height: 9 ft}"), "");
    assert_eq!(wrong("{hieght: 9 ft}"), "'given' has 'hieght', which no rule here can read (did you mean 'height'?)");
    assert_eq!(
        wrong("{openings: [{widht: 3 ft}]}"),
        "'given' has 'widht', which no rule here can read (did you mean 'width'?)"
    );
}

/// Distances by hand. Seen from the west, the left end of box A is its north end, where B meets it: 2 ft less the hole's 2 in.
/// On the east face the boxes part 4 ft before: √(4² + 2²) ft less 2 in.
#[test]
fn a_hole_is_held_against_the_nearest_mate_line() {
    let hole = |face: &str, left: &str| {
        format!("{{kind: pipe, module: A, face: {face}, from_left: {left}, above_underside: 4 ft, diameter: 4 in}}")
    };
    let more = format!(
        "penetrations:\n  w: {}\n  e: {}\n  near: {}\n  none: {{kind: pipe, module: A, diameter: 4 in}}\n",
        hole("west", "2 ft"),
        hole("east", "10 ft"),
        hole("west", "13 in")
    );
    let (report, _folder) =
        judged(&more, "for_each: penetrations\nvalue: takeoff.from_mate_line\nat_least: 12 in").unwrap();
    let number = |id: &str| mateline_tests::number(&report, &format!("penetrations.{id}"), "takeoff.from_mate_line");
    for (id, inches) in [("w", 22.0), ("e", 20f64.sqrt() * 12.0 - 2.0), ("near", 11.0)] {
        assert!((number(id) - inches * 0.0254).abs() < 1e-8, "{id}: {}", number(id) / 0.0254);
    }
    let outcomes: Vec<_> = report.verdicts.iter().map(|one| (one.subject.id(), one.outcome)).collect();
    assert_eq!(
        outcomes,
        [("w", Outcome::Met), ("e", Outcome::Met), ("near", Outcome::Short), ("none", Outcome::Unproven)]
    );
    assert_eq!(report.verdicts[3].message, "penetrations.none.face is not given");
}

/// What a plugin never says can never be what a rule asks for: by comparison, in a list, as a key of a table, in an example.
#[test]
fn a_word_that_a_fact_never_has_is_told() {
    let wrong = |rule: &str| {
        let bad = judged("", rule).err().map(|bad| bad.problems).unwrap_or_default();
        let told: Vec<String> = bad.into_iter().map(|problem| problem.message).collect();
        told.join("; ")
    };
    let south = "for_each: openings\nwhen: takeoff.orientation == 'south'\nvalue: width\nat_least: 2 ft";
    assert_eq!(wrong(south), "");
    let sud =
        "'sud' is never a value of takeoff.orientation; it is one of north, east, south, west, up, down, below-grade";
    assert_eq!(wrong(&south.replace("south", "sud")), sud);
    assert_eq!(wrong(&south.replace("== 'south'", "in ['north', 'sud']")), sud);
    let table = "for_each: openings\nvalue: width\nat_least: {by: takeoff.orientation, north: 1 ft, sud: 2 ft}";
    assert_eq!(wrong(table), sud);
    assert_eq!(wrong(&table.replace("sud: 2 ft", "else: 2 ft")), "");
    assert_eq!(wrong(&format!("{south}\nexamples:\n  - {{given: {{takeoff.orientation: sud}}, expect: met}}")), sud);
    let fit =
        wrong("for_each: alternatives\nwhen: foundation.fit == 'as designed'\nvalue: foundation.cost\nat_most: 9 $");
    assert!(fit.starts_with("'as designed' is never a value of foundation.fit"), "{fit}");
}

#[test]
fn a_wall_is_held_against_the_former_revision() {
    let rule = "for_each: spaces\nvalue: floor_area\nat_least: {expression: before(floor_area)}";
    let (_, old) = judged("", rule).unwrap();
    let (_, new) = judged("", rule).unwrap();
    let home = new.path().join("home.yaml");
    let text = std::fs::read_to_string(&home).unwrap();
    let text =
        text.replace("floor_area: 120 ft²", "floor_area: 118 ft²").replace("attic: {use: living", "loft: {use: living");
    std::fs::write(
        &home,
        text.replace("space: attic", "space: loft")
            .replace("attic: 30 cfm", "loft: 30 cfm")
            .replace("to: attic", "to: loft"),
    )
    .unwrap();
    let old =
        engine().check_loaded(engine().load(&old.path().join("home.yaml")).unwrap(), &Options::default()).unwrap();
    assert!(old.report.verdicts.iter().all(|one| one.outcome == Outcome::Unproven), "nothing was before");
    let new = engine().check_after(engine().load(&home).unwrap(), &Options::default(), &old).unwrap();
    let told: Vec<_> =
        new.report.verdicts.iter().map(|one| (one.subject.as_str(), one.outcome, one.message.as_str())).collect();
    assert_eq!(
        told,
        [
            ("spaces.study", Outcome::Short, "floor area 118.0 ft² is below 120.0 ft²"),
            ("spaces.loft", Outcome::Unproven, "in the former revision floor_area is not given"),
        ]
    );
}

/// A join by an index finds what going through every element finds: a condition that means the same and cannot be looked up.
#[test]
fn an_index_changes_nothing() {
    let of = |joined: &str| {
        let rule = format!("for_each: spaces\nvalue: sum(width over openings where {joined})\nat_most: 3 ft");
        verdicts("", &rule)
            .into_iter()
            .map(|one| (one.subject.to_string(), one.outcome, one.message))
            .collect::<Vec<_>>()
    };
    assert_eq!(of("space == this.id"), of("not (space != this.id)"));
    assert_eq!(of("this.id == space and count > 1"), of("count > 1 and not (space != this.id)"));
}

/// Rooms and windows of which there are so many that going through every pair is refused: only an index lets them be judged.
#[test]
fn a_join_by_a_field_is_looked_up() {
    const ROOMS: usize = 1_001;
    let loaded = mateline_tests::loaded(
        "home: Many\nrevision: {id: A, date: 2026-10-05}\nsite: {place: Nowhere, climate_zone: 6A, elevation: 100 ft}\n\
         modules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}\n",
    );
    let mut home = loaded.home.to_json().unwrap();
    for number in 0..ROOMS {
        home["spaces"][format!("s{number}")] = serde_json::json!({ "use": "bedroom" });
        let width = if number == 7 { "4 ft" } else { "3 ft" };
        home["openings"][format!("w{number}")] = serde_json::json!({ "width": width, "space": format!("s{number}") });
    }
    let (facts, quantities) = (Facts::default(), engine().schedule().quantities());
    let judged = Judged {
        home,
        fields: Fields::of_home(),
        facts: &facts,
        missing: &[],
        plugins: &[],
        firm: FirmWords::none(),
        former: None,
        quantities,
        tree: &loaded.tree,
        files: &[SourceFile { name: "home.yaml".to_owned(), text: String::new() }],
        units: UnitSystem::Ip,
        day: loaded.home.revision.date,
        memo: Memo::default(),
    };
    let of = |joined: &str| {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("many.yaml");
        let rule = format!("for_each: spaces\n    value: sum(width over openings where {joined})\n    at_most: 3 ft");
        let rest = "source: invented\n    provenance: common practice, no source\n    if_short: Choose another.";
        let head = "pack: many\ntitle: Many rooms\nsource: invented\nrules:\n  one:\n    title: Windows";
        std::fs::write(&path, format!("{head}\n    {rule}\n    {rest}\n")).unwrap();
        let pack = engine().pack(path.to_str().unwrap()).unwrap_or_else(|bad| panic!("{bad}"));
        judge(&[Arc::new(pack)], &judged).unwrap()
    };
    let looked_up = of("space == this.id");
    let short: Vec<&str> =
        looked_up.iter().filter(|one| one.outcome == Outcome::Short).map(|one| one.subject.as_str()).collect();
    assert_eq!((looked_up.len(), short), (ROOMS, vec!["spaces.s7"]));
    let told: Vec<_> = of("not (space != this.id)").into_iter().map(|one| (one.outcome, one.message)).collect();
    assert!(
        told.iter().all(|(outcome, why)| *outcome == Outcome::Unproven && why.contains("gone through")),
        "{:?}",
        told.first()
    );
}
