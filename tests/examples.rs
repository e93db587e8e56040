//! Each example does what its README says, and a change of the design changes what it should and nothing else.

use mateline_engine::judge::{ExampleResult, run_examples};
use mateline_model::{Direction, Outcome, Report};
use mateline_tests::{Copy, check_file, checked, compared, engine, example, number, open_points, root};
use std::collections::BTreeSet;

/// The lines of a block of an example's README.
fn block(name: &str, kind: &str) -> Vec<String> {
    let readme = std::fs::read_to_string(root().join("examples").join(name).join("README.md")).unwrap();
    let block = readme.split(&format!("```{kind}\n")).nth(1).unwrap_or_else(|| panic!("{name} has no {kind}"));
    let block = block.split("```").next().unwrap();
    block.lines().filter(|line| !line.trim().is_empty()).map(str::to_owned).collect()
}

#[test]
fn every_example_does_what_its_readme_says() {
    let examples = [
        ("heron-lane", 10),
        ("willow-pair", 10),
        ("sparrow-court", 10),
        ("starter", 10),
        ("firm-folder", 0),
        ("waiver", 10),
    ];
    for (name, least) in examples {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        assert!(!report.plugin_failed());
        let found: BTreeSet<String> = open_points(&report).into_iter().collect();
        let promised: BTreeSet<String> = block(name, "expected").into_iter().collect();
        assert_eq!(found, promised, "{name}");
        let met = report.verdicts.iter().filter(|v| v.outcome == Outcome::Met).count();
        assert!(met > least, "{name} meets {met} requirements");
        let text = std::fs::read_to_string(example(name)).unwrap();
        assert!(text.to_lowercase().contains("invented"), "{name} does not say that it is invented");
    }
}

/// The firm's pack is found, its rules' examples hold, and the home's own value of its parameter is the limit.
#[test]
fn the_firms_folder_judges_the_home_beside_it() {
    let report = check_file(&example("firm-folder")).unwrap();
    let wall = report.verdicts.iter().find(|v| v.full_name() == "house-standard/wall-effective-r").unwrap();
    assert_eq!(wall.outcome, Outcome::Met);
    let said: Vec<&str> = report.remarks.iter().map(|remark| remark.message.as_str()).collect();
    assert!(matches!(said[..], [one] if one.contains("least-wall of house-standard is R-30 here")), "{said:?}");
    let pack = root().join("examples/firm-folder/firm/packs/house-standard.yaml");
    let pack = engine().pack(pack.to_str().unwrap()).unwrap_or_else(|bad| panic!("{bad}"));
    let results = run_examples(&pack, &engine().vocabulary());
    assert!(results.len() == 6 && results.iter().all(ExampleResult::holds), "{results:?}");
}

/// The comparison turns what the README says; the waiver ends where it says, and is not needed once the seam is seen.
#[test]
fn the_waiver_holds_until_its_end() {
    let home = example("waiver");
    let found = compared(&root().join("examples/waiver/revision-A/home.yaml"), &home);
    let turned: BTreeSet<String> = found
        .turned
        .iter()
        .map(|turned| {
            let direction = match turned.direction() {
                Direction::Better => "better",
                Direction::Worse => "worse",
                Direction::Neither => "as-open",
            };
            format!("{direction} {} {}", turned.rule, turned.subject)
        })
        .collect();
    assert_eq!(turned, block("waiver", "turned").into_iter().collect());
    let text = std::fs::read_to_string(&home).unwrap();
    let outcome = |old: &str, new: &str| {
        assert!(text.contains(old));
        let report = checked(&text.replace(old, new));
        let seam = report.verdicts.iter().find(|v| v.full_name() == "modular-practice/mate-line-inspection").unwrap();
        (seam.outcome, report.remarks.into_iter().map(|remark| remark.message).collect::<Vec<_>>())
    };
    assert_eq!(outcome("id: B,", "id: C,"), (Outcome::Waived, Vec::new()));
    let (after, said) = outcome("id: B,", "id: D,");
    assert!(after == Outcome::Short && said.iter().any(|said| said.contains("waiver")), "{after:?} {said:?}");
    let (seen, said) = outcome("inspected: false", "inspected: true");
    assert!(seen == Outcome::Met && said.iter().any(|said| said.contains("is not needed")), "{seen:?} {said:?}");
}

/// A copy of Heron Lane with one text replaced, checked.
fn revised(old: &str, new: &str) -> Report {
    check_file(&Copy::with(&[(old, new)]).home()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Facts whose value moved: `subject quantity`.
fn moved(before: &Report, after: &Report) -> BTreeSet<String> {
    let key = |report: &Report| -> BTreeSet<String> {
        report.facts.iter().map(|fact| format!("{} {} {:?}", fact.subject, fact.quantity, fact.value)).collect()
    };
    let (before, after) = (key(before), key(after));
    let name = |text: &String| text.split(' ').take(2).collect::<Vec<_>>().join(" ");
    before.symmetric_difference(&after).map(name).collect()
}

/// Verdicts whose outcome turned.
fn turned(before: &Report, after: &Report) -> BTreeSet<String> {
    let key = |report: &Report| -> BTreeSet<String> {
        report.verdicts.iter().map(|v| format!("{} {} {}", v.full_name(), v.subject, v.outcome)).collect()
    };
    let (before, after) = (key(before), key(after));
    after.difference(&before).cloned().collect()
}

/// Whether a junction's fact, or the sum of all, may follow the wall: the mate line of the roof and the footing are drawn
/// without it.
fn is_at_wall(fact: &str) -> bool {
    let apart = ["junctions.mate-roof ", "junctions.footing "];
    fact.starts_with("home junctions.")
        || fact.starts_with("junctions.") && !apart.iter().any(|junction| fact.starts_with(junction))
}

fn heron_lane() -> Report {
    check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"))
}

/// Whether a fact of the year's balance may follow what a wall loses: areas, air and what people give off stay.
fn is_balance(fact: &str) -> bool {
    let apart = ["air_loss", "infiltration", "internal_gains", "treated_area", "heat_capacity"];
    fact.contains(" energy.") && !apart.iter().any(|quantity| fact.ends_with(quantity))
}

/// Thinner foam on the wall: only that wall's facts, and what is summed from them, move.
#[test]
fn one_foam_thickness_changes_what_it_should() {
    let before = heron_lane();
    let after = revised("        thickness: 3 in\n", "        thickness: 1/4 in\n");
    let moved = moved(&before, &after);
    assert!(moved.contains("assemblies.wall envelope.u_factor"));
    assert!(moved.contains("home envelope.ua"));
    assert!(moved.contains("references.energy-code-2021 envelope.proposed_ua"));
    for fact in &moved {
        let weighed = fact.starts_with("modules.") && fact.ends_with("takeoff.weight");
        let borne = fact.contains(" foundation."); // a lighter wall loads the foundation less
        let summed = fact.starts_with("home envelope.") || fact.starts_with("references.");
        let lost = fact.starts_with("surfaces.") && fact.ends_with("envelope.heat_loss");
        let of_wall = weighed || borne || summed || lost || fact.starts_with("assemblies.wall ");
        assert!(of_wall || is_at_wall(fact) || is_balance(fact), "{fact} moved");
    }
    assert!(moved.contains("junctions.rim junctions.surface_factor"));
    let need = |report: &Report| number(report, "home", "energy.heating_need");
    assert!(need(&after) > 1.1 * need(&before), "{} after {}", need(&after), need(&before));
    assert!(
        number(&after, "assemblies.wall", "envelope.u_factor")
            > number(&before, "assemblies.wall", "envelope.u_factor")
    );
    // The wall alone now misses its row of the table, and is accepted because the whole envelope makes up for it.
    let wall = |report: &Report| {
        let is_it = |v: &&mateline_model::Verdict| {
            v.full_name() == "energy-code-2021/wall-u-factor" && v.subject.as_str() == "assemblies.wall"
        };
        report.verdicts.iter().find(is_it).map(|v| (v.outcome, v.message.clone())).unwrap()
    };
    assert!(!wall(&before).1.contains("accepted"), "{:?}", wall(&before));
    assert_eq!(wall(&after).0, Outcome::Met);
    assert!(wall(&after).1.ends_with("accepted because ua-alternative is met"), "{:?}", wall(&after));
    let turned = turned(&before, &after);
    let at_wall = |line: &String| [" assemblies.wall", " home ", " junctions."].iter().any(|part| line.contains(part));
    assert!(turned.iter().all(at_wall), "{turned:#?}");
    // Paint alone is no longer enough inside, and water condenses on the sheathing in winter.
    assert!(turned.contains("moisture-control/class-iii-over-2x6 assemblies.wall short"), "{turned:#?}");
    let peak = |report: &Report| number(report, "assemblies.wall", "moisture.peak_water");
    assert!(peak(&before) == 0.0 && peak(&after) > 0.05, "{}", peak(&after));
}

/// Studs farther apart: the framing fraction falls, the effective resistance rises, areas and nominal values stay.
#[test]
fn one_stud_spacing_changes_what_it_should() {
    let before = heron_lane();
    let after = revised("          spacing: 16 in\n", "          spacing: 24 in\n");
    let moved = moved(&before, &after);
    assert!(moved.contains("assemblies.wall envelope.framing_fraction"), "{moved:#?}");
    for fact in &moved {
        let weighed = fact.starts_with("modules.") && fact.ends_with("takeoff.weight");
        let summed = fact.starts_with("home envelope.") || fact.starts_with("references.");
        let lost = fact.starts_with("surfaces.") && fact.ends_with("envelope.heat_loss");
        let of_home = ["home junctions.share", "home junctions.ua_with_junctions"].contains(&fact.as_str());
        let own = ["assemblies.wall envelope.", "assemblies.wall moisture.surface_"];
        // Lighter walls bear on the ground with less.
        let borne = fact.contains(" foundation.");
        let of_wall = weighed || borne || summed || lost || own.iter().any(|own| fact.starts_with(own));
        assert!(of_wall || of_home || is_balance(fact), "{fact} moved");
    }
    let of_wall = |report: &Report, quantity: &str| number(report, "assemblies.wall", quantity);
    assert!(of_wall(&after, "envelope.framing_fraction") < of_wall(&before, "envelope.framing_fraction"));
    assert!(of_wall(&after, "envelope.r_effective") > of_wall(&before, "envelope.r_effective"));
    assert_eq!(of_wall(&after, "envelope.r_nominal"), of_wall(&before, "envelope.r_nominal"));
}

/// One upper box moved a foot north: it overhangs, its mate line opens, the enclosure grows, no assembly changes.
#[test]
fn one_box_position_changes_what_it_should() {
    let before = heron_lane();
    let after = revised("  D: {level: 2, at: {x: 0 ft, y: 13 ft 9 in}", "  D: {level: 2, at: {x: 0 ft, y: 14 ft 9 in}");
    let moved = moved(&before, &after);
    assert!(moved.iter().any(|fact| fact.starts_with("seams.C-D ")), "{moved:#?}");
    let area = |report: &Report| number(report, "home", "takeoff.exterior_envelope_area");
    // Two inner faces of 44 ft by 9 ft 8 in come out into the open, and a strip of 44 ft by 1 ft each above and below.
    let grown = 2.0 * (44.0 * (9.0 + 8.0 / 12.0)) + 2.0 * 44.0;
    assert!(((area(&after) - area(&before)) / 0.092_903_04 - grown).abs() < 0.01, "{}", area(&after) - area(&before));
    let resistance = |report: &Report| number(report, "assemblies.wall", "envelope.r_nominal");
    assert_eq!(resistance(&after), resistance(&before));
    assert!(after.facts.get(&"seams.C-D".into(), "takeoff.contact_area").is_none());
}
