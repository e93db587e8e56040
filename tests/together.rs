//! A requirement that a home meets by naming a package or a path: it is met where the rules of what is named are.
//! Source: IECC 2021, R401.2.5 asks that a package of R408 be complied with; that of airtightness with recovery, R408.2.5,
//! is at most 3.0 ACH50 (from memory, high) and a sensible recovery of at least 75 % (from memory, med).

use mateline_model::{Outcome, Report, Severity, Verdict};
use mateline_tests::{Copy, check_file, checked};

const HOME: &str = "\
home: Alder Court
revision: {id: A, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 13 ft, z: 9 ft}}
";

fn package(report: &Report) -> &Verdict {
    report.verdicts.iter().find(|verdict| verdict.rule == "efficiency-package").unwrap()
}

fn of(more: &str) -> Verdict {
    package(&checked(&format!("{HOME}judge_by: [energy-code-2021]\n{more}"))).clone()
}

#[test]
fn a_package_that_is_only_named_is_not_met() {
    let ducts = "approvals: {efficiency_package: ducts}\n";
    let named = of(ducts);
    assert_eq!((named.outcome, named.severity), (Outcome::Unproven, Severity::Required));
    assert!(named.message.contains("package-ducts is not shown: systems.heating"), "{}", named.message);
    let inside = |inside: bool| {
        of(&format!(
            "{ducts}systems: {{heating: {{kind: furnace, fuel: gas, ducted: true, ducts_inside: {inside}}}}}\n"
        ))
    };
    assert_eq!(inside(true).outcome, Outcome::Met);
    // Short of a clause that is remembered in doubt: nothing of a low mark decides alone.
    let outside = inside(false);
    assert_eq!(outside.outcome, Outcome::Unproven);
    assert!(outside.message.contains("short of a limit that is not sure (from memory, med)"), "{}", outside.message);
    assert!(outside.help.unwrap().contains("bring every duct inside"));
}

#[test]
fn a_leaky_home_with_the_airtight_package_is_short() {
    let home = |flow: &str| {
        let copy = Copy::edited("sparrow-court", &[]);
        let path = copy.home();
        let text = std::fs::read_to_string(&path).unwrap();
        let test = format!(
            "measurements:\n  final:\n    kind: blower-door\n    stage: final\n    date: 2026-10-01\n    points:\n      - {{pressure: -50 Pa, flow: {flow}}}\n"
        );
        assert!(!text.contains("\nmeasurements:"));
        std::fs::write(&path, format!("{text}{test}")).unwrap();
        package(&check_file(&path).unwrap_or_else(|bad| panic!("{bad}"))).clone()
    };
    let tight = package(&check_file(&Copy::edited("sparrow-court", &[]).home()).unwrap()).clone();
    assert_eq!((tight.outcome, tight.provisional.as_deref()), (Outcome::Met, Some("met by forecast, final test owed")));
    let leaky = home("9000 cfm");
    assert_eq!(leaky.outcome, Outcome::Short, "{}", leaky.message);
    assert!(leaky.message.contains("package-airtight is short"), "{}", leaky.message);
    let tested = home("100 cfm");
    assert_eq!((tested.outcome, tested.provisional), (Outcome::Met, None), "{}", tested.message);
}

fn rules(more: &str) -> String {
    let rule = |id: &str, body: &str| {
        format!("  {id}: {{title: Boxes, {body}, source: page 3, provenance: looked up, if_short: Take fewer.}}\n")
    };
    let named = rule("named", &format!("value: takeoff.module_count, at_most: 9, together_with: [few]{more}"));
    let few = rule("few", "value: takeoff.module_count, at_most: 0, severity: advice");
    let path = rule("path", "value: takeoff.module_count, at_most: 5, severity: advice");
    format!("pack: office\ntitle: Ours\nsource: Manual\nrules:\n{named}{few}{path}")
}

fn by(packs: &[(&str, String)]) -> Result<Report, String> {
    let folder = tempfile::tempdir().unwrap();
    let last = packs.last().unwrap().0;
    std::fs::write(folder.path().join("home.yaml"), format!("{HOME}judge_by: [./{last}]\n")).unwrap();
    for (name, text) in packs {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    let path = folder.path().join("home.yaml");
    mateline_tests::engine().check(&path, &mateline_engine::Options::default()).map_err(|bad| bad.to_string())
}

fn named(report: &Report) -> Outcome {
    report.verdicts.iter().find(|verdict| verdict.rule == "named").unwrap().outcome
}

#[test]
fn another_path_a_dropped_rule_and_a_slip_of_the_pen() {
    assert_eq!(named(&by(&[("office.yaml", rules(""))]).unwrap()), Outcome::Short);
    assert_eq!(named(&by(&[("office.yaml", rules(", satisfied_by: path"))]).unwrap()), Outcome::Met);
    let ours = "pack: ours\ntitle: Ours\nsource: Manual\nextends: ./office.yaml\ndrop: [few]\n".to_owned();
    let report = by(&[("office.yaml", rules("")), ("ours.yaml", ours)]).unwrap();
    assert_eq!(named(&report), Outcome::Met);
    assert!(report.remarks.iter().any(|remark| remark.message.contains("leaves out office/few")), "it is told");
    let bad = by(&[("office.yaml", rules("").replace("[few]", "[fews]"))]).unwrap_err();
    assert!(bad.contains("unknown other rule 'fews' (did you mean 'few'?)"), "{bad}");
    let chain = rules("").replace("at_most: 0", "at_most: 0, satisfied_by: path");
    let bad = by(&[("office.yaml", chain)]).unwrap_err();
    assert!(bad.contains("'few' leans on other rules itself"), "{bad}");
}
