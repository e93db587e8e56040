//! The program as a person or a CI job runs it: arguments, both streams, exit codes, files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here")]

mod cache;
mod climate;
mod compare;
mod documents;
mod fields;
mod firm;
mod formats;
mod materials;
mod packet;
mod remedies;
mod study;
mod watch;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The program, which keeps solved sections among what the tests build, not in the user's own folder.
fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_mateline"));
    command.env("MATELINE_CACHE", Path::new(env!("CARGO_TARGET_TMPDIR")).join("sections"));
    command
}

fn mateline(arguments: &[&str]) -> Output {
    program().args(arguments).current_dir(root()).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE").output().unwrap()
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

const HERON: &str = "examples/heron-lane/home.yaml";
const STARTER: &str = "examples/starter/home.yaml";

/// A home beside nothing else.
fn home(text: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("home.yaml");
    std::fs::write(&path, text).unwrap();
    let path = path.to_str().unwrap().to_owned();
    (folder, path)
}

const SMALL: &str = "\
home: Small
revision: {id: A, date: 2026-10-05}
site: {place: Nowhere, climate_zone: 6A}
modules:
  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 13 ft, z: 9 ft}}
";

#[test]
fn help_and_version_go_to_standard_output() {
    for arguments in [vec!["--help"], vec!["check", "--help"], vec!["--version"], vec!["rules", "--help"]] {
        let output = mateline(&arguments);
        assert_eq!(code(&output), 0, "{arguments:?}");
        assert!(stdout(&output).contains("mateline"), "{arguments:?}");
        assert_eq!(stderr(&output), "");
    }
}

#[test]
fn what_cannot_be_understood_ends_with_2() {
    for arguments in
        [vec!["chekc"], vec!["check"], vec!["check", HERON, "--format", "pdf"], vec!["check", HERON, "--on", "soon"]]
    {
        let output = mateline(&arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert_eq!(stdout(&output), "");
        assert!(!stderr(&output).is_empty());
    }
}

#[test]
fn a_home_with_nothing_to_judge_is_done() {
    let (_folder, path) = home(SMALL);
    let output = mateline(&["check", &path]);
    assert_eq!((code(&output), stderr(&output).as_str()), (0, ""));
    assert!(stdout(&output).contains("Small, revision A: no requirement open; 0 met"), "{}", stdout(&output));
}

/// A pack of one rule, which the home above does not meet.
const NARROW: &str = "\
pack: firm
title: Firm
source: Office
rules:
  narrow:
    title: Boxes are narrow
    for_each: modules
    value: size.y
    at_most: 12 ft
    source: Office standard
    provenance: common practice, no source
    if_short: Narrow the box.
";

#[test]
fn a_shortfall_ends_with_1_and_is_listed() {
    let text = SMALL.replace("modules:", "judge_by: [./firm.yaml]\nmodules:");
    let (folder, path) = home(&text);
    std::fs::write(folder.path().join("firm.yaml"), NARROW).unwrap();
    let output = mateline(&["check", &path]);
    assert_eq!(code(&output), 1);
    let listing = stdout(&output);
    assert!(listing.contains("short: modules.A"), "{listing}");
    assert!(listing.contains("13.00 ft is above 12.00 ft"), "{listing}");
    assert!(listing.contains("home.yaml:6"), "{listing}");
    assert!(listing.contains("help: narrow the box"), "{listing}");
    let advice = NARROW.replace("    source: Office standard", "    severity: advice\n    source: Office standard");
    std::fs::write(folder.path().join("firm.yaml"), advice).unwrap();
    assert_eq!(code(&mateline(&["check", &path])), 0, "advice does not fail a run");
}

#[test]
fn a_broken_home_ends_with_2_and_has_no_report() {
    let (folder, path) = home(&SMALL.replace("9 ft", "9"));
    let out = folder.path().join("report.json");
    let output = mateline(&["check", &path, "--format", "json", "--out", out.to_str().unwrap()]);
    assert_eq!((code(&output), stdout(&output).as_str()), (2, ""));
    let message = stderr(&output);
    assert!(message.contains("9 needs a unit") && message.contains("home.yaml:5:"), "{message}");
    assert!(message.contains("  A: {level: 1"), "the line is shown: {message}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "there is no report");
}

#[test]
fn a_broken_home_does_not_hide_what_is_wrong_with_its_packs() {
    let text = SMALL.replace("9 ft", "9").replace("modules:", "judge_by: [./firm.yaml, nosuch]\nmodules:");
    let (folder, path) = home(&text);
    std::fs::write(folder.path().join("firm.yaml"), NARROW.replace("size.y", "size.widht")).unwrap();
    let output = mateline(&["check", &path]);
    assert_eq!((code(&output), stdout(&output).as_str()), (2, ""));
    let message = stderr(&output);
    for told in ["9 needs a unit", "home.yaml:6:", "widht", "firm.yaml:8:", "nosuch", "home.yaml:4:"] {
        assert!(message.contains(told), "{told}: {message}");
    }
    // What a plugin of others writes may be what the pack names.
    std::fs::write(&path, format!("{text}plugins: [./acoustics.so]\n")).unwrap();
    let message = stderr(&mateline(&["check", &path]));
    assert!(message.contains("9 needs a unit") && !message.contains("widht"), "{message}");
}

#[test]
fn a_missing_home_ends_with_2() {
    let output = mateline(&["check", "nosuch/home.yaml"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("cannot read 'nosuch/home.yaml'"), "{}", stderr(&output));
}

#[test]
fn a_report_is_written_whole_and_nothing_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    for (format, begins) in [("html", "<!doctype html>"), ("json", "{"), ("text", "")] {
        let out = folder.path().join(format!("report.{format}"));
        let output = mateline(&["check", HERON, "--format", format, "--out", out.to_str().unwrap()]);
        assert!(code(&output) <= 1, "{}", stderr(&output));
        assert_eq!(stdout(&output), "");
        let text = std::fs::read_to_string(&out).unwrap();
        assert!(text.to_lowercase().starts_with(begins), "{format}: {}", &text[..40.min(text.len())]);
    }
    let output = mateline(&["check", HERON, "--out", folder.path().join("no/such/x").to_str().unwrap()]);
    assert_eq!(code(&output), 3);
    assert!(stderr(&output).contains("cannot write"));
}

#[test]
fn the_same_input_gives_the_same_bytes_with_any_number_of_threads() {
    let run = |threads: &str, format: &str| {
        let output = program()
            .args(["check", HERON, "--format", format])
            .current_dir(root())
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        output.stdout
    };
    for format in ["text", "json", "html"] {
        let one = run("1", format);
        assert!(!one.is_empty());
        assert!(one == run("2", format) && one == run("7", format), "{format}");
    }
}

#[test]
fn colour_is_for_terminals_and_for_those_who_ask() {
    let plain = mateline(&["check", HERON]);
    assert!(!stdout(&plain).contains('\u{1b}'));
    let never = mateline(&["check", HERON, "--color", "never"]);
    assert_eq!(stdout(&plain), stdout(&never));
    let (_folder, path) = home(&SMALL.replace("9 ft", "9"));
    let always = mateline(&["check", &path, "--color", "always"]);
    assert!(stderr(&always).contains('\u{1b}'));
    let refused = program().args(["check", &path]).env("NO_COLOR", "1").env("CLICOLOR_FORCE", "1").output().unwrap();
    assert!(!stderr(&refused).contains('\u{1b}'), "NO_COLOR wins");
}

#[test]
fn facts_are_listed_and_explained() {
    let output = mateline(&["facts", HERON, "seams"]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    assert!(stdout(&output).contains("seams.A-B") && !stdout(&output).contains("assemblies.wall"));
    let json = mateline(&["facts", HERON, "assemblies.wall", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&stdout(&json)).unwrap();
    assert!(json["assemblies.wall"]["envelope.u_factor"]["value"].as_f64().unwrap() > 0.0);
    let output = mateline(&["explain", HERON, "assemblies.wall", "envelope.u_factor"]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    for part in ["ISO 6946", "home.yaml:", "Btu/(h·ft²·°F)"] {
        assert!(stdout(&output).contains(part), "{part} in {}", stdout(&output));
    }
    let typo = mateline(&["explain", HERON, "assemblies.wal", "envelope.u_factor"]);
    assert_eq!(code(&typo), 2);
    assert!(stderr(&typo).contains("assemblies.wall"), "{}", stderr(&typo));
    let typo = mateline(&["explain", HERON, "assemblies.wall", "envelope.u_facter"]);
    assert_eq!(code(&typo), 2);
    assert!(stderr(&typo).contains("envelope.u_factor"), "{}", stderr(&typo));
}

#[test]
fn units_can_be_chosen() {
    let si = stdout(&mateline(&["facts", HERON, "assemblies.wall", "--units", "si"]));
    let ip = stdout(&mateline(&["facts", HERON, "assemblies.wall", "--units", "ip"]));
    assert!(si.contains("W/(m²·K)") && !si.contains("Btu"));
    assert!(ip.contains("Btu/(h·ft²·°F)"));
}

#[test]
fn rules_are_listed_shown_and_tested() {
    let list = mateline(&["rules", "list"]);
    assert_eq!(code(&list), 0);
    for pack in ["energy-code-2021", "zero-energy-ready", "passive-envelope", "modular-practice"] {
        assert!(stdout(&list).contains(pack));
    }
    let show = mateline(&["rules", "show", "energy-code-2021/wall-u-factor"]);
    assert!(stdout(&show).contains("R402.1.2") && stdout(&show).contains("0.0450 Btu/(h·ft²·°F)"), "{}", stdout(&show));
    let typo = mateline(&["rules", "show", "energy-code-2021/wall-u-facter"]);
    assert_eq!(code(&typo), 2);
    assert!(stderr(&typo).contains("did you mean 'wall-u-factor'"), "{}", stderr(&typo));
    let test = mateline(&["rules", "test"]);
    assert_eq!(code(&test), 0, "{}", stdout(&test));
    let folder = tempfile::tempdir().unwrap();
    let pack = folder.path().join("bad.yaml");
    std::fs::write(&pack, "pack: bad\ntitle: T\nsource: S\nrules:\n  r:\n    title: T\n    value: envelope.u_facter\n    at_most: 3\n    source: S\n    provenance: P\n    if_short: Do.\n").unwrap();
    let test = mateline(&["rules", "test", pack.to_str().unwrap()]);
    assert_eq!(code(&test), 2);
    assert!(stderr(&test).contains("did you mean 'envelope.u_factor'"), "{}", stderr(&test));
    assert!(stderr(&test).contains("bad.yaml:7:"), "{}", stderr(&test));
}

#[test]
fn a_new_project_is_laid_out_and_checks() {
    let folder = tempfile::tempdir().unwrap();
    let project = folder.path().join("my project");
    let output = mateline(&["new", project.to_str().unwrap()]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    let check = mateline(&["check", project.join("home.yaml").to_str().unwrap()]);
    assert_eq!(code(&check), code(&mateline(&["check", STARTER])), "{}", stderr(&check));
    let first = std::fs::read_to_string(project.join("home.yaml")).unwrap();
    assert!(first.starts_with("# yaml-language-server: $schema=home.schema.json"));
    assert!(project.join("home.schema.json").exists());
    let again = mateline(&["new", project.to_str().unwrap()]);
    assert_eq!(code(&again), 2);
    assert!(stderr(&again).contains("is not empty"));
}

#[test]
fn schemas_plugins_and_completions_are_printed() {
    for of in ["home", "pack", "report"] {
        let output = mateline(&["schema", of]);
        let schema: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
        assert!(schema["properties"].is_object(), "{of}");
    }
    let plugins = stdout(&mateline(&["plugins"]));
    assert!(plugins.contains("takeoff") && plugins.contains("envelope.u_factor"));
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        assert!(stdout(&mateline(&["completions", shell])).contains("mateline"), "{shell}");
    }
}
