//! `packet`: writing, refusing, verifying, and the exit codes.

use super::{HERON, code, mateline, stderr, stdout};
use std::fs;

/// A home with something open. Invented.
const OPEN: &str = "home: Gap House\nrevision: {id: A, date: 2026-10-05}\njudge_by: [modular-practice]\n\
                    site: {place: Nowhere, climate_zone: 6A}\n\
                    modules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 60 ft, y: 18 ft, z: 16 ft}}\n";

#[test]
fn a_packet_is_written_and_verified() {
    let place = tempfile::tempdir().unwrap();
    for reader in ["factory", "verifier", "owner", "record"] {
        let folder = place.path().join("deep").join(reader);
        let folder = folder.to_str().unwrap();
        let written = mateline(&["packet", HERON, "--for", reader, "--out", folder, "--final"]);
        assert_eq!((code(&written), stderr(&written).as_str()), (0, ""), "{reader}");
        assert!(stdout(&written).starts_with("wrote "), "{}", stdout(&written));
        assert_eq!(stdout(&written).contains("--features pdf"), !cfg!(feature = "pdf"));
        let verified = mateline(&["packet", "verify", folder]);
        assert_eq!(code(&verified), 0, "{}", stdout(&verified));
        let digest = |text: String| text.lines().last().unwrap_or_default().to_owned();
        assert_eq!(digest(stdout(&verified)), digest(stdout(&written)));
    }
}

#[test]
fn an_altered_packet_ends_with_one() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("packet");
    let path = folder.to_str().unwrap();
    assert_eq!(code(&mateline(&["packet", HERON, "--for", "owner", "--out", path])), 0);
    fs::write(folder.join("packet.html"), "x").unwrap();
    let verified = mateline(&["packet", "verify", path]);
    assert_eq!(code(&verified), 1);
    assert!(stdout(&verified).contains("altered: packet.html\n"), "{}", stdout(&verified));
    fs::remove_file(folder.join("manifest.json")).unwrap();
    assert_eq!(code(&mateline(&["packet", "verify", path])), 2);
}

#[test]
fn what_is_there_is_never_overwritten() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("file");
    fs::write(&file, "mine").unwrap();
    let in_use = place.path().to_str().unwrap();
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", in_use]);
    assert_eq!((code(&refused), stdout(&refused).as_str()), (2, ""));
    assert!(stderr(&refused).contains("is not empty; name a new folder"), "{}", stderr(&refused));
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", file.to_str().unwrap()]);
    assert_eq!(code(&refused), 2);
    let below = file.join("packet");
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", below.to_str().unwrap()]);
    assert!(code(&refused) >= 2 && stderr(&refused).starts_with("error: "), "{}", stderr(&refused));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
}

#[test]
fn a_packet_with_open_requirements_is_no_final_one() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home.yaml");
    fs::write(&home, OPEN).unwrap();
    let (home, out) = (home.to_str().unwrap(), place.path().join("packet"));
    let path = out.to_str().unwrap();
    let refused = mateline(&["packet", home, "--for", "factory", "--out", path, "--final"]);
    assert_eq!((code(&refused), stdout(&refused).as_str()), (1, ""), "{}", stderr(&refused));
    assert!(!out.exists());
    let written = mateline(&["packet", home, "--for", "factory", "--out", path, "--paper", "a4"]);
    assert_eq!(code(&written), 0, "{}", stderr(&written));
    assert!(stdout(&written).contains("not final: requirements are open"));
    assert!(fs::read_to_string(out.join("packet.html")).unwrap().contains("size: a4"));
}

#[test]
fn a_home_that_cannot_be_used_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home.yaml");
    fs::write(&home, "home: [").unwrap();
    let out = place.path().join("packet");
    let refused = mateline(&["packet", home.to_str().unwrap(), "--for", "owner", "--out", out.to_str().unwrap()]);
    assert_eq!(code(&refused), 2);
    assert!(!out.exists());
    assert_eq!(code(&mateline(&["packet"])), 2);
    assert_eq!(code(&mateline(&["packet", HERON, "--for", "nobody", "--out", "x"])), 2);
}
