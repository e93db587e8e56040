//! Components that a code lets pass by several paths: accepted by each of them, short by all, and what is said then.

use mateline_model::{Outcome, Report, Verdict};
use mateline_tests::{checked, example};

/// The starter with texts replaced, each of which it holds.
fn starter(replacements: &[(&str, &str)]) -> Report {
    let mut text = std::fs::read_to_string(example("starter")).unwrap();
    for (old, new) in replacements {
        assert!(text.contains(old), "the starter has no '{old}'");
        text = text.replace(old, new);
    }
    checked(&text)
}

fn of<'r>(report: &'r Report, rule: &str, subject: &str) -> &'r Verdict {
    let is_it = |verdict: &&Verdict| verdict.full_name() == rule && verdict.subject.as_str() == subject;
    report.verdicts.iter().find(is_it).unwrap_or_else(|| panic!("{rule} says nothing of {subject}"))
}

const FOAM: &str = "{material: eps-type-ii, thickness: 2 in, role: continuous-insulation}";
const STUDS: &str = "spacing: 16 in, fill: cellulose-dense-pack}\n      - {material: osb";
const MANY_STUDS: &str = "spacing: 16 in, fill: cellulose-dense-pack, fraction: 30 %}\n      - {material: osb";
const WINDOWS: (&str, &str) = ("u_factor: 0.24", "u_factor: 0.60");

/// R-20 between the studs and R-5 outside meet Table R402.1.3 (looked up, second-hand), however many studs there are.
#[test]
fn a_wall_passes_by_its_r_value_where_its_studs_make_it_miss_the_u_factor() {
    let thin = FOAM.replace("2 in", "1 1/4 in");
    let report = starter(&[(FOAM, &thin), (STUDS, MANY_STUDS), WINDOWS]);
    let wall = of(&report, "energy-code-2021/wall-u-factor", "assemblies.wall");
    assert_eq!(wall.outcome, Outcome::Met, "{}", wall.message);
    assert!(wall.message.ends_with("accepted because wall-r-value is met"), "{}", wall.message);
    let whole = of(&report, "energy-code-2021/ua-alternative", "home");
    assert_eq!(whole.outcome, Outcome::Short, "the windows need it: {}", whole.message);
}

/// R-4 outside is no R-5; the whole envelope makes up for it as long as the windows are good.
#[test]
fn a_wall_passes_by_the_whole_envelope_where_it_misses_both_values() {
    let thin = FOAM.replace("2 in", "1 in");
    let report = starter(&[(FOAM, &thin), (STUDS, MANY_STUDS)]);
    let wall = of(&report, "energy-code-2021/wall-u-factor", "assemblies.wall");
    assert!(wall.message.ends_with("accepted because ua-alternative is met"), "{}", wall.message);
}

/// Short by every path: the nearest is named, and what is not worked out stays open.
#[test]
fn a_wall_short_by_every_path_names_the_nearest_and_what_stays_open() {
    let thin = FOAM.replace("2 in", "1 in");
    let report = starter(&[(FOAM, &thin), (STUDS, MANY_STUDS), WINDOWS]);
    let wall = of(&report, "energy-code-2021/wall-u-factor", "assemblies.wall");
    assert_eq!(wall.outcome, Outcome::Short);
    assert!(wall.message.contains("nearest"), "{}", wall.message);
    let help = wall.help.as_deref().unwrap();
    assert!(help.contains("R405") && help.contains("open to the designer"), "{help}");
}

/// A path that no component takes is no finding of its own.
#[test]
fn a_path_that_nothing_needs_rests() {
    let report = starter(&[]);
    for verdict in
        report.verdicts.iter().filter(|verdict| verdict.rule.contains("-r-value") || verdict.rule == "ua-alternative")
    {
        let rests = matches!(verdict.outcome, Outcome::Met | Outcome::NotApplicable);
        assert!(rests, "{} {}: {}", verdict.rule, verdict.subject, verdict.message);
    }
    assert_eq!(
        of(&report, "energy-code-2021/ceiling-r-value", "assemblies.attic-ceiling").outcome,
        Outcome::NotApplicable
    );
}

const CODES: &str = "codes: {energy: 2021}";

/// What the code's own limits say of the starter's wall, its windows, the whole and its report on a path that the home has
/// chosen.
fn chosen(path: &str, replacements: &[(&str, &str)]) -> [Outcome; 4] {
    let codes = format!("codes: {{energy: 2021, energy_path: {path}}}");
    let report = starter(&[&[(CODES, codes.as_str())], replacements].concat());
    let outcome = |rule: &str, subject: &str| of(&report, &format!("energy-code-2021/{rule}"), subject).outcome;
    [
        outcome("wall-u-factor", "assemblies.wall"),
        outcome("window-u-factor", "home"),
        outcome("whole-envelope-ua", "home"),
        outcome("path-report", "home"),
    ]
}

/// A path that is chosen is the one that is judged: no other makes up for it, and none is asked for beside it. R401.2 lets a
/// home take the prescriptive path by components or as a whole (R402.1.5), the performance path or that of an index (from
/// memory, high).
#[test]
fn a_home_is_judged_on_the_path_that_it_has_chosen() {
    use Outcome::{Met, NotApplicable as Rests, Short, Unproven};
    let (thin, thinner) = (FOAM.replace("2 in", "1 in"), FOAM.replace("2 in", "1/4 in"));
    // The wall misses both of its values, and the whole has room for it.
    let wall = [(FOAM, thin.as_str()), (STUDS, MANY_STUDS)];
    assert_eq!(chosen("by-component", &[]), [Met, Met, Rests, Rests]);
    assert_eq!(chosen("by-component", &wall), [Short, Met, Rests, Rests]);
    assert_eq!(chosen("whole-envelope", &[]), [Rests, Rests, Met, Rests]);
    assert_eq!(chosen("whole-envelope", &wall), [Rests, Rests, Met, Rests]);
    assert_eq!(
        chosen("whole-envelope", &[(FOAM, thinner.as_str()), (STUDS, MANY_STUDS), WINDOWS]),
        [Rests, Rests, Short, Rests]
    );
    assert_eq!(chosen("performance", &wall), [Rests, Rests, Rests, Unproven]);
    assert_eq!(chosen("rating-index", &wall), [Rests, Rests, Rests, Unproven]);
}

/// An index of 55 at most in zone 5, and an envelope at most 1.15 times the table's, with the rater's report (R406, from memory,
/// med): what a rater states excuses a wall and windows that miss every value of theirs, for the time being until the finished
/// home is confirmed. One more is short, and what is not stated is no path. Nothing that stands on any path is excused.
#[test]
fn an_index_that_a_rater_states_excuses_components() {
    let thin = FOAM.replace("2 in", "1 in");
    let weak = [(FOAM, thin.as_str()), (STUDS, MANY_STUDS), ("u_factor: 0.24", "u_factor: 0.47")];
    let stated = |pack: &str, approvals: &str, more: &[(&str, &str)]| {
        let (told, judged) = (format!("energy_certificate: true, {approvals}}}"), format!("[{pack},"));
        let own = [("energy_certificate: true}", told.as_str()), ("[energy-code-2021,", judged.as_str())];
        starter(&[&weak, own.as_slice(), more].concat())
    };
    let by = |approvals: &str, more: &[(&str, &str)]| stated("energy-code-2021", approvals, more);
    let outcomes = |report: &Report| {
        [("wall-u-factor", "assemblies.wall"), ("rating-index", "home")]
            .map(|(rule, subject)| of(report, &format!("energy-code-2021/{rule}"), subject).outcome)
    };
    let report = "energy_report: the rater's report of May";
    let rated = by(&format!("{report}, rating_index: 55"), &[]);
    let whole = of(&rated, "energy-code-2021/ua-alternative", "home");
    assert!(whole.message.contains("is above"), "{}", whole.message);
    for (rule, subject) in [("wall-u-factor", "assemblies.wall"), ("window-u-factor", "home")] {
        let excused = of(&rated, &format!("energy-code-2021/{rule}"), subject);
        assert_eq!(excused.outcome, Outcome::Met, "{}", excused.message);
        assert!(excused.message.contains("accepted because rating-index is met"), "{}", excused.message);
        assert_eq!(excused.provisional.as_deref(), Some("the rater's confirmation on the finished home is owed"));
    }
    let confirmed = by(&format!("{report}, rating_index: 55, rating_confirmed: true"), &[]);
    assert_eq!(of(&confirmed, "energy-code-2021/wall-u-factor", "assemblies.wall").provisional, None);
    use Outcome::{Short, Unproven};
    assert_eq!(outcomes(&by(&format!("{report}, rating_index: 56"), &[])), [Short, Short]);
    assert_eq!(outcomes(&by(report, &[])), [Short, Unproven]);
    assert_eq!(outcomes(&by("rating_index: 55", &[])), [Short, Unproven], "no report is named");
    let poor = by(&format!("{report}, rating_index: 40"), &[("u_factor: 0.47", "u_factor: 0.90")]);
    assert_eq!(outcomes(&poor), [Short, Unproven], "an envelope far from the table");
    let bare = by(report, &[]);
    for rule in ["window-u-cap", "window-air-leakage", "duct-leakage", "path-report"] {
        let all = |report: &Report| -> Vec<Outcome> {
            report.verdicts.iter().filter(|verdict| verdict.rule == rule).map(|verdict| verdict.outcome).collect()
        };
        assert_eq!(all(&rated), all(&bare), "{rule}");
    }
    let chosen =
        by(&format!("{report}, rating_index: 56"), &[(CODES, "codes: {energy: 2021, energy_path: rating-index}")]);
    assert_eq!(of(&chosen, "energy-code-2021/rating-index-chosen", "home").outcome, Short);
    // The next edition's table is not known.
    let next = stated("energy-code-2024", &format!("{report}, rating_index: 20"), &[]);
    assert!(next.verdicts.iter().all(|verdict| !verdict.rule.contains("rating-index")));
    assert_eq!(of(&next, "energy-code-2024/wall-u-factor", "assemblies.wall").outcome, Short);
}
