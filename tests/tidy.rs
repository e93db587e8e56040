//! Conventions that no compiler checks.

mod circles;

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
pub(crate) fn sources(endings: &[&str]) -> Vec<(String, String)> {
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

/// The two sides of the plugin boundary, and what holds a plugin's process on Windows; nothing else holds `unsafe` code.
const BOUNDARY: [&str; 4] = [
    "core/engine/src/host/job.rs",
    "core/engine/src/host/library.rs",
    "core/engine/src/host/token.rs",
    "core/sdk/src/abi.rs",
];

/// What is told by a clock and reaches no output: how long a browser's request may take, and how old something is that a
/// killed run left behind.
const CLOCKS: [&str; 2] = ["core/cli/src/live.rs", "reports/packets/src/folder.rs"];

#[test]
fn no_unsafe_code_and_no_clock() {
    for (name, text) in sources(&["rs"]) {
        if name.starts_with("tests/") {
            continue;
        }
        let unsafe_words: &[&str] = if BOUNDARY.contains(&name.as_str()) { &[] } else { &["unsafe {", "unsafe fn"] };
        let clocks: &[&str] = &["SystemTime::now", "Instant::now", "Zoned::now", "Timestamp::now"];
        let clocks = if CLOCKS.contains(&name.as_str()) { &[] } else { clocks };
        for word in unsafe_words.iter().chain(clocks) {
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

/// Functions of numbers whose last digit the system or the processor decides; `mateline_model::portable` has them otherwise.
const OF_THE_SYSTEM: [&str; 26] = [
    "powf", "powi", "exp", "exp2", "exp_m1", "ln", "ln_1p", "log", "log2", "log10", "cbrt", "hypot", "sin", "cos",
    "tan", "sin_cos", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh", "asinh", "acosh", "mul_add",
];

/// Files that still take them from the system.
const NOT_YET: [&str; 1] = ["plugins/example-acoustics/src/mass_law.rs"];

#[test]
fn no_calculation_depends_on_the_system() {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    for (name, text) in sources(&["rs"]) {
        let calculates = ["core/", "plugins/", "reports/", "rules/"].iter().any(|folder| name.starts_with(folder));
        if !calculates || !name.contains("/src/") || NOT_YET.contains(&name.as_str()) {
            continue;
        }
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for function in OF_THE_SYSTEM {
            let called = code.contains(&format!(".{function}("));
            let handed_over = code.split(&format!("f64::{function}")).skip(1).any(|rest| !rest.starts_with(is_word));
            assert!(!called && !handed_over, "{name} uses {function}: take it from mateline_model::portable");
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

/// Which folders the crates of a folder may depend on; the first line that fits counts. A `/` at the end means all below.
const ARROWS: [(&str, &[&str]); 14] = [
    ("core/units", &[]),
    ("core/equation", &["core/units"]),
    ("core/model", &["core/units"]),
    ("core/sdk", &["core/model"]),
    ("core/engine", &["core/model", "core/sdk"]),
    ("core/cli", &["core/", "plugins/all", "reports/", "rules"]),
    ("plugins/shared/", &["core/equation", "core/model", "core/sdk", "plugins/shared/"]),
    ("plugins/all", &["core/model", "core/sdk", "plugins/"]),
    ("plugins/", &["core/equation", "core/model", "core/sdk", "plugins/shared/"]),
    ("rules", &[]),
    ("reports/formats", &["core/model"]),
    ("reports/packets", &["core/model", "reports/formats"]),
    ("reports/pdf", &["core/model", "reports/formats", "reports/packets"]),
    ("tests", &["core/", "plugins/", "reports/", "rules"]),
];

/// Crate boundaries: arrows point one way, and every crate has its place.
#[test]
fn dependencies_point_one_way() {
    let fits = |pattern: &str, folder: &str| {
        if pattern.ends_with('/') { folder.starts_with(pattern) } else { folder == pattern }
    };
    let crates = crates();
    for (folder, _) in &crates {
        let place = ARROWS.iter().find(|(pattern, _)| fits(pattern, folder));
        let (_, allowed) = place.unwrap_or_else(|| panic!("no arrow says what {folder} may depend on"));
        for dependency in needs(folder) {
            let needed = crates.iter().find(|(_, name)| *name == dependency);
            let (needed, _) = needed.unwrap_or_else(|| panic!("{folder} depends on {dependency}, which is no crate"));
            assert!(allowed.iter().any(|pattern| fits(pattern, needed)), "{folder} depends on {needed}");
        }
    }
}

/// The crates of the project that a crate depends on, its tests aside.
fn needs(folder: &str) -> Vec<String> {
    let manifest = std::fs::read_to_string(root().join(folder).join("Cargo.toml")).unwrap();
    let (mut counts, mut found) = (false, Vec::new());
    for line in manifest.lines() {
        if line.starts_with('[') {
            counts = line.contains("dependencies") && !line.contains("dev-dependencies");
        } else if counts && line.starts_with("mateline-") {
            found.push(line.split(['.', ' ', '=']).next().unwrap().to_owned());
        }
    }
    found
}

/// Folder and name of each crate of the workspace.
pub(crate) fn crates() -> Vec<(String, String)> {
    let manifests = sources(&["toml"]).into_iter().filter_map(|(name, text)| {
        let folder = name.strip_suffix("/Cargo.toml")?;
        let own = text.contains("[package]") && !text.contains("[workspace]");
        let package = text.split("name = \"").nth(1)?.split('"').next()?;
        own.then(|| (folder.to_owned(), package.to_owned()))
    });
    manifests.collect()
}

/// What an editor or a merge leaves behind is no part of the project.
#[test]
fn nothing_is_left_over() {
    let mut found = Vec::new();
    files(&root(), &mut found);
    for path in found {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let left = [".orig", ".rej", ".bak", ".swp", ".tmp", "~"].iter().any(|ending| name.ends_with(ending));
        assert!(!left, "{} is left over", path.display());
    }
}

/// A file of tests that no binary names would never run.
#[test]
fn every_file_of_tests_is_run() {
    for (name, text) in sources(&["rs"]) {
        let Some(folder) = name.strip_suffix("/main.rs").filter(|folder| folder.contains("tests")) else { continue };
        // What stands in the library, is a binary of its own, or a benchmark.
        let library = std::fs::read_to_string(root().join(folder).join("lib.rs")).unwrap_or_default();
        let besides = ["main", "lib", "browser", "pdf", "bench"];
        for (other, _) in sources(&["rs"]) {
            let Some(file) = other.strip_prefix(&format!("{folder}/")).and_then(|file| file.strip_suffix(".rs")) else {
                continue;
            };
            let named = format!("mod {file};\n");
            let run = text.contains(&named) || library.contains(&named) || besides.contains(&file);
            assert!(run || file.contains('/'), "{name} has no 'mod {file};'");
        }
    }
}

/// Only the model's documentation holds examples that run: no other crate is searched for them.
#[test]
fn no_example_in_documentation_is_left_out() {
    for (name, text) in sources(&["rs"]) {
        let documents = text.lines().map(str::trim_start).filter_map(|line| {
            let line = line.strip_prefix("//!").or_else(|| line.strip_prefix("///"))?;
            line.trim().strip_prefix("```")
        });
        // Every second fence closes.
        for kind in documents.step_by(2) {
            assert!(name.starts_with("core/model/") || kind == "text", "{name}: the example ```{kind} would never run");
        }
    }
}

/// Who reads YAML, and who reads or writes files: the invariants of DEVELOPERS.md.
#[test]
fn yaml_and_files_are_touched_where_the_invariants_say() {
    let yaml = ["core/engine/src/load/tree.rs", "plugins/"];
    let disk = ["core/cli/", "core/engine/src/host/", "core/engine/src/load/", "reports/packets/src/folder.rs"];
    let disk = [&disk[..], &["reports/packets/src/verify.rs"]].concat();
    for (name, text) in sources(&["rs"]) {
        if name.starts_with("tests/") || name.contains("/tests") {
            continue;
        }
        let code = text.split("#[cfg(test)]").next().unwrap();
        let uses = |words: &[&str]| words.iter().any(|word| code.contains(word));
        let may = |places: &[&str]| places.iter().any(|place| name.starts_with(place));
        assert!(!uses(&["serde_yaml::"]) || may(&yaml), "{name} reads YAML");
        assert!(!uses(&["std::fs", "File::open", "tempfile::"]) || may(&disk), "{name} touches the disk");
        if name.starts_with("plugins/") && uses(&["serde_yaml::"]) {
            assert!(uses(&["include_str!("]), "{name} reads YAML that is not embedded");
        }
    }
}

/// The first text between a call's brackets.
fn first_text(call: &str) -> Option<&str> {
    let mut depth = 1;
    let mut letters = call.char_indices();
    while let Some((at, letter)) = letters.next() {
        match letter {
            '"' => return call[at + 1..].split_once('"').map(|(text, _)| text),
            '(' => depth += 1,
            ')' => depth -= 1,
            '\'' if call[at..].starts_with("'\"'") => letters.by_ref().take(2).for_each(drop),
            _ => {}
        }
        if depth == 0 {
            return None;
        }
    }
    None
}

/// Messages to people: lower-case start, no full stop, no courtesy, nothing called invalid.
#[test]
fn messages_keep_their_form() {
    let calls = ["Diagnosis::new(", "refuse(", "PluginError(", "Err(format!(", ".help("];
    let mut seen = 0;
    for (name, text) in sources(&["rs"]) {
        if name.starts_with("tests/") || name.contains("/tests") {
            continue;
        }
        let code: String = text.split("#[cfg(test)]").next().unwrap().to_owned();
        let code: Vec<&str> = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
        let code = code.join("\n");
        for call in calls {
            for (at, _) in code.match_indices(call) {
                let Some(message) = first_text(&code[at + call.len()..]) else { continue };
                seen += 1;
                let mut letters = message.chars();
                // A symbol or an abbreviation keeps its capital: U-factor, YAML.
                let sentence = letters.next().is_some_and(char::is_uppercase)
                    && letters.next().is_some_and(|second| second.is_lowercase() || second == ' ');
                assert!(!sentence, "{name}: '{message}' starts with a capital");
                let lower = message.to_lowercase();
                assert!(!lower.contains("please") && !lower.contains("invalid"), "{name}: {message}");
                assert!(!message.ends_with('.'), "{name}: '{message}' ends with a full stop");
            }
        }
    }
    assert!(seen > 100, "{seen} messages were found");
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
