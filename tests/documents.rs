//! What the documents say of the project is so: its map, and the tests and benchmarks they name. What they say to type
//! on the command line is tried in `tests/cli/documents.rs`.

use crate::tidy::crates;
use mateline_tests::root;
use std::collections::BTreeSet;

fn developers() -> String {
    std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap()
}

/// The text between each pair of backticks.
fn quoted(line: &str) -> impl Iterator<Item = &str> {
    line.split('`').skip(1).step_by(2)
}

/// Each crate stands in the code map with its folder, and every folder that the map names is there.
#[test]
fn the_code_map_is_complete() {
    let text = developers();
    let map = text.split("## Code map").nth(1).unwrap().split("\n## ").next().unwrap();
    let rows: Vec<Vec<&str>> =
        map.lines().filter(|line| line.starts_with("| `")).map(|l| l.split('|').collect()).collect();
    let disciplines = |folder: &str| folder.starts_with("plugins/") && folder.matches('/').count() == 1;
    let mut mapped = BTreeSet::new();
    for row in &rows {
        let folder = quoted(row[1]).next().unwrap();
        if folder == "plugins/<name>" {
            continue;
        }
        let start = quoted(row[4]).next();
        assert!(root().join(folder).is_dir(), "the code map names {folder}, which is no folder");
        if let Some(start) = start {
            let found = ["", "src/"].iter().any(|source| root().join(folder).join(source).join(start).exists());
            assert!(found, "{folder} has no {start}");
        }
        mapped.extend(quoted(row[2]).next().map(|name| (folder.to_owned(), name.to_owned())));
    }
    for (folder, name) in crates() {
        let by_name = disciplines(&folder) && name == format!("mateline-{}", folder.trim_start_matches("plugins/"));
        assert!(mapped.contains(&(folder.clone(), name.clone())) || by_name, "the code map lacks {name} in {folder}");
    }
}

/// The file that adding a plugin names holds the list, and every discipline stands in it.
#[test]
fn every_discipline_is_in_the_list_of_plugins() {
    let list = "plugins/all/src/lib.rs";
    let text = developers();
    let section = text.split("## Add a plugin\n").nth(1).unwrap().split("\n## ").next().unwrap();
    assert!(section.contains(&format!("`{list}`")), "adding a plugin does not name {list}");
    let listed = std::fs::read_to_string(root().join(list)).unwrap();
    for (folder, name) in crates() {
        let discipline = folder.starts_with("plugins/") && folder.matches('/').count() == 1;
        if discipline && !["mateline-plugins", "mateline-example-acoustics"].contains(&name.as_str()) {
            assert!(listed.contains(&format!("{}::", name.replace('-', "_"))), "{list} lacks {name}");
        }
    }
}

/// Paths in backticks exist, where they name a file or folder of the project's own folders.
#[test]
fn every_path_in_the_documents_exists() {
    let tops = ["core/", "plugins/", "reports/", "rules/", "schemas/", "tests/", "examples/"];
    for document in ["DEVELOPERS.md", "README.md", "examples/README.md"] {
        let text = std::fs::read_to_string(root().join(document)).unwrap();
        let mut fenced = false;
        for line in text.lines() {
            fenced ^= line.starts_with("```");
            let paths = quoted(line).filter(|path| !fenced && tops.iter().any(|top| path.starts_with(top)));
            for path in paths.filter(|path| !path.contains(['*', '<', ' ', '{', ':'])) {
                assert!(root().join(path).exists(), "{document} names {path}, which is not there");
            }
        }
    }
}

/// `cargo test -p CRATE module::`, `cargo bench -p CRATE --bench NAME` and their like name what is there.
#[test]
fn every_cargo_command_in_the_documents_names_what_is_there() {
    let crates = crates();
    let mut tried = 0;
    for document in ["DEVELOPERS.md", "README.md", "plugins/example-acoustics/README.md"] {
        let text = std::fs::read_to_string(root().join(document)).unwrap().replace('\n', " ");
        for command in text.split("cargo ").skip(1) {
            let words: Vec<&str> = command.split('`').next().unwrap().split_whitespace().collect();
            let after = |flag: &str| words.iter().position(|word| *word == flag).and_then(|at| words.get(at + 1));
            let Some(package) = after("-p").filter(|_| ["test", "bench", "build"].contains(&words[0])) else {
                continue;
            };
            let (folder, _) = crates.iter().find(|(_, name)| name == package).unwrap_or_else(|| panic!("no {package}"));
            let manifest = std::fs::read_to_string(root().join(folder).join("Cargo.toml")).unwrap();
            for flag in ["--test", "--bench", "--example"] {
                let Some(target) = after(flag) else { continue };
                assert!(manifest.contains(&format!("name = \"{target}\"")), "{document}: {package} has no {target}");
            }
            if let Some(module) = words.iter().find_map(|word| word.strip_suffix("::")) {
                let short = package.trim_start_matches("mateline-");
                let files = [format!("{folder}/{module}.rs"), format!("{folder}/tests/{short}/{module}.rs")];
                assert!(files.iter().any(|file| root().join(file).exists()), "{document}: {package} has no {module}::");
            }
            tried += 1;
        }
    }
    assert!(tried > 4, "{tried} commands were found");
}
