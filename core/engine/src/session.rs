//! A session: one home checked again and again while it is edited, in which only what an edit touched is redone. What is
//! kept and under which names, `memory.rs` says.

use crate::check::{Engine, Options};
use crate::load::{BadInput, Edit};
use crate::memory::Memory;
use mateline_model::Report;
use std::collections::BTreeMap;
use std::path::Path;

/// Checks homes with an engine, and remembers.
pub struct Session<'a> {
    engine: &'a Engine,
    memory: Memory,
}

impl<'a> Session<'a> {
    /// A session in which nothing has been checked.
    pub fn new(engine: &'a Engine) -> Session<'a> {
        Session { engine, memory: Memory::default() }
    }

    /// Checks a home.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn check(&self, path: &Path, options: &Options) -> Result<Report, BadInput> {
        self.check_edited(path, &[], options)
    }

    /// Checks a home with other values than its files say. What does not stand in the home is left alone.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn check_edited(&self, path: &Path, edits: &[Edit], options: &Options) -> Result<Report, BadInput> {
        let loaded = self.engine.load_with(path, Some(&self.memory.texts), edits)?;
        self.engine.check_with(loaded, options, Some(&self.memory), None).map(|checked| checked.report)
    }

    /// How often a plugin was run, by its name.
    pub fn runs(&self) -> BTreeMap<String, usize> {
        self.memory.runs()
    }
}
