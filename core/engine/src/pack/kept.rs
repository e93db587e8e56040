//! Packs that have been read and compiled, kept so that the homes of a run, and one home checked again, share them.
//!
//! A pack is the same where it was made of the same texts at the same places among a project's files, and checked
//! against the same quantities and words of a firm: all places in it, and all that was looked up for it, follow from these.

use super::{Merged, Pack, PackFile, Vocabulary, compile, follow};
use crate::host::sha256;
use crate::load::{Diagnosis, FirmWords, Placed, SourceFile, parse, read};
use mateline_model::{QuantityDef, Traced};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Texts and packs that are kept; the oldest go first.
const MOST: usize = 64;

/// What is kept.
#[derive(Debug, Default)]
pub struct KeptPacks {
    texts: Mutex<Vec<Arc<PackText>>>,
    packs: Mutex<Vec<Compiled>>,
    /// Texts of the packs that come with mateline, without their examples.
    shorter: Mutex<BTreeMap<&'static str, Arc<str>>>,
}

/// A pack's file that has been read, and where it stands among the files of a project.
#[derive(Debug)]
pub(super) struct PackText {
    number: usize,
    text: String,
    /// The name of its file, its version and the SHA-256 of the whole of it.
    pub traced: Traced,
    pub file: PackFile,
    pub tree: Placed,
}

/// A pack with all that it was made from.
#[derive(Debug)]
struct Compiled {
    /// Its file, the file it extends, and so on.
    chain: Vec<Arc<PackText>>,
    quantities: Arc<BTreeMap<String, QuantityDef>>,
    firm: FirmWords,
    pack: Arc<Pack>,
}

impl PackText {
    /// Whether it speaks of the references of a pack.
    pub fn speaks_of(&self, pack: &str) -> bool {
        follow::speaks_of(&self.text, pack)
    }
}

impl KeptPacks {
    /// The text of a pack that comes with mateline, by its id, made shorter once.
    pub(super) fn shorter(&self, id: &'static str, make: impl FnOnce() -> String) -> Arc<str> {
        let mut shorter = self.shorter.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(shorter.entry(id).or_insert_with(|| make().into()))
    }

    /// A pack's file: read now, or earlier. `whole` is its text where `text` leaves something out.
    pub(super) fn text(
        &self,
        SourceFile { name, text }: &SourceFile,
        whole: Option<&str>,
        number: usize,
    ) -> Result<Arc<PackText>, Vec<Diagnosis>> {
        let same = |kept: &&Arc<PackText>| kept.number == number && kept.text == *text && kept.traced.name == *name;
        if let Some(kept) = self.texts.lock().unwrap_or_else(PoisonError::into_inner).iter().find(same) {
            return Ok(Arc::clone(kept));
        }
        let tree = parse(text, number)?;
        let file: PackFile = read(&tree)?;
        let sha256 = sha256(whole.unwrap_or(text).as_bytes());
        let traced = Traced { name: name.clone(), version: file.version, sha256 };
        let made = Arc::new(PackText { number, text: text.clone(), traced, file, tree });
        push(&self.texts, Arc::clone(&made));
        Ok(made)
    }

    /// The pack of a file and of those it extends, nearest first: compiled now, or earlier. What it says of the references
    /// of the packs `followed` it says of its own; which these are follows from the chain, so that nobody asks again.
    pub(super) fn pack(
        &self,
        chain: Vec<Arc<PackText>>,
        followed: impl Fn(&[Arc<PackText>]) -> Vec<String>,
        vocabulary: &Vocabulary<'_>,
    ) -> Result<Arc<Pack>, Vec<Diagnosis>> {
        let same = |kept: &&Compiled| {
            kept.chain.len() == chain.len()
                && kept.chain.iter().zip(&chain).all(|(one, other)| Arc::ptr_eq(one, other))
                && (Arc::ptr_eq(&kept.quantities, vocabulary.quantities) || kept.quantities == *vocabulary.quantities)
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
        let Some(mut merged) = merged else { return Err(Vec::new()) };
        merged.file = follow::named(merged.file, &followed(&chain));
        let mut pack = compile(&merged, vocabulary)?;
        pack.texts = chain.iter().map(|part| part.traced.clone()).collect();
        let pack = Arc::new(pack);
        let quantities = Arc::clone(vocabulary.quantities);
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
