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

/// A small home and a firm with parts of its own.
fn with_parts(parts: &[(&str, &str)]) -> (tempfile::TempDir, String, String) {
    let (folder, home) = home(SMALL);
    let firm = folder.path().join("firm");
    std::fs::create_dir_all(firm.join("reports")).unwrap();
    for (name, text) in parts {
        std::fs::write(firm.join("reports").join(name), text).unwrap();
    }
    (folder, home, firm.to_str().unwrap().to_owned())
}

#[test]
fn a_firm_replaces_parts_and_style_by_name() {
    let (folder, home, firm) = with_parts(&[
        ("cautions.html", "{% include \"default/cautions.html\" %}\n<p>Ours about {{ title }}.</p>\n"),
        ("packet_sheet.html", "<p>no sheets here</p>\n"),
        ("firm.css", "h1 { color: #123456; }\n"),
        ("firm.typ", "#let size = 10pt\n"),
        ("letterhead.txt", "Office of Invention\n"),
    ]);
    let html = stdout(&mateline(&["check", &home, "--format", "html", "--firm", &firm]));
    for part in ["<p>Ours about Small, revision A.</p>", "authority having jurisdiction", "h1 { color: #123456; }"] {
        assert!(html.contains(part), "{part}");
    }
    let out = folder.path().join("packet");
    let written = mateline(&["packet", HERON, "--for", "verifier", "--out", out.to_str().unwrap(), "--firm", &firm]);
    assert_eq!((code(&written), stderr(&written).as_str()), (0, ""));
    let page = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    // Calculations stand in the verifier's annex.
    assert!(page("annex.html").contains("<p>no sheets here</p>"));
    for part in ["h1 { color: #123456; }", "<bdi>Office of Invention</bdi>"] {
        assert!(page("packet.html").contains(part) && page("annex.html").contains(part), "{part}");
    }
}

#[test]
fn a_broken_or_unknown_part_is_an_error_at_its_line() {
    let cases = [
        (("summary.html", "<p>\n{{ title }\n</p>\n"), ["<firm>/reports/summary.html:2:", "the part cannot be read: "]),
        (("sumary.html", "<p></p>"), ["no page has a part called 'sumary.html'", "summary.html, verdicts.html"]),
        (("sumary.css", ""), ["no page has a part called 'sumary.css'", "packet.css"]),
        (("style.typ", ""), ["no page has a part called 'style.typ'", "firm.typ"]),
    ];
    for (part, words) in cases {
        let (_folder, home, firm) = with_parts(&[part]);
        let output = mateline(&["check", &home, "--firm", &firm]);
        assert_eq!((code(&output), stdout(&output).as_str()), (2, ""), "{part:?}");
        for word in words {
            assert!(stderr(&output).contains(word), "{word}: {}", stderr(&output));
        }
    }
    // What only shows when the page is filled.
    let (folder, home, firm) =
        with_parts(&[("summary.html", "<p>\n\n{{ titel }}</p>\n"), ("packet.css", "{{ 1 + {} }}")]);
    let output = mateline(&["check", &home, "--format", "html", "--firm", &firm]);
    assert_eq!((code(&output), stdout(&output).as_str()), (2, ""));
    assert!(stderr(&output).contains("the firm's reports/summary.html:3: "), "{}", stderr(&output));
    let out = folder.path().join("packet");
    let output = mateline(&["packet", &home, "--for", "owner", "--out", out.to_str().unwrap(), "--firm", &firm]);
    assert_eq!((code(&output), out.exists()), (2, false));
    assert!(stderr(&output).contains("the firm's reports/packet.css:1: "), "{}", stderr(&output));
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
