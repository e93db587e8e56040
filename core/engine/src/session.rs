//! A session: one home checked again and again while it is edited, in which only what an edit touched is redone. What is
//! kept and under which names, `memory.rs` says.

use crate::check::Checked;
use crate::check::{Engine, Options};
use crate::load::{BadInput, Changes, Edit};
use crate::memory::Memory;
use crate::only::Only;
use crate::pack::Pack;
use mateline_model::{Facts, Report, Verdict};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

/// Checks homes with an engine, and remembers.
pub struct Session<'a> {
    engine: &'a Engine,
    memory: Memory,
    /// Of what was tried roughly.
    tried: Memory,
}

impl<'a> Session<'a> {
    /// A session in which nothing has been checked.
    pub fn new(engine: &'a Engine) -> Session<'a> {
        Session { engine, memory: Memory::default(), tried: Memory::default() }
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
        let loaded = self.engine.load_with(path, Some(&self.memory.texts), Changes { values: edits, site: None })?;
        self.engine.check_with(loaded, options, Some(&self.memory), None).map(|checked| checked.report)
    }

    /// Checks a home, and keeps what it was read from.
    pub(crate) fn check_whole(&self, path: &Path, options: &Options) -> Result<Checked, BadInput> {
        let loaded = self.engine.load_with(path, Some(&self.memory.texts), Changes::default())?;
        self.engine.check_with(loaded, options, Some(&self.memory), None)
    }

    /// Some rules with all that they need, and the plugins of these names, after a check of the home by these packs.
    pub(crate) fn only(&self, packs: &[Arc<Pack>], mut rules: BTreeSet<String>, mut names: BTreeSet<String>) -> Only {
        for pack in packs {
            let full = |id: &str| format!("{}/{id}", pack.id);
            loop {
                let known = rules.len();
                let wanted = pack.rules.iter().filter(|rule| rules.contains(&full(&rule.id)));
                let others = wanted.flat_map(|rule| rule.satisfied_by.iter().chain(&rule.together_with));
                let others: Vec<String> = others.map(|id| full(id)).collect();
                rules.extend(others);
                if rules.len() == known {
                    break;
                }
            }
            for (number, rule) in pack.rules.iter().enumerate().filter(|(_, rule)| rules.contains(&full(&rule.id))) {
                let named =
                    rule.names().into_iter().map(|(name, _)| pack.reads_as.get(name).map_or(name, String::as_str));
                names.extend(named.filter_map(|name| name.split_once('.')).map(|(first, _)| first.to_owned()));
                names.extend(self.memory.looked_at(pack, number));
            }
        }
        let schedule = self.engine.schedule();
        names.retain(|name| schedule.declarations().any(|plugin| plugin.name == *name));
        Only { rules, plugins: schedule.with_all_read(names) }
    }

    /// What some plugins find and some rules say of a home with other values, on another site where one is given; all of
    /// them where it does not say which.
    ///
    /// # Errors
    /// Every problem of the input.
    pub(crate) fn asked(
        &self,
        path: &Path,
        changes: Changes<'_>,
        options: &Options,
        only: Option<&Only>,
    ) -> Result<(Facts, Vec<Verdict>), BadInput> {
        let loaded = self.engine.load_with(path, Some(&self.memory.texts), changes)?;
        match only {
            Some(only) => self.engine.asked(loaded, options, &self.memory, only, false),
            None => {
                let report = self.engine.check_with(loaded, options, Some(&self.memory), None)?.report;
                Ok((report.facts, report.verdicts))
            }
        }
    }

    /// What some rules say of a home with other values as the engine tries changes: nearly.
    ///
    /// # Errors
    /// Every problem of the input.
    pub(crate) fn tried(
        &self,
        path: &Path,
        changes: Changes<'_>,
        options: &Options,
        only: &Only,
    ) -> Result<Vec<Verdict>, BadInput> {
        let loaded = self.engine.load_with(path, Some(&self.memory.texts), changes)?;
        self.engine.asked(loaded, options, &self.tried, only, true).map(|(_, verdicts)| verdicts)
    }

    /// How often a plugin was run, by its name.
    pub fn runs(&self) -> BTreeMap<String, usize> {
        self.memory.runs()
    }
}
