//! What the documents say to type: each command is there, and each option belongs to it.

use super::{code, mateline, root, stdout};
use std::collections::BTreeMap;

const DOCUMENTS: [&str; 9] = [
    "README.md",
    "DEVELOPERS.md",
    "examples/README.md",
    "examples/ci/README.md",
    "examples/firm-folder/README.md",
    "examples/heron-lane/README.md",
    "examples/plugin-c/README.md",
    "examples/waiver/README.md",
    "plugins/example-acoustics/README.md",
];

/// What follows the program's name in lines to type and in text between backticks.
fn typed(text: &str) -> Vec<String> {
    let (mut fenced, mut found) = (false, Vec::new());
    let begins = ["cargo run --release -- ", "cargo run --release --features pdf -- ", "mateline "];
    let mut add = |text: &str| {
        let text = text.trim().trim_start_matches("$ ");
        found.extend(begins.iter().find_map(|begin| text.strip_prefix(begin)).map(str::to_owned));
    };
    let mut prose = String::new();
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        } else if fenced {
            add(line.split(" #").next().unwrap());
        } else {
            prose.push_str(line);
            prose.push(' ');
        }
    }
    prose.split('`').skip(1).step_by(2).for_each(add);
    found
}

/// Whether a help text lists a command.
fn lists(help: &str, command: &str) -> bool {
    help.lines().filter_map(|line| line.strip_prefix("  ")).any(|line| line.split(' ').next() == Some(command))
}

#[test]
fn every_command_and_option_in_the_documents_is_there() {
    let mut helps: BTreeMap<String, String> = BTreeMap::new();
    let mut help = |command: &str| {
        let ask = || {
            let words: Vec<&str> = command.split_whitespace().chain(["--help"]).collect();
            let output = mateline(&words);
            assert_eq!(code(&output), 0, "mateline {command} --help");
            stdout(&output)
        };
        helps.entry(command.to_owned()).or_insert_with(ask).clone()
    };
    let mut tried = 0;
    for document in DOCUMENTS {
        let text = std::fs::read_to_string(root().join(document)).unwrap();
        for line in typed(&text) {
            let words: Vec<&str> = line.split_whitespace().collect();
            // The program itself lists a command that is for mateline alone nowhere; such a one answers all the same.
            assert!(lists(&help(""), words[0]) || words[0] == "plugin-child", "{document}: no command '{}'", words[0]);
            let inner = words.get(1).filter(|word| lists(&help(words[0]), word));
            let command = inner.map_or_else(|| words[0].to_owned(), |inner| format!("{} {inner}", words[0]));
            let text = help(&command);
            for option in words.iter().filter_map(|word| word.strip_prefix("--")).filter(|word| !word.is_empty()) {
                let option = option.split('=').next().unwrap();
                let there = text.split([' ', ',', '\n']).any(|word| word.strip_prefix("--") == Some(option));
                assert!(there, "{document}: mateline {command} has no --{option}");
            }
            tried += 1;
        }
    }
    assert!(tried > 20, "{tried} commands were found");
}
