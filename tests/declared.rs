//! What a plugin declares to read is what its sources read, and all it needs.

use mateline_engine::schemas::Known;
use mateline_model::home::READABLE;
use mateline_sdk::{Declaration, Findings, Request};
use mateline_tests::{check_file, engine, example, root};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The sources of a crate under `plugins/`, without comments and near tests.
fn sources(crate_folder: &Path) -> String {
    let mut files = Vec::new();
    rust_files(&crate_folder.join("src"), &mut files);
    let text = |file: &PathBuf| std::fs::read_to_string(file).unwrap();
    let product = |text: String| text.split("#[cfg(test)]\nmod tests").next().unwrap().to_owned();
    let code =
        |text: String| text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    files.iter().map(|file| code(product(text(file)))).collect::<Vec<_>>().join("\n")
}

/// The texts in quotes and the code between them.
fn texts_and_code(sources: &str) -> (Vec<&str>, String) {
    let (mut texts, mut code, mut rest) = (Vec::new(), String::new(), sources);
    while let Some((before, after)) = rest.split_once('"') {
        code.push_str(before);
        rest = after;
        if before.ends_with('\'') && after.starts_with('\'') {
            continue;
        }
        let mut escaped = false;
        let ends = |c: char| {
            let end = c == '"' && !escaped;
            escaped = c == '\\' && !escaped;
            end
        };
        let end = if before.ends_with("r#") { after.find("\"#") } else { after.find(ends) };
        let (text, after) = after.split_at(end.expect("a text that is opened is closed"));
        texts.push(text);
        rest = &after[1..];
    }
    (texts, code + rest)
}

/// Sections named after `home.` in code, wherever the line breaks.
fn sections_in(code: &str) -> BTreeSet<&str> {
    let mut found = BTreeSet::new();
    for (place, _) in code.match_indices("home") {
        let Some(rest) = code[place + 4..].trim_start().strip_prefix('.') else { continue };
        let word = rest.trim_start().split(|c: char| !c.is_ascii_alphanumeric() && c != '_').next().unwrap();
        found.extend(READABLE.iter().copied().filter(|section| *section == word));
    }
    found
}

/// Namespaces of the quantities named in texts, but for its own.
fn namespaces_in(texts: &[&str], own: &str) -> BTreeSet<String> {
    let vocabulary = engine().vocabulary();
    let quantity = |text: &&&str| vocabulary.quantities.contains_key(**text);
    let namespaces = texts.iter().filter(quantity).filter_map(|name| name.split_once('.'));
    namespaces.map(|(namespace, _)| namespace.to_owned()).filter(|namespace| namespace != own).collect()
}

/// The libraries below the plugins that a crate depends on.
fn shared(crate_folder: &Path) -> Vec<PathBuf> {
    let manifest = std::fs::read_to_string(crate_folder.join("Cargo.toml")).unwrap();
    let libraries = std::fs::read_dir(root().join("plugins/shared")).unwrap().map(|entry| entry.unwrap().path());
    let is_used = |folder: &PathBuf| {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        manifest.lines().any(|line| line.starts_with(&format!("mateline-{name}")))
    };
    libraries.filter(is_used).collect()
}

/// What a plugin's sources read and do not declare, or declare and nowhere read.
fn amiss(declaration: &Declaration) -> Vec<String> {
    let folder = root().join("plugins").join(declaration.name);
    let own = sources(&folder);
    let with_libraries =
        shared(&folder).iter().map(|folder| sources(folder)).fold(own.clone(), |all, one| all + "\n" + &one);
    let (texts, code) = texts_and_code(&own);
    let (all_texts, all_code) = texts_and_code(&with_libraries);
    let mut amiss = Vec::new();
    let declared: BTreeSet<&str> = declaration.sections.iter().copied().collect();
    amiss.extend(sections_in(&code).difference(&declared).map(|section| format!("does not declare home.{section}")));
    amiss.extend(declared.difference(&sections_in(&all_code)).map(|section| format!("never reads home.{section}")));
    let declared: BTreeSet<String> = declaration.reads.iter().map(|read| (*read).to_owned()).collect();
    let (read, all_read) = (namespaces_in(&texts, declaration.name), namespaces_in(&all_texts, declaration.name));
    amiss.extend(read.difference(&declared).map(|read| format!("does not declare the facts of {read}")));
    amiss.extend(declared.difference(&all_read).map(|read| format!("never reads the facts of {read}")));
    amiss
}

#[test]
fn plugins_declare_what_their_sources_read() {
    for plugin in mateline_plugins::built_in() {
        let declaration = plugin.declaration();
        assert_eq!(amiss(&declaration), [] as [String; 0], "{}", declaration.name);
        let unsound = Declaration { sections: &["waivers"], reads: &["none"], ..declaration };
        assert!(amiss(&unsound).len() >= 3, "the check tells a wrong declaration of {}", unsound.name);
    }
}

/// The whole home and all facts, calculations included, change nothing of what a plugin finds.
#[test]
fn what_is_not_declared_changes_nothing() {
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        for plugin in mateline_plugins::built_in_with(mateline_tests::shelf()) {
            let declaration = plugin.declaration();
            let (home, facts) = (report.home.only(declaration.sections), report.facts.of_namespaces(declaration.reads));
            let whole =
                plugin.run(&Request { home: &report.home, facts: &report.facts, settings: &[], shown: true }).unwrap();
            let part = plugin.run(&Request { home: &home, facts: &facts, settings: &[], shown: true }).unwrap();
            let same = format!("{whole:?}") == format!("{part:?}");
            assert!(same, "{} of {name} depends on what it does not declare", declaration.name);
        }
    }
}

/// Where nobody will see figures there are none, and nothing else is another.
#[test]
fn figures_that_nobody_sees_are_left_out_and_nothing_else() {
    let mut drawn = 0;
    for name in ["heron-lane", "sparrow-court"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        for plugin in mateline_plugins::built_in_with(mateline_tests::shelf()) {
            let request = Request { home: &report.home, facts: &report.facts, settings: &[], shown: true };
            let shown = plugin.run(&request).unwrap();
            let tried = plugin.run(&Request { shown: false, ..request }).unwrap();
            drawn += shown.figures.len();
            let named = plugin.declaration().name;
            assert_eq!(tried.figures.len(), 0, "{named} draws for nobody");
            let rest = |found: Findings| format!("{:?}", Findings { figures: Vec::new(), ..found });
            assert_eq!(rest(shown), rest(tried), "{named} of {name} finds another thing where nobody sees figures");
        }
    }
    assert!(drawn > 40, "{drawn} figures");
}

/// A field that is added to the home is either the head, or may be declared, or is named here as no plugin's business.
#[test]
fn every_part_of_a_home_is_seen_by_rule() {
    let schema: serde_json::Value = serde_json::from_str(&mateline_engine::schemas::home(Known::default())).unwrap();
    let others = [
        "home",
        "units",
        "revision",
        "issues",
        "include",
        "firm",
        "judge_by",
        "parameters",
        "plugins",
        "waivers",
        "own",
        "levers",
    ];
    let parts: BTreeSet<&str> = schema["properties"].as_object().unwrap().keys().map(String::as_str).collect();
    assert_eq!(parts, READABLE.iter().copied().chain(others).collect());
}
