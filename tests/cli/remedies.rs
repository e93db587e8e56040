//! What it takes, as a person asks it and writes it down.

use crate::{code, mateline, stderr, stdout};

#[test]
fn a_change_is_told_and_written_where_its_value_stands() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home.yaml");
    let text = std::fs::read_to_string(crate::root().join("examples/willow-pair/home.yaml")).unwrap();
    std::fs::write(&home, &text).unwrap();
    let path = home.to_str().unwrap();

    let told = mateline(&["remedies", path, "energy-code-2021/window-air-leakage"]);
    assert_eq!(code(&told), 0, "{}", stderr(&told));
    let told = stdout(&told);
    for part in ["1  tested air leakage of the product", "openings.garden-door.air_leakage", "nothing else turns"] {
        assert!(told.contains(part), "{part} in {told}");
    }
    assert_eq!(std::fs::read_to_string(&home).unwrap(), text, "asking writes nothing");

    let checked = mateline(&["check", path, "--remedies"]);
    assert_eq!(code(&checked), 1);
    let help = stdout(&checked);
    assert!(help.contains("or tested air leakage of the product: 0.3 cfm/ft² (1.524 L/(s·m²)) instead of"), "{help}");

    let beyond = mateline(&["remedies", path, "--apply", "9"]);
    assert_eq!(code(&beyond), 2);
    assert!(stderr(&beyond).contains("there is no change 9"), "{}", stderr(&beyond));

    let written = mateline(&["remedies", path, "--apply", "1"]);
    assert_eq!(code(&written), 0, "{}", stderr(&written));
    let new = std::fs::read_to_string(&home).unwrap();
    let changed: Vec<(&str, &str)> =
        std::iter::zip(text.lines(), new.lines()).filter(|(old, new)| old != new).collect();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert!(changed[0].1.contains("air_leakage: 0.3 cfm/ft² # on purpose"), "{changed:?}");

    let closed = mateline(&["remedies", path]);
    assert_eq!(code(&closed), 0, "nothing to mend is no mistake: {}", stderr(&closed));
    assert_eq!(stdout(&closed).lines().count(), 1, "{}", stdout(&closed));
    assert!(stdout(&closed).contains("no requirement is open"), "{}{}", stdout(&closed), stderr(&closed));
    assert!(!stderr(&closed).contains("error"), "{}", stderr(&closed));
    let unknown = mateline(&["remedies", path, "energy-code-2021/no-such-rule"]);
    assert!(stderr(&unknown).contains("no verdict by energy-code-2021/no-such-rule"), "{}", stderr(&unknown));
}

/// The pack to come to need not be one that the home names; one that nobody knows is told.
#[test]
fn the_way_to_a_pack_that_the_home_does_not_name() {
    let home = crate::root().join("examples/starter/home.yaml");
    let text = std::fs::read_to_string(&home).unwrap();
    assert!(!text.contains("zero-energy-ready"));
    let towards = |pack: &str| mateline(&["remedies", home.to_str().unwrap(), "--towards", pack, "--most", "20"]);
    let told = towards("zero-energy-ready");
    assert_eq!(code(&told), 0, "{}", stderr(&told));
    for part in ["nothing to change for zero-energy-ready", "owed, not a matter of the design", "zero-energy-ready/"] {
        assert!(stdout(&told).contains(part), "{part} in {}", stdout(&told));
    }
    let unknown = towards("zero-energy");
    assert_eq!(code(&unknown), 2);
    assert!(stderr(&unknown).contains("did you mean 'zero-energy-ready'"), "{}", stderr(&unknown));
}

/// A value that others share asks first; with --shared all of them change, at their one place.
#[test]
fn what_others_share_asks_first() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home.yaml");
    let text = std::fs::read_to_string(crate::root().join("examples/starter/home.yaml")).unwrap();
    let text = text.replacen(
        "thickness: 2 in, role: continuous-insulation",
        "thickness: *thin, role: continuous-insulation",
        1,
    );
    let text = text.replacen("thickness: 7/16 in, role: air-barrier", "thickness: &thin 1/2 in, role: air-barrier", 1);
    let text = text.replacen("codes: {energy: 2021}", "codes: {energy: 2021, energy_path: by-component}", 1);
    std::fs::write(&home, &text).unwrap();
    let path = home.to_str().unwrap();
    let ask = ["remedies", path, "energy-code-2021/wall-u-factor", "assemblies.wall"];
    let told = stdout(&mateline(&ask));
    assert!(told.contains("one value with assemblies.wall.layers.2.thickness: all of them change"), "{told}");
    let refused = mateline(&[&ask[..], &["--apply", "1"]].concat());
    assert_eq!(code(&refused), 2);
    assert!(stderr(&refused).contains("give --shared to change all of them"), "{}", stderr(&refused));
    assert_eq!(std::fs::read_to_string(&home).unwrap(), text);
    assert_eq!(code(&mateline(&[&ask[..], &["--apply", "1", "--shared"]].concat())), 0);
    let new = std::fs::read_to_string(&home).unwrap();
    assert!(new.contains("thickness: &thin 1 ") && new.contains("thickness: *thin"), "the anchor stays");
}

/// Seals are a list: it is told as it is written in a home, and written where the word stood.
#[test]
fn a_second_seal_is_a_change() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home.yaml");
    let text = std::fs::read_to_string(crate::root().join("examples/starter/home.yaml")).unwrap();
    let text = text.replacen("sealed_by: [factory-gasket, site-tape]", "sealed_by: site-tape", 1);
    std::fs::write(&home, &text).unwrap();
    let path = home.to_str().unwrap();
    let ask =
        ["remedies", path, "airtightness-targets/target-chance-by-budget", "references.airtightness-targets-code"];
    let told = stdout(&mateline(&ask));
    assert_eq!(code(&mateline(&[&ask[..], &["--apply", "1"]].concat())), 0);
    assert!(told.contains("seals of the mate line: [factory-gasket, site-tape] instead of site-tape"), "{told}");
    let new = std::fs::read_to_string(&home).unwrap();
    assert_eq!(new, text.replacen("sealed_by: site-tape", "sealed_by: [factory-gasket, site-tape]", 1));
    let closed = stdout(&mateline(&ask));
    assert!(!closed.contains("seals of the mate line"), "{closed}");
}

/// An office's own list: products with their prices, and nothing of what lies between.
#[test]
fn windows_of_an_office_are_suggested_with_their_price() {
    let told = stdout(&mateline(&["remedies", "examples/firm-folder/home.yaml"]));
    let changes: Vec<&str> = told.lines().filter(|line| line.contains("window from the office's list")).collect();
    assert!(!changes.is_empty() && changes.iter().all(|line| line.contains('$')), "{told}");
    assert!(!told.contains("from 0.") && told.contains("with it shgc to "), "{told}");
}

/// The rooms of a unit follow its flow, so that they add up to it; its power follows too, and mends no efficacy.
#[test]
fn the_rooms_follow_the_flow_of_their_unit() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home.yaml");
    let mut text = std::fs::read_to_string(crate::root().join("examples/starter/home.yaml")).unwrap();
    for (old, new) in [
        ("supply: 65 cfm", "supply: 25 cfm"),
        ("exhaust: 65 cfm", "exhaust: 25 cfm"),
        (
            "{living: 22 cfm, bedroom-1: 27 cfm, bedroom-2: 16 cfm}",
            "{living: 8 cfm, bedroom-1: 10 cfm, bedroom-2: 7 cfm}",
        ),
        ("{kitchen: 35 cfm, bath: 30 cfm}", "{kitchen: 15 cfm, bath: 10 cfm}"),
    ] {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    std::fs::write(&home, &text).unwrap();
    let path = home.to_str().unwrap();
    let told = stdout(&mateline(&["remedies", path, "fresh-air/fan-efficacy"]));
    assert!(told.contains("no change of one value or two"), "{told}");
    let ask = ["remedies", path, "fresh-air/whole-dwelling-rate"];
    let told = stdout(&mateline(&ask));
    for part in ["60 cfm instead of 25 cfm", "with it exhaust to 60 cfm, supplies.living to 19.2 cfm"] {
        assert!(told.contains(part), "{part} in {told}");
    }
    assert_eq!(code(&mateline(&[&ask[..], &["--apply", "1"]].concat())), 0);
    let new = std::fs::read_to_string(&home).unwrap();
    for part in ["supply: 60 cfm", "exhaust: 60 cfm", "bedroom-1: 24 cfm, bedroom-2: 16.8 cfm", "bath: 24 cfm"] {
        assert!(new.contains(part), "{part} in {new}");
    }
    assert!(!stdout(&mateline(&["check", path])).contains("fresh-air/whole-dwelling-rate"));
}
