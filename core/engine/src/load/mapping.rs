//! A mapping's entries in the order of the file, each found by its key at once, however many there are.

use super::diagnosis::Span;
use std::collections::HashMap;
use std::ops::Deref;

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry<T> {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_span: Span,
    /// The value.
    pub value: T,
}

/// Entries with keys that are all different.
#[derive(Clone, Debug)]
pub struct Mapping<T> {
    entries: Vec<Entry<T>>,
    /// Where among the entries a key stands; only ever asked, never walked.
    numbers: HashMap<String, usize>,
}

impl<T> Mapping<T> {
    /// With room for so many entries.
    pub fn with_capacity(count: usize) -> Mapping<T> {
        Mapping { entries: Vec::with_capacity(count), numbers: HashMap::with_capacity(count) }
    }

    /// The entry of a key.
    pub fn entry(&self, key: &str) -> Option<&Entry<T>> {
        self.entries.get(*self.numbers.get(key)?)
    }

    /// The entry of a key, to be changed; its key stays as it is.
    pub fn entry_mut(&mut self, key: &str) -> Option<&mut Entry<T>> {
        self.entries.get_mut(*self.numbers.get(key)?)
    }

    /// The entries, to be changed; their keys stay as they are.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut Entry<T>> {
        self.entries.iter_mut()
    }

    /// Adds an entry at the end, if its key is new.
    pub fn push(&mut self, entry: Entry<T>) {
        if !self.numbers.contains_key(&entry.key) {
            self.numbers.insert(entry.key.clone(), self.entries.len());
            self.entries.push(entry);
        }
    }

    /// Adds an entry at the end and takes away the one that has its key.
    pub fn put(&mut self, entry: Entry<T>) {
        if self.numbers.contains_key(&entry.key) {
            let kept = std::mem::take(&mut self.entries).into_iter().filter(|old| old.key != entry.key);
            *self = kept.collect();
        }
        self.push(entry);
    }
}

impl<T> Default for Mapping<T> {
    fn default() -> Mapping<T> {
        Mapping { entries: Vec::new(), numbers: HashMap::new() }
    }
}

/// The numbers follow from the entries.
impl<T: PartialEq> PartialEq for Mapping<T> {
    fn eq(&self, other: &Mapping<T>) -> bool {
        self.entries == other.entries
    }
}

impl<T> Deref for Mapping<T> {
    type Target = [Entry<T>];

    fn deref(&self) -> &[Entry<T>] {
        &self.entries
    }
}

impl<'a, T> IntoIterator for &'a Mapping<T> {
    type Item = &'a Entry<T>;
    type IntoIter = std::slice::Iter<'a, Entry<T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.iter()
    }
}

impl<T> IntoIterator for Mapping<T> {
    type Item = Entry<T>;
    type IntoIter = std::vec::IntoIter<Entry<T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.entries.into_iter()
    }
}

impl<T> FromIterator<Entry<T>> for Mapping<T> {
    fn from_iter<I: IntoIterator<Item = Entry<T>>>(entries: I) -> Mapping<T> {
        let mut mapping = Mapping::default();
        entries.into_iter().for_each(|entry| mapping.push(entry));
        mapping
    }
}
