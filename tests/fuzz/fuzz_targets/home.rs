//! Any text as a home file: refused with reasons at places of the file, or loaded.

#![no_main]

use libfuzzer_sys::fuzz_target;
use mateline_engine::BadInput;
use mateline_engine::load::{Changes, Project, load_home};
use mateline_model::home::Elements;
use std::path::PathBuf;
use std::sync::LazyLock;

/// A folder of this process.
static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let folder = std::env::temp_dir().join(format!("mateline-fuzz-home-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the home");
    folder
});

fuzz_target!(|text: &str| {
    let path = FOLDER.join("home.yaml");
    std::fs::write(&path, text).expect("the folder is writable");
    let (project, file) = Project::of(&path).expect("the home is there");
    match load_home(project, file, &Elements::new(), None, None, None, Changes::default()) {
        Ok(loaded) => {
            assert!(!loaded.home.modules.is_empty());
            loaded.home.to_json().expect("what was read can be written");
        }
        Err(unusable) => {
            let bad = BadInput::new(unusable.problems, unusable.project.into_files());
            assert!(!bad.problems.is_empty() && bad.problems.len() <= 201);
            for problem in &bad.problems {
                let lines = bad.files.get(problem.at.file).map_or(0, |file| file.text.lines().count());
                assert!(!problem.message.is_empty() && problem.at.line as usize <= lines.max(1) + 1, "{problem:?}");
            }
        }
    }
});
