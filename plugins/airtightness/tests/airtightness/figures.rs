//! The figures of a home of four boxes: what is drawn adds up to the facts.

use crate::support::*;
use mateline_airtightness::{blower_door, budget::Budget, figures};
use mateline_model::home::Home;
use mateline_model::{Bar, Drawing, Figure, Mark, WeighedSeam};
use mateline_sdk::{Findings, Request};
use serde_json::json;

fn titled<'a>(findings: &'a Findings, start: &str) -> Vec<&'a Figure> {
    findings.figures.iter().filter(|figure| figure.title.starts_with(start)).collect()
}

fn bars<'a>(findings: &'a Findings, start: &str) -> (&'a [Bar], &'a [Mark]) {
    let figure = titled(findings, start).first().copied().unwrap_or_else(|| panic!("no figure {start}"));
    assert!(figure.alternative.contains("cfm"), "{}", figure.alternative);
    match &figure.drawing {
        Drawing::Bars { rows, targets, total: None, .. } => (rows, targets),
        other => panic!("{other:?}"),
    }
}

fn seams(figure: &Figure) -> &[WeighedSeam] {
    match &figure.drawing {
        Drawing::SeamPlan { seams, .. } => seams,
        other => panic!("{other:?}"),
    }
}

fn sum<'a>(bars: impl Iterator<Item = &'a Bar>) -> f64 {
    bars.map(|bar| bar.value).sum()
}

/// The bars add up to the budget, and each holds its best estimate; a fitted line goes through its own power law.
#[test]
fn data_of_the_figures() {
    let home: Home = serde_json::from_value(with_test("final", &[])).unwrap();
    let facts = takeoff();
    let budget = Budget::of(&Request { home: &home, facts: &facts, settings: &[], shown: true });
    let bars = figures::budget_bars(&budget);
    let whole: f64 = budget.items.iter().map(|item| item.q50().si()).sum();
    near("bars", bars.iter().map(|bar| bar.best.si()).sum::<f64>(), whole, 1e-12);
    assert!(bars.iter().all(|bar| bar.low.si() < bar.best.si() && bar.best.si() < bar.high.si()));
    assert!(bars.is_sorted_by(|a, b| a.best.si() >= b.best.si()));
    let test = blower_door::read(&home.measurements["door"], &home.site).unwrap();
    let lines = figures::fitted_lines(&test);
    assert_eq!(lines.len(), 2);
    for line in lines {
        assert_eq!(line.points.len(), 6);
        for (pressure, flow) in line.line {
            near("line", flow.si() * 3600.0, 40.0 * pressure.si().powf(0.65), 1e-9);
        }
    }
}

#[test]
fn the_parts_of_each_party_add_up_and_small_ones_stand_together() {
    let findings = run(home());
    let (rows, targets) = bars(&findings, "Leakage budget at 50 Pa by part");
    assert!(targets.is_empty() && rows.len() <= 18, "{}", rows.len());
    near("whole", sum(rows.iter()), si(&findings, "home", "q50"), 1e-12);
    for (group, quantity) in [("closed by the factory", "q50_factory"), ("closed by the site", "q50_site")] {
        let own: Vec<&Bar> = rows.iter().filter(|row| row.group == group).collect();
        near(group, sum(own.iter().copied()), si(&findings, "home", quantity), 1e-12);
        let named = own.iter().filter(|row| !row.label.ends_with(" smaller parts"));
        assert!(named.is_sorted_by(|a, b| a.value >= b.value), "{own:?}");
        assert!(own.iter().rev().skip(1).all(|row| !row.label.ends_with(" smaller parts")), "{own:?}");
    }
    assert!(rows.is_sorted_by_key(|row| row.group == "closed by the site"), "the factory's parts come first");
    assert!(rows.iter().all(|row| row.low.unwrap() < row.value && row.value < row.high.unwrap()), "{rows:?}");
}

#[test]
fn the_whole_home_stands_against_the_targets_of_the_packs() {
    let findings = run(home());
    let (rows, targets) = bars(&findings, "Leakage of the whole home at 50 Pa against the targets");
    let labels: Vec<&str> = rows.iter().map(|row| row.label.as_str()).collect();
    assert_eq!(labels, ["budget, closed by the factory", "budget, closed by the site", "whole home by the budget"]);
    let of = |quantity: &str| si(&findings, "home", quantity);
    let whole = &rows[2];
    near("budget", whole.value, of("q50"), 1e-12);
    near("low", whole.low.unwrap(), of("q50_low"), 1e-12);
    near("high", whole.high.unwrap(), of("q50_high"), 1e-12);
    near("parties", rows[0].value + rows[1].value, whole.value, 1e-12);
    let names: Vec<&str> = targets.iter().map(|target| target.label.as_str()).collect();
    assert_eq!(names, ["pack, tight", "pack, area", "pack, volume", "pack, loose"]);
    near("a target", targets[2].value, si(&findings, "references.pack-volume", "target_q50"), 1e-12);

    let findings = run(with_test("before-cladding", &["fan"]));
    let (rows, _) = bars(&findings, "Leakage of the whole home at 50 Pa");
    let predicted = rows.last().unwrap();
    assert_eq!((rows.len(), predicted.label.as_str()), (4, "whole home predicted from the latest test"));
    near("predicted", predicted.value, si(&findings, "home", "predicted_q50"), 1e-12);
    near("high", predicted.high.unwrap(), si(&findings, "home", "predicted_q50_high"), 1e-12);
}

#[test]
fn targets_that_come_to_one_flow_share_a_line() {
    let targets = json!({"targets": {"one": "1.0 ACH", "same-again": "1.0 ACH"}});
    let findings = run_with(home(), &takeoff(), targets);
    let (_, targets) = bars(&findings, "Leakage of the whole home");
    assert_eq!(targets.iter().map(|target| target.label.as_str()).collect::<Vec<_>>(), ["pack, one; pack, same again"]);
}

/// Level 1 has the one line between its boxes. On level 2 the joints with the boxes below are drawn on the three sides
/// where each meets the outside, in parts by length: 44 ft of 71.5 ft on the long side.
#[test]
fn mate_lines_stand_where_they_are_with_their_shares() {
    let findings = run(home());
    let plans = titled(&findings, "Mate lines of level");
    let subjects: Vec<&str> = plans.iter().map(|figure| figure.subject.as_str()).collect();
    assert_eq!(subjects, ["seams.level-1", "seams.level-2"]);
    let whole = si(&findings, "home", "q50");
    let share = |seam: &str| si(&findings, &format!("seams.{seam}"), "q50") / whole;
    let [lower, upper] = [seams(plans[0]), seams(plans[1])];
    let (long, wide) = (44.0 * 0.3048, 13.75 * 0.3048);
    assert_eq!((lower.len(), lower[0].seam.label.as_str()), (1, "A-B"));
    for (found, expected) in lower[0].seam.line.iter().zip([0.0, wide, long, wide]) {
        assert!((found - expected).abs() < 1e-9, "{:?}", lower[0].seam.line);
    }
    near("A-B", lower[0].share, share("A-B"), 1e-12);
    let of = |label: &str| upper.iter().find(|one| one.seam.label == label).unwrap_or_else(|| panic!("no {label}"));
    assert_eq!(upper.len(), 7);
    near("C-D", of("C-D").share, share("C-D"), 1e-12);
    near("A-C south", of("A-C south").share, share("A-C") * 44.0 / 71.5, 1e-9);
    near("B-D east", of("B-D east").share, share("B-D") * 13.75 / 71.5, 1e-9);
    let all: f64 = upper.iter().map(|one| one.share).sum();
    near("level 2", all, share("A-C") + share("B-D") + share("C-D"), 1e-12);
    assert!(plans[1].alternative.contains("points where four boxes meet"), "{}", plans[1].alternative);
}

/// A box moved 10 ft along the one below: their joint meets the outside along 34 ft in the north, and at both ends along
/// 13 ft 9 in, where one box ends over or under the middle of the other (by hand).
#[test]
fn the_joint_of_a_box_moved_along_the_one_below_is_drawn_where_it_meets_the_outside() {
    let mut shifted = home();
    shifted["modules"]["D"]["at"]["x"] = json!("10 ft");
    let findings = run(shifted);
    let plans = titled(&findings, "Mate lines of level");
    let joint = seams(plans[1]).iter().filter(|one| one.seam.label.starts_with("B-D"));
    let lengths: Vec<f64> = joint
        .map(|WeighedSeam { seam, .. }| {
            let [x1, y1, x2, y2] = seam.line;
            (x2 - x1).hypot(y2 - y1)
        })
        .collect();
    assert_eq!(lengths.len(), 3);
    near("joint", lengths.iter().sum(), (34.0 + 2.0 * 13.75) * 0.3048, 1e-9);
    assert!(!plans[1].alternative.contains("not drawn"), "{}", plans[1].alternative);
}

#[test]
fn without_a_whole_budget_no_share_and_no_sum_is_drawn() {
    let mut one = home();
    one["seams"] = json!({"A-B": {"sealed_by": "site-tape"}});
    let findings = run(one);
    let by_part = titled(&findings, "Leakage budget at 50 Pa by part");
    assert!(by_part[0].title.ends_with("parts are not known"), "{}", by_part[0].title);
    assert!(
        by_part[0].alternative.contains("Not known: seams.A-C; seams.B-D; seams.C-D"),
        "{}",
        by_part[0].alternative
    );
    assert!(titled(&findings, "Leakage of the whole home").is_empty());
    for plan in titled(&findings, "Mate lines of level") {
        assert!(seams(plan).iter().all(|one| one.share.is_nan()));
        assert!(seams(plan).iter().all(|one| one.label.is_empty() || one.seam.label == "A-B"));
    }
}

#[test]
fn a_test_is_drawn_with_its_readings_its_lines_and_its_result() {
    let findings = run(with_test("final", &[]));
    let figures = titled(&findings, "Blower-door test door");
    assert_eq!((figures.len(), figures[0].subject.as_str()), (1, "measurements.door"));
    let Drawing::Chart { x, y, series, levels } = &figures[0].drawing else { panic!("{:?}", figures[0].drawing) };
    assert!(x.logarithmic && y.logarithmic);
    let counts: Vec<(usize, bool)> = series.iter().map(|one| (one.points.len(), one.marks)).collect();
    assert!(matches!(counts[..], [(2.., false), (6, true), (2.., false), (6, true)]), "{counts:?}");
    near("level", levels[0].value, si(&findings, "measurements.door", "test_q50"), 1e-12);
    for (pressure, flow) in &series[1].points {
        near("reading", flow * 3600.0, 40.0 * pressure.powf(0.65), 1e-9);
    }
    assert!(figures[0].alternative.contains("6 readings between 12.0 and 60.0 Pa"), "{}", figures[0].alternative);
    assert!(figures[0].alternative.contains("exponent 0.650"), "{}", figures[0].alternative);
    assert!(titled(&run(home()), "Blower-door test").is_empty());
}

#[test]
fn the_same_home_gives_the_same_figures() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| run(with_test("before-cladding", &["fan"])))
    };
    assert_eq!(with(1).figures, with(2).figures);
}
