//! The study file, read and checked, and its variants by number.

use super::sample::Sample;
use crate::load::{BadInput, Diagnosis, Edit, Placed, SourceFile, Span, did_you_mean, parse, read, text_of};
use crate::only::Only;
use crate::remedies::{Dial, Handle, Levers, Trials, values};
use crate::{Engine, Options};
use indexmap::IndexMap;
use mateline_model::home::{Id, Lever, Name, Towards};
use mateline_model::quantity::{UnitSystem, Units};
use mateline_model::{Subject, ValueKind};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A study as it is written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    study: String,
    homes: Vec<String>,
    #[serde(default)]
    vary: IndexMap<String, WrittenVaried>,
    #[serde(default)]
    climates: IndexMap<String, String>,
    #[serde(default)]
    packs: Vec<String>,
    #[serde(default)]
    columns: IndexMap<String, String>,
    #[serde(default)]
    better: IndexMap<String, Towards>,
    #[serde(default)]
    sample: Sample,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenVaried {
    #[serde(default)]
    lever: Option<String>,
    #[serde(default)]
    field: Option<Name>,
    #[serde(default)]
    beside: IndexMap<Id, Vec<Name>>,
    #[serde(default)]
    to: Vec<Name>,
    #[serde(default)]
    prices: IndexMap<Name, Name>,
    #[serde(default)]
    per: Option<Name>,
}

/// What is varied.
#[derive(Clone, Debug)]
pub struct Varied {
    /// Its name in the study.
    pub name: String,
    /// What is changed.
    pub lever: Lever,
}

/// What is asked of every variant beside the packs.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name in the study.
    pub name: String,
    /// The quantity.
    pub quantity: String,
    /// Whose.
    pub subject: Subject,
    /// How it is shown; its numbers are in the unit of the study's system.
    pub units: Units,
    /// What kind of value it has.
    pub kind: ValueKind,
    /// The side on which a home is better, where the study says so.
    pub better: Option<Towards>,
}

/// The part of a study that one machine does: one of so many, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    /// Which.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

/// A study that can be run.
pub struct Plan<'a> {
    pub(super) engine: &'a Engine,
    /// Its title.
    pub title: String,
    /// What is varied, in order.
    pub varied: Vec<Varied>,
    /// What is asked.
    pub columns: Vec<Column>,
    /// The packs whose open requirements and advice are counted.
    pub packs: Vec<String>,
    /// The units of its numbers.
    pub units: UnitSystem,
    pub(super) options: Options,
    pub(super) homes: Vec<HomeOf>,
    pub(super) climates: Vec<(String, Arc<Placed>)>,
    sample: Sample,
    /// The name of everything that its rows follow from.
    pub inputs: String,
}

/// A home of a study.
pub(super) struct HomeOf {
    pub name: String,
    pub path: PathBuf,
    pub only: Option<Only>,
    /// For each thing varied: its steps, each with its edits and its price.
    pub steps: Vec<Vec<(Vec<Edit>, Option<f64>)>>,
}

/// A variant by its number.
pub(super) struct Variant {
    pub home: usize,
    pub climate: Option<usize>,
    pub steps: Vec<Option<usize>>,
}

/// The engine that judges every home by the packs that a study names, as far as there are packs of these names; what is wrong
/// with the study [`Plan::read`] tells.
pub fn judging(engine: &Engine, path: &Path) -> Engine {
    let written = || read::<Written>(&parse(&text_of(path).ok()?, 0).ok()?).ok();
    let named = written().map(|written| written.packs).unwrap_or_default();
    let known = named.iter().filter(|pack| !pack.contains(['/', '\\']) && engine.pack(pack).is_ok());
    known.filter_map(|pack| pack.parse().ok()).fold(engine.clone(), Engine::judging_by)
}

impl<'a> Plan<'a> {
    /// Reads a study and checks each of its homes as it stands.
    ///
    /// # Errors
    /// Every problem of the study at its place, or those of a home.
    pub fn read(engine: &'a Engine, path: &Path, options: Options) -> Result<Plan<'a>, BadInput> {
        let name = path.display().to_string();
        let refused = |message: String| {
            let file = SourceFile { name: name.clone(), text: String::new() };
            BadInput::new(vec![Diagnosis::new(Span::start(0), message)], vec![file])
        };
        let text = text_of(path).map_err(refused)?;
        let bad = |problems: Vec<Diagnosis>| {
            BadInput::new(problems, vec![SourceFile { name: name.clone(), text: text.clone() }])
        };
        let tree = parse(&text, 0).map_err(bad)?;
        let written: Written = read(&tree).map_err(bad)?;
        let folder = path.parent().unwrap_or(Path::new("."));
        let mut problems = Vec::new();
        let mut wrong = |path: &[&str], message: String| problems.push(Diagnosis::new(tree.span_at(path), message));
        if written.homes.is_empty() {
            wrong(&["homes"], "the study has no home".to_owned());
        }
        let mut digest = Inputs::new(&text);
        let mut climates = Vec::new();
        for (id, file) in &written.climates {
            match climate(&folder.join(file)) {
                Ok((text, tree)) => {
                    digest.file(file, &text);
                    climates.push((id.clone(), Arc::new(tree)));
                }
                Err(why) => wrong(&["climates", id], why),
            }
        }
        if !problems.is_empty() {
            return Err(bad(problems));
        }
        let homes: Vec<PathBuf> = written.homes.iter().map(|home| folder.join(home)).collect();
        let homes = homes.iter().map(|home| Trials::new(engine, home, options)).collect::<Result<Vec<_>, _>>()?;
        let Some(first) = homes.first() else { return Err(bad(problems)) };
        // The levers are those of the first home and its firm.
        let levers = first.levers(&engine.levers()?)?;
        let mut wrong = |path: &[&str], message: String| problems.push(Diagnosis::new(tree.span_at(path), message));
        let varied = varied(&written, &levers, &mut wrong);
        if !problems.is_empty() {
            return Err(bad(problems));
        }
        let mut plan = Plan {
            engine,
            title: written.study.clone(),
            varied,
            columns: Vec::new(),
            packs: written.packs.clone(),
            units: first.base().units,
            options,
            homes: Vec::new(),
            climates,
            sample: written.sample,
            inputs: String::new(),
        };
        for (home, trials) in std::iter::zip(&written.homes, &homes) {
            let mut problems = Vec::new();
            let mut wrong = |path: &[&str], message: String| problems.push(Diagnosis::new(tree.span_at(path), message));
            let columns = columns(&written, trials, &mut wrong);
            for pack in &written.packs {
                if !trials.base().packs.iter().any(|known| known.id == *pack) {
                    wrong(&["packs"], format!("{home} is not judged by {pack}"));
                }
            }
            for better in written.better.keys().filter(|name| !written.columns.contains_key(*name)) {
                wrong(&["better", better], format!("the study has no column {better}"));
            }
            let steps: Vec<_> = plan.varied.iter().map(|varied| steps(varied, trials)).collect();
            for (varied, steps) in std::iter::zip(&plan.varied, &steps) {
                if steps.iter().all(|(edits, _)| edits.is_empty()) {
                    wrong(&["vary", &varied.name], format!("{home} has no value that {} is about", varied.name));
                }
            }
            if !problems.is_empty() {
                return Err(bad(problems));
            }
            for file in trials.loaded().project.files() {
                digest.file(&file.name, &file.text);
            }
            let report = trials.base();
            let rules = report.verdicts.iter().filter(|verdict| written.packs.contains(&verdict.pack));
            let rules: BTreeSet<String> = rules.map(|verdict| verdict.full_name()).collect();
            let asked = columns.iter().filter_map(|column| column.quantity.split_once('.')).map(|(plugin, _)| plugin);
            let only = trials.only_with(rules, asked.map(str::to_owned));
            plan.columns = columns;
            plan.homes.push(HomeOf { name: home.clone(), path: folder.join(home), only, steps });
        }
        plan.inputs = digest.finish();
        Ok(plan)
    }

    /// How many variants it has.
    pub fn count(&self) -> u128 {
        let places = (self.homes.len() * self.climates.len().max(1)) as u128;
        self.sample.count(&self.dials()).saturating_mul(places)
    }

    fn dials(&self) -> Vec<usize> {
        self.varied.iter().map(|varied| varied.lever.steps.len()).collect()
    }

    pub(super) fn variant(&self, number: u128) -> Variant {
        let dials = self.dials();
        let each = self.sample.count(&dials).max(1);
        let (place, within) = (number / each, number % each);
        let climates = self.climates.len().max(1) as u128;
        let climate = (place % climates) as usize;
        Variant {
            home: (place / climates) as usize,
            climate: (climate < self.climates.len()).then_some(climate),
            steps: self.sample.variant(&dials, within),
        }
    }

    /// What one change of a variant costs; none where it has no price.
    pub fn price_of(&self, number: u128, varied: usize) -> Option<f64> {
        let variant = self.variant(number);
        let steps = self.homes.get(variant.home)?.steps.get(varied)?;
        steps.get((*variant.steps.get(varied)?)?)?.1
    }

    /// The edits of a variant, and the home file that they are for.
    pub fn edits(&self, number: u128) -> Option<(&Path, Vec<Edit>)> {
        let variant = self.variant(number);
        let home = self.homes.get(variant.home)?;
        Some((&home.path, home.edits(&variant.steps)))
    }
}

impl HomeOf {
    /// All edits of these steps.
    pub fn edits(&self, steps: &[Option<usize>]) -> Vec<Edit> {
        let set = std::iter::zip(&self.steps, steps).filter_map(|(steps, step)| steps.get((*step)?));
        set.flat_map(|(edits, _)| edits.iter().cloned()).collect()
    }

    /// What they cost together; none where one has no price.
    pub fn price(&self, steps: &[Option<usize>]) -> Option<f64> {
        let set = std::iter::zip(&self.steps, steps).filter_map(|(steps, step)| steps.get((*step)?));
        set.map(|(_, price)| *price).sum()
    }
}

/// What is varied: a lever with its steps or others, or a field.
fn varied(written: &Written, levers: &Levers, wrong: &mut dyn FnMut(&[&str], String)) -> Vec<Varied> {
    let keys = crate::load::keys();
    let mut all = Vec::new();
    for (name, varied) in &written.vary {
        let base = match (&varied.lever, &varied.field) {
            (Some(lever), None) => match levers.get(lever) {
                Some(lever) => lever.clone(),
                None => {
                    let near = did_you_mean(lever, levers.names());
                    wrong(&["vary", name, "lever"], format!("there is no lever {lever}{near}"));
                    continue;
                }
            },
            (None, Some(field)) => {
                if !keys.iter().any(|key| crate::remedies::is_of(field, &key.path)) {
                    let near = did_you_mean(field, keys.iter().map(|key| key.path.as_str()));
                    wrong(&["vary", name, "field"], format!("a home has no field {field}{near}"));
                }
                Lever { field: Some(field.clone()), ..Lever::default() }
            }
            _ => {
                wrong(&["vary", name], format!("{name} names a lever, or else a field"));
                continue;
            }
        };
        let own = Lever {
            steps: varied.to.clone(),
            beside: varied.beside.clone(),
            prices: varied.prices.clone(),
            per: varied.per.clone(),
            ..Lever::default()
        };
        let lever = own.over(&base);
        if lever.steps.is_empty() {
            wrong(&["vary", name], format!("{name} has no step; say them under to"));
        }
        all.push(Varied { name: name.clone(), lever });
    }
    all
}

/// The columns, as `QUANTITY of SUBJECT`, or of the home.
fn columns(written: &Written, trials: &Trials<'_>, wrong: &mut dyn FnMut(&[&str], String)) -> Vec<Column> {
    let mut all = Vec::new();
    let known = &trials.base().quantities;
    for (name, text) in &written.columns {
        let (quantity, subject) = text.split_once(" of ").unwrap_or((text, "home"));
        let Some(definition) = known.get(quantity) else {
            let near = did_you_mean(quantity, known.keys().map(String::as_str));
            wrong(&["columns", name], format!("no plugin finds {quantity}{near}"));
            continue;
        };
        all.push(Column {
            name: name.clone(),
            quantity: quantity.to_owned(),
            subject: Subject::from(subject),
            units: definition.units.clone(),
            kind: definition.kind,
            better: written.better.get(name).copied(),
        });
    }
    all
}

/// The steps of what is varied on a home: each changes every value that it is about.
fn steps(varied: &Varied, trials: &Trials<'_>) -> Vec<(Vec<Edit>, Option<f64>)> {
    let paths = values(&trials.loaded().tree, &varied.lever);
    let price = |path: &[String], text: &str| {
        let handle = Handle { name: &varied.name, lever: &varied.lever, path: path.to_vec() };
        Dial::price(trials, &handle, text)
    };
    let step = |text: &Name| {
        let edits = paths.iter().flat_map(|path| {
            let follow = Dial::following(trials, &varied.lever, path, text);
            std::iter::once(Edit { path: path.clone(), text: text.to_string() }).chain(follow)
        });
        (edits.collect(), paths.iter().map(|path| price(path, text)).sum())
    };
    varied.lever.steps.iter().map(step).collect()
}

/// A climate file: a mapping of what stands under `site`, or one with such a section.
fn climate(path: &Path) -> Result<(String, Placed), String> {
    let text = text_of(path)?;
    let tree = parse(&text, 0).map_err(|problems| {
        let first = problems.first().map_or_else(String::new, |p| format!(", line {}: {}", p.at.line, p.message));
        format!("'{}'{first}", path.display())
    })?;
    let site = tree.get("site").map_or_else(|| tree.clone(), |entry| entry.value.clone());
    Ok((text, site))
}

/// The name of all that rows follow from.
struct Inputs(crate::digest::Digester);

impl Inputs {
    fn new(study: &str) -> Inputs {
        let mut digester = crate::digest::Digester::default();
        digester.text(study);
        Inputs(digester)
    }

    fn file(&mut self, name: &str, text: &str) {
        self.0.text(name);
        self.0.text(text);
    }

    fn finish(self) -> String {
        self.0.finish().iter().map(|byte| format!("{byte:02x}")).collect()
    }
}
