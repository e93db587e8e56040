//! Broken homes. Each file of `tests/bad` (or folder, for homes of several files) begins with the problems expected,
//! `# expect LINE:COLUMN MESSAGE`, every one of them and no other, in the order of the file.

use mateline_tests::{check_file, root};
use std::path::{Path, PathBuf};

/// The home files of the corpus.
fn corpus() -> Vec<PathBuf> {
    let mut homes: Vec<PathBuf> = std::fs::read_dir(root().join("tests/bad"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter_map(|path| if path.is_dir() { Some(path.join("home.yaml")) } else { is_yaml(&path).then_some(path) })
        .collect();
    homes.sort();
    homes
}

fn is_yaml(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension == "yaml")
}

/// `4:12 unknown key 'x'`, or `part.yaml:4:12 …` for a problem in another file than the home's own.
fn expected(path: &Path) -> Vec<String> {
    let text = std::fs::read(path).unwrap();
    let text = String::from_utf8_lossy(&text);
    text.lines().filter_map(|line| line.strip_prefix("# expect ")).map(str::to_owned).collect()
}

#[test]
fn every_broken_home_is_refused_with_its_message_and_place() {
    let homes = corpus();
    assert!(homes.len() >= 60, "the corpus has {} homes", homes.len());
    let mut wrong = Vec::new();
    for home in &homes {
        let name = home.file_name().unwrap().to_string_lossy().into_owned();
        let found: Vec<String> = match check_file(home) {
            Ok(_) => vec!["it was accepted".to_owned()],
            Err(bad) => bad
                .problems
                .iter()
                .map(|problem| {
                    let place = bad.place(problem.at);
                    let file = if place.file == name { String::new() } else { format!("{}:", place.file) };
                    format!("{file}{}:{} {}", place.line, place.column, problem.message)
                })
                .collect(),
        };
        let expected = expected(home);
        if found != expected || expected.is_empty() {
            wrong.push(format!("{}\n  expected {expected:#?}\n  found {found:#?}", home.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
