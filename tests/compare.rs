//! Comparing revisions of a whole home: exact edits, every fact that moved, every verdict that turned, and the files that
//! run comparisons in CI.

use mateline_engine::Options;
use mateline_model::{Comparison, Direction, Report};
use mateline_reports::comparison;
use mateline_tests::{Copy, check_file, compared, engine, example, root};
use serde_json::Value;
use std::collections::BTreeSet;

/// `element field: old -> new`.
fn edits(comparison: &Comparison) -> Vec<String> {
    let shown = |side: &Option<String>| side.clone().unwrap_or_else(|| "-".to_owned());
    let edits = comparison.edits.iter();
    edits.map(|e| format!("{} {}: {} -> {}", e.element, e.field, shown(&e.old), shown(&e.new))).collect()
}

/// What differs between two reports, found by writing every line of both and striking out what they share.
fn struck_out(old: &Report, new: &Report, lines: impl Fn(&Report) -> BTreeSet<String>) -> BTreeSet<String> {
    let (old, new) = (lines(old), lines(new));
    old.symmetric_difference(&new).map(|line| line.split(" = ").next().unwrap().to_owned()).collect()
}

const THIN_ATTIC: &[(&str, &str)] =
    &[("cellulose-loose-fill, thickness: 24 in", "cellulose-loose-fill, thickness: 4 in")];

#[test]
fn one_edit_moves_what_the_reports_say_it_moves() {
    let copy = Copy::with(THIN_ATTIC);
    let found = compared(&example("heron-lane"), &copy.home());
    assert_eq!(edits(&found), ["assemblies.attic-ceiling layers.4.thickness: 24 in -> 4 in"]);
    assert_eq!(found.edits[0].item.as_deref(), Some("cellulose-loose-fill"));
    let (old, new) = (check_file(&example("heron-lane")).unwrap(), check_file(&copy.home()).unwrap());
    let place = found.edits[0].at.as_ref().unwrap();
    let line = new.sources["home.yaml"].lines().nth(place.line as usize - 1).unwrap();
    assert_eq!(line.trim(), "- {material: cellulose-loose-fill, thickness: 4 in}");

    let facts = |report: &Report| {
        report.facts.iter().map(|fact| format!("{} {} = {:?}", fact.subject, fact.quantity, fact.value)).collect()
    };
    let moved: BTreeSet<String> =
        found.moved.iter().map(|moved| format!("{} {}", moved.subject, moved.quantity)).collect();
    let expected = struck_out(&old, &new, facts);
    assert!(moved.is_subset(&expected), "{:#?}", moved.difference(&expected));
    // What is left out differs by rounding only.
    for left_out in expected.difference(&moved) {
        let (subject, quantity) = left_out.split_once(' ').unwrap();
        let number = |report: &Report| report.facts.get(&subject.into(), quantity).unwrap().value.number().unwrap().si;
        assert!((number(&old) / number(&new) - 1.0).abs() < 1e-9, "{left_out}");
    }
    assert!(moved.contains("assemblies.attic-ceiling envelope.u_factor") && moved.contains("home envelope.ua"));
    let u = found.moved.iter().find(|m| m.quantity == "envelope.u_factor").unwrap();
    assert!(
        u.difference().unwrap().si > 0.0 && u.change().unwrap() > 0.1,
        "less cellulose lets more heat through: {u:?}"
    );

    let outcomes = |report: &Report| {
        report.verdicts.iter().map(|v| format!("{} {} = {}", v.full_name(), v.subject, v.outcome)).collect()
    };
    let turned: BTreeSet<String> =
        found.turned.iter().map(|turned| format!("{} {}", turned.rule, turned.subject)).collect();
    assert_eq!(turned, struck_out(&old, &new, outcomes));
    assert!(found.turned.iter().any(|turned| turned.direction() == Direction::Worse), "{turned:?}");
}

#[test]
fn a_comparison_turned_round_says_the_opposite() {
    let copy = Copy::with(THIN_ATTIC);
    let (there, back) =
        (compared(&example("heron-lane"), &copy.home()), compared(&copy.home(), &example("heron-lane")));
    assert_eq!(edits(&back), ["assemblies.attic-ceiling layers.4.thickness: 4 in -> 24 in"]);
    assert_eq!(there.moved.len(), back.moved.len());
    for (one, other) in there.moved.iter().zip(&back.moved) {
        assert_eq!((&one.old, &one.new), (&other.new, &other.old));
    }
    let count = |of: &Comparison, direction| of.turned.iter().filter(|turned| turned.direction() == direction).count();
    assert_eq!(count(&there, Direction::Worse), count(&back, Direction::Better));
    assert_eq!(count(&there, Direction::Better), count(&back, Direction::Worse));
}

#[test]
fn the_same_home_in_other_units_has_no_edits() {
    let copy = Copy::with(&[
        ("thickness: 3 in", "thickness: 76.2 mm"),
        ("13 ft 9 in", "4191 mm"),
        ("z: 9 ft 8 in", "z: 2946.4 mm"),
        ("spacing: 16 in", "spacing: 406.4 mm"),
        ("size: 2x6", "size: 38.1 mm x 139.7 mm"),
        ("design_heating: -5 °F", "design_heating: -20.555555555555557 °C"),
        ("135 cfm", "63.712 L/s"),
        ("slope: 5/12", "slope: 10/24"),
        ("in: music-room", "in: [music-room]"),
    ]);
    let found = compared(&example("heron-lane"), &copy.home());
    // 135 cfm is 63.7122 L/s (1 cfm = 0.471 947 443 L/s, NIST SP 811, appendix B.8, from memory): 63.712 is another value.
    assert!(found.edits.iter().all(|edit| edit.old.as_deref() == Some("135 cfm")), "{:#?}", edits(&found));
    assert!(!found.edits.is_empty());
    let same = Copy::with(&[
        ("thickness: 3 in", "thickness: 76.2 mm"),
        ("13 ft 9 in", "4191 mm"),
        ("spacing: 16 in", "spacing: 406.4 mm"),
    ]);
    let found = compared(&example("heron-lane"), &same.home());
    assert_eq!(edits(&found), Vec::<String>::new());
    assert!(found.is_quiet(), "{:?} {:?}", found.moved, found.turned);
}

#[test]
fn one_layer_put_into_the_wall_is_one_edit() {
    let osb =
        "      - {material: osb, thickness: 7/16 in, role: [air-barrier, structure]}\n      - material: eps-type-ii\n";
    let with_felt =
        osb.replace("      - material: eps", "      - {material: plywood, thickness: 1/2 in}\n      - material: eps");
    let copy = Copy::with(&[(osb, &with_felt)]);
    let found = compared(&example("heron-lane"), &copy.home());
    assert_eq!(edits(&found), ["assemblies.wall layers.4: - -> {material: plywood, thickness: 1/2 in}"]);
}

/// What the README of Heron Lane says of revision B.
#[test]
fn revision_b_of_heron_lane_becomes_c() {
    let b = root().join("examples/heron-lane/revisions/B/home.yaml");
    let report = check_file(&b).unwrap_or_else(|bad| panic!("{bad}"));
    assert!(!report.plugin_failed() && report.revision().id == "B");
    let found = compared(&b, &example("heron-lane"));
    let edits = edits(&found);
    for edit in [
        "assemblies.wall layers.4.thickness: 2 in -> 3 in",
        "foundation kind: crawl-space -> basement",
        "enclosure floors: floor-over-crawl-space -> floor-over-basement",
    ] {
        assert!(edits.iter().any(|found| found == edit), "{edit} in {edits:#?}");
    }
    let added =
        |element: &str| found.edits.iter().any(|e| e.element == element && e.field.is_empty() && e.old.is_none());
    assert!(added("spaces.music-room") && added("systems.ventilation.music-unit"), "{edits:#?}");
    let u = found.moved.iter().find(|m| m.subject.as_str() == "assemblies.wall" && m.quantity == "envelope.u_factor");
    assert!(u.unwrap().change().unwrap() < 0.0, "more foam lets less heat through");
    assert!(found.failures.is_empty());
    // Nothing in the files tells of the machine or the order of threads.
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let again = one.install(|| engine().compare((&b, None), &example("heron-lane"), &Options::default(), 0.05));
    assert_eq!(found, again.unwrap_or_else(|bad| panic!("{bad:?}")));
}

#[test]
fn homes_that_share_nothing_are_compared_too_and_every_format_holds() {
    let schema = serde_json::to_value(comparison::schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let b = root().join("examples/heron-lane/revisions/B/home.yaml");
    for (old, new) in [
        (b, example("heron-lane")),
        (example("willow-pair"), example("heron-lane")),
        (example("heron-lane"), example("starter")),
    ] {
        let found = compared(&old, &new);
        let json = serde_json::to_value(comparison::json(&found, mateline_reports::VERSION)).unwrap();
        let faults: Vec<String> = validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(faults.is_empty(), "{faults:#?}");
        assert_eq!(json["facts"].as_array().map(Vec::len), Some(found.moved.len()));
        assert_eq!(json["edits"].as_array().map(Vec::len), Some(found.edits.len()));
        let comment = comparison::markdown(&found);
        assert!(comment.len() <= mateline_reports::LONGEST_COMMENT, "{}", comment.len());
        assert!(comment.contains(&format!("### Edits ({})", found.edits.len())));
        let page = comparison::html(&found).unwrap_or_else(|error| panic!("{error}"));
        assert!(page.starts_with("<!doctype html>") && page.trim_end().ends_with("</html>"));
        let text = comparison::text(&found, mateline_reports::text::Style::PLAIN);
        assert!(text.lines().count() < 260, "{}", text.lines().count());
    }
}

#[test]
fn both_sides_that_cannot_be_used_are_told() {
    let copy = Copy::with(&[("climate_zone: 6A", "climate_zone: 9Z")]);
    let other = Copy::with(&[("units: ip", "units: feet")]);
    let unusable = engine().compare((&copy.home(), None), &other.home(), &Options::default(), 0.05).unwrap_err();
    assert!(unusable.old.as_ref().unwrap().to_string().contains("9Z"));
    assert!(unusable.new.as_ref().unwrap().to_string().contains("feet"));
    let one = engine().compare((&copy.home(), None), &example("heron-lane"), &Options::default(), 0.05).unwrap_err();
    assert!(one.old.is_some() && one.new.is_none());
}

#[test]
fn the_schema_of_the_comparison_is_current() {
    let path = root().join("schemas/comparison.schema.json");
    let generated = serde_json::to_string_pretty(&comparison::schema()).unwrap() + "\n";
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::write(&path, &generated).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == generated, "schemas/comparison.schema.json is stale; write it with MATELINE_BLESS=1 cargo test");
}

/// The workflow files have the shape their forges read, and a file with a slip in it has not.
#[test]
fn the_ci_files_have_the_shape_that_forges_read() {
    for (name, slips) in [
        (
            "jobs-and-steps",
            vec![
                ("jobs:", "job:"),
                ("        run: mateline check", "        runs: mateline check"),
                ("runs-on:", "runs_on:"),
            ],
        ),
        (
            "stages-and-scripts",
            vec![("stages:", "stage:"), ("  script:", "  scripts:"), ("when: always", "when: sometimes")],
        ),
    ] {
        let text = std::fs::read_to_string(root().join(format!("examples/ci/{name}.yaml"))).unwrap();
        let schema = std::fs::read_to_string(root().join(format!("tests/ci/{name}.schema.json"))).unwrap();
        let schema: Value = serde_json::from_str(&schema).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        let yaml = |text: &str| serde_yaml::from_str::<Value>(text).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&yaml(&text)).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        for (right, wrong) in slips {
            assert!(text.contains(right), "{name} has no '{right}'");
            assert!(!validator.is_valid(&yaml(&text.replace(right, wrong))), "{name} with {wrong}");
        }
        for command in ["mateline check ", "mateline compare "] {
            assert!(text.contains(command), "{name} does not run {command}");
        }
        assert!(text.contains("--rev \"$MATELINE_REVISION\" mateline"), "{name} pins no revision");
        let stages = yaml(&text);
        for job in stages.as_object().unwrap().values().filter_map(|job| job.get("stage")) {
            assert!(stages["stages"].as_array().unwrap().contains(job), "{name}: {job} is no stage");
        }
    }
}
