//! Solved sections, kept in a folder from run to run so that a revision solves only what changed.
//!
//! An entry is a file of its own, named after everything that its content depends on, with a checksum of its name and
//! content. One that is damaged, or stands under another's name, is passed over and written anew. What is kept changes
//! no result, and nothing of it reaches a report. Whoever may write to the folder is trusted: a checksum is no signature.

use crate::arguments::Keeping;
use crate::output;
use mateline_engine::host::sha256;
use mateline_engine::load::open_file;
use mateline_plugins::Store;
use std::collections::{BTreeMap, VecDeque};
use std::io::{ErrorKind, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::SystemTime;

/// What an entry begins with; its checksum and the bytes follow.
const HEAD: &str = "mateline 2 ";
/// What entries without their name under the checksum began with. They are written anew, and are no damage.
const EARLIER: &[u8] = b"mateline 1 ";
/// How entries end.
const END: &str = "section";
/// Largest entry that is read.
const LARGEST: u64 = 8 << 20;
/// Size of all entries above which the oldest are taken away, down to three quarters of it.
const MOST: u64 = 64 << 20;

/// The folder, and what happened in this run.
pub struct Cache {
    folder: PathBuf,
    /// Whether the folder was typed, so that a word about it is expected.
    typed: bool,
    served: AtomicUsize,
    solved: AtomicUsize,
    damaged: AtomicUsize,
    refused: Mutex<Option<String>>,
}

impl Cache {
    /// The folder that was typed, that MATELINE_CACHE names, or the user's own; none where nothing is to be kept. A
    /// `strict` run uses the one that was typed, or none.
    pub fn of(keeping: &Keeping, strict: bool) -> Option<Cache> {
        if keeping.no_cache {
            return None;
        }
        let usual = || if strict { None } else { variable("MATELINE_CACHE").or_else(of_user) };
        let folder = keeping.cache.clone().or_else(usual)?;
        Some(Cache::at(folder, keeping.cache.is_some()))
    }

    fn at(folder: PathBuf, typed: bool) -> Cache {
        Cache {
            folder,
            typed,
            served: AtomicUsize::new(0),
            solved: AtomicUsize::new(0),
            damaged: AtomicUsize::new(0),
            refused: Mutex::new(None),
        }
    }

    /// Says on the error stream what the cache did, and makes room. A folder of the user's own is spoken of on a terminal
    /// only; damage always.
    pub fn close(&self) {
        let spoken = self.typed || std::io::stderr().is_terminal();
        let told = self.told(spoken);
        told.iter().for_each(|line| output::note(line));
        if self.solved.load(Ordering::Relaxed) > 0 {
            // Room that cannot be made is no reason to fail; the next run tries again.
            let _ = make_room(&self.folder, MOST);
        }
    }

    fn told(&self, spoken: bool) -> Vec<String> {
        let count = |number: &AtomicUsize| number.load(Ordering::Relaxed);
        let (served, solved, damaged) = (count(&self.served), count(&self.solved), count(&self.damaged));
        let folder = self.folder.display();
        let mut told = Vec::new();
        if damaged > 0 {
            told.push(format!("{damaged} damaged in the cache '{folder}' and solved again"));
        }
        if served > 0 && spoken {
            let all = served + solved;
            told.push(format!(
                "{served} of {all} section solutions come from the cache '{folder}', {solved} solved now"
            ));
        }
        let refused = self.refused.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(why) = refused.as_ref().filter(|_| spoken) {
            told.push(format!("solved sections are not kept in '{folder}': {why}"));
        }
        told
    }

    /// Where an entry is; none for a name that is not one of hexadecimal digits.
    fn path(&self, name: &str) -> Option<PathBuf> {
        let sound = !name.is_empty() && name.len() <= 128 && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        sound.then(|| self.folder.join(name).with_extension(END))
    }
}

impl Store for Cache {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        let path = self.path(name)?;
        let bytes = match open_file(&path) {
            Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => return None,
            opened => opened.and_then(read).unwrap_or_default(),
        };
        if bytes.starts_with(EARLIER) {
            return None;
        }
        let found = opened(name, &bytes).map(<[u8]>::to_vec);
        let counter = if found.is_some() { &self.served } else { &self.damaged };
        counter.fetch_add(1, Ordering::Relaxed);
        found
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        self.solved.fetch_add(1, Ordering::Relaxed);
        let Some(path) = self.path(name) else { return };
        if let Err(error) = write(&self.folder, &path, name, bytes) {
            let mut refused = self.refused.lock().unwrap_or_else(PoisonError::into_inner);
            refused.get_or_insert_with(|| error.to_string());
        }
    }
}

/// Solved sections in memory, for a home that is checked again and again, beside those in the folder.
pub struct Beside {
    folder: Option<Arc<Cache>>,
    kept: Mutex<Kept>,
}

/// What is in memory: bytes by name, with the names in the order in which they came.
#[derive(Default)]
struct Kept {
    entries: BTreeMap<String, Vec<u8>>,
    order: VecDeque<String>,
    size: u64,
}

impl Beside {
    /// Beside a folder, or alone.
    pub fn of(folder: Option<Arc<Cache>>) -> Beside {
        Beside { folder, kept: Mutex::default() }
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Kept {
    /// Keeps an entry; the oldest make room.
    fn keep(&mut self, name: &str, bytes: Vec<u8>, most: u64) {
        self.size += bytes.len() as u64;
        match self.entries.insert(name.to_owned(), bytes) {
            Some(old) => self.size -= old.len() as u64,
            None => self.order.push_back(name.to_owned()),
        }
        while self.size > most
            && let Some(oldest) = self.order.pop_front()
        {
            self.size -= self.entries.remove(&oldest).map_or(0, |bytes| bytes.len() as u64);
        }
    }
}

impl Store for Beside {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        if let Some(bytes) = self.lock().entries.get(name) {
            return Some(bytes.clone());
        }
        let bytes = self.folder.as_ref()?.fetch(name)?;
        self.lock().keep(name, bytes.clone(), MOST);
        Some(bytes)
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        self.lock().keep(name, bytes.to_vec(), MOST);
        if let Some(folder) = &self.folder {
            folder.keep(name, bytes);
        }
    }
}

fn variable(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from)
}

/// The user's own folder, where the system keeps such things.
fn of_user() -> Option<PathBuf> {
    if cfg!(windows) {
        return variable("LOCALAPPDATA").map(|folder| folder.join("mateline").join("cache"));
    }
    let usual =
        || variable("HOME").map(|home| home.join(if cfg!(target_os = "macos") { "Library/Caches" } else { ".cache" }));
    let folder = variable("XDG_CACHE_HOME").filter(|folder| folder.is_absolute()).or_else(usual)?;
    Some(folder.join("mateline"))
}

fn read(file: std::fs::File) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST { Err(ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
}

/// The checksum of an entry: a name has no line end, so that nothing of it can be taken for content.
fn sum(name: &str, bytes: &[u8]) -> String {
    sha256(&[name.as_bytes(), b"\n", bytes].concat())
}

/// What an entry of a name holds; none where it is damaged or another's.
fn opened<'a>(name: &str, entry: &'a [u8]) -> Option<&'a [u8]> {
    let rest = entry.strip_prefix(HEAD.as_bytes())?;
    let (written, rest) = rest.split_at_checked(64)?;
    let bytes = rest.strip_prefix(b"\n")?;
    (written == sum(name, bytes).as_bytes()).then_some(bytes)
}

/// Writes an entry whole or not at all: to a temporary name, then renamed.
fn write(folder: &Path, path: &Path, name: &str, bytes: &[u8]) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut file = tempfile::Builder::new().prefix("new-").suffix(".part").tempfile_in(folder)?;
    file.write_all(format!("{HEAD}{}\n", sum(name, bytes)).as_bytes())?;
    file.write_all(bytes)?;
    file.persist(path).map(drop).map_err(|error| error.error)
}

/// Takes the oldest entries away where all together are larger than `most`. Files of other names are left alone.
fn make_room(folder: &Path, most: u64) -> std::io::Result<()> {
    let mut entries: Vec<(SystemTime, u64, PathBuf)> = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|end| end == END || end == "part") {
            let data = std::fs::symlink_metadata(&path)?;
            if data.is_file() {
                entries.push((data.modified()?, data.len(), path));
            }
        }
    }
    let mut size: u64 = entries.iter().map(|(_, size, _)| size).sum();
    if size <= most {
        return Ok(());
    }
    entries.sort();
    for (_, own, path) in entries {
        if size <= most / 4 * 3 {
            break;
        }
        std::fs::remove_file(path)?;
        size = size.saturating_sub(own);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn an_entry_comes_back_and_damage_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path().join("a/b"), true);
        assert!(cache.fetch("0a").is_none() && cache.told(true).is_empty());
        cache.keep("0a", b"bytes\nof any kind\xff");
        assert_eq!(cache.fetch("0a").unwrap(), b"bytes\nof any kind\xff");
        let path = folder.path().join("a/b/0a.section");
        let whole = std::fs::read(&path).unwrap();
        for (place, _) in whole.iter().enumerate() {
            let mut bent = whole.clone();
            bent[place] ^= 1;
            assert!(opened("0a", &bent).is_none(), "byte {place}");
            assert!(opened("0a", &whole[..place]).is_none(), "cut at {place}");
        }
        std::fs::write(&path, &whole[..20]).unwrap();
        assert!(cache.fetch("0a").is_none());
        assert!(cache.told(false)[0].starts_with("1 damaged in the cache"), "{:?}", cache.told(false));
        assert_eq!(std::fs::read_dir(folder.path().join("a/b")).unwrap().count(), 1, "nothing temporary is left");
        // An entry that is whole and stands under another's name.
        std::fs::write(folder.path().join("a/b/0b.section"), &whole).unwrap();
        assert!(cache.fetch("0b").is_none());
        assert!(cache.told(false)[0].starts_with("2 damaged in the cache"), "{:?}", cache.told(false));
        // One of an earlier mateline is no damage.
        std::fs::write(&path, b"mateline 1 and whatever").unwrap();
        assert!(cache.fetch("0a").is_none() && cache.told(false)[0].starts_with("2 damaged"));
    }

    #[test]
    fn a_name_leads_nowhere_else() {
        let cache = Cache::at(PathBuf::from("here"), true);
        assert!(cache.path("0af9").is_some());
        for name in ["", "../a", "a/b", "a.b", "g", &"a".repeat(200)] {
            assert!(cache.path(name).is_none(), "{name}");
        }
    }

    #[test]
    fn the_oldest_make_room() {
        let folder = tempfile::tempdir().unwrap();
        for number in 0..10_u64 {
            let path = folder.path().join(format!("{number}.section"));
            std::fs::write(&path, [0; 100]).unwrap();
            let then = SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000 + number);
            std::fs::File::options().write(true).open(&path).unwrap().set_modified(then).unwrap();
        }
        std::fs::write(folder.path().join("other.txt"), [0; 1000]).unwrap();
        make_room(folder.path(), 1000).unwrap();
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 11, "ten of 100 bytes are no more than 1000");
        make_room(folder.path(), 800).unwrap();
        let left = |number: u64| folder.path().join(format!("{number}.section")).exists();
        assert!((0..4).all(|number| !left(number)) && (4..10).all(left));
        assert!(folder.path().join("other.txt").exists());
    }

    #[test]
    fn memory_serves_before_the_folder_and_stays_bounded() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Arc::new(Cache::at(folder.path().to_owned(), true));
        let beside = Beside::of(Some(Arc::clone(&cache)));
        beside.keep("0a", b"one");
        assert_eq!(cache.fetch("0a").unwrap(), b"one");
        std::fs::remove_file(folder.path().join("0a.section")).unwrap();
        assert_eq!(beside.fetch("0a").unwrap(), b"one");
        cache.keep("0b", b"two");
        assert_eq!(beside.fetch("0b").unwrap(), b"two");
        assert!(beside.fetch("0c").is_none() && Beside::of(None).fetch("0a").is_none());
        let mut kept = Kept::default();
        (0..10).for_each(|number| kept.keep(&number.to_string(), vec![0; 100], 450));
        kept.keep("9", vec![0; 50], 450);
        let left: Vec<&str> = kept.entries.keys().map(String::as_str).collect();
        assert_eq!((left, kept.size), (vec!["6", "7", "8", "9"], 350));
    }

    #[test]
    fn nothing_is_kept_where_nothing_is_wanted() {
        assert!(Cache::of(&Keeping { cache: None, no_cache: true }, false).is_none());
        let typed = Cache::of(&Keeping { cache: Some(PathBuf::from("x")), no_cache: false }, true).unwrap();
        assert!(typed.typed && typed.folder == Path::new("x"));
        assert!(
            Cache::of(&Keeping { cache: None, no_cache: false }, true).is_none(),
            "strict takes none it is not told"
        );
    }
}
