//! Packs that have been read and compiled, kept so that the homes of a run, and one home checked again, share them.
//!
//! A pack is the same where it was made of the same texts at the same places among a project's files, and checked
//! against the same quantities and words of a firm: all places in it, and all that was looked up for it, follow from these.

use super::{Merged, Pack, PackFile, Vocabulary, compile};
use crate::load::{Diagnosis, FirmWords, Placed, parse, read};
use mateline_model::QuantityDef;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Texts and packs that are kept; the oldest go first.
const MOST: usize = 64;

/// What is kept.
#[derive(Debug, Default)]
pub struct KeptPacks {
    texts: Mutex<Vec<Arc<PackText>>>,
    packs: Mutex<Vec<Compiled>>,
}

/// A pack's file that has been read, and where it stands among the files of a project.
#[derive(Debug)]
pub(super) struct PackText {
    number: usize,
    text: String,
    pub file: PackFile,
    pub tree: Placed,
}

/// A pack with all that it was made from.
#[derive(Debug)]
struct Compiled {
    /// Its file, the file it extends, and so on.
    chain: Vec<Arc<PackText>>,
    quantities: BTreeMap<String, QuantityDef>,
    firm: FirmWords,
    pack: Arc<Pack>,
}

impl KeptPacks {
    /// A pack's file: read now, or earlier.
    pub(super) fn text(&self, text: &str, number: usize) -> Result<Arc<PackText>, Vec<Diagnosis>> {
        let same = |kept: &&Arc<PackText>| kept.number == number && kept.text == text;
        if let Some(kept) = self.texts.lock().unwrap_or_else(PoisonError::into_inner).iter().find(same) {
            return Ok(Arc::clone(kept));
        }
        let tree = parse(text, number)?;
        let file = read(&tree)?;
        let made = Arc::new(PackText { number, text: text.to_owned(), file, tree });
        push(&self.texts, Arc::clone(&made));
        Ok(made)
    }

    /// The pack of a file and of those it extends, nearest first: compiled now, or earlier.
    pub(super) fn pack(
        &self,
        chain: Vec<Arc<PackText>>,
        vocabulary: &Vocabulary<'_>,
    ) -> Result<Arc<Pack>, Vec<Diagnosis>> {
        let same = |kept: &&Compiled| {
            kept.chain.len() == chain.len()
                && kept.chain.iter().zip(&chain).all(|(one, other)| Arc::ptr_eq(one, other))
                && kept.quantities == *vocabulary.quantities
                && kept.firm == *vocabulary.firm
        };
        if let Some(kept) = self.packs.lock().unwrap_or_else(PoisonError::into_inner).iter().find(same) {
            return Ok(Arc::clone(&kept.pack));
        }
        let mut merged: Option<Merged> = None;
        for part in chain.iter().rev() {
            let (file, tree) = (part.file.clone(), part.tree.clone());
            merged = Some(match merged {
                Some(base) => Merged::extending(file, tree, base)?,
                None => Merged::alone(file, tree)?,
            });
        }
        let Some(merged) = merged else { return Err(Vec::new()) };
        let pack = Arc::new(compile(&merged, vocabulary)?);
        let quantities = vocabulary.quantities.clone();
        push(&self.packs, Compiled { chain, quantities, firm: vocabulary.firm.clone(), pack: Arc::clone(&pack) });
        Ok(pack)
    }
}

fn push<T>(kept: &Mutex<Vec<T>>, one: T) {
    let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
    if kept.len() >= MOST {
        kept.remove(0);
    }
    kept.push(one);
}
