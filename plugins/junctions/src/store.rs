//! What is kept of solved sections from run to run, so that a revision solves only what changed.
//!
//! A store holds bytes under names. It belongs to whoever owns the disk; this crate reads and writes no file. What is
//! handed back is looked at before it is used, and solved anew where it cannot be what was kept.

use mateline_conduction::section::{Section, content_hash};
use mateline_conduction::solution::Accuracy;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::sync::Arc;

/// Raised whenever the solver or what is kept changes, so that nothing kept before is taken for it.
const REVISION: &str = "mateline section 3";

/// Keeps bytes under names: hexadecimal digits and nothing else.
pub trait Store: Send + Sync {
    /// What is kept under a name, whole and unchanged; `None` where nothing is.
    fn fetch(&self, name: &str) -> Option<Vec<u8>>;
    /// Keeps bytes under a name. A store that cannot says nothing here: the run does without.
    fn keep(&self, name: &str, bytes: &[u8]);
    /// How far a section is refined of which so much is asked.
    fn accuracy(&self, asked: Accuracy) -> Accuracy {
        asked
    }
    /// Whether sections may be solved on threads of their own.
    fn lets_threads_start(&self) -> bool {
        true
    }
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Nothing;

impl Store for Nothing {
    fn fetch(&self, _name: &str) -> Option<Vec<u8>> {
        None
    }

    fn keep(&self, _name: &str, _bytes: &[u8]) {}
}

/// Keeps what another store keeps, and has sections solved roughly: for searches, whose results are solved again.
pub struct Roughly(pub Arc<dyn Store>);

impl Store for Roughly {
    fn fetch(&self, name: &str) -> Option<Vec<u8>> {
        self.0.fetch(name)
    }

    fn keep(&self, name: &str, bytes: &[u8]) {
        self.0.keep(name, bytes);
    }

    fn accuracy(&self, asked: Accuracy) -> Accuracy {
        asked.roughly()
    }

    fn lets_threads_start(&self) -> bool {
        self.0.lets_threads_start()
    }
}

/// Keeps nothing, and starts no thread: a library runs confined, where none may.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Confined;

impl Store for Confined {
    fn fetch(&self, _name: &str) -> Option<Vec<u8>> {
        None
    }

    fn keep(&self, _name: &str, _bytes: &[u8]) {}

    fn lets_threads_start(&self) -> bool {
        false
    }
}

/// The name of what comes of a section: SHA-256 over the section, what is asked of it and the solver's revision.
pub(crate) fn name(section: &Section, accuracy: &Accuracy, asked: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(REVISION);
    hash.update([0]);
    hash.update(asked);
    hash.update([0]);
    let Accuracy { flow, factor, flow_at_most, difference, most_cells, grading } = accuracy;
    for number in
        [*flow, *factor, *flow_at_most, *difference, *most_cells as f64, grading.first, grading.growth, grading.share]
    {
        hash.update(number.to_bits().to_le_bytes());
    }
    hash.update(content_hash(section));
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What is kept of a section of which something is asked, or what the work gives as accurately as the store wants it, which
/// is then kept. An error is not kept.
pub(crate) fn kept<T: Serialize + DeserializeOwned, E>(
    store: &dyn Store,
    (section, accuracy, asked): (&Section, &Accuracy, &str),
    is_sound: impl Fn(&T) -> bool,
    work: impl FnOnce(&Accuracy) -> Result<T, E>,
) -> Result<T, E> {
    let fetch = |name: &str| store.fetch(name).and_then(|bytes| serde_json::from_slice::<T>(&bytes).ok());
    let mut under = name(section, accuracy, asked);
    if let Some(found) = fetch(&under).filter(&is_sound) {
        return Ok(found);
    }
    let wanted = store.accuracy(*accuracy);
    if wanted != *accuracy {
        under = name(section, &wanted, asked);
        if let Some(found) = fetch(&under).filter(&is_sound) {
            return Ok(found);
        }
    }
    let made = work(&wanted)?;
    if let Ok(bytes) = serde_json::to_vec(&made) {
        store.keep(&under, &bytes);
    }
    Ok(made)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use std::collections::BTreeMap;
    use std::sync::Mutex;

    #[derive(Default)]
    struct Shelf(Mutex<BTreeMap<String, Vec<u8>>>);

    impl Store for Shelf {
        fn fetch(&self, name: &str) -> Option<Vec<u8>> {
            self.0.lock().unwrap().get(name).cloned()
        }

        fn keep(&self, name: &str, bytes: &[u8]) {
            self.0.lock().unwrap().insert(name.to_owned(), bytes.to_vec());
        }
    }

    #[test]
    fn work_is_done_once_and_again_where_what_was_kept_is_no_good() {
        let shelf = Shelf::default();
        let (section, accuracy) = (Section::default(), Accuracy::FINE);
        let asked = |asked| (&section, &accuracy, asked);
        let number = |made: f64| kept(&shelf, asked("a"), |found: &f64| *found > 0.0, |_| Ok::<_, ()>(made)).unwrap();
        let awkward = 0.1 + 0.2;
        assert_eq!(number(awkward).to_bits(), number(5.0).to_bits(), "kept to the last bit");
        for bad in [&b"-1.0"[..], b"{", b"null", b"\xff\xfe"] {
            shelf.keep(&name(&section, &accuracy, "a"), bad);
            assert_eq!(number(2.0), 2.0);
        }
        assert!(kept(&shelf, asked("b"), |_: &f64| true, |_| Err("no")).is_err());
        assert!(shelf.fetch(&name(&section, &accuracy, "b")).is_none(), "an error is not kept");
    }

    /// Roughly is another result under another name; what is kept as it should be stands for both.
    #[test]
    fn rough_results_are_kept_apart() {
        let shelf = Arc::new(Shelf::default());
        let rough = Roughly(Arc::clone(&shelf) as Arc<dyn Store>);
        let (section, accuracy) = (Section::default(), Accuracy::FINE);
        let found = |store: &dyn Store| {
            let work = |wanted: &Accuracy| Ok::<_, ()>(if *wanted == accuracy { 1.0 } else { 2.0 });
            kept(store, (&section, &accuracy, "a"), |_: &f64| true, work).unwrap()
        };
        assert_eq!([found(&rough), found(shelf.as_ref()), found(&rough)], [2.0, 1.0, 1.0]);
    }

    #[test]
    fn a_name_follows_all_that_a_result_depends_on() {
        let section = Section::default();
        let names = [
            name(&section, &Accuracy::FINE, "flow"),
            name(&section, &Accuracy::STANDARD, "flow"),
            name(&section, &Accuracy::FINE, "surface"),
        ];
        assert!(names.iter().all(|name| name.len() == 64 && name.bytes().all(|byte| byte.is_ascii_hexdigit())));
        assert!(names[0] != names[1] && names[0] != names[2]);
    }
}
