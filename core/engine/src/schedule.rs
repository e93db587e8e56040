//! Running plugins: in the order of what they read and write, what is ready in parallel, each contained.

use mateline_model::home::Home;
use mateline_model::{Facts, Figure, Missing, PluginStatus, Problem, QuantityDef, Value, ValueKind};
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// A set of plugins in a sound order.
pub struct Schedule {
    plugins: Vec<(Declaration, Box<dyn Plugin>)>,
    /// Indices of plugins that may run together, wave by wave.
    waves: Vec<Vec<usize>>,
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
    /// How each plugin fared.
    pub plugins: Vec<PluginStatus>,
}

impl Schedule {
    /// Orders plugins.
    ///
    /// # Errors
    /// When two claim one namespace, one reads what nobody writes, or their reads form a circle.
    pub fn new(plugins: Vec<Box<dyn Plugin>>) -> Result<Schedule, String> {
        let plugins: Vec<(Declaration, Box<dyn Plugin>)> =
            plugins.into_iter().map(|plugin| (plugin.declaration(), plugin)).collect();
        let mut names = BTreeSet::new();
        for (declaration, _) in &plugins {
            if !names.insert(declaration.name) {
                return Err(format!("two plugins claim the namespace '{}'", declaration.name));
            }
            let prefix = format!("{}.", declaration.name);
            if let Some(stray) = declaration.quantities.iter().find(|quantity| !quantity.name.starts_with(&prefix)) {
                return Err(format!("plugin {} declares '{}' outside its namespace", declaration.name, stray.name));
            }
        }
        for (declaration, _) in &plugins {
            if let Some(read) = declaration.reads.iter().find(|read| !names.contains(*read)) {
                return Err(format!("plugin {} reads '{read}', which no plugin writes", declaration.name));
            }
        }
        let mut done: BTreeSet<&str> = BTreeSet::new();
        let mut left: Vec<usize> = (0..plugins.len()).collect();
        let mut waves = Vec::new();
        while !left.is_empty() {
            let is_ready = |index: &usize| {
                plugins.get(*index).is_some_and(|(plugin, _)| plugin.reads.iter().all(|read| done.contains(read)))
            };
            let (ready, waiting): (Vec<usize>, Vec<usize>) = left.iter().partition(|index| is_ready(index));
            if ready.is_empty() {
                let circle: Vec<&str> =
                    waiting.iter().filter_map(|index| plugins.get(*index)).map(|(plugin, _)| plugin.name).collect();
                return Err(format!("plugins read each other in a circle: {}", circle.join(", ")));
            }
            done.extend(ready.iter().filter_map(|index| plugins.get(*index)).map(|(plugin, _)| plugin.name));
            waves.push(ready);
            left = waiting;
        }
        Ok(Schedule { plugins, waves })
    }

    /// Definitions of every quantity, by name.
    pub fn quantities(&self) -> BTreeMap<String, QuantityDef> {
        let all = self.plugins.iter().flat_map(|(declaration, _)| &declaration.quantities);
        all.map(|quantity| (quantity.name.to_string(), quantity.clone())).collect()
    }

    /// The plugins' declarations.
    pub fn declarations(&self) -> impl Iterator<Item = &Declaration> {
        self.plugins.iter().map(|(declaration, _)| declaration)
    }

    /// Runs every plugin on a home. The result is the same for any number of threads.
    pub fn run(&self, home: &Home, settings: &BTreeMap<String, Vec<(String, serde_json::Value)>>) -> Outcome {
        let mut outcome = Outcome::default();
        let mut statuses: BTreeMap<usize, PluginStatus> = BTreeMap::new();
        for wave in &self.waves {
            let results: Vec<(usize, Result<Findings, PluginError>)> = wave
                .par_iter()
                .filter_map(|index| Some((*index, self.plugins.get(*index)?)))
                .map(|(index, (declaration, plugin))| {
                    let own = settings.get(declaration.name).map(Vec::as_slice).unwrap_or_default();
                    let request = Request { home, facts: &outcome.facts, settings: own };
                    (index, contained(declaration, plugin.as_ref(), &request))
                })
                .collect();
            for (index, result) in results {
                let Some((declaration, _)) = self.plugins.get(index) else { continue };
                let failure = match result {
                    Ok(findings) => outcome.take(findings).err(),
                    Err(error) => Some(error.to_string()),
                };
                statuses.insert(index, status(declaration, failure));
            }
        }
        outcome.plugins = statuses.into_values().collect();
        outcome
    }
}

impl Outcome {
    fn take(&mut self, findings: Findings) -> Result<(), String> {
        let mut twice = None;
        for fact in findings.facts {
            if let Err(fact) = self.facts.insert(fact) {
                twice.get_or_insert(format!("it states {} of {} twice", fact.quantity, fact.subject));
            }
        }
        self.missing.extend(findings.missing);
        self.problems.extend(findings.problems);
        self.figures.extend(findings.figures);
        twice.map_or(Ok(()), Err)
    }
}

fn status(declaration: &Declaration, failure: Option<String>) -> PluginStatus {
    PluginStatus {
        name: declaration.name.to_owned(),
        version: declaration.version.to_owned(),
        about: declaration.about.to_owned(),
        failure,
        reads: declaration.reads.iter().map(|read| (*read).to_owned()).collect(),
        writes: declaration.quantities.iter().map(|quantity| quantity.name.to_string()).collect(),
    }
}

/// Runs one plugin; a panic or a fact that breaks its word becomes an error.
fn contained(declaration: &Declaration, plugin: &dyn Plugin, request: &Request<'_>) -> Result<Findings, PluginError> {
    let findings = catch_unwind(AssertUnwindSafe(|| plugin.run(request))).unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().map(String::as_str);
        let words = words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no message");
        Err(PluginError(format!("it panicked: {words}")))
    })?;
    let declared: BTreeMap<&str, &QuantityDef> =
        declaration.quantities.iter().map(|quantity| (quantity.name.as_ref(), quantity)).collect();
    for fact in &findings.facts {
        let Some(definition) = declared.get(fact.quantity.as_ref()) else {
            return Err(PluginError(format!(
                "it states {} of {}, which it did not declare",
                fact.quantity, fact.subject
            )));
        };
        keeps_word(definition, &fact.value)
            .map_err(|what| PluginError(format!("it states {} of {}, {what}", fact.quantity, fact.subject)))?;
    }
    Ok(findings)
}

fn keeps_word(definition: &QuantityDef, value: &Value) -> Result<(), String> {
    match (definition.kind, value) {
        (ValueKind::Text, Value::Text(_)) | (ValueKind::Flag, Value::Flag(_)) => Ok(()),
        (ValueKind::Number, Value::Number(quantity)) if quantity.dimension != definition.dimension() => {
            Err(format!("a {} where it declared a {}", quantity.dimension, definition.dimension()))
        }
        (ValueKind::Number, Value::Number(quantity)) if !quantity.si.is_finite() => {
            Err("which is not a finite number".to_owned())
        }
        (ValueKind::Number, Value::Number(_)) => Ok(()),
        _ => Err("a value of another kind than it declared".to_owned()),
    }
}
