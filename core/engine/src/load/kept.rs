//! Trees of files that have been parsed, kept while a home is edited: most files of a home stay as they are.

use super::diagnosis::Diagnosis;
use super::tree::{Placed, parse_keeping_first};
use std::sync::{Mutex, PoisonError};

/// Files whose trees are kept; the oldest go first.
const MOST: usize = 64;
/// Bytes of their texts together.
const MOST_BYTES: usize = 8 * 1024 * 1024;

/// What is kept: number and text of a file, and its tree.
#[derive(Debug, Default)]
pub struct KeptTrees(Mutex<Vec<(usize, String, Placed)>>);

impl KeptTrees {
    /// A file's tree: parsed now, or earlier. One with duplicate keys is not kept.
    pub(super) fn parsed(
        &self,
        text: &str,
        file: usize,
        duplicates: &mut Vec<Diagnosis>,
    ) -> Result<Placed, Vec<Diagnosis>> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, _, tree)) = kept.iter().find(|(number, known, _)| *number == file && known == text) {
            return Ok(tree.clone());
        }
        let before = duplicates.len();
        let tree = parse_keeping_first(text, file, duplicates)?;
        if duplicates.len() == before {
            let size = |kept: &[(usize, String, Placed)]| kept.iter().map(|(_, text, _)| text.len()).sum::<usize>();
            while kept.len() >= MOST || (!kept.is_empty() && size(&kept) + text.len() > MOST_BYTES) {
                kept.remove(0);
            }
            kept.push((file, text.to_owned(), tree.clone()));
        }
        Ok(tree)
    }
}
