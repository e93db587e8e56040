//! Rules that cannot both hold are named together, and materials are found under the names people give them.

use mateline_engine::pack::{Pack, opposed};
use mateline_engine::{BadInput, Options};
use mateline_model::Report;
use mateline_tests::{check_home, checked, engine};

const HOME: &str = "\
home: Alder Court
revision: {id: B, date: 2026-10-05}
site: {place: Tarn Hollow, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 44 ft, y: 12 ft, z: 9 ft}}
openings:
  w1: {kind: window, module: A, face: south, width: 4 ft, height: 5 ft, shgc: 0.45}
  w2: {kind: skylight, module: A, face: top, width: 2 ft, height: 2 ft, shgc: 0.30}
";

const HEAD: &str = "pack: office\ntitle: Standards of our office\nsource: Office manual\nrules:\n";

/// A rule on the windows' heat gain.
fn rule(name: &str, body: &str) -> String {
    let tail = "    source: page 3\n    provenance: common practice, no source\n    if_short: Choose another.\n";
    format!("  {name}:\n    title: A rule\n    for_each: openings\n    value: shgc\n{body}{tail}")
}

/// The home judged by these rules.
fn judged(rules: &[String]) -> Result<(Report, Vec<String>), BadInput> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("home.yaml"), format!("{HOME}judge_by: [./office.yaml]\n")).unwrap();
    let pack = folder.path().join("office.yaml");
    std::fs::write(&pack, format!("{HEAD}{}", rules.concat())).unwrap();
    let report = engine().check(&folder.path().join("home.yaml"), &Options::default())?;
    let pack = engine().pack(pack.to_str().unwrap())?;
    Ok((report, opposed([&pack]).iter().map(ToString::to_string).collect()))
}

fn remarks(report: &Report) -> Vec<&str> {
    report.remarks.iter().map(|remark| remark.message.as_str()).collect()
}

#[test]
fn two_limits_that_pull_a_value_apart() {
    let (more, less) = (rule("more", "    at_least: 0.4\n"), rule("less", "    at_most: 0.3\n"));
    let said = "office/more and office/less cannot both hold: shgc at least 0.40 and at most 0.30";
    for rules in [[more.clone(), less.clone()], [less.clone(), more.clone()]] {
        let (report, known) = judged(&rules).unwrap();
        assert_eq!(known.len(), 1, "{known:?}");
        assert!(known[0].contains("cannot both hold: shgc at least"), "{known:?}");
        assert_eq!(remarks(&report).iter().filter(|message| message.contains("cannot both hold")).count(), 1);
        assert!(report.remarks.iter().all(|remark| !remark.fails));
    }
    let (_, known) = judged(&[more.clone(), less]).unwrap();
    assert_eq!(known, [said]);
    // One value meets both.
    let (report, known) = judged(&[more, rule("less", "    at_most: 0.4\n")]).unwrap();
    assert!(known.is_empty() && remarks(&report).is_empty(), "{known:?} {:?}", remarks(&report));
}

/// A table against a value: in zone 6 they part, in the others they do not.
#[test]
fn a_row_that_pulls_apart() {
    let table = rule("more", "    at_least: {by: site.climate_zone, '6': 0.4, else: none}\n");
    let (_, known) = judged(&[table, rule("less", "    at_most: 0.3\n")]).unwrap();
    let said =
        "office/more and office/less cannot both hold: shgc at least 0.40 and at most 0.30 for site.climate_zone 6";
    assert_eq!(known, [said]);
}

/// Rules that say in other words which openings they concern: whether they meet, the home tells.
#[test]
fn rules_that_meet_on_an_element() {
    let more = rule("more", "    when: kind == 'window'\n    at_least: 0.4\n");
    let wide = rule("less", "    when: width > 3 ft\n    at_most: 0.3\n");
    let (report, known) = judged(&[more.clone(), wide]).unwrap();
    assert!(known.is_empty(), "{known:?}");
    let said = "office/more and office/less cannot both hold on openings.w1: shgc at least 0.40 and at most 0.30";
    assert_eq!(remarks(&report), [said]);
    let narrow = rule("less", "    when: width < 3 ft\n    at_most: 0.3\n");
    let (report, known) = judged(&[more, narrow]).unwrap();
    assert!(known.is_empty() && remarks(&report).is_empty());
}

#[test]
fn the_packs_that_come_along_do_not_clash() {
    let packs: Vec<Pack> = mateline_rules::current().map(|(id, _)| engine().pack(id).unwrap()).collect();
    assert_eq!(opposed(&packs), []);
}

fn wall(material: &str, more: &str) -> String {
    format!(
        "{HOME}assemblies:\n  wall:\n    kind: wall\n    layers:\n      - {{material: gypsum-board, thickness: 1/2 in}}\n      \
         - {{material: {material}, thickness: 1 in}}\n{more}"
    )
}

#[test]
fn a_material_under_its_old_name() {
    let report = checked(&wall("housewrap", ""));
    let said = "the material 'housewrap' is called 'weather-wrap' now; the old name is still read";
    assert_eq!(remarks(&report), [said]);
    assert_eq!(report.remarks[0].at.as_ref().unwrap().line, 14);
    assert!(remarks(&checked(&wall("weather-wrap", ""))).is_empty());
    let own = "materials: {housewrap: {kind: membrane, permeance: 20 perm, source: invented}}\n";
    assert!(remarks(&checked(&wall("housewrap", own))).is_empty());
}

#[test]
fn near_names_of_an_unknown_material() {
    let told = |material: &str| {
        let bad = check_home(&wall(material, "")).unwrap_err();
        let problem = bad.problems.first().unwrap();
        (problem.message.clone(), problem.help.clone().unwrap_or_default())
    };
    let (message, _) = told("XPS");
    assert_eq!(message, "there is no material 'XPS' (did you mean 'xps'?)");
    let (message, help) = told("cellulose");
    assert_eq!(message, "there is no material 'cellulose'");
    assert_eq!(help, "name one of: cellulose-dense-pack, cellulose-loose-fill");
    let (message, _) = told("gypsum-bord");
    assert_eq!(message, "there is no material 'gypsum-bord' (did you mean 'gypsum-board'?)");
}
