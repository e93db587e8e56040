//! The homes of a run: finding them in folders, checking them side by side, and how each one ends the run.

use crate::arguments::When;
use crate::exit::Exit;
use crate::output;
use mateline_engine::{BadInput, Engine, Options};
use mateline_reports::CheckedHome;
use rayon::prelude::*;
use std::path::{Component, Path, PathBuf};
use std::sync::Mutex;

/// Homes one run may have.
const MAX_HOMES: usize = 10_000;
/// How deep folders are searched.
const MAX_DEPTH: usize = 32;
/// What a home file is called where only its folder is named.
const NAMES: [&str; 2] = ["home.yaml", "home.yml"];

/// The homes that were named.
#[derive(Debug, PartialEq, Eq)]
pub struct Found {
    /// Their files.
    pub files: Vec<PathBuf>,
    /// Whether the report is one of several homes: also for a folder that happens to hold one.
    pub are_several: bool,
}

impl Found {
    /// The files that were typed, and all homes of the folders that were.
    ///
    /// # Errors
    /// A sentence: a folder holds no home, too many, or cannot be read.
    pub fn of(typed: &[PathBuf]) -> Result<Found, String> {
        let mut files: Vec<PathBuf> = Vec::new();
        for path in typed {
            if path.is_dir() {
                let before = files.len();
                search(path, 0, &mut files)?;
                if files.len() == before {
                    return Err(format!("'{}' holds no file called {}", path.display(), NAMES.join(" or ")));
                }
            } else {
                files.push(path.clone());
            }
        }
        let are_several = typed.len() > 1 || typed.iter().any(|path| path.is_dir());
        let mut seen = Vec::new();
        files.retain(|file| {
            let name = from_here(file);
            let is_new = !seen.contains(&name);
            seen.push(name);
            is_new
        });
        Ok(Found { files, are_several })
    }
}

/// Adds the homes of a folder in the order of their names. Hidden folders and links to folders are left out.
fn search(folder: &Path, depth: usize, files: &mut Vec<PathBuf>) -> Result<(), String> {
    let unreadable = |error: std::io::Error| format!("cannot read '{}': {error}", folder.display());
    if depth > MAX_DEPTH {
        return Err(format!(
            "'{}' lies more than {MAX_DEPTH} folders deep; name a folder nearer to it",
            folder.display()
        ));
    }
    let mut entries = std::fs::read_dir(folder).and_then(Iterator::collect::<Result<Vec<_>, _>>).map_err(unreadable)?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    let kind = |entry: &std::fs::DirEntry| entry.file_type().map_err(unreadable);
    for entry in &entries {
        if NAMES.iter().any(|name| entry.file_name() == *name) && !kind(entry)?.is_dir() {
            files.push(entry.path());
            if files.len() > MAX_HOMES {
                return Err(format!("there are more than {MAX_HOMES} homes; name a smaller folder"));
            }
        }
    }
    for entry in &entries {
        if kind(entry)?.is_dir() && !entry.file_name().to_string_lossy().starts_with('.') {
            search(&entry.path(), depth + 1, files)?;
        }
    }
    Ok(())
}

/// A path as it is reached from the current folder, with `/` between folders; one elsewhere as it was typed.
fn from_here(path: &Path) -> String {
    let here = std::env::current_dir().ok();
    let inside = here.as_ref().and_then(|here| path.strip_prefix(here).ok()).unwrap_or(path);
    let plain: PathBuf = inside.components().filter(|part| !matches!(part, Component::CurDir)).collect();
    let text = plain.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' { text.into_owned() } else { text.replace(std::path::MAIN_SEPARATOR, "/") }
}

/// Checks all homes, as many at a time as there are threads. The results stand in the order of the files; what is wrong
/// with a home that cannot be used is shown on the error stream in the same order.
pub fn check(engine: &Engine, found: &Found, options: &Options, colour: When) -> Vec<CheckedHome> {
    let total = found.files.len();
    let done = Mutex::new(0_usize);
    let tell = |file: &str| {
        let mut done = done.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        *done += 1;
        if found.are_several {
            output::progress(&progress_line(*done, total, file));
        }
    };
    match found.files.first() {
        Some(only) if !found.are_several => output::progress(&format!("checking {}", only.display())),
        _ => {}
    }
    let results: Vec<(CheckedHome, Option<BadInput>)> = found
        .files
        .par_iter()
        .map(|path| {
            let file = from_here(path);
            let checked = match engine.check(path, options) {
                Ok(report) => (CheckedHome { file: file.clone(), result: Ok(report) }, None),
                Err(bad) => {
                    let bad = named(bad, path);
                    let problems = output::input_problems(&bad);
                    (CheckedHome { file: file.clone(), result: Err(problems) }, Some(bad))
                }
            };
            tell(&file);
            checked
        })
        .collect();
    output::progress("");
    let show = |(home, bad): (CheckedHome, Option<BadInput>)| {
        if let Some(mut bad) = bad {
            if found.are_several {
                let folder = home.file.rsplit_once('/').map_or(String::new(), |(folder, _)| format!("{folder}/"));
                bad.files.iter_mut().for_each(|file| file.name = format!("{folder}{}", file.name));
            }
            output::bad_input(&bad, colour);
        }
        home
    };
    results.into_iter().map(show).collect()
}

/// The problems of a home whose files are all named from its folder; one that cannot be read is named as it was typed.
fn named(mut bad: BadInput, typed: &Path) -> BadInput {
    let typed_name = typed.display().to_string();
    let alone = typed.file_name().map_or_else(|| typed_name.clone(), |name| name.to_string_lossy().into_owned());
    bad.files.iter_mut().filter(|file| file.name == typed_name).for_each(|file| file.name.clone_from(&alone));
    bad
}

fn progress_line(done: usize, total: usize, file: &str) -> String {
    const WIDTH: usize = 24;
    let filled = (done * WIDTH).checked_div(total).unwrap_or(0);
    let safe: String = file.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(60).collect();
    format!("checked {done} of {total} [{}{}] {safe}", "#".repeat(filled), " ".repeat(WIDTH.saturating_sub(filled)))
}

/// How a home ends the run for CI.
pub fn ended(home: &CheckedHome) -> Exit {
    match &home.result {
        Err(_) => Exit::BadInput,
        Ok(report) if report.plugin_failed() => Exit::Failed,
        Ok(report) if report.fails() => Exit::Short,
        Ok(_) => Exit::Done,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn homes_are_found_in_the_order_of_their_names() {
        let folder = tempfile::tempdir().unwrap();
        for file in ["b/home.yaml", "a/home.yml", "a/c/home.yaml", "a/other.yaml", ".git/home.yaml", "home.yaml"] {
            let path = folder.path().join(file);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "").unwrap();
        }
        let found = Found::of(&[folder.path().to_owned()]).unwrap();
        let names: Vec<_> = found.files.iter().map(|file| file.strip_prefix(folder.path()).unwrap()).collect();
        assert_eq!(names, ["home.yaml", "a/home.yml", "a/c/home.yaml", "b/home.yaml"].map(Path::new));
        assert!(found.are_several);
        let twice = Found::of(&[folder.path().join("b/home.yaml"), folder.path().join("./b/home.yaml")]).unwrap();
        assert_eq!((twice.files.len(), twice.are_several), (1, true));
        let one = Found::of(&[folder.path().join("nosuch.yaml")]).unwrap();
        assert_eq!((one.files.len(), one.are_several), (1, false));
        std::fs::create_dir(folder.path().join("empty")).unwrap();
        let refused = Found::of(&[folder.path().join("empty")]).unwrap_err();
        assert!(refused.ends_with("holds no file called home.yaml or home.yml"), "{refused}");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_a_folder_is_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("home.yaml"), "").unwrap();
        std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).unwrap();
        assert_eq!(Found::of(&[folder.path().to_owned()]).unwrap().files.len(), 1);
    }

    #[test]
    fn a_path_is_named_from_the_current_folder() {
        let here = std::env::current_dir().unwrap();
        assert_eq!(from_here(Path::new("./a/./home.yaml")), "a/home.yaml");
        assert_eq!(from_here(&here.join("a/home.yaml")), "a/home.yaml");
        assert_eq!(from_here(Path::new("../a/home.yaml")), "../a/home.yaml");
        assert_eq!(from_here(Path::new("/elsewhere/home.yaml")), "/elsewhere/home.yaml");
    }

    #[test]
    fn the_line_of_progress_fits_a_terminal_and_moves_nothing() {
        let line = progress_line(3, 12, &format!("a\u{1b}[2J{}", "x".repeat(200)));
        assert!(line.starts_with("checked 3 of 12 [######                  ] a\u{fffd}[2J"), "{line}");
        assert!(line.chars().count() < 120 && line.chars().all(|c| !c.is_control()));
    }
}
