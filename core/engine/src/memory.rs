//! What a session remembers of its checks.
//!
//! A plugin is a function of what it is given: the sections of the home it reads, the facts of the namespaces it reads,
//! its settings. Its result is kept under a digest of all of that, and of what it is made of. Rules keep their verdicts
//! as long as nothing has changed that they looked at. What is kept holds no places in files: these are looked up for
//! every report, so that it is the same, byte for byte, as that of a check from nothing. Nothing goes to the disk.

use crate::digest::{Digest, Digester};
use crate::found::Found;
use crate::judge::{Inputs, KeptVerdicts};
use crate::load::{KeptTrees, Node, Placed};
use crate::pack::Pack;
use crate::worker::Worker;
use mateline_model::home::Date;
use mateline_model::quantity::UnitSystem;
use serde_json::Value;
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

/// Results kept of each plugin.
const MOST: usize = 4;
/// Plugins of which results are kept; a home may name others from day to day.
const MOST_PLUGINS: usize = 64;
/// Where that stands in a file which every plugin sees of a home.
const SEEN_BY_ALL: [&str; 4] = ["home", "units", "revision", "site"];

/// What a session remembers.
#[derive(Default)]
pub(crate) struct Memory {
    plugins: Mutex<BTreeMap<String, KeptResults>>,
    verdicts: KeptVerdicts,
    /// The home's files as they were read.
    pub texts: KeptTrees,
}

/// The last results of a plugin, and how often it has run.
#[derive(Default)]
struct KeptResults {
    results: VecDeque<KeptResult>,
    runs: usize,
}

struct KeptResult {
    /// The name of all that the plugin was given.
    key: Digest,
    found: Arc<Found>,
    /// Whether its figures are among it.
    shown: bool,
}

impl Memory {
    /// How often each plugin was run, by its name.
    pub fn runs(&self) -> BTreeMap<String, usize> {
        self.lock().iter().map(|(name, kept)| (name.clone(), kept.runs)).collect()
    }

    /// The namespaces that a rule of a pack looked at when it judged last.
    pub fn looked_at(&self, pack: &Pack, rule: usize) -> Vec<String> {
        self.verdicts.looked_at(pack, rule)
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, KeptResults>> {
        self.plugins.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What is remembered, for one check.
pub(crate) struct Recall<'a> {
    memory: &'a Memory,
    /// Each section of the home as it stands in the files, by name.
    sections: BTreeMap<String, Digest>,
    /// The day that certificates are judged on.
    day: Date,
}

impl<'a> Recall<'a> {
    /// For a home with this tree.
    pub fn of(memory: &'a Memory, tree: &Placed, day: Date) -> Recall<'a> {
        let mut sections = BTreeMap::new();
        if let Node::Map(entries) = &tree.node {
            for entry in entries.iter() {
                let mut digest = Digester::default();
                digest.tree(&entry.value);
                sections.insert(entry.key.clone(), digest.finish());
            }
        }
        Recall { memory, sections, day }
    }

    /// The name of all that a plugin is given, with what it is made of.
    pub fn key(
        &self,
        worker: &dyn Worker,
        settings: &[(String, Value)],
        namespaces: &BTreeMap<String, Digest>,
    ) -> Digest {
        let declared = worker.declared();
        let mut key = Digester::default();
        [&declared.name, &declared.version, worker.content()].into_iter().for_each(|text| key.text(text));
        key.text(&self.day.to_string());
        let is_seen = |name: &str| match &declared.sections {
            Some(own) => SEEN_BY_ALL.contains(&name) || own.iter().any(|section| section == name),
            None => true,
        };
        for (name, digest) in self.sections.iter().filter(|(name, _)| is_seen(name)) {
            key.text(name);
            key.digest(digest);
        }
        key.mark(1);
        for (pack, setting) in settings {
            key.text(pack);
            key.text(&setting.to_string());
        }
        key.mark(2);
        for name in &declared.reads {
            key.text(name);
            key.mark(u8::from(namespaces.contains_key(name)));
            namespaces.get(name).into_iter().for_each(|digest| key.digest(digest));
        }
        key.finish()
    }

    /// What a plugin found when it was given the same; with its figures, where they will be shown.
    pub fn found(&self, name: &str, key: &Digest, shown: bool) -> Option<Arc<Found>> {
        let plugins = self.memory.lock();
        let kept = plugins.get(name)?.results.iter().find(|kept| kept.key == *key && (kept.shown || !shown));
        kept.map(|kept| Arc::clone(&kept.found))
    }

    /// Keeps what a plugin found.
    pub fn keep(&self, name: &str, key: Digest, found: &Arc<Found>, shown: bool) {
        let mut plugins = self.memory.lock();
        if plugins.len() >= MOST_PLUGINS && !plugins.contains_key(name) {
            plugins.pop_first();
        }
        let kept = plugins.entry(name.to_owned()).or_default();
        kept.runs += 1;
        kept.results.retain(|old| old.key != key);
        kept.results.push_front(KeptResult { key, found: Arc::clone(found), shown });
        kept.results.truncate(MOST);
    }

    /// All that rules may look at.
    pub fn inputs<'b>(&'b self, units: UnitSystem, namespaces: &'b BTreeMap<String, Digest>) -> Inputs<'b> {
        let mut common = Digester::default();
        common.mark(u8::from(units == UnitSystem::Si));
        common.text(&self.day.to_string());
        self.sections.get("parameters").into_iter().for_each(|digest| common.digest(digest));
        Inputs { sections: &self.sections, namespaces, common: common.finish(), kept: &self.memory.verdicts }
    }
}
