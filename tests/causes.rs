//! One cause is told once: what is counted under what, and where a missing thing is asked for.

use mateline_model::{Outcome, Report, Severity, Verdict};
use mateline_tests::{checked, engine};
use std::collections::BTreeSet;

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

#[test]
fn what_a_rule_stands_on_is_there() {
    let packs: Vec<_> = mateline_rules::current().map(|(name, _)| engine().pack(name).unwrap()).collect();
    let names = || packs.iter().flat_map(|pack| pack.rules.iter().map(move |rule| format!("{}/{}", pack.id, rule.id)));
    let known: BTreeSet<String> = names().collect();
    let stood_on = packs.iter().flat_map(|pack| pack.rules.iter()).flat_map(|rule| &rule.after);
    let unknown: Vec<&String> = stood_on.filter(|name| !known.contains(*name)).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

#[test]
fn a_rule_that_does_not_apply_holds_nobody_back() {
    let first = ("first", "for_each: modules\nwhen: size.z > 20 ft\nvalue: size.x\nat_most: 30 ft");
    let second = ("second", "for_each: modules\nvalue: size.x\nat_most: 30 ft\nafter: [first]");
    assert_eq!(points(&judged("", &[first, second])), ["second modules.A"]);
}

#[test]
fn what_is_short_stands_under_nothing_that_is_only_unproven() {
    let first = ("first", "for_each: modules\nvalue: weight\nat_most: 30000 lb");
    let second = ("second", "for_each: modules\nvalue: size.x\nat_most: 30 ft\nafter: [first]");
    assert_eq!(points(&judged("", &[first, second])), ["first modules.A", "first modules.B", "second modules.A"]);
}

#[test]
fn another_path_to_a_requirement_is_counted_under_it() {
    let wide = ("wide", "for_each: modules\nvalue: size.x\nat_most: 40 ft\nsatisfied_by: light");
    let light = ("light", "for_each: modules\nvalue: size.y\nat_most: 10 ft\nseverity: advice");
    assert_eq!(points(&judged("", &[light, wide])), ["wide modules.A < light modules.A"]);
}

/// Boxes and rooms alone: nothing says what they stand on, what encloses them, or what is in them.
const CONCEPT: &str = "\
home: Alder Court
revision: {id: A, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A}
judge_by: [energy-code-2021, residential-code-2021, fresh-air, moisture-control, modular-practice, airtightness-targets,
  healthy-materials, passive-envelope, zero-energy-ready]
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}
  B: {level: 1, at: {x: 0 ft, y: 12 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}
spaces:
  hall: {use: hall, in: A, floor_area: 80 ft², height: 8 ft}
  bed: {use: bedroom, in: A, floor_area: 150 ft², height: 8 ft}
  bath: {use: bathroom, in: B, floor_area: 60 ft², height: 8 ft}
  kitchen: {use: kitchen, in: B, floor_area: 160 ft², height: 8 ft}
";

#[test]
fn a_concept_is_told_in_few_points() {
    let report = checked(CONCEPT);
    let open = report.verdicts.iter().filter(|verdict| verdict.is_open()).count();
    let points = report.open_points();
    let required = points.iter().filter(|point| point.verdict.severity == Severity::Required);
    let list: Vec<String> = required.clone().map(|point| point.verdict.full_name()).collect();
    println!("{open} verdicts are open, told in {} points, {} of them required: {list:#?}", points.len(), list.len());
    // What is not there at all is missed once, however much waits for it.
    for (part, least) in [("foundation", 60), ("openings", 6), ("systems.ventilation", 8), ("seams", 2)] {
        let causes = points.iter().filter(|point| point.verdict.owed.first().is_some_and(|owed| owed.at == part));
        let under: Vec<usize> = causes.map(|point| point.under.len()).collect();
        assert!(under.len() == 1 && under[0] >= least, "{part}: {under:?}");
    }
    assert!(
        open > 130 && points.len() <= open / 4 && list.len() <= 20,
        "{open} in {} and {}",
        points.len(),
        list.len()
    );
}

/// A section that is still to be decided is one open point at its own line; what waits for it is counted there.
#[test]
fn an_undecided_section_is_one_open_point_where_it_belongs() {
    let text = std::fs::read_to_string(mateline_tests::example("starter")).unwrap();
    let undecided = |section: &str| {
        let begin = text.find(&format!("\n{section}:")).unwrap() + 1;
        let end = text[begin..].find("\n#").map_or(text.len(), |end| begin + end);
        checked(&format!("{}{section}: undecided{}", &text[..begin], &text[end..]))
    };
    let report = undecided("foundation");
    let open = |verdict: &&Verdict| verdict.is_open() && verdict.severity == Severity::Required;
    let leading: Vec<&Verdict> =
        report.verdicts.iter().filter(open).filter(|verdict| verdict.under.is_none()).collect();
    let [only] = leading.as_slice() else { panic!("{leading:#?}") };
    assert_eq!((only.message.as_str(), only.outcome), ("the home has no foundation", Outcome::Unproven));
    let line = text[..text.find("\nfoundation:").unwrap() + 1].matches('\n').count() + 1;
    assert_eq!(only.at.as_ref().map(|at| at.line), Some(u32::try_from(line).unwrap()));
    assert!(report.verdicts.iter().filter(|verdict| verdict.under.is_some()).count() >= 15);
    for section in ["systems", "seams", "openings", "penetrations"] {
        let shorts = undecided(section)
            .verdicts
            .into_iter()
            .filter(|v| v.outcome == Outcome::Short && v.severity == Severity::Required);
        assert_eq!(shorts.map(|verdict| verdict.full_name()).collect::<Vec<_>>(), Vec::<String>::new(), "{section}");
    }
}
