//! Running plugins: in the order of what they read and write, what is ready in parallel, each contained.

use crate::digest::{Digest, Digester};
use crate::found::Found;
use crate::memory::Recall;
use crate::worker::{BuiltIn, Declared, Lost, Worker};
use mateline_model::home::Home;
use mateline_model::quantity::Dimension;
use mateline_model::{Facts, Figure, Missing, PluginStatus, Problem, QuantityDef, Value, ValueKind};
use mateline_sdk::{Findings, Plugin, PluginError, Request, abi};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

/// A set of plugins in a sound order.
#[derive(Clone)]
pub struct Schedule {
    plugins: Vec<Arc<dyn Worker>>,
    /// Indices of plugins that may run together, wave by wave.
    waves: Vec<Vec<usize>>,
    /// Plugins whose namespace is another's: they fail, and nothing waits for them.
    doubles: Vec<PluginStatus>,
    /// Definitions of every quantity, by name.
    quantities: Arc<BTreeMap<String, QuantityDef>>,
}

/// What all plugins found out together.
#[derive(Debug, Default)]
pub struct Outcome {
    /// Facts.
    pub facts: Facts,
    /// Facts that could not be found.
    pub missing: Vec<Missing>,
    /// Things in the home that cannot be.
    pub problems: Vec<Problem>,
    /// Figures.
    pub figures: Vec<Figure>,
    /// What has to be said aloud.
    pub remarks: Vec<Problem>,
    /// How each plugin fared.
    pub plugins: Vec<PluginStatus>,
    /// Every path of the home that a fact points to or was computed from.
    pub paths: BTreeSet<String>,
    /// What each plugin found, by the plugin's name; none where nothing is remembered.
    pub(crate) digests: BTreeMap<String, Digest>,
}

/// Settings by plugin: pack and setting.
pub type Settings = BTreeMap<String, Vec<(String, serde_json::Value)>>;

impl Schedule {
    /// Orders plugins that are linked in.
    ///
    /// # Errors
    /// When two claim one namespace, one reads what nobody writes, or their reads form a circle.
    pub fn new(plugins: Vec<Box<dyn Plugin>>) -> Result<Schedule, String> {
        Schedule::of(plugins.into_iter().map(linked).collect())
    }

    /// The same plugins and third-party ones. One that does not fit in fails alone: it owes its facts, and the others
    /// keep their places.
    #[must_use]
    pub fn joined_by(&self, guests: Vec<Arc<dyn Worker>>) -> Schedule {
        let mut joined = self.clone();
        if guests.is_empty() {
            return joined;
        }
        for guest in guests {
            let declared = guest.declared();
            if joined.plugins.iter().any(|other| other.declared().name == declared.name) {
                let owing_nothing = Declared { quantities: Vec::new(), ..declared.clone() };
                let why = "its namespace is taken by another plugin".to_owned();
                joined.doubles.push(status(&owing_nothing, Some(why)));
            } else {
                joined.plugins.push(guest);
            }
        }
        loop {
            match order(&joined.plugins) {
                Ok(waves) => return Schedule { waves, quantities: quantities(&joined.plugins), ..joined },
                Err(Unsound { index, why, .. }) if index >= self.plugins.len() => {
                    let Some(place) = joined.plugins.get_mut(index) else { return self.clone() };
                    *place = stranded(place.as_ref(), &why);
                }
                // The plugins that are linked in fit together by themselves.
                Err(_) => return self.clone(),
            }
        }
    }

    /// The same with a plugin in place of the one of its name.
    pub(crate) fn with(&self, plugin: Box<dyn Plugin>) -> Schedule {
        let new = linked(plugin);
        let mut schedule = self.clone();
        for old in &mut schedule.plugins {
            if old.declared().name == new.declared().name {
                *old = Arc::clone(&new);
            }
        }
        let quantities = quantities(&schedule.plugins);
        if quantities != schedule.quantities {
            schedule.quantities = quantities;
        }
        schedule
    }

    fn of(plugins: Vec<Arc<dyn Worker>>) -> Result<Schedule, String> {
        match order(&plugins) {
            Ok(waves) => Ok(Schedule { quantities: quantities(&plugins), plugins, waves, doubles: Vec::new() }),
            Err(Unsound { name, why, .. }) => Err(format!("plugin {name}: {why}")),
        }
    }

    /// Definitions of every quantity, by name.
    pub fn quantities(&self) -> &Arc<BTreeMap<String, QuantityDef>> {
        &self.quantities
    }

    /// The plugins' declarations.
    pub fn declarations(&self) -> impl Iterator<Item = &Declared> {
        self.plugins.iter().map(|plugin| plugin.declared())
    }

    /// Plugins of these names and all that they read, and what those read.
    pub(crate) fn with_all_read(&self, names: BTreeSet<String>) -> BTreeSet<String> {
        let mut all = names;
        loop {
            let known = all.len();
            let reading = self.declarations().filter(|plugin| all.contains(&plugin.name));
            let read: Vec<String> = reading.flat_map(|plugin| plugin.reads.iter().cloned()).collect();
            all.extend(read);
            if all.len() == known {
                return all;
            }
        }
    }

    /// Runs every plugin on a home. The result is the same for any number of threads.
    pub fn run(&self, home: &Home, settings: &Settings) -> Outcome {
        self.run_with(home, settings, None, None)
    }

    /// The same; a plugin that is given what it was given before is not run again. Where only some are asked for, the
    /// others are left out, which must not be read by those, and so are figures.
    pub(crate) fn run_with(
        &self,
        home: &Home,
        settings: &Settings,
        recall: Option<&Recall<'_>>,
        only: Option<&BTreeSet<String>>,
    ) -> Outcome {
        let mut outcome = Outcome::default();
        let mut statuses: BTreeMap<usize, PluginStatus> = BTreeMap::new();
        let mut done: BTreeMap<&str, Arc<Found>> = BTreeMap::new();
        let mut all: Vec<Arc<Found>> = Vec::new();
        let shown = only.is_none();
        for wave in &self.waves {
            let results: Vec<(usize, Result<Arc<Found>, PluginError>)> = wave
                .par_iter()
                .filter_map(|index| Some((*index, self.plugins.get(*index)?)))
                .filter(|(_, plugin)| only.is_none_or(|only| only.contains(&plugin.declared().name)))
                .map(|(index, plugin)| {
                    let declared = plugin.declared();
                    let settings = settings.get(&declared.name).map(Vec::as_slice).unwrap_or_default();
                    let run = || {
                        let (home, facts) = (declared.part_of(home), read(&declared.reads, &done));
                        let request = Request { home: &home, facts: &facts, settings, shown };
                        contained(plugin.as_ref(), &request).map(|findings| Arc::new(Found::from(findings)))
                    };
                    let Some(recall) = recall else { return (index, run()) };
                    let key = recall.key(plugin.as_ref(), settings, &outcome.digests);
                    let result = match recall.found(&declared.name, &key, shown) {
                        Some(found) => Ok(found),
                        None => run().inspect(|found| recall.keep(&declared.name, key, found, shown)),
                    };
                    (index, result)
                })
                .collect();
            for (index, result) in results {
                let Some(plugin) = self.plugins.get(index) else { continue };
                let name = &plugin.declared().name;
                let failure = match &result {
                    Ok(found) => {
                        done.insert(name, Arc::clone(found));
                        all.push(Arc::clone(found));
                        outcome.state(found).err()
                    }
                    Err(error) => Some(error.to_string()),
                };
                if recall.is_some() {
                    let found = result.as_ref().ok().map(Arc::as_ref);
                    outcome.digests.insert(name.clone(), digest(found, failure.as_deref()));
                }
                statuses.insert(index, status(plugin.declared(), failure));
            }
        }
        drop(done);
        all.into_iter().for_each(|found| outcome.take(found));
        outcome.plugins = statuses.into_values().chain(self.doubles.iter().cloned()).collect();
        outcome
    }
}

fn linked(plugin: Box<dyn Plugin>) -> Arc<dyn Worker> {
    Arc::new(BuiltIn::new(plugin))
}

/// Definitions of every quantity, by name.
fn quantities(plugins: &[Arc<dyn Worker>]) -> Arc<BTreeMap<String, QuantityDef>> {
    let all = plugins.iter().flat_map(|plugin| &plugin.declared().quantities);
    Arc::new(all.map(|quantity| (quantity.name.to_string(), quantity.clone())).collect())
}

/// The facts of these plugins, without the calculations behind them. Of what one states twice the first is heard.
fn read(plugins: &[String], done: &BTreeMap<&str, Arc<Found>>) -> Facts {
    let mut facts = Facts::default();
    for fact in plugins.iter().filter_map(|name| done.get(name.as_str())).flat_map(|found| &found.bare) {
        facts.insert_shared(Arc::clone(fact)).ok();
    }
    facts
}

/// The name of what others can see of a plugin: what it found, and that it failed.
fn digest(found: Option<&Found>, failure: Option<&str>) -> Digest {
    let mut digest = Digester::default();
    digest.text(failure.unwrap_or_default());
    found.into_iter().for_each(|found| digest.digest(&found.digest()));
    digest.finish()
}

impl Outcome {
    /// Adds the facts that a plugin found.
    fn state(&mut self, found: &Found) -> Result<(), String> {
        let mut twice = None;
        for fact in &found.facts {
            if let Err(fact) = self.facts.insert_shared(Arc::clone(fact)) {
                twice.get_or_insert(format!("it states {} of {} twice", fact.quantity, fact.subject));
            }
        }
        twice.map_or(Ok(()), Err)
    }

    /// Adds what else it found: a copy, where that is kept.
    fn take(&mut self, found: Arc<Found>) {
        match Arc::try_unwrap(found) {
            Ok(found) => {
                self.missing.extend(found.missing);
                self.problems.extend(found.problems);
                self.figures.extend(found.figures);
                self.remarks.extend(found.remarks);
                self.paths.extend(found.paths);
            }
            Err(found) => {
                self.missing.extend_from_slice(&found.missing);
                self.problems.extend_from_slice(&found.problems);
                self.figures.extend_from_slice(&found.figures);
                self.remarks.extend_from_slice(&found.remarks);
                self.paths.extend(found.paths.iter().cloned());
            }
        }
    }
}

/// A plugin that owes its facts because it does not fit in. It reads nothing, so that it has a place all the same.
fn stranded(plugin: &dyn Worker, why: &str) -> Arc<dyn Worker> {
    let prefix = format!("{}.", plugin.declared().name);
    let mut declared = Declared { reads: Vec::new(), ..plugin.declared().clone() };
    declared.quantities.retain(|quantity| quantity.name.starts_with(&prefix));
    Arc::new(Lost { declared, why: why.to_owned() })
}

/// Why plugins have no order, and because of which.
struct Unsound {
    index: usize,
    name: String,
    why: String,
}

/// Which plugins may run together, wave by wave.
fn order(plugins: &[Arc<dyn Worker>]) -> Result<Vec<Vec<usize>>, Unsound> {
    let unsound = |index: usize, plugin: &dyn Worker, why: String| {
        let name = plugin.declared().name.clone();
        Err(Unsound { index, name, why })
    };
    let mut names = BTreeSet::new();
    for (index, plugin) in plugins.iter().enumerate() {
        let declared = plugin.declared();
        if !names.insert(declared.name.as_str()) {
            return unsound(index, plugin.as_ref(), "its namespace is taken by another plugin".to_owned());
        }
        let prefix = format!("{}.", declared.name);
        if let Some(stray) = declared.quantities.iter().find(|quantity| !quantity.name.starts_with(&prefix)) {
            return unsound(index, plugin.as_ref(), format!("it declares '{}' outside its namespace", stray.name));
        }
    }
    for (index, plugin) in plugins.iter().enumerate() {
        if let Some(read) = plugin.declared().reads.iter().find(|read| !names.contains(read.as_str())) {
            return unsound(index, plugin.as_ref(), format!("it reads '{read}', which no plugin writes"));
        }
    }
    let mut done: BTreeSet<&str> = BTreeSet::new();
    let mut left: Vec<usize> = (0..plugins.len()).collect();
    let mut waves = Vec::new();
    while !left.is_empty() {
        let declared = |index: &usize| plugins.get(*index).map(|plugin| plugin.declared());
        let is_ready = |index: &usize| {
            declared(index).is_some_and(|plugin| plugin.reads.iter().all(|read| done.contains(read.as_str())))
        };
        let (ready, waiting): (Vec<usize>, Vec<usize>) = left.iter().partition(|index| is_ready(index));
        if ready.is_empty() {
            let circle: Vec<&str> = waiting.iter().filter_map(declared).map(|plugin| plugin.name.as_str()).collect();
            let why = format!("it reads in a circle with others: {}", circle.join(", "));
            // The one that came last closes the circle.
            return match waiting.last().and_then(|index| Some((*index, plugins.get(*index)?))) {
                Some((index, plugin)) => unsound(index, plugin.as_ref(), why),
                None => Ok(waves),
            };
        }
        done.extend(ready.iter().filter_map(declared).map(|plugin| plugin.name.as_str()));
        waves.push(ready);
        left = waiting;
    }
    Ok(waves)
}

fn status(declared: &Declared, failure: Option<String>) -> PluginStatus {
    PluginStatus {
        name: declared.name.clone(),
        version: declared.version.clone(),
        about: declared.about.clone(),
        failure,
        reads: declared.reads.clone(),
        writes: declared.quantities.iter().map(|quantity| quantity.name.to_string()).collect(),
    }
}

/// Runs one plugin; a panic or a fact that breaks its word becomes an error.
fn contained(plugin: &dyn Worker, request: &Request<'_>) -> Result<Findings, PluginError> {
    let findings = catch_unwind(AssertUnwindSafe(|| plugin.run(request)))
        .unwrap_or_else(|panic| Err(PluginError(format!("it panicked: {}", abi::words(&*panic)))))?;
    let measured = |quantity: &QuantityDef| (quantity.kind, quantity.dimension());
    let declared: BTreeMap<&str, (&QuantityDef, (ValueKind, Dimension))> = {
        let all = plugin.declared().quantities.iter();
        all.map(|quantity| (quantity.name.as_ref(), (quantity, measured(quantity)))).collect()
    };
    for fact in &findings.facts {
        let Some((definition, kind)) = declared.get(fact.quantity.as_ref()) else {
            return Err(PluginError(format!(
                "it states {} of {}, which it did not declare",
                fact.quantity, fact.subject
            )));
        };
        keeps_word(definition, *kind, &fact.value)
            .map_err(|what| PluginError(format!("it states {} of {}, {what}", fact.quantity, fact.subject)))?;
    }
    Ok(findings)
}

fn keeps_word(
    definition: &QuantityDef,
    (kind, dimension): (ValueKind, Dimension),
    value: &Value,
) -> Result<(), String> {
    match (kind, value) {
        (ValueKind::Text, Value::Text(word)) if !definition.allows(word) => {
            Err(format!("the word '{word}', which is none of those it declared"))
        }
        (ValueKind::Text, Value::Text(_)) | (ValueKind::Flag, Value::Flag(_)) => Ok(()),
        (ValueKind::Number, Value::Number(quantity)) if quantity.dimension != dimension => {
            Err(format!("a {} where it declared a {}", quantity.dimension, dimension))
        }
        (ValueKind::Number, Value::Number(quantity)) if !quantity.si.is_finite() => {
            Err("which is not a finite number".to_owned())
        }
        (ValueKind::Number, Value::Number(_)) => Ok(()),
        _ => Err("a value of another kind than it declared".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;
    use mateline_model::quantity::Units;
    use mateline_model::{Basis, Subject};

    struct Own;

    const COUNT: QuantityDef = QuantityDef::number("own.count", Units::plain(0), "A count.");

    impl Plugin for Own {
        fn declaration(&self) -> mateline_sdk::Declaration {
            let quantities = vec![COUNT];
            let sections = &["modules"];
            mateline_sdk::Declaration { name: "own", version: "1", about: "own", reads: &[], sections, quantities }
        }

        fn run(&self, _: &Request<'_>) -> Result<Findings, PluginError> {
            let mut findings = Findings::default();
            findings.count(&Subject::home(), &COUNT, 7, Basis::new("counting", "here"));
            Ok(findings)
        }
    }

    /// A guest that finds nothing.
    struct Guest(Declared);

    impl Worker for Guest {
        fn declared(&self) -> &Declared {
            &self.0
        }

        fn run(&self, _: &Request<'_>) -> Result<Findings, PluginError> {
            Ok(Findings::default())
        }
    }

    fn guest(name: &str, reads: &[&str], writes: &str) -> Arc<dyn Worker> {
        let quantity = QuantityDef {
            name: writes.to_owned().into(),
            ..QuantityDef::number("", Units::plain(0), "A number of a guest.")
        };
        Arc::new(Guest(Declared {
            name: name.to_owned(),
            version: "1".to_owned(),
            about: "a guest".to_owned(),
            reads: reads.iter().map(|read| (*read).to_owned()).collect(),
            sections: None,
            quantities: vec![quantity],
        }))
    }

    /// Name and failure of every plugin of a run with these guests, and the quantities that are known.
    fn run(guests: Vec<Arc<dyn Worker>>) -> (Vec<(String, Option<String>)>, Vec<String>) {
        let schedule = Schedule::new(vec![Box::new(Own)]).unwrap().joined_by(guests);
        let home = serde_json::json!({
            "home": "H", "revision": {"id": "A", "date": "2026-10-05"}, "site": {"place": "P", "climate_zone": "6A"},
            "modules": {}
        });
        let outcome = schedule.run(&serde_json::from_value(home).unwrap(), &BTreeMap::new());
        let statuses = outcome.plugins.into_iter().map(|plugin| (plugin.name, plugin.failure)).collect();
        (statuses, schedule.quantities().keys().cloned().collect())
    }

    fn failed(name: &str, why: &str) -> (String, Option<String>) {
        (name.to_owned(), Some(why.to_owned()))
    }

    fn ran(name: &str) -> (String, Option<String>) {
        (name.to_owned(), None)
    }

    /// A plugin that says what it is given: elements and packs of the home, facts, and calculations behind them.
    struct Reader {
        reads: &'static [&'static str],
        sections: &'static [&'static str],
    }

    const SEEN: QuantityDef = QuantityDef::text("reader.seen", "What is seen.");

    impl Plugin for Reader {
        fn declaration(&self) -> mateline_sdk::Declaration {
            let (name, version, about) = ("reader", "1", "a reader");
            let (reads, sections, quantities) = (self.reads, self.sections, vec![SEEN]);
            mateline_sdk::Declaration { name, version, about, reads, sections, quantities }
        }

        fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
            let Request { home, facts, .. } = request;
            let elements = [home.modules.len(), home.finishes.len(), home.judge_by.len()];
            let site = home.site.elevation.is_some();
            let worked = facts.iter().filter(|fact| !fact.basis.method.is_empty()).count();
            let seen = format!("{elements:?} {site} {} {} {worked}", home.home, facts.len());
            let mut findings = Findings::default();
            findings.text(&Subject::home(), &SEEN, seen, Basis::new("looking", "here"));
            Ok(findings)
        }
    }

    /// Sections and namespaces that are not declared are as if there were none; calculations are never handed over.
    #[test]
    fn a_plugin_is_given_what_it_declares() {
        let home = serde_json::json!({
            "home": "H", "revision": {"id": "A", "date": "2026-10-05"}, "judge_by": ["p"],
            "site": {"place": "P", "climate_zone": "6A", "elevation": "1 m"},
            "modules": {"A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": {"x": "1 m", "y": "1 m", "z": "1 m"}}},
            "finishes": {"f": {"category": "paint"}}
        });
        let home: Home = serde_json::from_value(home).unwrap();
        let seen = |reads, sections| {
            let schedule = Schedule::new(vec![Box::new(Own), Box::new(Reader { reads, sections })]).unwrap();
            let outcome = schedule.run(&home, &BTreeMap::new());
            outcome.facts.get(&Subject::home(), "reader.seen").unwrap().value.text().unwrap().to_owned()
        };
        assert_eq!(seen(&[], &[]), "[0, 0, 0] false H 0 0");
        assert_eq!(seen(&["own"], &["site", "modules"]), "[1, 0, 0] true H 1 0");
        assert_eq!(seen(&["own"], mateline_model::home::READABLE), "[1, 1, 0] true H 1 0");
    }

    #[test]
    fn guests_that_fit_in_run_in_the_order_of_what_they_read() {
        let (statuses, quantities) = run(vec![guest("b", &["a"], "b.x"), guest("a", &["own"], "a.x")]);
        assert_eq!(statuses, [ran("own"), ran("b"), ran("a")]);
        assert_eq!(quantities, ["a.x", "b.x", "own.count"]);
    }

    #[test]
    fn a_guest_that_does_not_fit_in_fails_alone_and_still_owes_its_facts() {
        let (statuses, quantities) = run(vec![guest("a", &["nobody"], "a.x"), guest("b", &["a"], "b.x")]);
        assert_eq!(statuses, [ran("own"), failed("a", "it reads 'nobody', which no plugin writes"), ran("b")]);
        assert_eq!(quantities, ["a.x", "b.x", "own.count"]);
    }

    #[test]
    fn guests_in_a_circle_fail_until_there_is_none() {
        let (statuses, _) = run(vec![guest("a", &["b"], "a.x"), guest("b", &["a"], "b.x")]);
        assert_eq!(statuses, [ran("own"), ran("a"), failed("b", "it reads in a circle with others: a, b")]);
    }

    #[test]
    fn a_namespace_has_one_owner() {
        let (statuses, quantities) = run(vec![guest("own", &[], "own.count"), guest("a", &[], "own.other")]);
        let (taken, stray) =
            ("its namespace is taken by another plugin", "it declares 'own.other' outside its namespace");
        assert_eq!(statuses, [ran("own"), failed("a", stray), failed("own", taken)]);
        assert_eq!(quantities, ["own.count"]);
    }

    #[test]
    fn plugins_that_are_linked_in_have_to_fit_together() {
        let twice = Schedule::new(vec![Box::new(Own), Box::new(Own)]).err().unwrap();
        assert_eq!(twice, "plugin own: its namespace is taken by another plugin");
    }
}
