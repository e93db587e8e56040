//! Finding homes: the files that were typed, and all homes of the folders that were.

use std::path::{Component, Path, PathBuf};

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
    /// The folder, where just that was typed.
    pub folder: Option<PathBuf>,
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
        let folder = match typed {
            [folder] if folder.is_dir() => Some(folder.clone()),
            _ => None,
        };
        Ok(Found { files, are_several, folder })
    }
}

/// The path of a file within a folder, with `/` between folders.
pub fn from_here_in(folder: &Path, file: &Path) -> String {
    let inside = file.strip_prefix(folder).unwrap_or(file);
    inside.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
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
pub fn from_here(path: &Path) -> String {
    let here = std::env::current_dir().ok();
    let inside = here.as_ref().and_then(|here| path.strip_prefix(here).ok()).unwrap_or(path);
    let plain: PathBuf = inside.components().filter(|part| !matches!(part, Component::CurDir)).collect();
    let text = plain.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' { text.into_owned() } else { text.replace(std::path::MAIN_SEPARATOR, "/") }
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
}
