//! What the examples print, kept byte for byte. It shows change, not truth: after a change that is meant, write it anew
//! with `MATELINE_BLESS=1 cargo test` and read the diff.

use mateline_reports::text::{self, Extent, Style};
use mateline_reports::{html, json};
use mateline_tests::{check_file, checked, example, root};

fn kept(example: &str, name: &str, text: &str) {
    let folder = root().join("tests/golden").join(example);
    let path = folder.join(name);
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(&path, text).unwrap();
    }
    let before = std::fs::read_to_string(&path).unwrap_or_default();
    if before == text {
        return;
    }
    let at = before
        .lines()
        .zip(text.lines())
        .position(|(a, b)| a != b)
        .unwrap_or(before.lines().count().min(text.lines().count()));
    panic!(
        "{} differs from line {}:\n- {}\n+ {}\nif that is meant, MATELINE_BLESS=1 cargo test",
        path.display(),
        at + 1,
        before.lines().nth(at).unwrap_or("(end)"),
        text.lines().nth(at).unwrap_or("(end)")
    );
}

#[test]
fn what_the_examples_print_is_as_it_was() {
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        kept(name, "check.txt", &text::check(&report, Style::PLAIN, Extent::Usual));
        kept(name, "check-all.txt", &text::check(&report, Style::PLAIN, Extent::All));
        kept(name, "facts.txt", &text::facts(&report, None));
    }
}

/// A terminal of 100 columns, and what of it a person reads without scrolling.
#[test]
fn where_heron_lane_stands_is_read_on_one_screen() {
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let usual = text::check(&report, Style { colour: false, width: 100 }, Extent::Usual);
    let lines: usize = usual.lines().map(|line| line.chars().count().div_ceil(100).max(1)).sum();
    assert!(lines <= 40, "{lines} lines\n{usual}");
    let advice: Vec<_> = report.open_points().into_iter().filter(|point| !point.verdict.fails()).collect();
    assert!(advice.iter().all(|point| usual.contains(&format!("{}]", point.verdict.rule))), "nothing is lost\n{usual}");
    let all = text::check(&report, Style::PLAIN, Extent::All);
    let open = report.verdicts.iter().filter(|verdict| verdict.is_open()).count();
    assert_eq!(all.lines().filter(|line| line.starts_with("advice: ")).count(), open, "{all}");
}

/// Twenty-seven lines of a first sketch: no foundation, systems, openings or rooms yet. Invented.
pub const SKETCH: &str = "\
home: First Sketch
revision: {id: A, date: 2026-10-05}
judge_by: [energy-code-2021, residential-code-2021, airtightness-targets, fresh-air, healthy-materials, modular-practice, moisture-control, passive-envelope]
site: {place: a town, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 14 ft, z: 10 ft}}
  B: {level: 1, at: {x: 0 ft, y: 14 ft}, size: {x: 40 ft, y: 14 ft, z: 10 ft}}
assemblies:
  wall:
    kind: wall
    layers:
      - {material: gypsum-board, thickness: 1/2 in}
      - framed: {member: softwood, size: 2x6, spacing: 16 in, fill: cellulose-dense-pack}
      - {material: osb, thickness: 7/16 in, role: air-barrier}
      - {material: eps-type-ii, thickness: 2 in, role: continuous-insulation}
  ceiling:
    kind: ceiling
    layers:
      - {material: gypsum-board, thickness: 1/2 in}
      - framed: {member: softwood, size: 2x6, spacing: 24 in, fill: cellulose-loose-fill}
      - {material: cellulose-loose-fill, thickness: 14 in}
  floor:
    kind: floor
    layers:
      - framed: {member: softwood, size: 2x10, spacing: 16 in, fill: cellulose-dense-pack}
      - {material: osb, thickness: 3/4 in, role: air-barrier}
enclosure: {walls: wall, ceilings: ceiling, floors: floor}
";

/// What a sketch lacks is a line each, so that what is short of it stands out.
#[test]
fn a_sketch_judged_by_eight_packs_is_read_on_two_screens() {
    let report = checked(SKETCH);
    let usual = text::check(&report, Style { colour: false, width: 100 }, Extent::Usual);
    let lines: usize = usual.lines().map(|line| line.chars().count().div_ceil(100).max(1)).sum();
    assert!(lines <= 60, "{lines} lines\n{usual}");
    let required: Vec<_> = report.open_points().into_iter().filter(|point| point.verdict.fails()).collect();
    assert!(required.len() > 10, "{}", required.len());
    assert!(required.iter().all(|point| usual.contains(&point.verdict.full_name())), "nothing is lost\n{usual}");
    assert!(usual.contains("\nshort: assemblies.wall  "), "{usual}");
    // The page counts as the terminal does.
    let advice = report.open_points().len() - required.len();
    assert!(advice < report.verdicts.iter().filter(|v| v.is_open() && !v.fails()).count(), "some wait for others");
    let page = html::report(&report).unwrap();
    for told in [format!("<b>{advice}</b> <span>pieces of advice open"), format!("Advice that is open: {advice}<")] {
        assert!(page.contains(&told), "{told}");
    }
    assert!(usual.contains(&format!("; {advice} pieces of advice; ")), "{usual}");
}

#[test]
fn the_worked_calculation_of_heron_lanes_wall_is_as_it_was() {
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let explained = text::explain(&report, "assemblies.wall", Some("envelope.u_factor")).unwrap();
    kept("heron-lane", "wall-u-factor.txt", &explained);
}

/// A number that is `-0`, `-0.0` and so on, with what follows it.
fn minus_nought(text: &str) -> Option<&str> {
    text.match_indices("-0").map(|(at, _)| at).find_map(|at| {
        let rest = &text[at + 1..];
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let stands_apart = |c: char| !c.is_alphanumeric() && !matches!(c, '-' | '_');
        let apart = text[..at].chars().next_back().is_none_or(|c| stands_apart(c) && c != '.')
            && rest[digits..].chars().next().is_none_or(stands_apart);
        (apart && rest[..digits].chars().all(|c| matches!(c, '0' | '.'))).then(|| rest.get(..40).unwrap_or(rest))
    })
}

#[test]
fn nothing_is_minus_nought() {
    assert!(minus_nought("at -0.00 m").is_some() && minus_nought("[-0.0,1]").is_some() && minus_nought("-0").is_some());
    assert!(["-0.05", "2026-01-05", "layer-0", "1e-05", "0.0", "a--0"].iter().all(|text| minus_nought(text).is_none()));
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        let json = serde_json::to_string(&json::report(&report, "0")).unwrap();
        let html = html::report(&report).unwrap_or_else(|error| panic!("{error}"));
        for text in [text::check(&report, Style::PLAIN, Extent::All), text::facts(&report, None), json, html] {
            assert_eq!(minus_nought(&text), None, "{name}");
        }
    }
}
