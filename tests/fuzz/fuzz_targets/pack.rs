//! Any text as a rule pack: refused with reasons, or loaded.

#![no_main]

use libfuzzer_sys::fuzz_target;
use mateline_engine::load::{Fields, FirmWords, Project, Span};
use mateline_engine::pack::{Vocabulary, load_pack};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, LazyLock};

/// A folder of this process.
static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let folder = std::env::temp_dir().join(format!("mateline-fuzz-pack-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the pack");
    folder.canonicalize().expect("the folder is there")
});

fuzz_target!(|text: &str| {
    std::fs::write(FOLDER.join("office.yaml"), text).expect("the folder is writable");
    let quantities = Arc::new(BTreeMap::new());
    let vocabulary = Vocabulary { fields: Fields::of_home(), quantities: &quantities, firm: FirmWords::none() };
    let mut project = Project::at(&FOLDER);
    match load_pack("office.yaml", Span::start(0), &mut project, &[], &vocabulary) {
        Ok(pack) => assert!(!pack.id.is_empty()),
        Err(problems) => assert!(!problems.is_empty() && problems.iter().all(|problem| !problem.message.is_empty())),
    }
});
