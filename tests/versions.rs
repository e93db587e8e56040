//! Versions of packs: which one judges, a copy under a name of its own, and by what a report's texts can be told again.
//! Against: the same home judged by the pack that is shipped, and SHA-256 by a general-purpose library over the files.

use mateline_engine::Options;
use mateline_model::Report;
use mateline_tests::{Copy, check_file, checked, engine, example, root};
use std::collections::BTreeSet;
use std::process::Command;

fn home(judge_by: &str) -> String {
    format!(
        "home: Alder Court\nrevision: {{id: A, date: 2026-10-05}}\nsite: {{place: Tarn Hollow, climate_zone: 6A}}\n\
         judge_by: [{judge_by}]\nmodules:\n  A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 40 ft, y: 13 ft, z: 9 ft}}}}\n"
    )
}

/// `outcome rule subject` of each verdict of a pack.
fn outcomes(report: &Report, pack: &str) -> Vec<String> {
    let of_pack = report.verdicts.iter().filter(|verdict| verdict.pack == pack);
    of_pack
        .map(|verdict| format!("{} {} {} {}", verdict.outcome, verdict.rule, verdict.subject, verdict.message))
        .collect()
}

#[test]
fn a_home_is_judged_by_the_version_it_asks_for() {
    let rules = |judge_by: &str| {
        let report = checked(&home(judge_by));
        let version = report.packs[0].version;
        let rules: BTreeSet<String> = report.verdicts.iter().map(|verdict| verdict.full_name()).collect();
        (version, rules)
    };
    let (now, current) = rules("energy-code-2021");
    let (then, former) = rules("energy-code-2021@1");
    assert_eq!((then, now), (Some(1), Some(2)));
    assert_eq!(rules("energy-code-2021@2"), (now, current.clone()));
    // Version 2 judges the packages of section R408, which version 1 did not.
    let added: Vec<&String> = current.difference(&former).collect();
    assert!(!added.is_empty() && current.len() > former.len(), "{added:?}");
    let refused = |judge_by: &str| {
        let bad = mateline_tests::check_home(&home(judge_by)).unwrap_err();
        (bad.problems[0].message.clone(), bad.problems[0].help.clone().unwrap_or_default())
    };
    let (message, help) = refused("energy-code-2021@7");
    assert_eq!(message, "the pack 'energy-code-2021' is here in version 2, not in version 7");
    assert!(help.starts_with("name energy-code-2021@1 or energy-code-2021@2"), "{help}");
    assert!(refused("energy-code-2021@1, energy-code-2021").0.contains("named twice"));
    assert!(refused("energy-code-2012@1").0.starts_with("there is no pack 'energy-code-2012'"));
}

/// A project keeps the pack as a file under another name: what it says of its own references goes on being said of its own.
#[test]
fn a_copy_under_a_name_of_its_own_judges_as_the_pack_does() {
    let text = mateline_rules::pack("energy-code-2021").unwrap();
    let copy = Copy::with(&[("  - energy-code-2021\n", "  - ./our-code.yaml@2\n")]);
    let ours = text.replacen("pack: energy-code-2021", "pack: our-code", 1);
    std::fs::write(copy.home().with_file_name("our-code.yaml"), &ours).unwrap();
    let theirs = check_file(&example("heron-lane")).unwrap();
    let own = engine().check(&copy.home(), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let renamed = |lines: Vec<String>| -> Vec<String> {
        lines.into_iter().map(|line| line.replace("references.our-code", "references.energy-code-2021")).collect()
    };
    assert_eq!(renamed(outcomes(&own, "our-code")), outcomes(&theirs, "energy-code-2021"));
    let total = own.verdicts.iter().find(|one| one.rule == "ua-alternative").unwrap();
    assert!(total.value.is_some(), "{}", total.message);
    let pack = own.packs.iter().find(|pack| pack.id == "our-code").unwrap();
    assert_eq!((pack.version, pack.texts[0].name.as_str()), (Some(2), "our-code.yaml"));

    // So does a pack that extends it: its rules are held against what its own settings make.
    let extending = "pack: our-code\ntitle: Ours\nsource: Office\nextends: energy-code-2021@2\n";
    std::fs::write(copy.home().with_file_name("our-code.yaml"), format!("version: 2\n{extending}")).unwrap();
    let extended = engine().check(&copy.home(), &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    assert_eq!(renamed(outcomes(&extended, "our-code")), outcomes(&theirs, "energy-code-2021"));
    let texts = &extended.packs.iter().find(|pack| pack.id == "our-code").unwrap().texts;
    let names: Vec<&str> = texts.iter().map(|text| text.name.as_str()).collect();
    assert_eq!(names, ["our-code.yaml", "<mateline>/energy-code-2021.yaml"]);
}

#[test]
fn the_texts_of_a_report_are_told_by_their_digests() {
    let Ok(said) = Command::new("sha256sum").arg(root().join("rules/passive-envelope.yaml")).output() else {
        println!("left out: there is no sha256sum to hold digests against");
        return;
    };
    let report = checked(&home("passive-envelope"));
    let digest = String::from_utf8(said.stdout).unwrap();
    assert_eq!(Some(report.packs[0].texts[0].sha256.as_str()), digest.split_whitespace().next());
}
