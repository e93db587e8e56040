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
