//! Solved sections kept from run to run: what is said, and that no result depends on it.

use super::{HERON, code, mateline, stderr, stdout};
use std::path::Path;

fn cached(folder: &Path) -> std::process::Output {
    mateline(&["check", HERON, "--format", "json", "--cache", folder.to_str().unwrap()])
}

fn entries(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut found: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.sort();
    found
}

#[test]
fn a_second_run_is_served_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let cache = folder.path().join("sections");
    let first = cached(&cache);
    assert_eq!((code(&first), stderr(&first).as_str()), (0, ""));
    let kept = entries(&cache);
    assert!(kept.len() > 10 && kept.iter().all(|path| path.extension().unwrap() == "section"), "{kept:?}");
    let second = cached(&cache);
    let all = kept.len();
    let said =
        format!("note: {all} of {all} section solutions come from the cache '{}', 0 solved now\n", cache.display());
    assert_eq!(stderr(&second), said);
    assert!(stdout(&first) == stdout(&second), "the same bytes");
    let without = mateline(&["check", HERON, "--format", "json", "--no-cache"]);
    assert_eq!(stderr(&without), "");
    assert!(stdout(&without) == stdout(&first), "the same bytes with no cache");
    assert_eq!(entries(&cache), kept);
}

#[test]
fn a_damaged_entry_is_solved_again() {
    let folder = tempfile::tempdir().unwrap();
    let first = cached(folder.path());
    let kept = entries(folder.path());
    let whole = std::fs::read(&kept[0]).unwrap();
    let middle = whole.len() / 2;
    let mut bent = whole.clone();
    bent[middle] ^= 4;
    std::fs::write(&kept[0], &bent).unwrap();
    std::fs::write(&kept[1], "").unwrap();
    let again = cached(folder.path());
    assert!(stderr(&again).contains("note: 2 damaged in the cache"), "{}", stderr(&again));
    assert!(stderr(&again).contains(&format!("{} of {} section", kept.len() - 2, kept.len())), "{}", stderr(&again));
    assert!(stdout(&again) == stdout(&first), "the same bytes");
    assert!(std::fs::read(&kept[0]).unwrap() == whole, "written anew");
}

#[test]
fn a_folder_that_cannot_be_written_is_no_reason_to_fail() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a-file");
    std::fs::write(&file, "").unwrap();
    let output = cached(&file.join("sections"));
    assert_eq!(code(&output), 0);
    assert!(stderr(&output).starts_with("note: solved sections are not kept in '"), "{}", stderr(&output));
    let both = mateline(&["check", HERON, "--cache", "x", "--no-cache"]);
    assert_eq!((code(&both), stdout(&both).as_str()), (2, ""));
}
