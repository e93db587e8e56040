//! `check` for CI: several formats in one run, several homes, folders; the manual.

use super::{HERON, SMALL, STARTER, code, home, mateline, program, root, stderr, stdout};

#[test]
fn every_format_is_printed_or_written() {
    let folder = tempfile::tempdir().unwrap();
    for (format, part) in [
        ("sarif", "\"version\": \"2.1.0\""),
        ("junit", "<testsuites name=\"mateline\""),
        ("markdown", "## Heron Lane: revision"),
        ("annotations", "::notice file=examples/heron-lane/"),
        ("annotations-plain", "examples/heron-lane/home.yaml:"),
        ("badge", "mateline: "),
        ("badge-svg", "<svg xmlns="),
    ] {
        let printed = mateline(&["check", HERON, "--format", format]);
        assert!(code(&printed) <= 1 && stderr(&printed).is_empty(), "{format}: {}", stderr(&printed));
        assert!(stdout(&printed).contains(part), "{format}");
        let out = folder.path().join(format);
        let written = mateline(&["check", HERON, "--format", format, "--out", out.to_str().unwrap()]);
        assert_eq!((code(&written), stdout(&written).as_str()), (code(&printed), ""));
        assert_eq!(std::fs::read_to_string(&out).unwrap(), stdout(&printed), "{format}");
    }
}

#[test]
fn one_run_writes_several_formats() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (sarif, junit) = (format!("sarif={}", file("a.sarif")), format!("junit={}", file("a.xml")));
    let output = mateline(&["check", HERON, "--format", "badge", "--out", &sarif, "--out", &junit]);
    assert!(stdout(&output).starts_with("mateline: "), "{}", stderr(&output));
    assert!(std::fs::read_to_string(file("a.sarif")).unwrap().starts_with('{'));
    assert!(std::fs::read_to_string(file("a.xml")).unwrap().starts_with("<?xml"));
    let text = mateline(&["check", HERON, "--out", &sarif]);
    assert!(stdout(&text).contains("Heron Lane, revision"), "text is still for the terminal");
    let quiet = mateline(&["check", HERON, "--format", "sarif", "--out", &sarif]);
    assert_eq!(stdout(&quiet), "");
    for arguments in [
        vec!["--format", "text", "--format", "json"],
        vec!["--format", "text", "--format", "json", "--out", "x"],
        vec!["--out", "sarif=x", "--out", "junit=x"],
        vec!["--out", "sarif="],
    ] {
        let refused = mateline(&[vec!["check", HERON], arguments.clone()].concat());
        assert_eq!((code(&refused), stdout(&refused).as_str()), (2, ""), "{arguments:?}");
        assert!(stderr(&refused).starts_with("error: "), "{}", stderr(&refused));
        assert!(!root().join("x").exists());
    }
}

#[test]
fn the_same_input_gives_the_same_bytes_in_every_format() {
    const FORMATS: [&str; 8] =
        ["text", "json", "sarif", "junit", "markdown", "annotations", "annotations-plain", "badge"];
    let run = |threads: &str| -> Vec<String> {
        let folder = tempfile::tempdir().unwrap();
        let file = |format: &str| folder.path().join(format);
        let mut command = program();
        command.args(["check", "examples", "--format", "badge"]).current_dir(root()).env("RAYON_NUM_THREADS", threads);
        for format in FORMATS {
            command.arg("--out").arg(format!("{format}={}", file(format).display()));
        }
        let output = command.output().unwrap();
        assert!(code(&output) <= 1 && stdout(&output).is_empty(), "{}", stderr(&output));
        FORMATS.iter().map(|format| std::fs::read_to_string(file(format)).unwrap()).collect()
    };
    let (one, five) = (run("1"), run("5"));
    for (format, (one, five)) in FORMATS.iter().zip(one.iter().zip(&five)) {
        assert!(!one.is_empty() && one == five, "{format}");
    }
}

#[test]
fn a_folder_ends_with_a_table_and_the_worst_exit_code() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        std::fs::create_dir_all(folder.path().join(name)).unwrap();
        std::fs::write(folder.path().join(name).join("home.yaml"), text).unwrap();
    };
    let run = |arguments: &[&str]| {
        let mut command = program();
        command.arg("check").args(arguments).current_dir(folder.path()).output().unwrap()
    };
    write("good", SMALL);
    let good = run(&["."]);
    assert_eq!(code(&good), 0, "{}", stderr(&good));
    assert!(stdout(&good).ends_with("\n1 home: 1 with nothing open, 0 with something short, unproven or failed\n"));
    write("open", &SMALL.replace("modules:", "judge_by: [modular-practice]\nmodules:"));
    let open = run(&["."]);
    assert_eq!(code(&open), 1, "{}", stdout(&open));
    write("broken", &SMALL.replace("9 ft", "9"));
    let output = run(&["."]);
    assert_eq!(code(&output), 2);
    let listing = stdout(&output);
    let rows: Vec<&str> = listing.lines().rev().take(6).collect();
    assert!(rows[0].starts_with("3 homes: 1 with nothing open, 1 with"), "{listing}");
    assert!(rows[4].starts_with("broken/home.yaml") && rows[4].ends_with("cannot be used: 1 problem"), "{listing}");
    assert!(rows[3].starts_with("good/home.yaml") && rows[2].starts_with("open/home.yaml"), "{listing}");
    assert!(stderr(&output).contains("broken/home.yaml:5:"), "{}", stderr(&output));
    assert!(!stderr(&output).contains('\r'), "progress is for terminals");
    let sarif: serde_json::Value = serde_json::from_str(&stdout(&run(&[".", "--format", "sarif"]))).unwrap();
    assert_eq!(sarif["runs"].as_array().unwrap().len(), 3);
    assert_eq!(sarif["runs"][0]["invocations"][0]["exitCode"], 2);
    let json: serde_json::Value = serde_json::from_str(&stdout(&run(&[".", "--format", "json"]))).unwrap();
    assert!(json["homes"][0]["report"].is_null() && json["homes"][1]["report"]["home"] == "Small");
    let html = run(&[".", "--format", "html"]);
    assert_eq!((code(&html), stdout(&html).as_str()), (2, ""));
    let two = run(&["good/home.yaml", "open/home.yaml", "--format", "badge"]);
    assert_eq!(code(&two), 1);
    std::fs::create_dir(folder.path().join("empty")).unwrap();
    let empty = run(&["empty"]);
    assert_eq!(code(&empty), 2);
    assert!(stderr(&empty).contains("'empty' holds no file called home.yaml"), "{}", stderr(&empty));
}

/// A file that cannot be read at all, or holds what cannot be: whoever reads a format is told, as the terminal is.
#[test]
fn a_home_that_cannot_be_used_is_told_in_every_format_for_others() {
    for text in [SMALL.replace("9 ft", "9"), String::new()] {
        let (folder, path) = home(&text);
        let mut arguments = vec!["check".to_owned(), path];
        for format in ["sarif", "junit", "markdown", "annotations", "html", "json"] {
            arguments.extend(["--out".to_owned(), format!("{format}={}", folder.path().join(format).display())]);
        }
        let output = mateline(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!((code(&output), stdout(&output).as_str()), (2, ""));
        // Each format writes quotes in its own way.
        let quotes = ["&#x27;", "&#39;", "&apos;", "&quot;", "'", "\"", "\\"];
        let unquoted = |text: String| quotes.iter().fold(text, |text, quote| text.replace(quote, ""));
        let words = unquoted(stderr(&output).lines().next().unwrap().strip_prefix("error: ").unwrap().to_owned());
        for format in ["sarif", "junit", "markdown", "annotations", "html"] {
            let written = unquoted(std::fs::read_to_string(folder.path().join(format)).unwrap());
            assert!(written.contains(&words), "{format}: {words}\n{written}");
        }
        assert!(!folder.path().join("json").exists(), "the JSON of one home is that of its report");
    }
}

#[test]
fn the_manual_has_a_page_for_each_command() {
    for arguments in [vec!["manual"], vec!["manual", "check"], vec!["manual", "rules", "test"]] {
        let page = mateline(&arguments);
        assert_eq!(code(&page), 0, "{}", stderr(&page));
        let text = stdout(&page);
        assert!(text.contains(".TH mateline") && text.contains(".SH SYNOPSIS"), "{text}");
        assert!(!text.contains("plugin-child"), "hidden commands are not in the manual");
    }
    assert!(stdout(&mateline(&["manual", "check"])).contains("annotations"));
    let unknown = mateline(&["manual", "chekc"]);
    assert_eq!(code(&unknown), 2);
    assert!(stderr(&unknown).contains("no command 'chekc'"), "{}", stderr(&unknown));
    let (schema, starter) = (mateline(&["schema", "homes"]), mateline(&["check", STARTER, "--format", "badge"]));
    assert!(stdout(&schema).contains("homes") && stdout(&starter).lines().count() == 1);
}
