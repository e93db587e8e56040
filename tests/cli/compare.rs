//! `mateline compare`: files, folders and git revisions, formats, exit codes, and the workflow files of examples/ci.
#![allow(clippy::print_stdout, reason = "says what it leaves out where there is no git")]

use super::{HERON, SMALL, code, home, mateline, program, root, stderr, stdout};
use std::path::Path;
use std::process::{Command, Output};

const PACK: &str = "\
pack: firm
title: Firm
source: Office
rules:
  narrow:
    title: Boxes are narrow
    for_each: modules
    value: size.y
    at_most: 14 ft
    source: Office standard
    provenance: common practice, no source
    if_short: Narrow the box.
";

/// A folder with a home judged by the pack: one box of that width.
fn folder(width: &str, revision: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    write_home(folder.path(), width, revision);
    folder
}

fn write_home(folder: &Path, width: &str, revision: &str) {
    let text = SMALL
        .replace("modules:", "judge_by: [./firm.yaml]\nmodules:")
        .replace("y: 13 ft", &format!("y: {width}"))
        .replace("id: A", &format!("id: {revision}"));
    std::fs::create_dir_all(folder).unwrap();
    std::fs::write(folder.join("home.yaml"), text).unwrap();
    std::fs::write(folder.join("firm.yaml"), PACK).unwrap();
}

fn path(folder: &tempfile::TempDir) -> &str {
    folder.path().to_str().unwrap()
}

#[test]
fn what_turned_decides_the_exit_code() {
    let (narrow, close, wide, wider) =
        (folder("12 ft", "A"), folder("13 ft 9 in", "B"), folder("15 ft", "C"), folder("16 ft", "D"));
    let compare = |old, new, more: &[&str]| mateline(&[&["compare", path(old), path(new)], more].concat());
    let same = compare(&narrow, &narrow, &[]);
    assert_eq!((code(&same), stderr(&same).as_str()), (0, ""));
    assert!(stdout(&same).contains("The two say the same"), "{}", stdout(&same));
    let thin = compare(&narrow, &close, &[]);
    assert_eq!(code(&thin), 0);
    assert!(stdout(&thin).contains("Margins that shrank below 5.0 % of the limit: 1"), "{}", stdout(&thin));
    let less = compare(&narrow, &close, &["--margin", "1%"]);
    assert!(!stdout(&less).contains("Margins"), "{}", stdout(&less));
    let turned = compare(&close, &wide, &[]);
    assert_eq!(code(&turned), 1);
    for part in ["short, was met: modules.A  firm/narrow", "size.y  13 ft 9 in → 15 ft", "home.yaml:6:"] {
        assert!(stdout(&turned).contains(part), "{part} in {}", stdout(&turned));
    }
    assert_eq!(code(&compare(&close, &wide, &["--only-new"])), 1, "it is new");
    assert_eq!(code(&compare(&wide, &wider, &[])), 1, "it is still short");
    assert_eq!(code(&compare(&wide, &wide, &["--only-new"])), 0, "it was short before");
    let shorter = compare(&wide, &wider, &["--only-new"]);
    assert_eq!(code(&shorter), 1, "it was short before, and less so");
    let line = "Short, now shorter: 1\n  firm/narrow modules.A: 1.00 ft → 2.00 ft beyond its limit;";
    assert!(stdout(&shorter).contains(line), "{}", stdout(&shorter));
    assert_eq!(code(&compare(&wider, &wide, &["--only-new"])), 0, "it is nearer");
    assert_eq!(code(&compare(&wide, &close, &[])), 0);
}

#[test]
fn every_format_goes_to_the_terminal_or_to_a_file() {
    let (old, new) = (folder("12 ft", "A"), folder("15 ft", "B"));
    for (format, begins) in
        [("text", "Small: revision A"), ("json", "{"), ("markdown", "## Small"), ("html", "<!doctype")]
    {
        let out = old.path().join(format!("comparison.{format}"));
        let arguments = ["compare", path(&old), path(&new), "--format", format, "--units", "si"];
        let printed = mateline(&arguments);
        assert_eq!(code(&printed), 1, "{}", stderr(&printed));
        assert!(stdout(&printed).starts_with(begins), "{format}: {}", stdout(&printed));
        let written = mateline(&[&arguments[..], &["--out", out.to_str().unwrap()]].concat());
        assert_eq!((code(&written), stdout(&written).as_str()), (1, ""));
        assert_eq!(std::fs::read_to_string(&out).unwrap(), stdout(&printed), "{format}");
    }
    let json: serde_json::Value =
        serde_json::from_str(&stdout(&mateline(&["compare", path(&old), path(&new), "--format", "json"]))).unwrap();
    assert_eq!(json["summary"]["worse_required"], 1);
    let schema = mateline(&["schema", "comparison"]);
    assert_eq!(stdout(&schema), std::fs::read_to_string(root().join("schemas/comparison.schema.json")).unwrap());
}

#[test]
fn what_cannot_be_compared_ends_with_2_and_writes_nothing() {
    let good = folder("12 ft", "A");
    let (bad, bad_home) = home(&SMALL.replace("9 ft", "9"));
    let empty = tempfile::tempdir().unwrap();
    let out = empty.path().join("out.json");
    for (old, message) in [
        (bad_home.as_str(), "9 needs a unit"),
        ("nosuch.yaml", "there is no such file or folder"),
        (path(&empty), "has no home.yaml"),
        (":home.yaml", "is no revision"),
        ("--output=x:home.yaml", "unexpected argument"),
    ] {
        let output = mateline(&["compare", old, path(&good), "--out", out.to_str().unwrap()]);
        assert_eq!((code(&output), stdout(&output).as_str()), (2, ""), "{old}");
        assert!(stderr(&output).contains(message), "{old}: {}", stderr(&output));
        assert!(!out.exists());
    }
    // Both sides are told, each with the folder it was read from.
    let both = mateline(&["compare", &bad_home, &bad_home]);
    assert_eq!(stderr(&both).matches("9 needs a unit").count(), 2, "{}", stderr(&both));
    assert!(stderr(&both).contains(&format!("{}/home.yaml:5:", bad.path().display())), "{}", stderr(&both));
    for margin in ["5", "-1%", "101%", "wide", "1 in"] {
        let output = mateline(&["compare", path(&good), path(&good), "--margin", margin]);
        assert_eq!(code(&output), 2, "{margin}");
    }
}

#[test]
fn a_large_comparison_gives_the_same_bytes_with_any_number_of_threads() {
    let run = |threads: &str, format: &str| {
        let compare = ["compare", "examples/heron-lane/revisions/B", HERON, "--format", format];
        let mut command = program();
        let output = command.args(compare).current_dir(root()).env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(code(&output) <= 1, "{}", stderr(&output));
        output.stdout
    };
    for format in ["json", "markdown"] {
        let one = run("1", format);
        assert!(!one.is_empty() && one == run("2", format), "{format}");
    }
}

/// A git repository with a home in `homes/heron`: revision A at the tag `v1`, and a change in the working folder.
struct Repository {
    folder: tempfile::TempDir,
}

impl Repository {
    /// `None` where there is no git.
    fn new() -> Option<Repository> {
        if Command::new("git").arg("--version").output().is_err() {
            println!("left out: there is no git for revisions to be read with");
            return None;
        }
        let repository = Repository { folder: tempfile::tempdir().unwrap() };
        repository.git(&["init", "--quiet", "--initial-branch", "main"]);
        write_home(&repository.homes(), "12 ft", "A");
        std::fs::create_dir(repository.homes().join("records")).unwrap();
        std::fs::write(repository.homes().join("records/label.txt"), "a record").unwrap();
        repository.commit("first");
        repository.git(&["tag", "v1"]);
        write_home(&repository.homes(), "15 ft", "B");
        Some(repository)
    }

    fn homes(&self) -> std::path::PathBuf {
        self.folder.path().join("homes/heron")
    }

    fn git(&self, arguments: &[&str]) {
        let mut command = Command::new("git");
        command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_SYSTEM", "/dev/null");
        command.args(["-c", "user.name=Nobody", "-c", "user.email=nobody@example.invalid"]);
        let output = command.args(arguments).current_dir(self.folder.path()).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", stderr(&output));
    }

    fn commit(&self, message: &str) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--message", message]);
    }

    /// Compares from a folder of the repository.
    fn compare(&self, from: &str, old: &str, new: &str) -> Output {
        let mut command = program();
        command.args(["compare", old, new]).current_dir(self.folder.path().join(from)).output().unwrap()
    }

    /// Every file under `.git` with its size, to see that nothing was written.
    fn inside(&self) -> Vec<String> {
        fn walk(folder: &Path, found: &mut Vec<String>) {
            for entry in std::fs::read_dir(folder).unwrap() {
                let entry = entry.unwrap();
                let data = entry.metadata().unwrap();
                if data.is_dir() {
                    walk(&entry.path(), found);
                } else {
                    found.push(format!("{} {} {:?}", entry.path().display(), data.len(), data.modified().unwrap()));
                }
            }
        }
        let mut found = Vec::new();
        walk(&self.folder.path().join(".git"), &mut found);
        found.sort();
        found
    }
}

#[test]
fn a_git_revision_is_compared_with_the_working_folder() {
    let Some(repository) = Repository::new() else { return };
    let first = repository.compare("", "v1:homes/heron", "homes/heron");
    assert_eq!(code(&first), 1, "{}", stderr(&first));
    assert!(stdout(&first).contains("size.y  12 ft → 15 ft"), "{}", stdout(&first));
    for (from, old, new) in [
        ("", "v1:homes/heron/home.yaml", "homes/heron/home.yaml"),
        ("", "HEAD:homes/heron/", "homes/heron"),
        ("", "main:./homes/heron", "homes/heron"),
        ("homes", "v1:./heron", "heron"),
        ("homes/heron", "v1:.", "."),
        ("homes", "v1:homes/heron", "heron/home.yaml"),
        ("homes/heron/records", "v1:../home.yaml", ".."),
    ] {
        let output = repository.compare(from, old, new);
        assert_eq!(stdout(&output), stdout(&first), "{from} {old} {new}: {}", stderr(&output));
    }
    repository.commit("second");
    let two = repository.compare("", "v1:homes/heron", "HEAD:homes/heron");
    assert_eq!(stdout(&two), stdout(&first), "two revisions");
    let back = repository.compare("", "HEAD~1:homes/heron", "v1:homes/heron");
    assert_eq!(code(&back), 0);
}

/// One person widens a box and loosens the rule about it in one change; nothing turns, and the change says so.
#[test]
fn a_rule_that_is_loosened_with_the_design_is_told() {
    let Some(repository) = Repository::new() else { return };
    std::fs::write(repository.homes().join("firm.yaml"), PACK.replace("14 ft", "16 ft")).unwrap();
    repository.commit("wider boxes");
    let output = repository.compare("", "v1:homes/heron", "HEAD:homes/heron");
    let said = stdout(&output);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    for part in [
        "Rules changed: 1\n  looser: firm/narrow, Boxes are narrow: at most 14.00 ft (4.27 m) → at most 16.00 ft (4.88 m); 16.00 ft",
        "are in A 0 by its own rules and 0 by those of B, in B 1 by the rules of A and 0 by its own.",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
}

/// One person's change leaves a box short, another's makes it shorter still: the second fails too, where only what is new fails.
#[test]
fn what_was_short_and_is_shorter_fails_the_change_that_did_it() {
    let Some(repository) = Repository::new() else { return };
    repository.commit("a wide box");
    repository.git(&["checkout", "--quiet", "-b", "wider"]);
    write_home(&repository.homes(), "16 ft", "C");
    repository.commit("a wider box");
    repository.git(&["checkout", "--quiet", "main"]);
    repository.git(&["checkout", "--quiet", "-b", "narrower"]);
    write_home(&repository.homes(), "14 ft 6 in", "C");
    repository.commit("a box that is less wide");
    let compare = |change: &str| {
        let mut command = program();
        command.args(["compare", "main:homes/heron", &format!("{change}:homes/heron"), "--only-new"]);
        command.current_dir(repository.folder.path()).output().unwrap()
    };
    let wider = compare("wider");
    assert_eq!(code(&wider), 1, "{}", stderr(&wider));
    assert!(
        stdout(&wider).contains("Short, now shorter: 1\n  firm/narrow modules.A: 1.00 ft → 2.00 ft"),
        "{}",
        stdout(&wider)
    );
    let narrower = compare("narrower");
    assert_eq!(code(&narrower), 0, "it is short, and was more so: {}", stdout(&narrower));
}

/// Another person makes the firm's rule stricter: a home that nobody touched turns, by the rules alone.
#[test]
fn a_firms_folder_of_each_side_is_held_against_the_other() {
    let Some(repository) = Repository::new() else { return };
    let firm = repository.folder.path().join("firm/packs");
    std::fs::create_dir_all(&firm).unwrap();
    let pack = PACK.replace("pack: firm", "pack: office");
    std::fs::write(firm.join("office.yaml"), &pack).unwrap();
    write_home(&repository.homes(), "12 ft", "A");
    let home = std::fs::read_to_string(repository.homes().join("home.yaml")).unwrap();
    std::fs::write(repository.homes().join("home.yaml"), home.replace("./firm.yaml", "office")).unwrap();
    repository.commit("a firm");
    repository.git(&["tag", "v2"]);
    let other = "  wide:\n    title: Boxes are wide\n    for_each: modules\n    value: size.y\n    at_least: 8 ft\n    source: Office\n    \
                 provenance: common practice, no source\n    if_short: Widen the box.\n";
    std::fs::write(firm.join("office.yaml"), format!("{}{other}", pack.replace("14 ft", "10 ft"))).unwrap();
    let compare = |more: &[&str]| {
        let mut command = program();
        command.args(["compare", "v2:homes/heron", "homes/heron", "--firm", "firm"]).args(more);
        command.current_dir(repository.folder.path()).output().unwrap()
    };
    let same = compare(&[]);
    assert!(!stdout(&same).contains("Rules changed"), "both sides are judged by one firm: {}", stdout(&same));
    let turned = compare(&["--firm-was", "v2:firm", "--only-new"]);
    assert_eq!(code(&turned), 1, "{}", stderr(&turned));
    for part in [
        "Rules changed: 2",
        "stricter: office/narrow, Boxes are narrow: at most 14.00 ft (4.27 m) → at most 10.00 ft (3.05 m)",
        "added: office/wide, Boxes are wide: at least 8.00 ft (2.44 m)",
        "is above 10.00 ft; by the rules alone",
        "are in A 0 by its own rules and 1 by those of A, in A 0 by the rules of A and 1 by its own.",
    ] {
        assert!(stdout(&turned).contains(part), "{part} in {}", stdout(&turned));
    }
    let wrong = compare(&["--firm-was", "v2:nothing"]);
    assert_eq!(code(&wrong), 2);
    assert!(stderr(&wrong).contains("revision 'v2' has no folder 'nothing'"), "{}", stderr(&wrong));
}

/// A firm's rule that no box may grow between issues, in a check of one home and of a folder of homes.
#[test]
fn a_check_asks_a_former_revision_what_was() {
    let Some(repository) = Repository::new() else { return };
    let grows = PACK.replace("at_most: 14 ft", "at_most: {expression: before(size.y)}");
    write_home(&repository.homes(), "12 ft", "A");
    std::fs::write(repository.homes().join("firm.yaml"), &grows).unwrap();
    repository.commit("no box may grow");
    repository.git(&["tag", "v2"]);
    write_home(&repository.homes(), "13 ft", "B");
    std::fs::write(repository.homes().join("firm.yaml"), &grows).unwrap();
    let check = |arguments: &[&str]| {
        program().arg("check").args(arguments).current_dir(repository.folder.path()).output().unwrap()
    };
    let alone = check(&["homes/heron/home.yaml", "--all"]);
    assert_eq!(code(&alone), 1);
    assert!(stdout(&alone).contains("there is no former revision to hold it against"), "{}", stdout(&alone));
    for former in ["v2:homes/heron", "v2:homes/heron/home.yaml"] {
        let held = check(&["homes/heron/home.yaml", "--former", former]);
        assert_eq!(code(&held), 1, "{}", stderr(&held));
        for part in ["is above 12.00 ft", "rules that ask what was before ask it of revision A of "] {
            assert!(stdout(&held).contains(part), "{part} in {}", stdout(&held));
        }
    }
    assert_eq!(code(&check(&["homes/heron/home.yaml", "--former", "homes/heron"])), 0, "as before");
    // A packet says what the check says.
    for (former, says) in [(&["--former", "v2:homes/heron"][..], "is above 12.00 ft"), (&[], "no former revision")] {
        let out = repository.folder.path().join(format!("packet-{}", former.len()));
        let mut packet = program();
        packet.args(["packet", "homes/heron/home.yaml", "--for", "verifier", "--out"]).arg(&out).args(former);
        let written = packet.current_dir(repository.folder.path()).output().unwrap();
        assert_eq!(code(&written), 0, "{}", stderr(&written));
        let page = std::fs::read_to_string(out.join("packet.html")).unwrap();
        assert!(page.contains(says), "{says}");
    }
    // One home of the folder was there before, the other is new: nothing was before it, which stays unproven.
    write_home(&repository.folder.path().join("homes/teal"), "12 ft", "A");
    std::fs::write(repository.folder.path().join("homes/teal/firm.yaml"), &grows).unwrap();
    let both = check(&["homes", "--former", "v2:homes", "--format", "json"]);
    let both: serde_json::Value = serde_json::from_str(&stdout(&both)).unwrap();
    let outcomes: Vec<_> =
        both["homes"].as_array().unwrap().iter().map(|home| &home["report"]["verdicts"][0]["verdict"]).collect();
    assert_eq!(outcomes, ["short", "unproven"], "{both:#}");
    for (former, message) in [
        ("v2:homes/heron", "is no folder of homes"),
        ("v3:homes", "the repository has no revision 'v3'"),
        ("homes/heron/home.yaml", "is no folder of homes"),
    ] {
        let refused = check(&["homes", "--former", former]);
        assert_eq!((code(&refused), stdout(&refused).as_str()), (2, ""), "{former}");
        assert!(stderr(&refused).contains(message), "{former}: {}", stderr(&refused));
    }
    let two = check(&["homes/heron/home.yaml", "homes/teal/home.yaml", "--former", "v2:homes"]);
    assert!(stderr(&two).contains("goes with one home, or with one folder of homes"), "{}", stderr(&two));
}

/// A kept report, and another program: here this one under another name, which says what it is told to.
#[test]
fn what_turned_since_a_report_is_told_with_why() {
    let wide = folder("15 ft", "A");
    let kept = wide.path().join("kept.json");
    let home = wide.path().join("home.yaml");
    let (kept, home) = (kept.to_str().unwrap(), home.to_str().unwrap());
    let written = mateline(&["check", home, "--format", "json", "--out", kept]);
    assert_eq!(code(&written), 1, "{}", stderr(&written));
    let same = mateline(&["compare", kept, home]);
    assert_eq!(code(&same), 1, "it is short");
    assert!(stdout(&same).contains("No fact moved\nNo verdict turned"), "{}", stdout(&same));
    assert_eq!(code(&mateline(&["compare", kept, home, "--only-new"])), 0);
    // The rule was looser when the report was kept.
    std::fs::write(wide.path().join("firm.yaml"), format!("version: 1\n{}", PACK.replace("14 ft", "16 ft"))).unwrap();
    assert_eq!(code(&mateline(&["check", home, "--format", "json", "--out", kept])), 0);
    std::fs::write(wide.path().join("firm.yaml"), format!("version: 2\n{PACK}")).unwrap();
    let turned = mateline(&["compare", kept, path(&wide), "--only-new"]);
    assert_eq!(code(&turned), 1, "{}", stderr(&turned));
    for part in [
        "Other texts: 1\n  firm was version 1, is version 2",
        "short, was met: modules.A  firm/narrow\n    y 15.00 ft is above 14.00 ft\n    = firm was version 1, is version 2\n    = its limit was 4.8",
    ] {
        assert!(stdout(&turned).contains(part), "{part} in {}", stdout(&turned));
    }
    let json = mateline(&["compare", kept, path(&wide), "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&stdout(&json)).unwrap();
    assert_eq!((&json["verdicts"][0]["old"], &json["verdicts"][0]["new"]), (&"met".into(), &"short".into()));

    let this = env!("CARGO_BIN_EXE_mateline");
    let twice = mateline(&["compare", home, "--program", this]);
    assert!(stdout(&twice).contains("No verdict turned"), "{}{}", stdout(&twice), stderr(&twice));
    let before = folder("12 ft", "0");
    let other = mateline(&["compare", path(&before), home, "--program", this]);
    assert!(stdout(&other).contains("short, was met: modules.A"), "{}", stdout(&other));
    for (arguments, message) in [
        (vec!["compare", "nosuch.json", home], "cannot read 'nosuch.json'"),
        (vec!["compare", home, "--program", "/nosuch/mateline"], "cannot run '/nosuch/mateline'"),
        (vec!["compare", home, "--program", "true"], "gave no report"),
        (vec!["compare", kept, home, "--format", "html"], "text or json"),
        (vec!["compare", home], "required arguments were not provided"),
    ] {
        let refused = mateline(&arguments);
        assert_eq!((code(&refused), stdout(&refused).as_str()), (2, ""), "{arguments:?}");
        assert!(stderr(&refused).contains(message), "{message} in {}", stderr(&refused));
    }
}

/// Every pack and table with version and digest, and the program's own.
#[test]
fn the_long_version_tells_what_comes_with_the_program() {
    let said = mateline(&["--version", "--verbose"]);
    assert_eq!(code(&said), 0);
    let said = stdout(&said);
    assert!(said.starts_with(&stdout(&mateline(&["--version"]))), "{said}");
    for begins in [
        "program ",
        "pack energy-code-2021@1 ",
        "pack energy-code-2021@2 ",
        "table materials.yaml ",
        "plugin envelope ",
    ] {
        let line = said.lines().find(|line| line.starts_with(begins)).unwrap_or_else(|| panic!("{begins} in {said}"));
        let digest = line.rsplit(' ').next().unwrap();
        assert!(digest.len() == 64 || begins.starts_with("plugin"), "{line}");
    }
}

/// A change over a folder of homes is one run: one home edited, one new, one gone, one untouched.
#[test]
fn a_folder_of_homes_is_compared_in_one_run() {
    let Some(repository) = Repository::new() else { return };
    let homes = repository.folder.path().join("homes");
    write_home(&homes.join("heron"), "12 ft", "A");
    write_home(&homes.join("teal"), "12 ft", "A");
    write_home(&homes.join("wren"), "15 ft", "A");
    repository.commit("three homes");
    repository.git(&["tag", "v2"]);
    write_home(&homes.join("heron"), "15 ft", "B");
    write_home(&homes.join("coot"), "12 ft", "A");
    std::fs::remove_dir_all(homes.join("wren")).unwrap();
    let run = repository.compare("", "v2:homes", "homes");
    assert_eq!(code(&run), 1, "{}", stderr(&run));
    let said = stdout(&run);
    let rows: Vec<Vec<&str>> = said.lines().rev().take(4).map(|line| line.split_whitespace().collect()).collect();
    assert_eq!(rows[3], ["coot/home.yaml", "0", "0", "0", "0", "0", "0", "new"], "{said}");
    assert_eq!(rows[2][..2], ["heron/home.yaml", "1"]);
    assert_eq!(rows[1][rows[1].len() - 2..], ["the", "same"]);
    assert_eq!(rows[0][rows[0].len() - 1], "gone");
    assert!(said.contains("── heron/home.yaml\n") && said.contains("short, was met: modules.A  firm/narrow"), "{said}");
    assert!(!said.contains("── teal"), "{said}");
    let with = |more: &[&str]| {
        let mut command = program();
        command
            .args(["compare", "v2:homes", "homes"])
            .args(more)
            .current_dir(repository.folder.path())
            .output()
            .unwrap()
    };
    let json: serde_json::Value = serde_json::from_str(&stdout(&with(&["--format", "json"]))).unwrap();
    let states: Vec<&str> =
        json["homes"].as_array().unwrap().iter().map(|home| home["state"].as_str().unwrap()).collect();
    assert_eq!(states, ["came", "compared", "compared", "went"]);
    assert!(stdout(&with(&["--format", "markdown"])).contains("| `heron/home.yaml` | 1 | 0 |"));
    assert_eq!(code(&with(&["--format", "html"])), 2);
    // A home that cannot be used ends the run with 2, and the others are told all the same.
    std::fs::write(homes.join("coot/home.yaml"), "home: ''").unwrap();
    let broken = with(&[]);
    assert_eq!(code(&broken), 2, "{}", stdout(&broken));
    assert!(stderr(&broken).contains("homes/coot/home.yaml") && stdout(&broken).contains("── heron/home.yaml"));
}

#[test]
fn reading_a_revision_writes_nothing_to_the_repository() {
    let Some(repository) = Repository::new() else { return };
    let before = repository.inside();
    assert_eq!(code(&repository.compare("", "v1:homes/heron", "v1:homes/heron")), 0);
    assert_eq!(repository.inside(), before);
}

#[test]
fn what_a_repository_does_not_hold_is_told() {
    let Some(repository) = Repository::new() else { return };
    for (old, message) in [
        ("v2:homes/heron", "the repository has no revision 'v2'"),
        ("v1..HEAD:homes/heron", "the repository has no revision 'v1..HEAD'"),
        ("v1:homes/nosuch", "revision 'v1' has no 'homes/nosuch'"),
        ("v1:homes", "revision 'v1' has no 'homes/home.yaml'"),
        ("v1:../../x", "leads out of the repository"),
        ("v1:", "revision 'v1' has no 'home.yaml'"),
        ("v1:homes/heron/firm.yaml", "firm.yaml"),
    ] {
        let output = repository.compare("", old, "homes/heron");
        assert_eq!((code(&output), stdout(&output).as_str()), (2, ""), "{old}");
        assert!(stderr(&output).contains(message), "{old}: {}", stderr(&output));
        assert!(!stderr(&output).contains("/tmp"), "no private folder is named: {}", stderr(&output));
    }
    let apart = folder("12 ft", "A");
    let mut command = program();
    command.args(["compare", "v1:home.yaml", "home.yaml"]).current_dir(apart.path());
    let output = command.env("GIT_CEILING_DIRECTORIES", apart.path().parent().unwrap()).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("no git repository is around this folder"), "{}", stderr(&output));
    let mut command = program();
    command.args(["compare", "v1:homes/heron", "homes/heron"]).current_dir(repository.folder.path());
    let output = command.env("PATH", apart.path()).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("no program 'git' is installed"), "{}", stderr(&output));
}

#[test]
fn a_mistake_in_a_revision_is_shown_at_its_place_there() {
    let Some(repository) = Repository::new() else { return };
    std::fs::write(repository.homes().join("home.yaml"), SMALL.replace("9 ft", "9")).unwrap();
    repository.commit("broken");
    let output = repository.compare("", "v1:homes/heron", "HEAD:homes/heron");
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("HEAD:homes/heron/home.yaml:5:"), "{}", stderr(&output));
}

#[cfg(unix)]
#[test]
fn links_in_a_revision_are_not_followed() {
    let Some(repository) = Repository::new() else { return };
    let secret = repository.folder.path().join("secret.yaml");
    std::fs::write(&secret, "roof: {kind: flat}\n").unwrap();
    let text = SMALL.replace("modules:", "include: [linked.yaml]\nmodules:");
    std::fs::write(repository.homes().join("home.yaml"), text).unwrap();
    std::os::unix::fs::symlink(&secret, repository.homes().join("linked.yaml")).unwrap();
    std::os::unix::fs::symlink("home.yaml", repository.homes().join("other.yaml")).unwrap();
    repository.commit("links");
    let output = repository.compare("", "HEAD:homes/heron", "v1:homes/heron");
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("cannot read 'linked.yaml'"), "{}", stderr(&output));
    let output = repository.compare("", "HEAD:homes/heron/other.yaml", "v1:homes/heron");
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("it is not a plain file"), "{}", stderr(&output));
}

/// The commands of the workflow files, as a forge's shell runs them in a clone.
#[test]
fn the_commands_of_the_ci_files_run() {
    let Some(repository) = Repository::new() else { return };
    write_home(&repository.homes(), "12 ft", "A");
    let clone = tempfile::tempdir().unwrap();
    let address = repository.folder.path().to_str().unwrap();
    repository.git(&["clone", "--quiet", address, clone.path().to_str().unwrap()]);
    write_home(&clone.path().join("homes/heron"), "13 ft", "B");
    let program = Path::new(env!("CARGO_BIN_EXE_mateline")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    for (file, count) in [("jobs-and-steps", 2), ("stages-and-scripts", 3)] {
        let text = std::fs::read_to_string(root().join(format!("examples/ci/{file}.yaml"))).unwrap();
        let commands: Vec<&str> = text
            .lines()
            .map(|line| line.trim().trim_start_matches("- ").trim_start_matches("run: "))
            .filter(|line| line.starts_with("mateline ") || line.starts_with("git "))
            .collect();
        assert_eq!(commands.len(), count, "{commands:?}");
        for command in commands {
            let mut shell = Command::new("sh");
            shell.args(["-euc", command]).current_dir(clone.path()).env("PATH", &path);
            shell
                .env("HOME_FOLDER", "homes/heron")
                .env("BASE", "main")
                .env("CI_MERGE_REQUEST_TARGET_BRANCH_NAME", "main");
            let output = shell.output().unwrap();
            assert_eq!(code(&output), 0, "{command}: {}{}", stdout(&output), stderr(&output));
        }
        let comparison = std::fs::read_to_string(clone.path().join("comparison.md")).unwrap();
        assert!(comparison.contains("`12 ft` → `13 ft`"), "{comparison}");
        assert!(clone.path().join("check.html").exists());
        std::fs::remove_file(clone.path().join("comparison.md")).unwrap();
    }
}
