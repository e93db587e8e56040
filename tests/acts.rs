//! Who acts on what is open: for each rule of each example, whatever comes out, someone who can.

use mateline_model::{Outcome, Report, Verdict};
use mateline_reports::acts::{self, Act, Actor, NO_DATE};
use mateline_tests::{check_file, example};

fn checked(name: &str) -> Report {
    check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Who may be asked about an element of a section: `common practice, no source`.
fn can_act(verdict: &Verdict) -> &'static [Actor] {
    use Actor::*;
    match (verdict.subject.section(), verdict.outcome) {
        // What a drawing or a calculation says is the designer's.
        ("assemblies" | "junctions" | "surfaces" | "emissions" | "air" | "ducts", _) => &[Designer],
        // What the latest test promises is mended where the boxes stand.
        ("references", _) => &[Designer, SiteCrew],
        ("spaces" | "systems", Outcome::Short) => &[Designer],
        ("spaces" | "systems", _) => &[Designer, Tester],
        ("openings" | "modules", _) => &[Designer, Plant],
        // A test that is missing is made; what one has found is mended by whom it has found out.
        ("measurements", Outcome::Short) => &[Plant, SiteCrew, Designer],
        ("measurements", _) => &[Tester, Plant],
        ("seams" | "penetrations", _) => &[Plant, SiteCrew, Designer],
        ("finishes", Outcome::Short) => &[Designer],
        ("finishes", _) => &[Plant, SiteCrew, Designer],
        ("evidence", _) => &[Plant, SiteCrew, Designer],
        ("home", Outcome::Short) => &[Designer, SiteCrew],
        ("home", _) => &[Designer, Tester, Owner, Plant, SiteCrew],
        _ => &[],
    }
}

#[test]
fn whatever_comes_out_of_a_rule_someone_who_can_acts() {
    let mut asked = std::collections::BTreeSet::new();
    let mut count = 0;
    for name in ["heron-lane", "starter", "willow-pair"] {
        let report = checked(name);
        for verdict in &report.verdicts {
            for outcome in [Outcome::Short, Outcome::Unproven] {
                let open = Verdict { outcome, ..verdict.clone() };
                let act = acts::of(&report, &open);
                let told = format!("{name}: {} of {}, {outcome}: {act:?}", open.full_name(), open.subject);
                assert!(can_act(&open).contains(&act.who), "{told}");
                assert!(!act.by.is_empty(), "{told}");
                assert_eq!(act, acts::of(&report, &open));
                asked.insert(act.who);
                count += 1;
            }
        }
    }
    assert!(count > 4000 && asked.len() >= 4, "{count} {asked:?}");
}

fn of(report: &Report, rule: &str, subject: &str) -> Act {
    let verdict = report.verdicts.iter().find(|verdict| verdict.rule == rule && verdict.subject.as_str() == subject);
    acts::of(report, verdict.unwrap_or_else(|| panic!("no {rule} of {subject}")))
}

#[test]
fn who_acts_follows_from_the_element_and_from_what_is_owed() {
    let report = checked("heron-lane");
    let act = |who, by: &str| Act { who, by: by.to_owned() };
    for (rule, subject, who) in [
        ("vehicle-circuit", "home", act(Actor::Owner, "with revision D")),
        ("final-test", "home", act(Actor::Tester, "at the final test of the finished home")),
        (
            "plant-test-within-budget",
            "measurements.box-A-in-plant",
            act(Actor::Plant, "before the box leaves the plant"),
        ),
        ("record-lasts", "evidence.carpet-certificate", act(Actor::SiteCrew, "by 2026-11-20, when the record ends")),
        ("composite-wood-low-emitting", "finishes.closet-shelves", act(Actor::Designer, "with revision D")),
        ("composite-wood-custody", "modules.C", act(Actor::Plant, "before the box leaves the plant")),
        (
            "target-chance-by-test",
            "references.passive-envelope-by-volume",
            act(Actor::SiteCrew, "at the final test of the finished home"),
        ),
        ("peak-water", "assemblies.basement-wall", act(Actor::Designer, "with revision D")),
        ("mate-line-inspection", "seams.B-D", act(Actor::SiteCrew, "before it is covered")),
    ] {
        assert_eq!(of(&report, rule, subject), who, "{rule}");
    }
    // Where the home lists no issues, no date is made up.
    let willow = checked("willow-pair");
    assert_eq!(of(&willow, "window-air-leakage", "openings.garden-door"), act(Actor::Designer, NO_DATE));
}
