//! `mateline new`

use crate::arguments::New;
use crate::exit::Exit;
use crate::output;
use std::path::Path;

/// What a new project holds: name and text of each file.
const PROJECT: &[(&str, &str)] = &[
    ("home.yaml", include_str!("../../../../examples/starter/home.yaml")),
    ("README.md", include_str!("../../../../examples/starter/README.md")),
];

/// What a firm's new folder holds.
const FIRM: &[(&str, &str)] = &[
    ("README.md", include_str!("../../firm/README.md")),
    ("packs/house-standard.yaml", include_str!("../../firm/packs/house-standard.yaml")),
    ("materials.yaml", include_str!("../../firm/materials.yaml")),
    ("rates.yaml", include_str!("../../firm/rates.yaml")),
    ("leakage.yaml", include_str!("../../firm/leakage.yaml")),
    ("reports/firm.css", include_str!("../../firm/reports/firm.css")),
    ("reports/firm.typ", include_str!("../../firm/reports/firm.typ")),
    ("reports/firm.html", include_str!("../../firm/reports/firm.html")),
    ("reports/letterhead.txt", include_str!("../../firm/reports/letterhead.txt")),
];

/// Lays out a new project, or with `--firm` a firm's folder.
pub fn run(new: &New, firm: Option<&Path>) -> Exit {
    match (&new.folder, firm) {
        (Some(folder), None) => {
            let next = format!("check it with\n  mateline check {}", below(folder, "home.yaml"));
            lay_out(
                folder,
                PROJECT,
                ("home.schema.json", &super::schema::with_names(mateline_engine::schemas::home)),
                &next,
            )
        }
        (None, Some(folder)) => {
            let next = format!(
                "test its rules with\n  mateline rules test house-standard --firm {folder}\nand judge a home by them \
                 with 'judge_by: [house-standard]' and\n  mateline check HOME.yaml --firm {folder}",
                folder = folder.display()
            );
            lay_out(folder, FIRM, ("pack.schema.json", &mateline_engine::schemas::pack()), &next)
        }
        (Some(_), Some(_)) => {
            output::refuse("'new' lays out a project or, with --firm, a firm's folder; name one of them")
        }
        (None, None) => output::refuse("name the folder of the new project, or with --firm that of a firm"),
    }
}

/// A file of the folder as it is shown: with `/` on every system, which every system reads.
fn below(folder: &Path, name: &str) -> String {
    format!("{}/{name}", folder.display().to_string().trim_end_matches('/'))
}

/// Writes files into a folder. An existing one is used only when it is empty.
fn lay_out(folder: &Path, files: &[(&str, &str)], schema: (&str, &str), next: &str) -> Exit {
    if folder.exists() {
        match std::fs::read_dir(folder).map(|mut entries| entries.next().is_none()) {
            Ok(true) => {}
            Ok(false) => return output::refuse(&format!("'{}' is not empty; name a new folder", folder.display())),
            Err(error) => return output::refuse(&format!("cannot use '{}': {error}", folder.display())),
        }
    }
    let all = || files.iter().copied().chain([schema]);
    for (name, text) in all() {
        let path = folder.join(name);
        let within = path.parent().unwrap_or(folder);
        if let Err(error) = std::fs::create_dir_all(within) {
            return output::refuse(&format!("cannot make '{}': {error}", within.display()));
        }
        // The schema lies beside the home, so that an editor finds it.
        let text = text.replace("$schema=../../schemas/home.schema.json", "$schema=home.schema.json");
        let exit = output::write_file(&path, &text);
        if exit != Exit::Done {
            return exit;
        }
    }
    let names: Vec<String> = all().map(|(name, _)| below(folder, name)).collect();
    output::print(&format!("wrote {}; {next}\n", names.join(", ")))
}
