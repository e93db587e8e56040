//! Conventions that no compiler checks.

use mateline_tests::root;
use std::path::{Path, PathBuf};

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() && !["target", ".git", "node_modules"].contains(&name.as_str()) {
            files(&path, found);
        } else if path.is_file() {
            found.push(path);
        }
    }
}

/// Project files with one of these endings, by their path from the project folder.
fn sources(endings: &[&str]) -> Vec<(String, String)> {
    let root = root();
    let mut found = Vec::new();
    files(&root, &mut found);
    let wanted = |path: &PathBuf| path.extension().is_some_and(|e| endings.contains(&e.to_string_lossy().as_ref()));
    found
        .into_iter()
        .filter(wanted)
        .map(|path| {
            let name = path.strip_prefix(&root).unwrap().to_string_lossy().into_owned();
            let text = String::from_utf8_lossy(&std::fs::read(&path).unwrap()).into_owned();
            (name, text)
        })
        .collect()
}

#[test]
fn only_the_command_line_prints() {
    let allowed = ["core/cli/", "tests/"];
    for (name, text) in sources(&["rs"]) {
        if allowed.iter().any(|folder| name.starts_with(folder)) {
            continue;
        }
        for word in ["println!", "eprintln!", "print!(", "eprint!(", "dbg!"] {
            assert!(!text.contains(word), "{name} uses {word}");
        }
    }
}

/// The two sides of the plugin boundary; nothing else holds `unsafe` code.
const BOUNDARY: [&str; 2] = ["core/engine/src/host/library.rs", "core/sdk/src/abi.rs"];

#[test]
fn no_unsafe_code_and_no_clock() {
    for (name, text) in sources(&["rs"]) {
        if name.starts_with("tests/") {
            continue;
        }
        let unsafe_words: &[&str] = if BOUNDARY.contains(&name.as_str()) { &[] } else { &["unsafe {", "unsafe fn"] };
        for word in unsafe_words.iter().chain(&["SystemTime::now", "Instant::now", "Zoned::now", "Timestamp::now"]) {
            assert!(!text.contains(word), "{name} uses {word}");
        }
    }
}

/// Each `unsafe` block of the plugin boundary says who upholds what, in the comment right above it.
#[test]
fn every_unsafe_block_says_who_upholds_what() {
    for (name, text) in sources(&["rs"]) {
        if !BOUNDARY.contains(&name.as_str()) {
            continue;
        }
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        let blocks: Vec<usize> = (0..lines.len()).filter(|line| lines[*line].contains("unsafe {")).collect();
        assert!(!blocks.is_empty(), "{name}");
        for block in blocks {
            let comment = lines[..block].iter().rev().take_while(|line| line.starts_with("//"));
            assert!(comment.into_iter().any(|line| line.starts_with("// SAFETY:")), "{name}:{}", block + 1);
        }
    }
}

#[test]
fn files_are_named_after_what_they_define() {
    let vague = ["utils.rs", "util.rs", "common.rs", "helpers.rs", "misc.rs"];
    for (name, _) in sources(&["rs"]) {
        assert!(!vague.iter().any(|vague| name.ends_with(&format!("/{vague}"))), "{name} says nothing");
    }
}

/// Every module opens with what it is for.
#[test]
fn every_source_file_opens_with_its_purpose() {
    for (name, text) in sources(&["rs"]) {
        assert!(text.starts_with("//!"), "{name} does not open with a //! line");
    }
}

/// Crate boundaries: arrows point one way.
#[test]
fn dependencies_point_one_way() {
    let rules: &[(&str, &[&str])] = &[
        ("core/model/Cargo.toml", &[]),
        ("core/sdk/Cargo.toml", &["mateline-model"]),
        ("core/engine/Cargo.toml", &["mateline-model", "mateline-sdk"]),
        ("plugins/shared/boxes/Cargo.toml", &["mateline-model"]),
        ("plugins/shared/films/Cargo.toml", &["mateline-model"]),
        ("plugins/shared/layers/Cargo.toml", &["mateline-model", "mateline-films"]),
        ("plugins/shared/psychrometrics/Cargo.toml", &["mateline-model"]),
        ("reports/formats/Cargo.toml", &["mateline-model"]),
        ("rules/Cargo.toml", &[]),
    ];
    let check = |name: &str, text: &str, allowed: &[&str]| {
        let own = text.split("[dev-dependencies]").next().unwrap();
        for line in own.lines().filter(|line| line.starts_with("mateline-")) {
            let dependency = line.split(['.', ' ', '=']).next().unwrap();
            assert!(allowed.contains(&dependency), "{name} depends on {dependency}");
        }
    };
    for (name, text) in sources(&["toml"]) {
        if let Some((_, allowed)) = rules.iter().find(|(manifest, _)| *manifest == name) {
            check(&name, &text, allowed);
        } else if name.starts_with("plugins/") && name != "plugins/all/Cargo.toml" {
            let shared = ["mateline-boxes", "mateline-films", "mateline-layers", "mateline-psychrometrics"];
            check(&name, &text, &[&["mateline-model", "mateline-sdk"], &shared[..]].concat());
        }
    }
}

/// Messages to people: lower-case start, no full stop, no courtesy, nothing called invalid.
#[test]
fn messages_keep_their_form() {
    for (name, text) in sources(&["rs"]) {
        if name.starts_with("tests/") {
            continue;
        }
        let code = text.split("#[cfg(test)]").next().unwrap();
        for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
            for call in ["Diagnosis::new(", "refuse(&format!(\"", "PluginError(format!(\"", ".help(\""] {
                let Some((_, after)) = line.split_once(call) else { continue };
                let Some(message) = after.split('"').nth(usize::from(!call.ends_with('"'))) else { continue };
                let lower = message.to_lowercase();
                assert!(!lower.contains("please") && !lower.contains("invalid"), "{name}: {message}");
                assert!(!message.ends_with('.'), "{name}: '{message}' ends with a full stop");
            }
        }
    }
}

/// Help in a pack begins with a verb and says what a designer can do; titles are no sentences.
#[test]
fn rules_keep_their_form() {
    let engine = mateline_tests::engine();
    let verbs = [
        ">-", "Add", "Agree", "Air", "Ask", "Assign", "Bring", "Build", "Buy", "Carry", "Check", "Choose", "Close",
        "Compare", "Confirm", "Cover", "Consider", "Decide", "Declare", "Describe", "Draw", "Drop", "Enlarge", "Enter",
        "File", "Fill", "Give", "Improve", "Insulate", "Keep", "Lower", "Mark", "Move", "Name", "Narrow", "Order",
        "Place", "Plan", "Provide", "Put", "Raise", "Reduce", "Replace", "Run", "Seal", "Set", "Shorten", "Show",
        "Shrink", "Space", "Specify", "Stand", "State", "Test", "Thicken", "Use", "Widen",
    ];
    for (id, _) in engine.library() {
        let pack = engine.pack(id).unwrap_or_else(|bad| panic!("{bad}"));
        for rule in pack.rules.iter() {
            let first = rule.if_short.split([' ', ',']).next().unwrap_or_default();
            assert!(verbs.contains(&first), "{id}/{}: '{first}' is no verb of the list", rule.id);
            assert!(!rule.title.ends_with('.'), "{id}/{}: the title ends with a full stop", rule.id);
            let marks = ["looked up", "from memory", "common practice, no source", "derived"];
            assert!(
                marks.iter().any(|mark| rule.provenance.starts_with(mark)),
                "{id}/{}: {}",
                rule.id,
                rule.provenance
            );
            if rule.provenance.contains("med") || rule.provenance.contains("low") {
                let advice = rule.severity == mateline_model::Severity::Advice;
                assert!(advice, "{id}/{}: a limit that is not sure may only advise", rule.id);
            }
        }
    }
}

/// The README's job comes first, then the two commands; each command it shows exists.
#[test]
fn the_readme_says_what_is_so() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    assert!(readme.starts_with("# mateline\n\nmateline re-verifies a factory-built, low-energy home"));
    let commands: Vec<&str> = readme.lines().filter(|line| line.starts_with("cargo ")).collect();
    assert_eq!(commands[0], "cargo run --release -- check examples/heron-lane/home.yaml");
    assert_eq!(commands[1], "cargo test --workspace");
    // The firm pack of the README is a pack, and its examples hold.
    let block = readme.split("```yaml\n").nth(1).unwrap().split("```").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("firm.yaml");
    std::fs::write(&path, block).unwrap();
    let engine = mateline_tests::engine();
    let pack = engine.pack(path.to_str().unwrap()).unwrap_or_else(|bad| panic!("{bad}"));
    let results = mateline_engine::judge::run_examples(&pack, &engine.vocabulary());
    assert!(results.len() == 2 && results.iter().all(mateline_engine::judge::ExampleResult::holds), "{results:?}");
}
