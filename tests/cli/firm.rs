//! A firm's folder at the command line: laid out, named by an option or in the environment, and its rules.

use super::*;

/// Runs mateline with the firm's folder in the environment.
fn with_firm(folder: &str, arguments: &[&str]) -> Output {
    program().args(arguments).current_dir(root()).env("MATELINE_FIRM", folder).output().unwrap()
}

/// A firm's folder as `new` lays it out.
fn laid_out() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let firm = folder.path().join("firm").to_str().unwrap().to_owned();
    let output = mateline(&["new", "--firm", &firm]);
    assert_eq!((code(&output), stderr(&output).as_str()), (0, ""));
    assert!(stdout(&output).contains("mateline rules test house-standard --firm"), "{}", stdout(&output));
    (folder, firm)
}

#[test]
fn a_new_firm_has_three_rules_whose_examples_hold() {
    let (folder, firm) = laid_out();
    let output = mateline(&["rules", "test", "house-standard", "--firm", &firm]);
    assert_eq!((code(&output), stdout(&output).as_str()), (0, "10 examples came out as expected, 0 did not\n"));
    let files = std::fs::read_dir(&firm).unwrap().count();
    assert_eq!(files, 7, "README, packs, materials, rates, leakage, reports, schema");
    let again = mateline(&["new", "--firm", &firm]);
    assert!(code(&again) == 2 && stderr(&again).contains("is not empty"), "{}", stderr(&again));
    let both = folder.path().join("both").to_str().unwrap().to_owned();
    assert_eq!(code(&mateline(&["new", &both, "--firm", &both])), 2);
    assert_eq!(code(&mateline(&["new"])), 2);
}

#[test]
fn the_environment_names_the_firm_where_nobody_else_does() {
    let (_folder, firm) = laid_out();
    let (_home, path) = home(&format!("{SMALL}judge_by: [house-standard]\n"));
    assert_eq!(code(&mateline(&["check", &path])), 2);
    let by_environment = with_firm(&firm, &["check", &path]);
    let by_option = mateline(&["check", &path, "--firm", &firm]);
    assert_eq!(stdout(&by_environment), stdout(&by_option));
    assert!(stdout(&by_option).contains("house-standard/envelope-leakage"), "{}", stdout(&by_option));
    let shown = with_firm(&firm, &["rules", "show", "house-standard/envelope-leakage"]);
    for line in ["at most   parameter greatest-leakage", "waivable  no", "0.0500 cfm/ft² where the home sets none"] {
        assert!(stdout(&shown).contains(line), "{}", stdout(&shown));
    }
    assert!(stdout(&with_firm(&firm, &["rules", "list"])).starts_with("house-standard: House standard (Our office)\n"));
    let html = with_firm(&firm, &["check", &path, "--format", "html"]);
    assert!(stdout(&html).contains("<bdi>Name of the firm</bdi>"));
    let nowhere = with_firm("no-such-folder", &["check", &path]);
    assert_eq!(code(&nowhere), 2);
    assert!(stderr(&nowhere).contains("the firm's folder: cannot read 'no-such-folder'"), "{}", stderr(&nowhere));
}

#[test]
fn the_catalogue_is_printed() {
    let output = mateline(&["rules", "catalogue"]);
    assert_eq!((code(&output), stderr(&output).as_str()), (0, ""));
    assert!(stdout(&output).contains("### energy-code-2021/wall-u-factor\n"));
}

#[test]
fn rows_that_no_example_reaches_are_notes() {
    let output = mateline(&["rules", "test", "energy-code-2021"]);
    assert_eq!(code(&output), 0, "{}", stdout(&output));
    let notes = stdout(&output).lines().filter(|line| line.starts_with("note: ")).count();
    assert_eq!(stdout(&output).lines().count(), notes + 1);
}
