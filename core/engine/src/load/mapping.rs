//! A mapping's entries in the order of the file, each found by its key at once, however many there are.

use super::tree::Entry;
use std::collections::HashMap;
use std::ops::Deref;

/// Entries with keys that are all different.
#[derive(Clone, Debug, Default)]
pub struct Mapping {
    entries: Vec<Entry>,
    /// Where among the entries a key stands; only ever asked, never walked.
    numbers: HashMap<String, usize>,
}

impl Mapping {
    /// With room for so many entries.
    pub fn with_capacity(count: usize) -> Mapping {
        Mapping { entries: Vec::with_capacity(count), numbers: HashMap::with_capacity(count) }
    }

    /// The entry of a key.
    pub fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries.get(*self.numbers.get(key)?)
    }

    /// The entry of a key, to be changed; its key stays as it is.
    pub fn entry_mut(&mut self, key: &str) -> Option<&mut Entry> {
        self.entries.get_mut(*self.numbers.get(key)?)
    }

    /// Adds an entry at the end, if its key is new.
    pub fn push(&mut self, entry: Entry) {
        if !self.numbers.contains_key(&entry.key) {
            self.numbers.insert(entry.key.clone(), self.entries.len());
            self.entries.push(entry);
        }
    }

    /// Adds an entry at the end and takes away the one that has its key.
    pub fn put(&mut self, entry: Entry) {
        if self.numbers.contains_key(&entry.key) {
            let kept = std::mem::take(&mut self.entries).into_iter().filter(|old| old.key != entry.key);
            *self = kept.collect();
        }
        self.push(entry);
    }
}

/// The numbers follow from the entries.
impl PartialEq for Mapping {
    fn eq(&self, other: &Mapping) -> bool {
        self.entries == other.entries
    }
}

impl Deref for Mapping {
    type Target = [Entry];

    fn deref(&self) -> &[Entry] {
        &self.entries
    }
}

impl<'a> IntoIterator for &'a Mapping {
    type Item = &'a Entry;
    type IntoIter = std::slice::Iter<'a, Entry>;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.iter()
    }
}

impl IntoIterator for Mapping {
    type Item = Entry;
    type IntoIter = std::vec::IntoIter<Entry>;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.into_iter()
    }
}

impl FromIterator<Entry> for Mapping {
    fn from_iter<I: IntoIterator<Item = Entry>>(entries: I) -> Mapping {
        let mut mapping = Mapping::default();
        entries.into_iter().for_each(|entry| mapping.push(entry));
        mapping
    }
}
