//! One side of a comparison: a file, a folder, or `REVISION:path` of the git repository around the current folder.
//!
//! Of a revision the YAML files of the home's folder, and small records beside them, are copied into a private folder
//! that goes away with the comparison. Nothing is written to the repository, nothing is fetched, no hook runs, and no
//! library of a third-party plugin is taken out of a revision: what nobody has checked out does not run.

use mateline_engine::BadInput;
use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Error, ErrorKind, Read, Write};
use std::path::{Component, Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// Files copied out of one revision.
const MAX_FILES: usize = 1_000;
/// Bytes copied out of one revision.
const MAX_BYTES: u64 = 256 * 1024 * 1024;
/// Bytes of a record that is still copied.
const MAX_RECORD: u64 = 16 * 1024 * 1024;
/// Bytes of a listing that git may hand over.
const MAX_LISTING: u64 = 64 * 1024 * 1024;
/// The home file of a folder.
const HOME: &str = "home.yaml";

/// One side of a comparison.
#[derive(Debug)]
pub struct Side {
    /// The home file.
    pub home: PathBuf,
    /// What to write before the names of its files so that a reader knows the side: `v1:homes/heron-lane/`.
    pub prefix: String,
    /// Keeps the copied files until the comparison is done.
    _copied: Option<TempDir>,
}

impl Side {
    /// The problems of the side, with files named as they were typed: both sides have a `home.yaml`.
    pub fn named(&self, mut bad: BadInput) -> BadInput {
        bad.files.iter_mut().for_each(|file| file.name = format!("{}{}", self.prefix, file.name));
        bad
    }
}

/// Finds what was typed. What is there as a file or folder is that; anything else with a colon is a revision.
///
/// # Errors
/// A sentence that says what is not there.
pub fn side(typed: &Path) -> Result<Side, String> {
    let text = typed.to_string_lossy();
    if typed.is_dir() {
        let home = typed.join(HOME);
        if !home.is_file() {
            return Err(format!("the folder '{text}' has no {HOME}"));
        }
        return Ok(Side { prefix: folder_of(&home), home, _copied: None });
    }
    if typed.exists() {
        return Ok(Side { prefix: folder_of(typed), home: typed.to_owned(), _copied: None });
    }
    match text.split_once(':') {
        Some((revision, path)) => of_revision(revision, path),
        None => Err(format!("cannot read '{text}': there is no such file or folder, and it is not REVISION:path")),
    }
}

/// A folder that holds the homes of a project, each in a folder of its own: of the disk, or of a revision.
#[derive(Debug)]
pub enum Homes {
    /// A folder of the disk.
    Folder(PathBuf),
    /// A folder of a commit: the revision as it was typed, and the path from the top of the repository.
    Revision(String, String),
}

impl Homes {
    /// What was typed, where it is a folder without a home of its own.
    ///
    /// # Errors
    /// A sentence: the revision cannot be read.
    pub fn of(typed: &Path) -> Result<Option<Homes>, String> {
        if typed.exists() {
            let holds = typed.is_dir() && !typed.join(HOME).is_file();
            return Ok(holds.then(|| Homes::Folder(typed.to_owned())));
        }
        let text = typed.to_string_lossy();
        let Some((revision, path)) = text.split_once(':') else { return Ok(None) };
        let (commit, path) = commit(revision, path)?;
        let kind = |path: &str| git(["cat-file", "-t", &format!("{commit}:{path}")]).map(Result::ok);
        let own = if path.is_empty() { HOME.to_owned() } else { format!("{path}/{HOME}") };
        let holds = kind(&path)?.as_deref() == Some(b"tree\n") && kind(&own)?.is_none();
        Ok(holds.then(|| Homes::Revision(revision.to_owned(), path)))
    }

    /// The homes in it, by their paths within it, in order.
    ///
    /// # Errors
    /// A sentence: there are none, or they cannot be listed.
    pub fn list(&self) -> Result<Vec<String>, String> {
        match self {
            Homes::Folder(folder) => {
                let found = crate::found::Found::of(std::slice::from_ref(folder))?;
                Ok(found.files.iter().map(|file| crate::found::from_here_in(folder, file)).collect())
            }
            Homes::Revision(revision, path) => {
                let (commit, path) = commit(revision, path)?;
                let listing = git(["ls-tree", "-r", "-z", "-l", "--full-tree", &format!("{commit}:{path}")])?;
                let listing =
                    listing.map_err(|said| format!("cannot list '{path}' of revision '{revision}': {said}"))?;
                let files = listing.split(|byte| *byte == 0).filter_map(blob).map(|blob| blob.name);
                let homes = files.filter(|name| name.file_name().is_some_and(|name| name == HOME));
                let mut names: Vec<String> =
                    homes.map(|name| crate::found::from_here_in(Path::new(""), &name)).collect();
                names.sort();
                if names.is_empty() {
                    return Err(format!("'{path}' of revision '{revision}' holds no file called {HOME}"));
                }
                Ok(names)
            }
        }
    }

    /// The home at a path within the folder; none where there is none.
    ///
    /// # Errors
    /// A sentence: the revision cannot be read.
    pub fn home(&self, within: &str) -> Result<Option<Side>, String> {
        match self {
            Homes::Folder(folder) => {
                let home = folder.join(within);
                home.is_file().then(|| side(&home)).transpose()
            }
            Homes::Revision(revision, path) => {
                let slash = if path.is_empty() { "" } else { "/" };
                let home = format!("{path}{slash}{within}");
                let (commit, home) = commit(revision, &home)?;
                let kind = git(["cat-file", "-t", &format!("{commit}:{home}")])?.ok();
                (kind.as_deref() == Some(b"blob\n")).then(|| of_revision(revision, &home)).transpose()
            }
        }
    }
}

/// The folder of a file as a reader sees it, with its slash; empty for the current folder.
fn folder_of(home: &Path) -> String {
    let folder = home.parent().map(|folder| folder.display().to_string()).unwrap_or_default();
    if folder.is_empty() || folder.ends_with('/') { folder } else { format!("{folder}/") }
}

/// The firm's folder of the earlier side: a folder, or `REVISION:path` of one.
///
/// # Errors
/// A sentence that says what is not there.
pub fn firm(typed: &Path) -> Result<Side, String> {
    if typed.is_dir() {
        return Ok(Side { prefix: String::new(), home: typed.to_owned(), _copied: None });
    }
    let text = typed.to_string_lossy();
    let Some((revision, path)) = text.split_once(':') else {
        return Err(format!("cannot read '{text}': there is no such folder, and it is not REVISION:path"));
    };
    let (commit, path) = commit(revision, path)?;
    if git(["cat-file", "-t", &format!("{commit}:{path}")])?.ok().as_deref() != Some(b"tree\n") {
        return Err(format!("revision '{revision}' has no folder '{path}'"));
    }
    let copied = copied(revision, &commit, &path, None)?;
    Ok(Side { home: copied.path().to_owned(), prefix: format!("{revision}:{path}/"), _copied: Some(copied) })
}

/// The commit of a revision, and a path from the top of the repository.
fn commit(revision: &str, path: &str) -> Result<(String, String), String> {
    if revision.is_empty() || revision.starts_with('-') {
        return Err(format!("'{revision}' before the colon of '{revision}:{path}' is no revision"));
    }
    let here = git(["rev-parse", "--show-prefix"])?
        .map_err(|said| format!("no git repository is around this folder: {said}"))?;
    let path = from_the_top(path, String::from_utf8_lossy(&here).trim_end())
        .ok_or_else(|| format!("the path in '{revision}:{path}' leads out of the repository"))?;
    let commit = git(["rev-parse", "--verify", "--quiet", &format!("{revision}^{{commit}}")])?.map_err(|_| {
        format!("the repository has no revision '{revision}'; fetch it first where the clone does not hold everything")
    })?;
    Ok((String::from_utf8_lossy(&commit).trim_end().to_owned(), path))
}

fn of_revision(revision: &str, path: &str) -> Result<Side, String> {
    let (commit, path) = commit(revision, path)?;
    let kind = |path: &str| git(["cat-file", "-t", &format!("{commit}:{path}")]).map(Result::ok);
    let path = match kind(&path)?.as_deref() {
        Some(b"tree\n") if path.is_empty() => HOME.to_owned(),
        Some(b"tree\n") => format!("{path}/{HOME}"),
        _ => path,
    };
    if kind(&path)?.as_deref() != Some(b"blob\n") {
        let hint = "paths are from the top of the repository, with ./ from here";
        return Err(format!("revision '{revision}' has no '{path}' ({hint})"));
    }
    let (folder, name) = path.rsplit_once('/').unwrap_or(("", &path));
    let copied = copied(revision, &commit, folder, Some(name))?;
    let slash = if folder.is_empty() { "" } else { "/" };
    Ok(Side { home: copied.path().join(name), prefix: format!("{revision}:{folder}{slash}"), _copied: Some(copied) })
}

/// A copy of what a check reads of a folder of a revision; with the home file of this name, where there is to be one.
fn copied(revision: &str, commit: &str, folder: &str, home: Option<&str>) -> Result<TempDir, String> {
    let listing = git(["ls-tree", "-r", "-z", "-l", "--full-tree", &format!("{commit}:{folder}")])?;
    let listing = listing.map_err(|said| format!("cannot list '{folder}' of revision '{revision}': {said}"))?;
    let path = [folder, home.unwrap_or_default()].iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>();
    let path = path.join("/");
    let wanted = wanted(&listing, home).map_err(|why| format!("'{path}' of revision '{revision}': {why}"))?;
    copy(&wanted).map_err(|error| format!("cannot read '{path}' of revision '{revision}': {error}"))
}

/// A path from the top of the repository: `./x` and `../x` are from the current folder, anything else from the top.
fn from_the_top(path: &str, here: &str) -> Option<String> {
    let relative = path == "." || path == ".." || path.starts_with("./") || path.starts_with("../");
    let mut steps: Vec<&str> = Vec::new();
    for step in if relative { here.split('/').chain(path.split('/')) } else { "".split('/').chain(path.split('/')) } {
        match step {
            "" | "." => {}
            ".." => {
                steps.pop()?;
            }
            step => steps.push(step),
        }
    }
    Some(steps.join("/"))
}

/// A file of a revision.
#[derive(Debug, PartialEq, Eq)]
struct Blob {
    name: PathBuf,
    object: String,
    size: u64,
}

/// The files of a listing that are copied: all YAML files and tables, then records as long as there is room. Links, other
/// repositories and hidden folders are left out.
fn wanted(listing: &[u8], home: Option<&str>) -> Result<Vec<Blob>, String> {
    let mut found: Vec<Blob> = listing.split(|byte| *byte == 0).filter_map(blob).collect();
    let is_home = |blob: &Blob| home.is_some_and(|home| blob.name == Path::new(home));
    if home.is_some() && !found.iter().any(is_home) {
        return Err("it is not a plain file".to_owned());
    }
    found.sort_by_key(|blob| (!is_yaml(blob), blob.name.clone()));
    let yaml = found.iter().filter(|blob| is_yaml(blob) || is_home(blob));
    let (files, bytes) = yaml.fold((0, 0u64), |(files, bytes), blob| (files + 1, bytes.saturating_add(blob.size)));
    if files > MAX_FILES || bytes > MAX_BYTES {
        let mebibytes = MAX_BYTES / 1024 / 1024;
        return Err(format!("its folder has more than {MAX_FILES} YAML files, or more than {mebibytes} MiB of them"));
    }
    let (mut files, mut bytes) = (0, 0u64);
    found.retain(|blob| {
        let must = is_yaml(blob) || is_home(blob);
        let fits = files < MAX_FILES && bytes.saturating_add(blob.size) <= MAX_BYTES && blob.size <= MAX_RECORD;
        if must || fits {
            files += 1;
            bytes = bytes.saturating_add(blob.size);
        }
        must || fits
    });
    Ok(found)
}

fn is_yaml(blob: &Blob) -> bool {
    blob.name.extension().and_then(OsStr::to_str).is_some_and(|ending| matches!(ending, "yaml" | "yml" | "csv"))
}

/// A line of the listing: `100644 blob OBJECT SIZE`, a tab and the name. `None` for what is no plain file or has a name
/// that is not safe to write.
fn blob(line: &[u8]) -> Option<Blob> {
    let line = std::str::from_utf8(line).ok()?;
    let (data, name) = line.split_once('\t')?;
    let mut data = data.split_whitespace();
    let (mode, kind, object, size) = (data.next()?, data.next()?, data.next()?, data.next()?);
    let name = PathBuf::from(name);
    let plain = name.components().all(|part| {
        matches!(part, Component::Normal(step) if !step.to_string_lossy().starts_with('.') && !step.to_string_lossy().contains('\\'))
    });
    let is_library = name.extension().and_then(OsStr::to_str).is_some_and(|e| matches!(e, "so" | "dylib" | "dll"));
    let is_file = kind == "blob" && matches!(mode, "100644" | "100755") && !is_library;
    (is_file && plain).then_some(Blob { name, object: object.to_owned(), size: size.parse().ok()? })
}

/// Writes the files into a private folder, one after the other through one git process.
fn copy(blobs: &[Blob]) -> Result<TempDir, Error> {
    let folder = tempfile::tempdir()?;
    let mut child = command().args(["cat-file", "--batch"]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()?;
    let gone = || Error::new(ErrorKind::BrokenPipe, "git gave no answer");
    let mut ask = child.stdin.take().ok_or_else(gone)?;
    let mut answer = BufReader::new(child.stdout.take().ok_or_else(gone)?);
    let mut write = || -> Result<(), Error> {
        for blob in blobs {
            writeln!(ask, "{}", blob.object)?;
            ask.flush()?;
            let mut head = String::new();
            answer.by_ref().take(200).read_line(&mut head)?;
            if head.trim_end() != format!("{} blob {}", blob.object, blob.size) {
                return Err(Error::new(ErrorKind::InvalidData, format!("git does not hold {}", blob.name.display())));
            }
            let mut bytes = Vec::new();
            answer.by_ref().take(blob.size).read_to_end(&mut bytes)?;
            answer.by_ref().take(1).read_to_end(&mut Vec::new())?;
            let path = folder.path().join(&blob.name);
            if let Some(parent) = path.parent() {
                std::fs::create_dir_all(parent)?;
            }
            std::fs::write(path, bytes)?;
        }
        Ok(())
    };
    let written = write();
    drop(ask);
    drop(answer);
    child.wait()?;
    written.map(|()| folder)
}

/// What git says to standard output, or the first line of why it refuses.
fn git<const N: usize>(arguments: [&str; N]) -> Result<Result<Vec<u8>, String>, String> {
    let spawned = command().args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let mut child = spawned.map_err(|error| match error.kind() {
        ErrorKind::NotFound => "no program 'git' is installed, which reads REVISION:path".to_owned(),
        _ => format!("cannot run git: {error}"),
    })?;
    let fail = |error: Error| format!("cannot read what git says: {error}");
    let (mut said, mut refused) = (Vec::new(), String::new());
    if let Some(stdout) = child.stdout.take() {
        stdout.take(MAX_LISTING).read_to_end(&mut said).map_err(fail)?;
    }
    if let Some(stderr) = child.stderr.take() {
        let mut bytes = Vec::new();
        stderr.take(4096).read_to_end(&mut bytes).map_err(fail)?;
        refused = String::from_utf8_lossy(&bytes).lines().next().unwrap_or("it does not say why").to_owned();
    }
    let status = child.wait().map_err(fail)?;
    Ok(if status.success() { Ok(said) } else { Err(refused.trim_start_matches("fatal: ").to_owned()) })
}

/// A git that only reads: no lock, no question, no fetching of what the clone does not hold.
fn command() -> Command {
    let mut command = Command::new("git");
    command.args(["--no-pager", "-c", "core.fsmonitor=false", "-c", "protocol.allow=never"]);
    command.env("GIT_OPTIONAL_LOCKS", "0").env("GIT_NO_LAZY_FETCH", "1").env("GIT_TERMINAL_PROMPT", "0");
    command.env("LC_ALL", "C").stdin(Stdio::null()).stderr(Stdio::null());
    command
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn paths_are_from_the_top_and_with_a_dot_from_here() {
        let top = |path: &str| from_the_top(path, "homes/heron/");
        assert_eq!(top("homes/x/home.yaml").as_deref(), Some("homes/x/home.yaml"));
        assert_eq!(top("./home.yaml").as_deref(), Some("homes/heron/home.yaml"));
        assert_eq!(top("../x/").as_deref(), Some("homes/x"));
        assert_eq!(top(".").as_deref(), Some("homes/heron"));
        assert_eq!(top("").as_deref(), Some(""));
        assert_eq!(top("../../../x"), None);
        assert_eq!(top("a/../../x"), None);
    }

    fn line(mode: &str, kind: &str, size: u64, name: &str) -> Vec<u8> {
        format!("{mode} {kind} 0123abc {size:>7}\t{name}\0").into_bytes()
    }

    #[test]
    fn only_plain_files_with_safe_names_are_copied() {
        let listing: Vec<u8> = [
            line("100644", "blob", 10, "home.yaml"),
            line("100644", "blob", 10, "firm/pack.yml"),
            line("100644", "blob", 10, "records/label.txt"),
            line("100644", "blob", MAX_RECORD + 1, "records/scan.pdf"),
            line("120000", "blob", 10, "link.yaml"),
            line("160000", "commit", 0, "other"),
            line("100644", "blob", 10, ".ci/steps.yaml"),
            line("100644", "blob", 10, "../outside.yaml"),
            line("100755", "blob", 10, "plugins/small.so"),
            line("100644", "blob", 10, "/absolute.yaml"),
            line("100644", "blob", 10, "a\\b.yaml"),
            b"100644 blob 0123abc 10\t\xff.yaml\0".to_vec(),
        ]
        .concat();
        let names: Vec<String> =
            wanted(&listing, Some("home.yaml")).unwrap().iter().map(|blob| blob.name.display().to_string()).collect();
        assert_eq!(names, ["firm/pack.yml", "home.yaml", "records/label.txt"]);
        assert!(wanted(&listing, Some("link.yaml")).unwrap_err().contains("not a plain file"));
    }

    #[test]
    fn a_folder_of_any_size_is_bounded() {
        let many: Vec<u8> = (0..MAX_FILES).flat_map(|at| line("100644", "blob", 1, &format!("{at}.yaml"))).collect();
        let home = line("100644", "blob", 1, "home.yaml");
        assert!(
            wanted(&[home.clone(), many].concat(), Some("home.yaml"))
                .unwrap_err()
                .contains("more than 1000 YAML files")
        );
        let large = line("100644", "blob", MAX_BYTES, "large.yaml");
        assert!(wanted(&[home.clone(), large].concat(), Some("home.yaml")).unwrap_err().contains("256 MiB"));
        let records: Vec<u8> =
            (0..2_000).flat_map(|at| line("100644", "blob", MAX_RECORD, &format!("{at}.txt"))).collect();
        let kept = wanted(&[home, records].concat(), Some("home.yaml")).unwrap();
        assert!(kept.iter().map(|blob| blob.size).sum::<u64>() <= MAX_BYTES && kept.len() <= MAX_FILES);
    }
}
