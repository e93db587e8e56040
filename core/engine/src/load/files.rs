//! Reading the files of a project: the home, what it includes, packs beside it, and the firm's folder.
//!
//! Nothing outside the project folder is read: no absolute path, no `..`, no link that leads out. The firm's folder may
//! lie elsewhere when the person who runs mateline says so; nothing outside of it is read either.

use super::diagnosis::{BadInput, Diagnosis, SourceFile, Span};
use super::kept::KeptTrees;
use super::open::open_file;
use super::tree::{MAX_BYTES, Node, Placed, parse_keeping_first};
use mateline_model::file_name;
use std::io::{Error, ErrorKind, Read};
use std::path::{Path, PathBuf};

/// Included files one project may have.
const MAX_FILES: usize = 64;
/// Files one folder of a firm may have.
const MAX_FIRM_FILES: usize = 256;

/// A project folder and the files read from it so far.
#[derive(Debug)]
pub struct Project {
    folder: PathBuf,
    firm: Option<FirmFolder>,
    files: Vec<SourceFile>,
    bytes: usize,
}

/// The firm's folder, and how it is called in messages.
#[derive(Clone, Debug)]
struct FirmFolder {
    folder: PathBuf,
    shown: String,
}

impl Project {
    /// A project in a folder, with no file read yet.
    pub fn at(folder: &Path) -> Project {
        Project { folder: folder.to_owned(), firm: None, files: Vec::new(), bytes: 0 }
    }

    /// The project whose home file is `home`.
    ///
    /// # Errors
    /// When the file is not there or has no folder.
    pub fn of(home: &Path) -> Result<(Project, String), BadInput> {
        let refuse = |message: String| {
            let name = home.display().to_string();
            BadInput::new(vec![Diagnosis::new(Span::start(0), message)], vec![SourceFile { name, text: String::new() }])
        };
        if home.is_dir() {
            return Err(refuse(format!("'{}' is a folder; name the home file in it", home.display())));
        }
        let path = home.canonicalize().map_err(|error| refuse(unreadable(&home.display().to_string(), &error)))?;
        let (Some(folder), Some(name)) = (path.parent(), path.file_name()) else {
            return Err(refuse(format!("'{}' is not a file", home.display())));
        };
        Ok((Project::at(folder), name.to_string_lossy().into_owned()))
    }

    /// The project folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The files read so far.
    pub fn files(&self) -> &[SourceFile] {
        &self.files
    }

    /// Hands the files over.
    pub fn into_files(self) -> Vec<SourceFile> {
        self.files
    }

    /// Keeps a text that did not come from the project folder, such as a pack that comes with mateline.
    pub fn keep(&mut self, name: &str, text: &str) -> usize {
        self.files.push(SourceFile { name: name.to_owned(), text: text.to_owned() });
        self.files.len() - 1
    }

    /// Where a file of the folder is, or why it is not one.
    ///
    /// # Errors
    /// A sentence to be shown where the file is named.
    pub fn locate(&self, name: &str) -> Result<PathBuf, String> {
        locate(&self.folder, "project", name)
    }

    /// Where a file of the folder is, or else of the firm's.
    ///
    /// # Errors
    /// Why the folder has none, where the firm's has none either.
    pub fn locate_or_of_firm(&self, name: &str) -> Result<PathBuf, String> {
        self.locate(name).or_else(|why| match &self.firm {
            Some(firm) => locate(&firm.folder, "firm's", name).map_err(|_| why),
            None => Err(why),
        })
    }

    /// Reads a file of the folder. Its number, or why it cannot be read.
    ///
    /// # Errors
    /// A sentence to be shown where the file is named.
    pub fn read(&mut self, name: &str) -> Result<usize, String> {
        if self.files.len() >= MAX_FILES {
            return Err(format!("a project may have at most {MAX_FILES} files"));
        }
        let path = self.locate(name)?;
        let text = self.text_at(&path, name)?;
        Ok(self.keep(&without_dots(name), &text))
    }

    /// The text of a file. All texts of a project together are bounded.
    fn text_at(&mut self, path: &Path, name: &str) -> Result<String, String> {
        let mut bytes = Vec::new();
        let limit = MAX_BYTES - self.bytes.min(MAX_BYTES);
        let read = open_file(path).and_then(|file| file.take(limit as u64 + 1).read_to_end(&mut bytes));
        read.map_err(|error| unreadable(name, &error))?;
        if bytes.len() > limit {
            return Err(format!("the project's files hold more than {} MiB", MAX_BYTES / 1024 / 1024));
        }
        self.bytes += bytes.len();
        let text = String::from_utf8(bytes).map_err(|error| {
            if let Some(order) = utf_16(error.as_bytes()) {
                return format!("'{name}' is text in UTF-16 ({order}); save it as UTF-8");
            }
            let (line, column) = end_of_text(error.as_bytes(), error.utf8_error().valid_up_to());
            format!(
                "'{name}' is not UTF-8 text: line {line}, column {column} cannot be read; save it as UTF-8, for an older code \
                 such as windows-1252 writes letters with marks otherwise"
            )
        })?;
        // YAML ends a line there and nothing else does, so that no place would be right.
        let pairs = text.bytes().zip(text.bytes().skip(1).chain([b' ']));
        if let Some(at) = pairs.clone().position(|pair| pair.0 == b'\r' && pair.1 != b'\n') {
            let line = pairs.take(at).filter(|pair| pair.0 == b'\n').count() + 1;
            return Err(format!(
                "'{name}' has a carriage return without a line feed in line {line}; save it with line feeds"
            ));
        }
        Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
    }

    /// Takes a folder anywhere as the firm's.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn take_firm(&mut self, folder: &Path) -> Result<(), String> {
        let shown = folder.display().to_string();
        let folder = folder.canonicalize().map_err(|error| unreadable(&shown, &error))?;
        if !folder.is_dir() {
            return Err(format!("'{shown}' is not a folder"));
        }
        self.firm = Some(FirmFolder { folder, shown: "<firm>".to_owned() });
        Ok(())
    }

    /// Takes a folder inside the project folder as the firm's.
    pub(super) fn take_own_firm(&mut self, name: &str) -> Result<(), String> {
        let folder = locate_any(&self.folder, "project", name)?;
        if !folder.is_dir() {
            return Err(format!("'{name}' is not a folder"));
        }
        self.firm = Some(FirmFolder { folder, shown: without_dots(name) });
        Ok(())
    }

    /// Whether there is a firm's folder.
    pub fn has_firm(&self) -> bool {
        self.firm.is_some()
    }

    /// The path within the firm's folder of a file by its listed name; none of one that lies elsewhere.
    pub fn within_firm<'n>(&self, name: &'n str) -> Option<&'n str> {
        name.strip_prefix(&self.firm.as_ref()?.shown)?.strip_prefix('/')
    }

    /// Whether the firm's folder has a file.
    pub(super) fn firm_has(&self, name: &str) -> bool {
        self.firm.as_ref().is_some_and(|firm| firm.folder.join(name).exists())
    }

    /// Names of the firm's packs, in order.
    ///
    /// # Errors
    /// Why they cannot be listed.
    pub fn firm_packs(&self) -> Result<Vec<String>, String> {
        self.firm_files("packs", "yaml")
    }

    /// Names of the files with an ending in a folder of the firm, without the ending and in order.
    pub(super) fn firm_files(&self, within: &str, ending: &str) -> Result<Vec<String>, String> {
        let Some(firm) = &self.firm else { return Ok(Vec::new()) };
        let folder = firm.folder.join(within);
        if !folder.is_dir() {
            return Ok(Vec::new());
        }
        let fail = |error: Error| unreadable(&format!("{}/{within}", firm.shown), &error);
        let mut names = Vec::new();
        for entry in folder.read_dir().map_err(fail)? {
            let path = entry.map_err(fail)?.path();
            let ends = path.extension().is_some_and(|extension| extension == ending);
            names.extend(path.file_stem().filter(|_| ends).and_then(|stem| stem.to_str()).map(str::to_owned));
        }
        names.sort();
        if names.len() > MAX_FIRM_FILES {
            return Err(format!("'{}/{within}' holds more than {MAX_FIRM_FILES} files", firm.shown));
        }
        Ok(names)
    }

    /// Reads a file of the firm's folder and keeps it. Its number, or why it cannot be read.
    ///
    /// # Errors
    /// A sentence to be shown where the file is named.
    pub fn read_of_firm(&mut self, name: &str) -> Result<usize, String> {
        let text = self.text_of_firm(name)?;
        let shown = self.firm.as_ref().map_or("<firm>", |firm| firm.shown.as_str());
        let shown = format!("{shown}/{name}");
        Ok(self.keep(&shown, &text))
    }

    /// The text of a file of the firm's folder.
    pub(crate) fn text_of_firm(&mut self, name: &str) -> Result<String, String> {
        let firm = self.firm.clone().ok_or_else(|| format!("cannot read '{name}': there is no firm's folder"))?;
        let path = locate(&firm.folder, "firm's", name)?;
        self.text_at(&path, &format!("{}/{name}", firm.shown))
    }

    /// Reads the home file and merges what it includes into one tree. A file whose text is kept is not parsed again. Of
    /// keys that stand twice the first is kept and the others are reported in `twice`, so that more mistakes can be found.
    ///
    /// # Errors
    /// Every problem with the files and their YAML.
    pub fn read_home(
        &mut self,
        name: &str,
        kept: Option<&KeptTrees>,
        twice: &mut Vec<Diagnosis>,
    ) -> Result<Placed, Vec<Diagnosis>> {
        let file = self.read(name).map_err(|message| {
            if self.files.is_empty() {
                self.keep(name, "");
            }
            vec![Diagnosis::new(Span::start(0), message)]
        })?;
        let mut problems = Vec::new();
        let mut open = vec![name.to_owned()];
        let root = self.read_tree(file, kept, &mut open, &mut problems, twice);
        match root {
            Some(root) if problems.is_empty() => Ok(root),
            _ => {
                problems.append(twice);
                Err(problems)
            }
        }
    }

    /// One file with its includes. `open` holds the files being read, outermost first.
    fn read_tree(
        &mut self,
        file: usize,
        kept: Option<&KeptTrees>,
        open: &mut Vec<String>,
        problems: &mut Vec<Diagnosis>,
        twice: &mut Vec<Diagnosis>,
    ) -> Option<Placed> {
        let text = &self.files.get(file)?.text;
        let parsed = match kept {
            Some(kept) => kept.parsed(text, file, twice),
            None => parse_keeping_first(text, file, twice),
        };
        let mut root = match parsed {
            Ok(root) => root,
            Err(mut found) => {
                problems.append(&mut found);
                return None;
            }
        };
        if !matches!(root.node, Node::Map(_)) {
            let problem = if root.node == Node::Null {
                Diagnosis::new(root.span, "the file is empty").help("'mateline new FOLDER' writes a home to start from")
            } else {
                Diagnosis::new(root.span, "the file is not a mapping of sections such as 'modules:'")
            };
            problems.push(problem);
            return None;
        }
        for (name, at) in includes(&root, problems) {
            let plain = without_dots(&name);
            if open.contains(&plain) {
                let chain = open.iter().chain([&plain]).map(String::as_str).collect::<Vec<_>>().join(" > ");
                problems.push(Diagnosis::new(at, format!("'{name}' includes itself: {chain}")));
                continue;
            }
            if self.files.iter().any(|read| read.name == plain) {
                problems.push(Diagnosis::new(at, format!("'{name}' is included twice")));
                continue;
            }
            let included = match self.read(&name) {
                Ok(included) => included,
                Err(message) => {
                    problems.push(Diagnosis::new(at, message));
                    continue;
                }
            };
            open.push(plain);
            let part = self.read_tree(included, kept, open, problems, twice);
            open.pop();
            if let Some(part) = part {
                merge(&mut root, part, twice);
            }
        }
        Some(root)
    }
}

/// Where a file of a folder is, or why it is not one.
fn locate(folder: &Path, whose: &str, name: &str) -> Result<PathBuf, String> {
    let path = locate_any(folder, whose, name)?;
    if path.is_dir() {
        return Err(format!("'{name}' is a folder"));
    }
    if !path.is_file() {
        return Err(format!("'{name}' is not a file"));
    }
    Ok(path)
}

/// Where a file or folder inside a folder is; nothing leads out, and a name means the same on every system.
fn locate_any(folder: &Path, whose: &str, name: &str) -> Result<PathBuf, String> {
    if name.trim().is_empty() {
        return Err("the name of the file is empty".to_owned());
    }
    if name.contains('\\') {
        return Err(format!("'{name}' has a backslash; write / between folders"));
    }
    if name.starts_with('/') || name.split('/').any(|part| part == "..") {
        return Err(format!("'{name}' is not a path inside the {whose} folder"));
    }
    if let Some(fault) = file_name::fault(name) {
        return Err(fault);
    }
    let plain = without_dots(name);
    let path = folder.join(&plain).canonicalize().map_err(|error| unreadable(name, &error))?;
    if !path.starts_with(folder) {
        return Err(format!("'{name}' leads out of the {whose} folder"));
    }
    if cfg!(any(windows, target_os = "macos"))
        && let Some(own) = other_spelling(folder, &path, &plain)
    {
        return Err(format!("'{name}' is '{own}' on the disk; write it so"));
    }
    Ok(path)
}

/// How a file is spelt that was found under another name: in other case, or by a short name of its system.
fn other_spelling(folder: &Path, found: &Path, name: &str) -> Option<String> {
    let parts: Vec<_> = found.strip_prefix(folder).ok()?.iter().map(|part| part.to_string_lossy()).collect();
    let own = parts.join("/");
    (own != name).then_some(own)
}

/// A path inside the project as it is listed: `./firm//a.yaml` is `firm/a.yaml`.
pub(crate) fn without_dots(name: &str) -> String {
    let parts: Vec<&str> = name.split('/').filter(|part| !matches!(*part, "" | ".")).collect();
    parts.join("/")
}

/// The text of a file that is no part of a project.
///
/// # Errors
/// Why it cannot be read.
pub fn text_of(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|error| unreadable(&path.display().to_string(), &error))
}

/// Why the system does not let a file be read, in words that are the same on every system.
pub(super) fn unreadable(name: &str, error: &Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => format!("cannot read '{name}': there is no such file"),
        ErrorKind::PermissionDenied => format!("cannot read '{name}': permission is denied"),
        _ => format!("cannot read '{name}': {error}"),
    }
}

/// The order of bytes of a text that begins with the mark of UTF-16.
fn utf_16(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xff, 0xfe, ..] => Some("little-endian"),
        [0xfe, 0xff, ..] => Some("big-endian"),
        _ => None,
    }
}

/// The line and column at which a text stops being UTF-8.
fn end_of_text(bytes: &[u8], good: usize) -> (usize, usize) {
    let text = bytes.get(..good).map(String::from_utf8_lossy).unwrap_or_default();
    let last = text.rsplit('\n').next().unwrap_or_default();
    (text.matches('\n').count() + 1, last.chars().count() + 1)
}

/// The files a tree includes, each with its place.
fn includes(root: &Placed, problems: &mut Vec<Diagnosis>) -> Vec<(String, Span)> {
    let Some(entry) = root.get("include") else { return Vec::new() };
    let Node::Seq(items) = &entry.value.node else {
        problems.push(Diagnosis::new(entry.value.span, "'include' is not a list of files"));
        return Vec::new();
    };
    let mut names = Vec::new();
    for item in items {
        match &item.node {
            Node::Str(name) => names.push((name.clone(), item.span)),
            _ => problems.push(Diagnosis::new(item.span, "a file to include is a text")),
        }
    }
    names
}

/// Merges the sections of an included file: elements are added, anything else must be new.
fn merge(root: &mut Placed, part: Placed, problems: &mut Vec<Diagnosis>) {
    let (Node::Map(into), Node::Map(from)) = (&mut root.node, part.node) else { return };
    for entry in from {
        if entry.key == "include" {
            continue;
        }
        let Some(existing) = into.entry_mut(&entry.key) else {
            into.push(entry);
            continue;
        };
        let first = existing.key_span;
        match (&mut existing.value.node, entry.value.node) {
            (Node::Map(elements), Node::Map(more)) => {
                for element in more {
                    match elements.entry(&element.key) {
                        Some(old) => problems.push(
                            Diagnosis::new(
                                element.key_span,
                                format!("'{}' appears twice in '{}'", element.key, entry.key),
                            )
                            .note(old.key_span, "first here"),
                        ),
                        None => elements.push(element),
                    }
                }
            }
            (Node::Seq(items), Node::Seq(mut more)) => items.append(&mut more),
            _ => problems.push(
                Diagnosis::new(entry.key_span, format!("'{}' stands in two files", entry.key))
                    .note(first, "first here"),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn text_in_utf_16_is_called_so() {
        let folder = tempfile::tempdir().unwrap();
        let text = "home: Ash Corner".encode_utf16();
        let little = text.clone().flat_map(u16::to_le_bytes);
        let big = text.flat_map(u16::to_be_bytes);
        let cases: [(Vec<u8>, &str); 2] = [
            ([0xff, 0xfe].into_iter().chain(little).collect(), "little-endian"),
            ([0xfe, 0xff].into_iter().chain(big).collect(), "big-endian"),
        ];
        for (bytes, order) in cases {
            std::fs::write(folder.path().join("home.yaml"), bytes).unwrap();
            let folder = folder.path().canonicalize().unwrap();
            let why = Project::at(&folder).read("home.yaml").unwrap_err();
            assert_eq!(why, format!("'home.yaml' is text in UTF-16 ({order}); save it as UTF-8"));
        }
    }

    #[test]
    fn a_mark_of_utf_8_and_lines_that_end_as_on_windows_are_no_mistake() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("home.yaml"), "\u{feff}home: Ash Corner\r\n").unwrap();
        let mut project = Project::at(&folder.path().canonicalize().unwrap());
        let number = project.read("home.yaml").unwrap();
        assert_eq!(project.files()[number].text, "home: Ash Corner\r\n");
    }

    #[test]
    fn a_file_found_under_another_name_is_told() {
        let folder = Path::new("/project");
        let spelt = |found: &str, name: &str| other_spelling(folder, Path::new(found), name);
        assert_eq!(spelt("/project/parts/a.yaml", "parts/a.yaml"), None);
        assert_eq!(spelt("/project/Parts/a.yaml", "parts/a.yaml"), Some("Parts/a.yaml".to_owned()));
        assert_eq!(spelt("/project/openings.yaml", "OPENIN~1.YAM"), Some("openings.yaml".to_owned()));
    }
}
