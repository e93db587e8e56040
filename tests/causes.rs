//! One cause is told once: what is counted under what, and where a missing thing is asked for.

use mateline_model::{Outcome, Report, Verdict};
use mateline_tests::engine;

const HOME: &str = "\
home: Alder Court
revision: {id: B, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A}
judge_by: [./office.yaml]
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}
  B: {level: 1, at: {x: 0 ft, y: 12 ft}, size: {x: 20 ft, y: 12 ft, z: 9 ft}}
";

/// A pack of these rules: id, its body.
fn pack(rules: &[(&str, &str)]) -> String {
    let mut text = "pack: office\ntitle: Standards of our office\nsource: Office manual\nrules:\n".to_owned();
    for (id, body) in rules {
        let body: String = body.lines().map(|line| format!("    {line}\n")).collect();
        text += &format!(
            "  {id}:\n    title: Rule {id}\n{body}    source: page 3\n    provenance: common practice, no source\n    \
             if_short: Choose another.\n"
        );
    }
    text
}

fn judged(more: &str, rules: &[(&str, &str)]) -> Report {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("home.yaml"), format!("{HOME}{more}")).unwrap();
    std::fs::write(folder.path().join("office.yaml"), pack(rules)).unwrap();
    let checked = engine().check(&folder.path().join("home.yaml"), &mateline_engine::Options::default());
    checked.unwrap_or_else(|bad| panic!("{bad}"))
}

/// `one modules.A < two modules.A`: each open verdict with those that are counted under it.
fn points(report: &Report) -> Vec<String> {
    let name = |verdict: &Verdict| format!("{} {}", verdict.rule, verdict.subject);
    let points = report.open_points();
    let counted: usize = points.iter().map(|point| 1 + point.under.len()).sum();
    assert_eq!(counted, report.verdicts.iter().filter(|verdict| verdict.is_open()).count(), "nothing is lost");
    let told = |under: &[&Verdict]| under.iter().map(|verdict| format!(" < {}", name(verdict))).collect::<String>();
    points.iter().map(|point| format!("{}{}", name(point.verdict), told(&point.under))).collect()
}

const LONG: &str = "for_each: modules\nvalue: size.x\nat_most: 40 ft";

#[test]
fn while_a_rule_is_open_those_that_stand_on_it_are_counted_under_it() {
    let longer = ("longer", "for_each: modules\nvalue: size.x\nat_most: 30 ft\nafter: [long]");
    let longest = ("longest", "for_each: modules\nvalue: size.x\nat_most: 25 ft\nafter: [office/longer]");
    let report = judged("", &[longest, ("long", LONG), longer]);
    assert_eq!(points(&report), ["long modules.A < longest modules.A < longer modules.A"]);
    assert!(report.fails());
    // Where the first is met, each of the others stands for itself again.
    let report = judged("", &[longest, ("long", "for_each: modules\nvalue: size.x\nat_most: 50 ft"), longer]);
    assert_eq!(points(&report), ["longer modules.A < longest modules.A"]);
}

#[test]
fn a_requirement_is_never_counted_under_advice() {
    let advice = format!("{LONG}\nseverity: advice");
    let required = "for_each: modules\nvalue: size.x\nat_most: 30 ft\nafter: [long]";
    let report = judged("", &[("long", &advice), ("longer", required)]);
    assert_eq!(points(&report), ["longer modules.A", "long modules.A"]);
}

#[test]
fn a_rule_of_the_home_stands_on_those_of_its_elements() {
    let all = "value: {max: size.x, over: modules}\nat_most: 40 ft\nafter: [long]";
    assert_eq!(points(&judged("", &[("all", all), ("long", LONG)])), ["long modules.A < all home"]);
}

#[test]
fn rules_that_stand_on_each_other_in_a_circle_each_stand_for_themselves() {
    let (one, two) = (format!("{LONG}\nafter: [two]"), format!("{LONG}\nafter: [one]"));
    assert_eq!(points(&judged("", &[("one", &one), ("two", &two)])), ["one modules.A", "two modules.A"]);
}

#[test]
fn an_exception_for_the_first_lets_the_others_speak() {
    let waiver = "waivers:\n  - {rule: office/long, subject: modules.A, reason: agreed, agreed_with: the plant, until_date: 2027-01-01}\n";
    let longer = ("longer", "for_each: modules\nvalue: size.x\nat_most: 30 ft\nafter: [long]");
    assert_eq!(points(&judged(waiver, &[("long", LONG), longer])), ["longer modules.A"]);
}

#[test]
fn one_missing_thing_is_one_open_point() {
    let deep = ("deep", "value: site.frost_depth\nat_most: 5 ft");
    let snow = ("snow", "value: site.ground_snow\nat_most: 50 psf");
    let depth = ("depth", "value: site.frost_depth\nat_least: 1 ft\nseverity: advice");
    let report = judged("", &[depth, snow, deep]);
    assert_eq!(points(&report), ["snow home", "deep home < depth home"]);
    let of = |rule: &str| report.verdicts.iter().find(|verdict| verdict.rule == rule).unwrap();
    assert_eq!(of("depth").help.as_deref(), Some("state site.frost_depth"));
    assert_eq!(of("depth").at.as_ref().map(|at| at.line), Some(3), "the line of the section");
    // The same words about two elements are two things.
    let weights = ("weights", "for_each: modules\nvalue: weight\nat_most: 30000 lb");
    assert_eq!(points(&judged("", &[weights])), ["weights modules.A", "weights modules.B"]);
}

#[test]
fn help_for_what_is_unproven_is_its_own() {
    let tested = "value: site.frost_depth\nat_most: 5 ft\nif_unproven: Ask the building department for it.";
    let report = judged("", &[("deep", tested)]);
    let verdict = &report.verdicts[0];
    assert_eq!(verdict.outcome, Outcome::Unproven);
    assert_eq!(verdict.help.as_deref(), Some("ask the building department for it"));
    let report = judged("", &[("deep", "value: site.frost_depth\nat_most: 5 ft")]);
    assert_ne!(report.verdicts[0].help.as_deref(), Some("choose another"), "what helps a shortfall is no help here");
}

#[test]
fn a_rule_that_is_not_there_cannot_be_stood_on() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("home.yaml"), HOME).unwrap();
    let rules = pack(&[("longer", &format!("{LONG}\nafter: [logn]")), ("long", LONG)]);
    std::fs::write(folder.path().join("office.yaml"), rules).unwrap();
    let checked = engine().check(&folder.path().join("home.yaml"), &mateline_engine::Options::default());
    let told = checked.unwrap_err().to_string();
    assert!(told.contains("unknown other rule 'logn'") && told.contains("did you mean 'long'"), "{told}");
}
