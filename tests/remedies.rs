//! What would it take: the limit found is the least that does, what is suggested gives what it promised when it is
//! checked from nothing, and what is written changes one value and nothing else.

use mateline_engine::load::{Edit, written};
use mateline_engine::remedies::{Levers, Remedy, Search};
use mateline_engine::{Options, Session};
use mateline_model::quantity::parse;
use mateline_model::{Outcome, Report, Verdict};
use mateline_tests::{Copy, check_file, engine};
use std::path::Path;

fn levers() -> Levers {
    Levers::read("levers.yaml", mateline_rules::LEVERS).unwrap_or_else(|bad| panic!("{bad}"))
}

fn verdict<'a>(report: &'a Report, rule: &str, subject: &str) -> &'a Verdict {
    let is_it = |v: &&Verdict| v.full_name() == rule && v.subject.as_str() == subject;
    report.verdicts.iter().find(is_it).unwrap_or_else(|| panic!("no verdict {rule} {subject}"))
}

/// The starter with a thinner board: its wall misses the energy code, and a thicker board mends it.
fn thin() -> (Copy, &'static str, &'static str) {
    let copy = Copy::of("starter");
    let home = copy.home();
    let text = std::fs::read_to_string(&home).unwrap();
    let thin = text.replacen(BOARD, "thickness: 1/2 in, role: continuous-insulation", 1);
    let thin = thin.replacen("codes: {energy: 2021}", "codes: {energy: 2021, energy_path: by-component}", 1);
    assert_ne!(text, thin, "the starter's wall has the board that is thinned");
    std::fs::write(&home, thin).unwrap();
    (copy, "energy-code-2021/wall-u-factor", "assemblies.wall")
}

const BOARD: &str = "thickness: 2 in, role: continuous-insulation";

/// The limit is the least thickness, to a hundredth of the step, at which the verdict is met; a hundredth less does not
/// meet it. Checked from nothing, the home with the change written into its file gives what was promised; all else in the
/// file stays, byte for byte.
#[test]
fn what_is_suggested_is_the_least_that_does_and_gives_what_it_promised() {
    let (copy, rule, subject) = thin();
    let home = copy.home();
    let search = Search::new(engine(), &home, Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let short = verdict(search.base(), rule, subject);
    assert_eq!(short.outcome, Outcome::Short, "{}", short.message);
    let remedies = search.single(&levers(), short);
    let boards = remedies.iter().filter(|remedy| remedy.edit.path.last().is_some_and(|last| last == "thickness"));
    assert_eq!(boards.map(|remedy| least(remedy, &home, rule, subject)).count(), 1, "{remedies:?}");
    let text = std::fs::read_to_string(&home).unwrap();
    for remedy in remedies {
        if let (Ok(to), Ok(now)) = (parse(&remedy.edit.text), parse(&remedy.now)) {
            assert!(to.si > now.si, "thinner is no remedy: {remedy:?}");
        }
        let loaded = search.loaded();
        let (_, new) =
            written(&loaded.tree, loaded.project.files(), &remedy.edit).unwrap_or_else(|why| panic!("{why}"));
        let differing = std::iter::zip(text.lines(), new.lines()).filter(|(old, new)| old != new).count();
        assert_eq!((differing, text.lines().count()), (1, new.lines().count()));
        std::fs::write(&home, &new).unwrap();
        let after = check_file(&home).unwrap_or_else(|bad| panic!("{bad}"));
        std::fs::write(&home, &text).unwrap();
        assert_eq!(verdict(&after, rule, subject).outcome, Outcome::Met);
        let is_open = |v: &Verdict| matches!(v.outcome, Outcome::Short | Outcome::Unproven);
        for (turned, open) in remedy.better.iter().map(|t| (t, false)).chain(remedy.worse.iter().map(|t| (t, true))) {
            assert_eq!(is_open(verdict(&after, &turned.rule, &turned.subject)), open, "{turned:?}");
        }
    }
}

fn least(remedy: &Remedy, home: &Path, rule: &str, subject: &str) {
    let steps =
        ["1/2 in", "3/4 in", "1 in", "1 1/2 in", "2 in", "2 1/2 in", "3 in"].map(|step| parse(step).unwrap().si);
    let bought = parse(&remedy.edit.text).unwrap().si;
    let before = steps.into_iter().filter(|step| *step < bought).fold(0.0, f64::max);
    let session = Session::new(engine());
    let is_met = |thickness: f64| {
        let edit = Edit { path: remedy.edit.path.clone(), text: format!("{thickness} m") };
        let report = session.check_edited(home, &[edit], &Options::default()).unwrap();
        verdict(&report, rule, subject).outcome == Outcome::Met
    };
    let limit = remedy.limit.as_ref().map_or(bought, |limit| parse(limit).unwrap().si);
    let at = |step: f64| before + (bought - before) * step / 100.0;
    let number = ((limit - before) / (bought - before) * 100.0).round();
    assert!((at(number) - limit).abs() < 1e-6, "{limit} is on the grid of hundredths");
    assert!(is_met(limit) && !is_met(at(number - 1.0)), "{limit}: a hundredth less does not do");
}

/// A lever that names nothing, has no step, or steps of several kinds is refused at its line; so is one with a side that
/// is none.
#[test]
fn levers_that_cannot_be_are_refused() {
    let lever = |field: &str, steps: &str| {
        format!("levers:\n  one:\n    title: a\n    field: {field}\n    steps: {steps}\n    moves: [envelope.]\n")
    };
    for (text, message) in [
        (lever("openings.ID.u_facto", "[1 W/(m²·K)]"), "a home has no field openings.ID.u_facto"),
        (lever("openings.ID.u_factor", "[]"), "the lever one has no step"),
        (lever("openings.ID.u_factor", "[1 W/(m²·K), 2 in]"), "the steps of the lever one have units of several kinds"),
        (lever("openings.ID.u_factor", "[1 W/(m²·K)]\n    towards: up"), "up"),
        ("levers: [".to_owned(), ""),
    ] {
        let bad = Levers::read("levers.yaml", &text).unwrap_err();
        assert!(bad.problems.iter().any(|problem| problem.message.contains(message)), "{message}: {bad}");
    }
    levers();
}
