//! A packet to its folder, whole or not at all: to a temporary folder beside it, which is then renamed.

use crate::OutFile;
use mateline_model::file_name;
use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// Why a packet was not written.
#[derive(Debug)]
pub enum FolderError {
    /// There is something in the folder already.
    NotEmpty(PathBuf),
    /// The path is a file.
    NotAFolder(PathBuf),
    /// A file's path would leave the folder.
    Leaves(String),
    /// A file's name is none on some system.
    Unsound(String),
    /// Two files' names differ in nothing but their case.
    Alike(String),
    /// The system said no.
    Io(PathBuf, io::Error),
}

impl fmt::Display for FolderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FolderError::NotEmpty(path) => write!(f, "'{}' is not empty; name a new folder", path.display()),
            FolderError::NotAFolder(path) => write!(f, "'{}' is not a folder; name a new folder", path.display()),
            FolderError::Leaves(path) => write!(f, "the file '{path}' would stand outside the packet"),
            FolderError::Unsound(fault) => write!(f, "a file of the packet cannot be written: {fault}; rename it"),
            FolderError::Alike(path) => {
                write!(f, "another file of the packet is called '{path}' but for upper and lower case; rename one")
            }
            FolderError::Io(path, error) => write!(f, "cannot write '{}': {error}", path.display()),
        }
    }
}

impl std::error::Error for FolderError {}

/// Whether a packet may be written there: the folder does not exist or is empty.
///
/// # Errors
/// When it may not.
pub fn is_free(folder: &Path) -> Result<(), FolderError> {
    match fs::symlink_metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(FolderError::Io(folder.to_owned(), error)),
        Ok(data) if !data.is_dir() => return Err(FolderError::NotAFolder(folder.to_owned())),
        Ok(_) => {}
    }
    let mut entries = fs::read_dir(folder).map_err(|error| FolderError::Io(folder.to_owned(), error))?;
    if entries.next().is_some() { Err(FolderError::NotEmpty(folder.to_owned())) } else { Ok(()) }
}

/// Writes the files.
///
/// # Errors
/// When the folder is in use, a path leaves it or the system refuses; then nothing is left behind.
pub fn write(folder: &Path, files: &[OutFile]) -> Result<(), FolderError> {
    is_free(folder)?;
    let mut names = BTreeSet::new();
    for OutFile { path, .. } in files {
        if let Some(fault) = file_name::fault(path) {
            return Err(FolderError::Unsound(fault));
        }
        if !names.insert(path.to_lowercase()) {
            return Err(FolderError::Alike(path.clone()));
        }
    }
    let fail = |error| FolderError::Io(folder.to_owned(), error);
    let parent = folder.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(parent).map_err(fail)?;
    clear_stale(parent, PREFIX);
    let beside = tempfile::Builder::new().prefix(PREFIX).tempdir_in(parent).map_err(fail)?;
    for file in files {
        let path = inside(&file.path).ok_or_else(|| FolderError::Leaves(file.path.clone()))?;
        let path = beside.path().join(path);
        let put = || -> io::Result<()> {
            if let Some(folder) = path.parent() {
                fs::create_dir_all(folder)?;
            }
            // Two files of one name are a fault; neither may replace the other.
            let mut out = fs::OpenOptions::new().write(true).create_new(true).open(&path)?;
            out.write_all(&file.bytes)?;
            out.sync_all()
        };
        put().map_err(|error| FolderError::Io(folder.join(&file.path), error))?;
    }
    readable(beside.path()).map_err(fail)?;
    if folder.exists() {
        fs::remove_dir(folder).map_err(fail)?;
    }
    // From here the temporary folder is the packet; it is removed by hand where it cannot be renamed.
    let beside = beside.keep();
    fs::rename(&beside, folder).map_err(|error| {
        let _ = fs::remove_dir_all(&beside);
        fail(error)
    })
}

/// What the name of a temporary folder begins with.
const PREFIX: &str = ".packet-";
/// How long nothing was done to a temporary file or folder whose run has been ended by force.
const STALE: Duration = Duration::from_secs(3_600);

/// Takes away what runs that were ended by force left in a folder: temporary files and folders of this prefix that
/// nobody has touched for an hour. What cannot be taken away stays.
pub fn clear_stale(folder: &Path, prefix: &str) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_str().is_some_and(|name| name.starts_with(prefix));
        let Ok(data) = entry.metadata() else { continue };
        let age = data.modified().ok().and_then(|then| SystemTime::now().duration_since(then).ok());
        if is_ours && age.is_some_and(|age| age > STALE) {
            let _ = if data.is_dir() { fs::remove_dir_all(entry.path()) } else { fs::remove_file(entry.path()) };
        }
    }
}

/// A temporary folder is its owner's only; a packet is readable like any other.
fn readable(folder: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755))
    }
    #[cfg(not(unix))]
    {
        let _ = folder;
        Ok(())
    }
}

/// The path below the folder; none where it would leave it, or be no path on some system.
pub(crate) fn inside(path: &str) -> Option<PathBuf> {
    let sound = |part: &str| !matches!(part, "" | "." | "..");
    (path.split('/').all(sound) && file_name::fault(path).is_none()).then(|| path.split('/').collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn file(path: &str) -> OutFile {
        OutFile { path: path.to_owned(), bytes: b"x".to_vec() }
    }

    #[test]
    fn nothing_is_left_where_a_file_cannot_be_written() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("packet");
        let pairs = [["a", "../b"], ["a", "/b"], ["a", "a"], ["a", "c:b"], ["a", "nul.csv"], ["b/c", "B/c"]];
        for wrong in pairs.map(|names| names.map(file)) {
            assert!(write(&folder, &wrong).is_err());
            assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0);
        }
        write(&folder, &[file("a"), file("b/c")]).unwrap();
        assert!(folder.join("b/c").is_file());
        assert!(matches!(write(&folder, &[file("a")]), Err(FolderError::NotEmpty(_))));
        assert!(matches!(write(&folder.join("a"), &[file("a")]), Err(FolderError::NotAFolder(_))));
    }

    #[test]
    fn what_a_killed_run_left_is_taken_away_and_nothing_else() {
        let place = tempfile::tempdir().unwrap();
        let long_ago = SystemTime::now() - 2 * STALE;
        for (name, when) in [(".packet-old", long_ago), (".packet-new", SystemTime::now()), ("packet-old", long_ago)] {
            let folder = place.path().join(name);
            fs::create_dir(&folder).unwrap();
            fs::write(folder.join("file"), "x").unwrap();
            fs::File::open(&folder).unwrap().set_modified(when).unwrap();
        }
        write(&place.path().join("packet"), &[file("a")]).unwrap();
        let mut left: Vec<_> = fs::read_dir(place.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        left.sort();
        assert_eq!(left, [".packet-new", "packet", "packet-old"]);
    }

    #[test]
    fn an_empty_folder_is_used() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("packet");
        fs::create_dir(&folder).unwrap();
        write(&folder, &[file("a")]).unwrap();
        assert!(folder.join("a").is_file());
    }
}
