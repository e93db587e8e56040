//! A wall below grade is held to the limits of what it stands around, whatever kind it is said to be.
//! Source: IECC 2021, Table R402.1.2, zone 6: basement walls at most 0.050, walls of crawl spaces 0.055, frame walls 0.045
//! Btu/(h·ft²·°F) (from memory, high).

use mateline_model::{Outcome, Report};
use mateline_tests::{checked, number};

/// Two boxes, the second on a foundation of its own where one is given; the wall below grade lies between both limits.
fn home(kind: &str, foundation: &str) -> Report {
    checked(&format!(
        "home: Alder Court
revision: {{id: A, date: 2026-10-05}}
site: {{place: Tarn Hollow, climate_zone: 6A}}
judge_by: [energy-code-2021]
modules:
  A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 40 ft, y: 13 ft, z: 9 ft}}}}
  B: {{level: 1, at: {{x: 0 ft, y: 13 ft}}, size: {{x: 40 ft, y: 13 ft, z: 9 ft}}}}
materials:
  wool: {{conductivity: 0.20 Btu·in/(h·ft²·°F), source: invented}}
assemblies:
  below: {{kind: {kind}, layers: [{{material: wool, thickness: 3.60 in}}]}}
  wall: {{kind: wall, layers: [{{material: wool, thickness: 6 in}}]}}
  top: {{kind: ceiling, layers: [{{material: wool, thickness: 12 in}}]}}
  floor: {{kind: interior, layers: [{{material: wool, thickness: 6 in}}]}}
  slab: {{kind: slab, layers: [{{material: concrete, thickness: 4 in}}]}}
enclosure: {{walls: wall, ceilings: top, floors: floor}}
foundation:
  conditioned: true
  wall: below
  floor: slab
  {foundation}
"
    ))
}

/// What a rule finds of the wall by its own limit; by another path of the code it may be met all the same.
fn found(report: &Report, rule: &str) -> Option<bool> {
    let verdict = report.verdicts.iter().find(|v| v.rule == rule && v.subject.as_str() == "assemblies.below").unwrap();
    (verdict.outcome != Outcome::NotApplicable).then(|| !verdict.message.contains(" is above "))
}

const BASEMENT: &str = "kind: basement\n  height: 8 ft\n  depth_below_grade: 6 ft";
const CRAWL: &str = "kind: crawl-space\n  height: 4 ft\n  depth_below_grade: 3 ft";
const BOTH: &str = "kind: crawl-space\n  height: 4 ft\n  depth_below_grade: 3 ft\n  except: [{under: B, kind: basement, \
                    height: 8 ft, depth_below_grade: 6 ft}]";

#[test]
fn a_wall_below_grade_is_what_it_stands_around() {
    for kind in ["basement-wall", "crawl-wall"] {
        for (foundation, basement, crawl) in
            [(BASEMENT, Some(false), None), (CRAWL, None, Some(true)), (BOTH, Some(false), Some(true))]
        {
            let report = home(kind, foundation);
            let u = number(&report, "assemblies.below", "envelope.u_factor") / 5.678_263;
            assert!(u > 0.050 && u < 0.055, "{kind}: {u}");
            assert_eq!(found(&report, "basement-wall-u-factor"), basement, "{kind} {foundation}");
            assert_eq!(found(&report, "crawl-wall-u-factor"), crawl, "{kind} {foundation}");
            assert_eq!(found(&report, "below-grade-kind"), Some(true), "{kind} {foundation}");
        }
    }
}

/// 13 + 40 + 13 ft of outline around the basement under B, 8 ft high, and where it goes 4 ft deeper than the crawl space.
#[test]
fn areas_of_both_are_those_of_the_geometry() {
    let report = home("basement-wall", BOTH);
    let square_foot = 0.3048_f64.powi(2);
    let around = number(&report, "assemblies.below", "takeoff.basement_wall_area") / square_foot;
    assert!((around - (66.0 * 8.0 + 40.0 * 4.0)).abs() < 1e-6, "{around}");
    let around = number(&report, "assemblies.below", "takeoff.crawl_wall_area") / square_foot;
    assert!((around - 66.0 * 4.0).abs() < 1e-6, "{around}");
}

/// Around boxes a wall of such a kind would escape the limits of walls above grade; a mass wall in the ground those of a
/// basement.
#[test]
fn a_kind_that_does_not_fit_its_place_is_short() {
    let text = |report: &Report, rule: &str, subject: &str| {
        report.verdicts.iter().find(|v| v.rule == rule && v.subject.as_str() == subject).map(|v| v.outcome)
    };
    let above = checked(
        "home: Alder Court
revision: {id: A, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 3A}
judge_by: [energy-code-2021]
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 13 ft, z: 9 ft}}
assemblies:
  wall: {kind: crawl-wall, layers: [{material: osb, thickness: 1 in}]}
  top: {kind: ceiling, layers: [{material: osb, thickness: 1 in}]}
enclosure: {walls: wall, ceilings: top, floors: top}
",
    );
    assert_eq!(text(&above, "below-grade-kind", "assemblies.wall"), Some(Outcome::Short));
    let mass = home("mass-wall", BASEMENT);
    // The UA of the whole envelope takes the basement's limit too, under whichever name the wall goes.
    let reference = |kind: &str| {
        let report = home(
            kind,
            &format!(
                "{BASEMENT}\nopenings:\n  w: {{kind: window, module: A, face: south, width: 3 ft, height: 4 ft, u_factor: 0.28 Btu/(h·ft²·°F)}}"
            ),
        );
        number(&report, "references.energy-code-2021", "envelope.reference_ua")
    };
    assert!((reference("crawl-wall") / reference("basement-wall") - 1.0).abs() < 1e-12);
    assert_eq!(text(&mass, "kind-where-it-lies", "assemblies.below"), Some(Outcome::Short));
}
