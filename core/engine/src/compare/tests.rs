//! Comparisons of small homes that differ in one thing.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

use super::*;
use crate::{Engine, Options};
use mateline_model::home::Elements;
use mateline_model::quantity::Quantity;
use mateline_model::{Basis, Direction, QuantityDef, Severity, Turned};
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

const HOME: &str = "\
home: Test House
revision: {id: A, date: 2026-10-05}
judge_by: [./firm.yaml]
site: {place: Nowhere, climate_zone: 6A, design_heating: 32 °F, frost_depth: 60 in}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 13 ft 9 in, z: 9 ft 8 in}}
spaces:
  hall: {use: hall, in: A, floor_area: 80 ft², height: 8 ft}
assemblies:
  wall:
    kind: wall
    layers:
      - {material: gypsum-board, thickness: 1/2 in}
      - framed: {member: softwood, size: 2x6, spacing: 16 in, fill: cellulose}
      - {material: eps, thickness: 2 in, role: continuous-insulation}
      - {vented-cavity: 3/4 in}
materials:
  gypsum-board: &made-up {conductivity: 0.2 W/(m·K), source: invented, provenance: invented}
  softwood: *made-up
  cellulose: *made-up
  eps: *made-up
finishes:
  paint: {category: flat-coating, lot: '0441', evidence: [label]}
  varnish: {category: flat-coating, evidence: [label]}
evidence:
  label: {kind: product-label, issued: 2026-01-01, expires: 2026-12-31}
";

const PACK: &str = "\
pack: firm
title: Firm
source: Office
rules:
  narrow:
    title: Boxes are narrow
    for_each: modules
    value: measure.width
    at_most: 14 ft
    source: Office
    provenance: common practice, no source
    if_short: Narrow the box.
  labelled:
    title: Finishes have a lot
    for_each: finishes
    severity: advice
    value: lot
    present: true
    source: Office
    provenance: common practice, no source
    if_short: Name the lot.
";

/// A plugin that only measures boxes; it fails on a home of that name.
struct Measure;

const WIDTH: QuantityDef = QuantityDef::number("measure.width", Units::LENGTH, "Width of the box, outside");

impl Plugin for Measure {
    fn declaration(&self) -> Declaration {
        let sections = &["modules"];
        Declaration { name: "measure", version: "1", about: "widths", reads: &[], sections, quantities: vec![WIDTH] }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        if request.home.home == "Broken" {
            return Err(PluginError("the tape is torn".to_owned()));
        }
        let mut findings = Findings::default();
        for (id, module) in &request.home.modules {
            let basis = Basis::new("as given", "the home");
            findings.fact(&Subject::element("modules", id), &WIDTH, Quantity::from(module.size.y), basis);
        }
        Ok(findings)
    }
}

fn checked(text: &str) -> Checked {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("home.yaml"), text).unwrap();
    std::fs::write(folder.path().join("firm.yaml"), PACK).unwrap();
    let engine = Engine::new(vec![Box::new(Measure)], &[], Elements::new()).unwrap();
    let loaded = engine.load(&folder.path().join("home.yaml")).unwrap_or_else(|bad| panic!("{bad}"));
    engine.check_loaded(loaded, &Options::default()).unwrap_or_else(|bad| panic!("{bad}"))
}

/// The test house against a copy in which texts are replaced.
fn against(replacements: &[(&str, &str)]) -> Comparison {
    let mut text = HOME.to_owned();
    for (old, new) in replacements {
        assert!(text.contains(old), "'{old}' is not in the home");
        text = text.replacen(old, new, 1);
    }
    compare(&checked(HOME), &checked(&text), 0.05)
}

/// `element field: old -> new`.
fn edits(replacements: &[(&str, &str)]) -> Vec<String> {
    let shown = |side: &Option<String>| side.clone().unwrap_or_else(|| "-".to_owned());
    let comparison = against(replacements);
    let edits = comparison.edits.iter();
    edits.map(|e| format!("{} {}: {} -> {}", e.element, e.field, shown(&e.old), shown(&e.new))).collect()
}

#[test]
fn a_home_beside_itself_says_nothing() {
    let comparison = against(&[]);
    assert!(comparison.is_quiet() && comparison.thin.is_empty() && !comparison.got_worse(), "{comparison:?}");
    let renamed =
        against(&[("revision: {id: A, date: 2026-10-05}", "revision: {id: B, date: 2026-10-06, note: same}")]);
    assert!(renamed.is_quiet(), "{renamed:?}");
    assert_eq!((renamed.old.revision.as_str(), renamed.new.revision.as_str()), ("A", "B"));
}

#[test]
fn two_states_under_one_revision_are_asked_about() {
    let asked = |replacements: &[(&str, &str)]| {
        let remarks = against(replacements).remarks;
        let asked = remarks.into_iter().filter(|remark| remark.about == RemarkAbout::Doubt);
        asked.map(|remark| (remark.message, remark.at.unwrap().line, remark.fails)).collect::<Vec<_>>()
    };
    let (edit, next) = (("13 ft 9 in", "13 ft 8 in"), ("id: A", "id: B"));
    let told = "the home was edited, and both states are revision A; give the later one an id of its own";
    assert_eq!(asked(&[edit]), [(told.to_owned(), 2, false)]);
    assert!(asked(&[edit, next]).is_empty() && asked(&[next]).is_empty() && asked(&[]).is_empty());
    assert!(asked(&[edit, ("Test House", "Other House")]).is_empty(), "two homes may have a revision A each");
}

#[test]
fn an_edit_names_element_field_values_and_place() {
    let comparison = against(&[("thickness: 2 in", "thickness: 3 in")]);
    let [edit] = comparison.edits.as_slice() else { panic!("{:?}", comparison.edits) };
    assert_eq!((edit.element.as_str(), edit.field.as_str()), ("assemblies.wall", "layers.2.thickness"));
    assert_eq!(edit.item.as_deref(), Some("eps"));
    assert_eq!((edit.old.as_deref(), edit.new.as_deref()), (Some("2 in"), Some("3 in")));
    let at = edit.at.as_ref().unwrap();
    assert_eq!((at.file.as_str(), at.line, at.length), ("home.yaml", 15, 4));
}

#[test]
fn the_same_value_in_another_form_is_no_edit() {
    for (old, new) in [
        ("13 ft 9 in", "13.75 ft"),
        ("13 ft 9 in", "4191 mm"),
        ("60 in", "1.524 m"),
        ("32 °F", "0 °C"),
        ("2x6", "38.1 mm x 139.7 mm"),
        ("in: A", "in: [A]"),
        ("6A", "6a"),
        ("0.2 W/(m·K)", "0.20 W/(m·K)"),
        (
            "  hall: {use: hall, in: A, floor_area: 80 ft², height: 8 ft}",
            "  hall:\n    floor_area: 80 ft²\n    height: 8 ft\n    use: hall\n    in: A",
        ),
        ("{material: eps, thickness: 2 in,", "{material: eps, thickness: 50.8 mm,"),
    ] {
        assert_eq!(edits(&[(old, new)]), Vec::<String>::new(), "{old} and {new}");
    }
}

#[test]
fn what_only_looks_like_the_same_number_is_an_edit() {
    assert_eq!(edits(&[("'0441'", "'441'")]), ["finishes.paint lot: 0441 -> 441"]);
    assert_eq!(edits(&[("2x6", "2x8")]), ["assemblies.wall layers.1.framed.size: 2x6 -> 2x8"]);
    assert_eq!(edits(&[("32 °F", "0.001 °C")]), ["site design_heating: 32 °F -> 0.001 °C"]);
}

#[test]
fn one_layer_put_in_or_taken_out_is_one_edit() {
    let board = "      - {material: gypsum-board, thickness: 1/2 in}\n";
    let two = format!("      - {{material: softwood, thickness: 1 in}}\n{board}");
    let put_in = edits(&[(board, &two)]);
    assert_eq!(put_in, ["assemblies.wall layers.0: - -> {material: softwood, thickness: 1 in}"]);
    let out = edits(&[(board, "")]);
    assert_eq!(out, ["assemblies.wall layers.0: {material: gypsum-board, thickness: 1/2 in} -> -"]);
}

#[test]
fn a_layer_that_changed_beside_one_put_in_is_told_by_its_field() {
    let found = edits(&[
        ("      - framed:", "      - {material: softwood, thickness: 1 in}\n      - framed:"),
        ("spacing: 16 in", "spacing: 24 in"),
        ("vented-cavity: 3/4 in", "vented-cavity: 1 in"),
    ]);
    let expected = [
        "assemblies.wall layers.1: - -> {material: softwood, thickness: 1 in}",
        "assemblies.wall layers.2.framed.spacing: 16 in -> 24 in",
        "assemblies.wall layers.4.vented-cavity: 3/4 in -> 1 in",
    ];
    assert_eq!(found, expected);
}

#[test]
fn a_layer_replaced_by_another_material_is_told_whole() {
    let found = edits(&[("{material: eps, thickness: 2 in,", "{material: cellulose, thickness: 2 in,")]);
    let expected = "assemblies.wall layers.2: {material: eps, thickness: 2 in, role: continuous-insulation} -> \
                    {material: cellulose, thickness: 2 in, role: continuous-insulation}";
    assert_eq!(found, [expected]);
}

#[test]
fn elements_come_and_go_one_by_one_even_with_their_section() {
    let found = edits(&[("spaces:\n  hall: {use: hall, in: A, floor_area: 80 ft², height: 8 ft}\n", "")]);
    assert_eq!(found, ["spaces.hall : {use: hall, in: A, floor_area: 80 ft², height: 8 ft} -> -"]);
    let systems =
        "systems:\n  ventilation:\n    unit: {kind: exhaust-fan}\n  clothes_dryer: {kind: condensing}\nmaterials:";
    let found = edits(&[("materials:", systems)]);
    let expected =
        ["systems.ventilation.unit : - -> {kind: exhaust-fan}", "systems.clothes_dryer : - -> {kind: condensing}"];
    assert_eq!(found, expected);
}

#[test]
fn a_fact_moves_by_a_difference_and_a_share() {
    let comparison = against(&[("13 ft 9 in", "15 ft 1 1/2 in")]);
    let [moved] = comparison.moved.as_slice() else { panic!("{:?}", comparison.moved) };
    assert_eq!((moved.quantity.as_str(), moved.label.as_str()), ("measure.width", "Width of the box"));
    // 15 ft 1 1/2 in less 13 ft 9 in is 1 ft 4 1/2 in: a tenth of 13 ft 9 in.
    assert!((moved.difference().unwrap().si - 16.5 * 0.0254).abs() < 1e-12);
    assert!((moved.change().unwrap() - 0.1).abs() < 1e-12);
}

#[test]
fn a_verdict_that_turned_from_met_to_short_is_worse() {
    let comparison = against(&[("13 ft 9 in", "14 ft 9 in")]);
    let [turned] = comparison.turned.as_slice() else { panic!("{:?}", comparison.turned) };
    assert_eq!((turned.old, turned.new), (Some(Outcome::Met), Some(Outcome::Short)));
    assert!(turned.is_worse() && comparison.got_worse());
    assert_eq!(comparison.failing, 1);
    let back = compare(&checked(&HOME.replace("13 ft 9 in", "14 ft 9 in")), &checked(HOME), 0.05);
    assert_eq!(back.turned[0].direction(), Direction::Better);
    assert!(!back.got_worse() && back.failing == 0);
}

#[test]
fn an_element_that_comes_short_is_worse_and_one_that_goes_is_better() {
    let wide = "modules:\n  B: {level: 1, at: {x: 0 ft, y: 13 ft 9 in}, size: {x: 44 ft, y: 20 ft, z: 9 ft}}\n";
    let comparison = against(&[("modules:\n", wide)]);
    assert!(comparison.turned.iter().any(|turned| turned.old.is_none() && turned.is_worse()));
    let text = HOME.replacen("modules:\n", wide, 1);
    let back = compare(&checked(&text), &checked(HOME), 0.05);
    let gone = back.turned.iter().find(|turned| turned.new.is_none()).unwrap();
    assert_eq!((gone.direction(), gone.at.as_ref()), (Direction::Better, None));
}

/// What an outcome turned to, and which way that is.
#[test]
fn a_waiver_or_a_record_withdrawn_is_never_better() {
    let of = |subject: &str, old: Option<Outcome>, new: Option<Outcome>| Turned {
        by: None,
        rule: "demo/rule".to_owned(),
        title: "The rule".to_owned(),
        subject: Subject::from(subject),
        severity: Severity::Required,
        old,
        new,
        message: String::new(),
        at: None,
    };
    use Direction::{Better, Neither, Worse};
    use Outcome::{Met, NotApplicable, Short, Unproven, Waived};
    for (subject, old, new, direction, fails) in [
        ("assemblies.wall", Some(Short), Some(Waived), Neither, false),
        ("assemblies.wall", Some(Unproven), Some(Waived), Neither, false),
        ("assemblies.wall", Some(Met), Some(Waived), Worse, false),
        ("assemblies.wall", Some(Waived), Some(Short), Worse, true),
        ("assemblies.wall", Some(Waived), Some(Met), Better, false),
        ("assemblies.wall", Some(Short), Some(Unproven), Neither, false),
        ("assemblies.wall", Some(Short), Some(NotApplicable), Better, false),
        ("assemblies.wall", Some(Short), None, Better, false),
        ("evidence.label", Some(Short), None, Neither, false),
        ("measurements.final", Some(Unproven), None, Neither, false),
        ("evidence.label", Some(Short), Some(Met), Better, false),
    ] {
        let turned = of(subject, old, new);
        assert_eq!((turned.direction(), turned.is_worse()), (direction, fails), "{subject}: {old:?} to {new:?}");
    }
}

#[test]
fn advice_never_makes_a_comparison_worse() {
    let comparison = against(&[("lot: '0441', ", "")]);
    let [turned] = comparison.turned.as_slice() else { panic!("{:?}", comparison.turned) };
    assert_eq!((turned.direction(), turned.is_worse()), (Direction::Worse, false));
}

#[test]
fn a_waiver_that_ends_is_worse_and_remarked_on() {
    let waiver = "waivers:\n  - {rule: firm/narrow, subject: modules.A, reason: agreed, agreed_with: factory, until: B}\nissues: [A, B]\n";
    let wide = format!("{}{waiver}", HOME.replace("13 ft 9 in", "14 ft 9 in"));
    let later = wide.replace("id: A, date", "id: B, date");
    let comparison = compare(&checked(&wide), &checked(&later), 0.05);
    assert_eq!(comparison.turned[0].old, Some(Outcome::Waived));
    assert!(comparison.got_worse());
    assert_eq!(comparison.remarks.len(), 1, "{:?}", comparison.remarks);
}

#[test]
fn a_margin_is_thin_when_it_shrank_below_the_threshold() {
    // 14 ft less 13 ft 9 in is 1.8 % of 14 ft; less 13 ft, 7.1 %.
    let earlier = checked(&HOME.replace("13 ft 9 in", "13 ft"));
    let [thin] = compare(&earlier, &checked(HOME), 0.05).thin.try_into().unwrap_or_else(|thin| panic!("{thin:?}"));
    assert!((thin.new - 0.25 / 14.0).abs() < 1e-9 && (thin.old - 1.0 / 14.0).abs() < 1e-9, "{thin:?}");
    assert!(compare(&earlier, &checked(HOME), 0.01).thin.is_empty());
    assert!(compare(&checked(HOME), &earlier, 0.05).thin.is_empty(), "a margin that grew is not thin");
}

#[test]
fn a_record_holds_on_its_last_day_and_ends_after_it() {
    let on = |date: &str| checked(&HOME.replace("2026-10-05", date));
    let ended = |from: &str, to: &str| compare(&on(from), &on(to), 0.05).ended;
    assert!(ended("2026-10-05", "2026-12-31").is_empty());
    let found = ended("2026-10-05", "2027-01-01");
    assert_eq!(found[0].record, "label");
    assert_eq!(found[0].backs, ["finishes.paint", "finishes.varnish"]);
    assert_eq!(ended("2026-12-31", "2027-01-01").len(), 1);
    assert!(ended("2027-01-01", "2027-02-01").is_empty(), "it had ended before");
    assert!(ended("2027-02-01", "2026-10-05").is_empty(), "time runs forward");
}

#[test]
fn a_plugin_that_failed_is_named_with_its_side() {
    let broken = checked(&HOME.replace("Test House", "Broken"));
    let comparison = compare(&checked(HOME), &broken, 0.05);
    let [failure] = comparison.failures.as_slice() else { panic!("{:?}", comparison.failures) };
    assert!(failure.on_later && failure.message.contains("the tape is torn"));
    assert_eq!(comparison.turned[0].new, Some(Outcome::Unproven));
}
