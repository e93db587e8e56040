//! What a firm adds: its folder, and everything a rule pack can say. Values of rules are compared with sums done by hand.

use mateline_engine::judge::{ExampleResult, run_examples, untested_rows};
use mateline_engine::pack::{Pack, catalogue};
use mateline_engine::{BadInput, Engine, Options};
use mateline_model::quantity::parse;
use mateline_model::{Outcome, Report, Verdict, Whose};
use mateline_reports::text::{Extent, Style};
use mateline_tests::{engine, example, number, root};
use std::path::Path;
use tempfile::TempDir;

const HOME: &str = "\
home: Alder Court
revision: {id: B, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A, elevation: 2500 ft}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}
  B: {level: 1, at: {x: 0 ft, y: 12 ft}, size: {x: 40 ft, y: 12 ft, z: 9 ft}}
openings:
  w1: {kind: window, module: A, face: south, width: 4 ft, height: 5 ft, count: 3, u_factor: 0.20 Btu/(h·ft²·°F), shgc: 0.45}
  w2: {kind: window, module: B, face: north, width: 4 ft, height: 5 ft, u_factor: 0.40 Btu/(h·ft²·°F), shgc: 0.30}
";

const HEAD: &str = "pack: office\ntitle: Standards of our office\nsource: Office manual\n";
const TAIL: &str = "    source: page 3\n    provenance: common practice, no source\n    if_short: Choose another.\n";

/// A folder with these files.
fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

fn check_in(engine: &Engine, folder: &Path) -> Result<Report, BadInput> {
    engine.check(&folder.join("home.yaml"), &Options::default())
}

/// A home judged by a pack beside it.
fn judged(home_more: &str, pack: &str) -> Result<Report, BadInput> {
    let home = format!("{HOME}judge_by: [./office.yaml]\n{home_more}");
    let folder = folder(&[("home.yaml", &home), ("office.yaml", &format!("{HEAD}{pack}"))]);
    check_in(engine(), folder.path())
}

fn good(home_more: &str, pack: &str) -> Report {
    judged(home_more, pack).unwrap_or_else(|bad| panic!("{bad}"))
}

/// A pack with one rule.
fn rule(body: &str) -> String {
    let body: String = body.lines().map(|line| format!("    {line}\n")).collect();
    format!("rules:\n  one:\n    title: One rule\n{body}{TAIL}")
}

fn only(report: &Report) -> &Verdict {
    let [verdict] = report.verdicts.as_slice() else { panic!("{} verdicts", report.verdicts.len()) };
    verdict
}

/// The value judged, in SI.
fn value(verdict: &Verdict) -> f64 {
    verdict.value.as_ref().and_then(mateline_model::Value::number).unwrap_or_else(|| panic!("{verdict:?}")).si
}

fn limit(verdict: &Verdict) -> f64 {
    verdict.limit.as_ref().and_then(mateline_model::Value::number).unwrap_or_else(|| panic!("{verdict:?}")).si
}

fn si(text: &str) -> f64 {
    parse(text).unwrap().si
}

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} against {expected}");
}

fn remarks(report: &Report) -> Vec<&str> {
    report.remarks.iter().map(|remark| remark.message.as_str()).collect()
}

/// 44 ft and 40 ft; three windows of 20 ft² with 0.20 and one with 0.40: by hand.
#[test]
fn figures_over_a_section() {
    let figure = |text: &str, limit: &str| value(only(&good("", &rule(&format!("value: {text}\nat_most: {limit}")))));
    close(figure("{sum: size.x, over: modules}", "90 ft"), si("84 ft"));
    close(figure("{min: size.x, over: modules}", "90 ft"), si("40 ft"));
    close(figure("{max: size.x, over: modules}", "90 ft"), si("44 ft"));
    close(figure("{mean: size.x, over: modules}", "90 ft"), si("42 ft"));
    close(figure("{count: modules}", "3"), 2.0);
    close(figure("{count: modules, where: size.x > 42 ft}", "3"), 1.0);
    close(figure("{sum: size.x, over: modules, where: size.x > 50 ft}", "90 ft"), 0.0);
    let u = "0.30 Btu/(h·ft²·°F)";
    close(
        figure("{mean: u_factor, over: openings, weighted_by: width * height * count}", u),
        si("0.25 Btu/(h·ft²·°F)"),
    );
    close(figure("{mean: u_factor, over: openings}", u), si("0.30 Btu/(h·ft²·°F)"));
    close(figure("{max: width * height * count, over: openings, where: \"kind == 'window'\"}", "90 ft²"), si("60 ft²"));
}

const ENCLOSURE: &str = "\
assemblies:
  w: {kind: wall, layers: [{material: osb, thickness: 1 in}]}
  c: {kind: ceiling, layers: [{material: osb, thickness: 1 in}]}
  f: {kind: floor, layers: [{material: osb, thickness: 1 in}]}
enclosure: {walls: w, ceilings: c, floors: f}
";

#[test]
fn a_figure_over_facts_is_their_sum() {
    let pack =
        rule("value: {sum: takeoff.net_area, over: surfaces, where: \"takeoff.boundary == 'outdoor'\"}\nat_most: 1 m²");
    let report = good(ENCLOSURE, &pack);
    let outdoor = |subject: &&mateline_model::Subject| {
        let boundary = report.facts.get(subject, "takeoff.boundary").and_then(|fact| fact.value.text());
        subject.section() == "surfaces" && boundary == Some("outdoor")
    };
    let areas: Vec<f64> = report
        .facts
        .subjects()
        .filter(outdoor)
        .map(|subject| number(&report, subject.as_str(), "takeoff.net_area"))
        .collect();
    assert!(areas.len() >= 4, "{areas:?}");
    close(value(only(&report)), areas.iter().sum());
}

#[test]
fn what_is_missing_for_a_figure_is_named_and_no_pass() {
    let home = "penetrations: {a: {kind: pipe, module: A, diameter: 2 in, seal: tape}, b: {kind: pipe, module: A, seal: tape}}\n";
    let report = good(home, &rule("value: {max: diameter, over: penetrations}\nat_most: 4 in"));
    let verdict = only(&report);
    assert_eq!(verdict.outcome, Outcome::Unproven, "{}", verdict.message);
    assert_eq!(verdict.message, "penetrations.b: diameter is not given");
    let none = good("", &rule("value: {max: diameter, over: penetrations}\nat_most: 4 in"));
    assert_eq!(only(&none).outcome, Outcome::Unproven);
}

/// At 2,500 ft: half way from 4 at the sea to 2 at 5,000 ft.
#[test]
fn tables_by_values_and_between_them() {
    let at = |table: &str| limit(only(&good("", &rule(&format!("value: {{count: modules}}\nat_most: {table}")))));
    close(at("{by: site.elevation, interpolate: true, 5000 ft: 2, 0 ft: 4, 9000 ft: 1}"), 3.0);
    close(at("{by: site.elevation, \"< 2500 ft\": 9, \">= 2500 ft\": 5}"), 5.0);
    close(at("{by: site.elevation, \"0-2500 ft\": 7, else: 5}"), 7.0);
    close(at("{by: site.elevation, \"0 to 1 mi\": 7, 2500 ft: 6}"), 6.0);
    close(at("{by: takeoff.module_count, \"1-2\": 8, \"> 2\": 9}"), 8.0);
    close(at("{by: site.climate_zone, \"0-4\": 1, \"5-8\": 4, 6A: 5}"), 5.0);
}

#[test]
fn rows_no_example_reaches_are_told() {
    let examples = |given: &str| {
        format!(
            "rules:\n  one:\n    title: One\n    value: {{count: modules}}\n    at_most: {{by: site.elevation, \"< 4000 ft\": 4, \"4000-8000 ft\": 3, else: 2}}\n{TAIL}    examples:\n{given}"
        )
    };
    let given = "      - {given: {site.elevation: 100 ft, modules: [{}, {}]}, expect: met}\n      - {given: {site.elevation: 9000 ft, modules: [{}, {}, {}]}, expect: short}\n";
    let pack = load(&examples(given));
    assert_eq!(
        untested_rows(&pack, &engine().vocabulary()),
        ["one: no example reaches 1 of 3 rows by site.elevation: '4000-8000 ft'"]
    );
    assert!(run_examples(&pack, &engine().vocabulary()).iter().all(ExampleResult::holds));
    let between = "      - {given: {site.elevation: 100 ft, modules: [{}, {}]}, expect: met}\n";
    let between = examples(between).replace(
        "\"< 4000 ft\": 4, \"4000-8000 ft\": 3, else: 2",
        "interpolate: true, 0 ft: 4, 4000 ft: 3, 8000 ft: 2",
    );
    assert_eq!(
        untested_rows(&load(&between), &engine().vocabulary()),
        ["one: no example reaches 1 of 3 rows by site.elevation: between '4000 ft' and '8000 ft'"]
    );
}

/// A value on the limit is tried just inside, on, and just outside; one that does not lie on it comes out otherwise.
#[test]
fn an_example_on_the_limit_is_three() {
    let outcomes = |body: &str, example: &str| {
        let pack = load(&format!("{}    examples:\n      - {example}\n", rule(body)));
        let results = run_examples(&pack, &engine().vocabulary());
        (results.iter().map(|result| result.found).collect::<Vec<_>>(), results.iter().all(ExampleResult::holds))
    };
    let (met, short) = (Outcome::Met, Outcome::Short);
    let length = "for_each: modules\nvalue: size.x\nat_most: {by: level, \"1\": 40 ft, \"2\": 12 m}";
    assert_eq!(outcomes(length, "{given: {level: 1}, on: 40 ft}"), (vec![met, met, short], true));
    assert_eq!(
        outcomes(length, "{on: {by: level, \"1\": 480 in, \"2\": 12 m}}"),
        (vec![met, met, short, met, met, short], true)
    );
    assert_eq!(outcomes(length, "{given: {level: 1}, on: 40.1 ft}"), (vec![short, short, short], false));
    assert_eq!(outcomes(length, "{given: {level: 1}, on: 39.9 ft}"), (vec![met, met, met], false));
    let count = "value: takeoff.module_count\nbetween: [2, 3]";
    assert_eq!(outcomes(count, "{on: 2}"), (vec![met, met, short], true));
    assert_eq!(outcomes(count, "{on: 3}"), (vec![met, met, short], true));
    let level = "for_each: modules\nvalue: level\nat_least: 2";
    assert_eq!(outcomes(level, "{on: 2}"), (vec![met, met, short], true));

    let refused = |body: &str, example: &str| {
        let pack = format!("{}    examples:\n      - {example}\n", rule(body));
        let folder = folder(&[("office.yaml", &format!("{HEAD}{pack}"))]);
        engine().pack(folder.path().join("office.yaml").to_str().unwrap()).unwrap_err().to_string()
    };
    for (body, example, message) in [
        (length, "{given: {level: 1}}", "an example has either 'expect' or 'on'"),
        (length, "{on: 40 ft, expect: met}", "an example has either 'expect' or 'on'"),
        (length, "{on: 40 ft²}", "'40 ft²' is an area, but the value is a length"),
        (length, "{on: {fact: takeoff.floor_area}}", "'on' is a value, or a table of values with 'by'"),
        (count, "{on: 2.5}", "one of the two values of 'between'"),
        (
            "value: 2 * takeoff.module_count\nat_most: 4",
            "{on: 4}",
            "'on' needs a rule whose value is one name and a number",
        ),
    ] {
        let bad = refused(body, example);
        assert!(bad.contains(message), "{example}: {bad}");
    }
}

fn load(pack: &str) -> Pack {
    let folder = folder(&[("office.yaml", &format!("{HEAD}{pack}"))]);
    engine().pack(folder.path().join("office.yaml").to_str().unwrap()).unwrap_or_else(|bad| panic!("{bad}"))
}

#[test]
fn a_rule_holds_from_a_day_and_until_another() {
    let outcome = |effective: &str| {
        let report = good("", &format!("effective: {effective}\n{}", rule("value: {count: modules}\nat_most: 3")));
        (only(&report).outcome, only(&report).message.clone())
    };
    assert_eq!(outcome("{from: 2026-10-05}").0, Outcome::Met);
    assert_eq!(outcome("{until: 2026-10-06}").0, Outcome::Met);
    let (early, why) = outcome("{from: 2026-10-06}");
    assert_eq!(
        (early, why.as_str()),
        (Outcome::NotApplicable, "in force from 2026-10-06, after the revision's 2026-10-05")
    );
    let (late, why) = outcome("{from: 2020-01-01, until: 2026-10-05}");
    assert_eq!(
        (late, why.as_str()),
        (Outcome::NotApplicable, "in force until 2026-10-05, not on the revision's 2026-10-05")
    );
    // A rule's own days lie within its pack's.
    let own = rule("value: {count: modules}\nat_most: 3\neffective: {from: 2027-01-01}");
    assert_eq!(only(&good("", &format!("effective: {{from: 2026-01-01}}\n{own}"))).outcome, Outcome::NotApplicable);
}

#[test]
fn a_home_sets_what_a_pack_leaves_open() {
    let pack = format!(
        "parameters:\n  longest: {{default: 42 ft, meaning: greatest length of a box}}\n{}",
        rule("value: {max: size.x, over: modules}\nat_most: {parameter: longest}")
    );
    let report = good("", &pack);
    assert_eq!((only(&report).outcome, limit(only(&report))), (Outcome::Short, si("42 ft")));
    assert!(report.remarks.is_empty(), "{:?}", report.remarks);
    let report = good("parameters: {office: {longest: 14 m}}\n", &pack);
    assert_eq!((only(&report).outcome, limit(only(&report))), (Outcome::Met, si("14 m")));
    assert_eq!(remarks(&report), ["parameter.longest of office is 14 m here, not 42.00 ft"]);
    let in_expression = pack.replace(
        "value: {max: size.x, over: modules}\n    at_most: {parameter: longest}",
        "requires: parameter.longest > 43 ft",
    );
    assert_eq!(only(&good("", &in_expression)).outcome, Outcome::Short);
    assert_eq!(only(&good("parameters: {office: {longest: 44 ft}}\n", &in_expression)).outcome, Outcome::Met);
}

/// A pack over another beside it.
fn extending(more: &str) -> Report {
    let base = "pack: base\ntitle: Base\nsource: Base code\nrules:\n  boxes:\n    title: Boxes, most\n    value: {count: modules}\n    \
                at_most: {by: site.climate_zone, \"0-3\": 4, \"4-8\": 3}\n    waivable: false\n    source: clause 1\n    provenance: looked up\n    \
                if_short: Take fewer.\n  length:\n    title: Length of a box, most\n    for_each: modules\n    value: size.x\n    at_most: 60 ft\n    \
                source: clause 2\n    provenance: looked up\n    if_short: Shorten it.\n";
    let home = format!("{HOME}judge_by: [./office.yaml]\n");
    let files = [
        ("home.yaml", home.as_str()),
        ("base.yaml", base),
        ("office.yaml", &format!("{HEAD}extends: ./base.yaml\n{more}")),
    ];
    check_in(engine(), folder(&files).path()).unwrap_or_else(|bad| panic!("{bad}"))
}

#[test]
fn a_tightened_limit_keeps_the_rest_of_its_rule() {
    let report = extending("tighten:\n  boxes: {at_most: {by: site.climate_zone, \"0-5\": 3, \"6-8\": 1}}\n");
    let boxes = report.verdicts.iter().find(|verdict| verdict.rule == "boxes").unwrap();
    assert_eq!((boxes.outcome, limit(boxes)), (Outcome::Short, 1.0));
    assert_eq!(boxes.source, "Office manual; stricter than clause 1");
    assert_eq!((boxes.title.as_str(), boxes.help.as_deref()), ("Boxes, most", Some("take fewer")));
    assert_eq!(report.verdicts.iter().filter(|verdict| verdict.rule == "length").count(), 2);
    assert!(report.remarks.is_empty(), "{:?}", report.remarks);
}

/// A rule that is met for good where the one it stands in for is met for the time being is looser.
#[test]
fn a_limit_that_drops_what_is_provisional_is_looser() {
    let rule = "    title: Length of a box, most\n    for_each: modules\n    value: size.x\n    at_most: 60 ft\n    source: clause 2\n    \
                provenance: looked up\n    if_short: Shorten it.\n";
    let provisional = "    provisional: {unless: level == 1, says: 'as drawn, to be measured'}\n";
    let remarks = |more: &str| {
        let base = format!("pack: base\ntitle: Base\nsource: Base code\nrules:\n  length:\n{rule}{provisional}");
        let office = format!("{HEAD}extends: ./base.yaml\nreplace:\n  length:\n{rule}{more}");
        let home = format!("{HOME}judge_by: [./office.yaml]\n");
        let files = [("home.yaml", home.as_str()), ("base.yaml", &base), ("office.yaml", &office)];
        remarks(&check_in(engine(), folder(&files).path()).unwrap_or_else(|bad| panic!("{bad}")))
            .into_iter()
            .map(str::to_owned)
            .collect::<Vec<String>>()
    };
    let looser = "office replaces base/length by a looser rule: it is met for good where the other says 'as drawn, to be measured'";
    assert_eq!(remarks(""), [looser]);
    assert!(remarks(provisional).is_empty());
}

#[test]
fn what_is_looser_than_a_published_limit_is_named_in_the_report() {
    let replaced = |limit: &str, more: &str| {
        format!(
            "replace:\n  length:\n    title: Length of a box, most\n    for_each: modules\n    value: size.x\n    at_most: {limit}\n{more}{TAIL}"
        )
    };
    let report = extending(&replaced("70 ft", ""));
    assert_eq!(remarks(&report), ["office replaces base/length by a looser rule: 70.00 ft is above 60.00 ft"]);
    let at = report.remarks[0].at.as_ref().unwrap();
    assert_eq!((at.file.as_str(), at.line), ("office.yaml", 6));
    assert!(!report.remarks[0].fails);
    assert!(extending(&replaced("50 ft", "")).remarks.is_empty());
    let advice = extending(&replaced("50 ft", "    severity: advice\n"));
    assert_eq!(
        remarks(&advice),
        ["office replaces base/length by a looser rule: it only advises, where a shortfall failed the run"]
    );
    let narrower = extending(&replaced("50 ft", "    when: level == 2\n"));
    assert_eq!(
        remarks(&narrower),
        [
            "office replaces base/length by a rule that may be looser: it concerns other elements",
            "1 of the 2 rules of office concern nothing in this home: length"
        ]
    );
    let dropped = extending("drop: [length]\n");
    assert_eq!(remarks(&dropped), ["office leaves out base/length"]);
    assert_eq!(dropped.verdicts.len(), 1);
    let table = extending(&format!(
        "replace:\n  boxes:\n    title: Boxes, most\n    value: {{count: modules}}\n    at_most: {{by: site.climate_zone, \"0-3\": 4, \"4-7\": 3, \"8\": none}}\n    waivable: false\n{TAIL}"
    ));
    assert_eq!(
        remarks(&table),
        ["office replaces base/boxes by a looser rule: it sets no limit for site.climate_zone 8"]
    );
}

/// Three times 12 ft and twice 2 ft to spare make 40 ft, by hand: box A has 4 ft more, box B has exactly that.
#[test]
fn a_limit_may_be_an_expression() {
    let pack = |limit: &str| {
        let text = rule(&format!("for_each: modules\nvalue: size.x\nat_least: {{expression: \"{limit}\"}}"));
        format!("parameters:\n  spare: {{default: 2 ft, meaning: length to spare}}\n{text}")
    };
    let report = good("", &pack("max(3 * size.y, 10 ft) + 2 * parameter.spare"));
    let [a, b] = report.verdicts.as_slice() else { panic!("{:?}", report.verdicts) };
    assert_eq!((a.outcome, a.message.as_str()), (Outcome::Met, "x 44.00 ft reaches 40.00 ft"));
    close(a.margin.as_ref().and_then(mateline_model::Value::number).unwrap().si, si("4 ft"));
    assert_eq!(b.outcome, Outcome::Met);
    close(limit(a), si("40 ft"));
    close(limit(b), si("40 ft"));

    let report = good("", &pack("44 ft * site.frost_depth / site.frost_depth"));
    let unproven = |verdict: &Verdict| (verdict.outcome, verdict.limit.is_none(), verdict.message.clone());
    assert_eq!(unproven(&report.verdicts[0]), (Outcome::Unproven, true, "site.frost_depth is not given".to_owned()));
    let report = good("", &pack("size.x * size.x / (size.y - 12 ft)"));
    assert_eq!(unproven(&report.verdicts[0]), (Outcome::Unproven, true, "division by zero".to_owned()));

    for (limit, message) in [
        ("size.x * size.y", "the expression is an area, but the value is a length"),
        ("size.x + 3", "'+' cannot add a plain number to a length"),
        ("size.xx", "unknown name 'size.xx'"),
    ] {
        let bad = judged("", &pack(limit)).unwrap_err().to_string();
        assert!(bad.contains(message) && bad.contains("office.yaml:11"), "{bad}");
    }
}

/// Two boxes where one may stand, or nine by another path; the firm that asks for one knows no other path.
#[test]
fn a_tightened_limit_is_not_met_by_a_path_of_the_old_one() {
    let rule = |id: &str, more: &str| {
        format!("  {id}:\n    title: Boxes\n    value: takeoff.module_count\n    at_most: {more}\n{TAIL}")
    };
    let head = "pack: base\ntitle: Base\nsource: Base\nrules:\n";
    let (few, many) = (rule("few", "1\n    satisfied_by: [many]"), rule("many", "9\n    severity: advice"));
    let outcome = |office: &str| {
        let home = format!("{HOME}judge_by: [./office.yaml]\n");
        let base = format!("{head}{few}{many}");
        let office = format!("{HEAD}extends: ./base.yaml\n{office}");
        let folder = folder(&[("home.yaml", &home), ("base.yaml", &base), ("office.yaml", &office)]);
        let report = check_in(engine(), folder.path()).unwrap_or_else(|bad| panic!("{bad}"));
        report.verdicts.iter().find(|verdict| verdict.rule == "few").unwrap().outcome
    };
    assert_eq!(outcome(""), Outcome::Met);
    assert_eq!(outcome("tighten: {few: {at_most: 1}}\n"), Outcome::Short);
    assert_eq!(outcome("tighten: {few: {at_most: 1}, many: {at_most: 8}}\n"), Outcome::Met);
}

/// A firm's limit that is the greater of the code's and its own can only be stricter; any other may be looser.
#[test]
fn a_limit_by_an_expression_may_tighten_one() {
    let tighter = |limit: &str| {
        let more = format!("tighten:\n  length: {{at_most: {{expression: \"{limit}\"}}}}\n");
        let base = "pack: base\ntitle: Base\nsource: Base code\nrules:\n  length:\n    title: Length of a box, most\n    \
                    for_each: modules\n    value: size.x\n    at_most: {expression: 5 *  size.y}\n    source: clause 2\n    \
                    provenance: looked up\n    if_short: Shorten it.\n";
        let files = [
            ("home.yaml", format!("{HOME}judge_by: [./office.yaml]\n")),
            ("base.yaml", base.to_owned()),
            ("office.yaml", format!("{HEAD}extends: ./base.yaml\n{more}")),
        ];
        let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (*name, text.as_str())).collect();
        check_in(engine(), folder(&files).path())
    };
    for limit in ["5 * size.y", "min(5 * size.y, 41 ft)"] {
        let report = tighter(limit).unwrap_or_else(|bad| panic!("{bad}"));
        assert!(report.remarks.is_empty(), "{limit}: {:?}", report.remarks);
    }
    for limit in ["6 * size.y", "max(5 * size.y, 41 ft)"] {
        let bad = tighter(limit).unwrap_err().to_string();
        assert!(bad.contains("'length' cannot be shown to be tightened"), "{limit}: {bad}");
    }
    let report = extending("tighten:\n  length: {at_most: {expression: \"min(59 ft, 5 * size.y)\"}}\n");
    assert!(report.remarks.is_empty(), "{:?}", report.remarks);
}

fn waiver(subject: &str) -> String {
    format!(
        "waivers: [{{rule: office/one, subject: {subject}, reason: agreed on site, agreed_with: owner, until: D}}]\nissues: [A, B, C, D]\n"
    )
}

#[test]
fn a_waived_verdict_shows_its_value_everywhere() {
    let report = good(&waiver("modules.A"), &rule("for_each: modules\nvalue: size.x\nat_most: 42 ft"));
    let verdict = report.verdicts.iter().find(|verdict| verdict.subject.as_str() == "modules.A").unwrap();
    assert_eq!(verdict.outcome, Outcome::Waived);
    let text = mateline_reports::text::check(&report, Style::PLAIN, Extent::All);
    assert!(
        text.contains("waived: modules.A  x 44.00 ft is above 42.00 ft; waived with owner: agreed on site\n"),
        "{text}"
    );
    let json = serde_json::to_value(mateline_reports::json::report(&report, "0")).unwrap();
    let waived = json["verdicts"].as_array().unwrap().iter().find(|verdict| verdict["verdict"] == "waived").unwrap();
    close(waived["value"].as_f64().unwrap(), si("44 ft"));
    assert!(mateline_reports::html::report(&report).unwrap().contains("44.00 ft is above 42.00 ft; waived with owner"));
    assert!(!report.fails());
}

#[test]
fn a_rule_that_nobody_may_waive_is_not_waived() {
    let pack = rule("for_each: modules\nvalue: size.x\nat_most: 42 ft\nwaivable: false\nseverity: advice");
    let report = good(&waiver("modules.A"), &pack);
    assert!(report.verdicts.iter().all(|verdict| verdict.outcome != Outcome::Waived));
    assert_eq!(
        remarks(&report),
        ["the waiver of office/one for modules.A is refused: its pack lets nobody waive the rule"]
    );
    assert!(report.remarks[0].fails && report.fails(), "a refused waiver fails the run, even of advice");
}

#[test]
fn a_waiver_of_more_than_one_element_is_not_applied() {
    let pack = rule("for_each: modules\nvalue: size.x\nat_most: 42 ft");
    for (subject, why) in [
        ("modules", "'modules' is a whole section"),
        ("'*'", "'*' stands for many elements"),
        ("modules.*", "'modules.*' stands for many elements"),
    ] {
        let report = good(&waiver(subject), &pack);
        assert!(report.verdicts.iter().all(|verdict| verdict.outcome != Outcome::Waived), "{subject}");
        let [remark] = report.remarks.as_slice() else { panic!("{:?}", report.remarks) };
        assert!(remark.message.ends_with(&format!("is not applied: {why}; name one element")), "{}", remark.message);
        assert!(report.fails());
    }
}

#[test]
fn counts_are_whole_and_shares_are_in_percent_where_the_limit_is() {
    let message = |body: &str| good("", &rule(body)).verdicts[0].message.clone();
    assert_eq!(message("for_each: openings\nvalue: count\nat_most: 2"), "count 3 is above 2");
    assert_eq!(
        message("for_each: openings\nvalue: shgc\nat_most: 40 %"),
        "solar heat gain coefficient 45.0 % is above 40.0 %"
    );
    assert_eq!(
        message("for_each: openings\nvalue: shgc\nat_most: 0.4"),
        "solar heat gain coefficient 0.45 is above 0.4"
    );
    assert_eq!(message("for_each: openings\nvalue: count / 2\nat_most: 1"), "one rule 1.5 is above 1");
}

/// A firm's folder with everything in it.
fn office() -> TempDir {
    folder(&[
        ("packs/office.yaml", &format!("{HEAD}{}", rule("value: {count: modules}\nat_most: 1"))),
        (
            "materials.yaml",
            "felt: {conductivity: 0.05 W/(m·K), density: 200 kg/m³, source: maker A}\ncork: {conductivity: 0.045 W/(m·K), density: 120 kg/m³, source: maker A}\n",
        ),
        ("rates.yaml", "set_up: 2500 $\n"),
        (
            "leakage.yaml",
            "seam-two-seals: {name: our seam, leakage: 0.6 cm², per: m, spread: 2, source: our tests, provenance: looked up}\n",
        ),
        ("reports/letterhead.txt", "Office of <Invention>\n1 Nowhere Street\n"),
        ("reports/summary.html", "<p>kept</p>"),
    ])
}

fn for_firm(folder: &Path) -> Engine {
    let materials = mateline_plugins::materials().clone();
    Engine::new(mateline_plugins::built_in(), mateline_rules::PACKS, materials)
        .unwrap()
        .asking(mateline_rules::ASKING)
        .for_firm(folder)
}

const OWN: &str = "\
materials: {cork: {conductivity: 0.04 W/(m·K), density: 120 kg/m³, source: maker B}}
assemblies:
  wall: {kind: wall, layers: [{material: felt, thickness: 50 mm}, {material: cork, thickness: 40 mm}]}
";

#[test]
fn a_firm_adds_packs_materials_rates_leakages_and_its_letterhead() {
    let (office, project) = (office(), folder(&[("home.yaml", &format!("{HOME}judge_by: [office]\n{OWN}"))]));
    let report = check_in(&for_firm(office.path()), project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!((only(&report).full_name(), only(&report).outcome), ("office/one".to_owned(), Outcome::Short));
    // The firm's felt, and the home's own cork.
    assert_eq!(report.home.materials["felt"].source, "maker A");
    assert_eq!(report.home.materials["cork"].source, "maker B");
    let whose: Vec<_> = report.materials.iter().map(|(id, whose)| (id.as_str(), *whose)).collect();
    assert_eq!(whose, [("cork", Whose::Home), ("felt", Whose::Firm)]);
    let names: Vec<&str> = report.tables.iter().map(|table| table.name.as_str()).collect();
    assert_eq!(names, ["<firm>/leakage.yaml", "<firm>/materials.yaml", "<firm>/rates.yaml"]);
    assert!(report.home.materials.contains_key("osb"), "those that come with mateline lie beneath");
    assert_eq!(report.home.rates.as_ref().and_then(|rates| rates.set_up).map(|rate| rate.low.si()), Some(2500.0));
    assert_eq!(report.letterhead.as_deref(), Some("Office of <Invention>\n1 Nowhere Street"));
    assert_eq!(report.partials.get("summary.html").map(String::as_str), Some("<p>kept</p>"));
    let html = mateline_reports::html::report(&report).unwrap();
    assert!(html.contains("<p>kept</p>") && !html.contains("id=\"summary\""), "the firm's part stands alone");
    assert!(html.contains("<bdi>Office of &lt;Invention&gt;</bdi><br><bdi>1 Nowhere Street</bdi>"));
    // The place where the person keeps the folder is nobody's business.
    assert!(report.sources.keys().any(|name| name == "<firm>/materials.yaml"), "{:?}", report.sources.keys());
    assert!(!html.contains(office.path().to_str().unwrap()));
}

/// The table's row for a seam with two seals has 0.3 cm²/m; the firm's has twice that.
/// What every home is asked, the firm asks by its own ranges where a pack of it extends that one; its other packs stay out.
#[test]
fn a_firm_asks_by_ranges_of_its_own() {
    let pack = |id: &str, more: &str| format!("pack: {id}\ntitle: Ranges of our office\nsource: Office manual\n{more}");
    let wide = "extends: plausible-input\nreplace:\n  window-u-factor-most:\n    \
                title: U-factor that we build\n    for_each: openings\n    value: u_factor\n    \
                at_most: 0.30 Btu/(h·ft²·°F)\n    source: page 3\n    provenance: common practice, no source\n    \
                if_short: Check it.\n    severity: advice\n";
    let files = [
        ("home.yaml", HOME),
        ("firm/packs/ranges.yaml", &pack("ranges", wide)),
        ("firm/packs/other.yaml", &pack("other", "rules: {}\n")),
    ];
    let folder = folder(&files);
    let report = check_in(&for_firm(&folder.path().join("firm")), folder.path()).unwrap_or_else(|bad| panic!("{bad}"));
    let asked: Vec<&str> = remarks(&report).into_iter().filter(|message| message.contains("openings.w")).collect();
    assert_eq!(asked.len(), 1, "{asked:?}");
    assert!(asked[0].starts_with("openings.w2: ") && asked[0].ends_with("(ranges/window-u-factor-most)"), "{asked:?}");
    assert!(!report.sources.contains_key("<firm>/packs/other.yaml"), "{:?}", report.sources.keys());
}

#[test]
fn a_leakage_of_the_firm_takes_the_place_of_the_tables() {
    let office = office();
    let without = mateline_tests::check_file(&example("starter")).unwrap_or_else(|bad| panic!("{bad}"));
    let with = for_firm(office.path()).check(&example("starter"), &Options::default());
    let with = with.unwrap_or_else(|bad| panic!("{bad}"));
    let seam = |report: &Report| number(report, "seams.A-B", "airtightness.ela4");
    assert!(seam(&without) > 0.0);
    close(seam(&with), 2.0 * seam(&without));
    let home = |report: &Report| number(report, "home", "airtightness.ela4");
    close(home(&with) - home(&without), seam(&without));
    let basis = &with.facts.get(&"seams.A-B".into(), "airtightness.ela4").unwrap().basis;
    assert!(format!("{basis:?}").contains("our tests (looked up)"), "{basis:?}");
}

#[test]
fn a_home_may_name_a_firm_beside_it_and_the_one_given_comes_first() {
    let home = format!("{HOME}firm: office\njudge_by: [office]\n");
    let pack = format!("{HEAD}{}", rule("value: {count: modules}\nat_most: 3"));
    let project =
        folder(&[("home.yaml", &home), ("office/packs/office.yaml", &pack), ("office/rates.yaml", "# nothing yet\n")]);
    let own = check_in(engine(), project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(only(&own).outcome, Outcome::Met);
    assert!(own.home.rates.is_none());
    let given = office();
    let given = check_in(&for_firm(given.path()), project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(only(&given).outcome, Outcome::Short);
}

#[test]
fn a_home_with_rates_of_its_own_keeps_them() {
    let office = office();
    let project = folder(&[("home.yaml", &format!("{HOME}rates: {{sump: 900 $}}\n"))]);
    let report = check_in(&for_firm(office.path()), project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    let rates = report.home.rates.as_ref().unwrap();
    assert!(rates.set_up.is_some() && rates.sump.is_some(), "the home adds what the firm lacks");
    assert!(remarks(&report).contains(&"the home adds sump to the rates of the firm"), "{:?}", remarks(&report));
    // A second price for what the firm offers makes the home's another offer, and the report says what is left out.
    let project = folder(&[("home.yaml", &format!("{HOME}rates: {{sump: 900 $, set_up: 800 $}}\n"))]);
    std::fs::write(office.path().join("rates.yaml"), "set_up: 2500 $\nejector: 1400 $\n").unwrap();
    let report = check_in(&for_firm(office.path()), project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    let rates = report.home.rates.as_ref().unwrap();
    assert_eq!((rates.set_up.map(|rate| rate.low.si()), rates.ejector.is_some()), (Some(800.0), false));
    assert_eq!(
        remarks(&report),
        [
            "the home's own rates stand in place of the firm's, of which 2 are left out: both give set_up; without these the home's would add to the firm's"
        ]
    );
}

#[test]
fn a_firms_folder_that_is_not_there_is_told() {
    let project = folder(&[("home.yaml", HOME)]);
    let bad = check_in(&for_firm(&project.path().join("nowhere")), project.path()).unwrap_err();
    assert!(bad.to_string().contains("the firm's folder: cannot read"), "{bad}");
    assert!(for_firm(&project.path().join("nowhere")).pack("fresh-air").is_err());
}

/// The folder that `mateline new --firm` lays out works as it stands.
#[test]
fn the_folder_of_a_new_firm_is_good() {
    let template = root().join("core/cli/firm");
    let engine = for_firm(&template);
    assert_eq!(engine.firm_packs().unwrap_or_else(|bad| panic!("{bad}")), ["house-standard"]);
    let pack = engine.pack("house-standard").unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(pack.rules.len(), 3);
    let results = run_examples(&pack, &engine.vocabulary());
    assert!(results.len() >= 9 && results.iter().all(ExampleResult::holds), "{results:?}");
    assert_eq!(untested_rows(&pack, &engine.vocabulary()), Vec::<String>::new());
    let project = folder(&[("home.yaml", &format!("{HOME}judge_by: [house-standard]\n"))]);
    let report = check_in(&engine, project.path()).unwrap_or_else(|bad| panic!("{bad}"));
    let windows = report.verdicts.iter().find(|verdict| verdict.rule == "window-mean-u-factor").unwrap();
    close(value(windows), si("0.25 Btu/(h·ft²·°F)"));
    assert_eq!(windows.outcome, Outcome::Met, "{}", windows.message);
}

#[test]
fn the_catalogue_is_current() {
    let packs: Vec<Pack> =
        mateline_rules::current().map(|(id, _)| engine().pack(id).unwrap_or_else(|bad| panic!("{bad}"))).collect();
    let generated = catalogue(&packs);
    let path = root().join("rules/CATALOGUE.md");
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::write(&path, &generated).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == generated, "rules/CATALOGUE.md is stale; write it with MATELINE_BLESS=1 cargo test");
    for pack in &packs {
        for rule in pack.rules.iter() {
            assert!(generated.contains(&format!("\n### {}/{}\n", pack.id, rule.id)));
        }
    }
}
