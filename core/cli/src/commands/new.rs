//! `mateline new`

use crate::arguments::New;
use crate::exit::Exit;
use crate::output;
use std::path::Path;

/// What a new project holds: name and text of each file.
const FILES: &[(&str, &str)] = &[
    ("home.yaml", include_str!("../../../../examples/starter/home.yaml")),
    ("README.md", include_str!("../../../../examples/starter/README.md")),
];

/// Lays out a new project. An existing folder is used only when it is empty.
pub fn run(new: &New) -> Exit {
    let folder = &new.folder;
    if folder.exists() {
        match std::fs::read_dir(folder).map(|mut entries| entries.next().is_none()) {
            Ok(true) => {}
            Ok(false) => return output::refuse(&format!("'{}' is not empty; name a new folder", folder.display())),
            Err(error) => return output::refuse(&format!("cannot use '{}': {error}", folder.display())),
        }
    } else if let Err(error) = std::fs::create_dir_all(folder) {
        return output::refuse(&format!("cannot make '{}': {error}", folder.display()));
    }
    let schema = mateline_engine::schemas::home();
    let files = FILES.iter().map(|(name, text)| (*name, *text)).chain([("home.schema.json", schema.as_str())]);
    for (name, text) in files {
        // The schema lies beside the home, so that an editor finds it.
        let text = text.replace("$schema=../../schemas/home.schema.json", "$schema=home.schema.json");
        let exit = output::write_file(&folder.join(name), &text);
        if exit != Exit::Done {
            return exit;
        }
    }
    let home = folder.join("home.yaml");
    output::print(&format!("wrote {}; check it with\n  mateline check {}\n", list(folder), home.display()))
}

fn list(folder: &Path) -> String {
    let names = FILES.iter().map(|(name, _)| *name).chain(["home.schema.json"]);
    names.map(|name| folder.join(name).display().to_string()).collect::<Vec<_>>().join(", ")
}
