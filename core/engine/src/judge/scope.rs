//! What a rule sees: the fields of its subject, facts, and the home.

use super::values::{cell, item, one_of, rows, value_at};
use crate::expr::{Item, Lookup};
use crate::load::fields::{Fields, Kind};
use crate::load::{FirmWords, Placed, SourceFile, place};
use crate::pack::{FOUND, Vocabulary};
use mateline_model::home::Date;
use mateline_model::quantity::UnitSystem;
use mateline_model::{Facts, Missing, Place, PluginStatus, Pointer, QuantityDef, Subject, Value};
use serde_json::Value as Json;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// What can be known about a home while it is judged.
pub trait Evidence: Sync {
    /// The subjects of a section, in a fixed order.
    fn subjects(&self, section: &[String]) -> Arc<Vec<Subject>>;
    /// A field of a subject; `None` when its section has no such field.
    fn field(&self, subject: &Subject, section: &[String], path: &str) -> Option<Lookup>;
    /// A fact; `None` when no plugin declares the quantity.
    fn fact(&self, subject: &Subject, quantity: &str) -> Option<Lookup>;
    /// Where a verdict on a subject points, and what is to be seen there: at what matters most for the first of the
    /// names judged that is a fact with a place, else at the first that is a field, else at the subject.
    fn place(&self, subject: &Subject, names: &[&str], section: &[String]) -> (Option<Place>, Option<String>);
    /// The same as a path of the home, where that follows from the facts of the names judged and from the section alone.
    fn pointed(&self, _subject: &Subject, _names: &[&str], _section: &[String]) -> Option<Pointer> {
        None
    }
    /// Where a path of the home stands.
    fn place_at(&self, _path: &str) -> Option<Place> {
        None
    }
    /// Why a fact is not there at bottom, and the path of the home that could give it, where its plugin knows them.
    fn owed(&self, subject: &Subject, quantity: &str) -> Option<(String, Option<String>)>;
    /// The path of the home at which a subject is typed, or belongs.
    fn path_of(&self, subject: &Subject, _section: &[String]) -> String {
        subject.to_string()
    }
    /// Whether something stands at a path of the home; an empty section is nothing.
    fn is_written(&self, path: &str) -> bool;
    /// The units of messages.
    fn units(&self) -> UnitSystem;
    /// A quantity's definition.
    fn definition(&self, quantity: &str) -> Option<&QuantityDef>;
    /// The day on which rules are in force or not; none where that does not matter.
    fn day(&self) -> Option<Date>;
    /// That nothing is said of a section, in words; none where it has elements, or is known to have none.
    fn absent(&self, section: &[String]) -> Option<String>;
    /// Everything a rule may name.
    fn vocabulary(&self) -> Vocabulary<'_>;
    /// What the former revision was.
    fn former(&self) -> Option<&dyn Evidence> {
        None
    }
    /// A value that is given for a name as a whole, whatever it leads through.
    fn stated(&self, _subject: &Subject, _path: &str) -> Option<Lookup> {
        None
    }
    /// The elements of a section by a field, kept under a name once it has been made; none where there is no such order.
    fn index(&self, _name: &[&str], build: &dyn Fn() -> Option<Index>) -> Option<Arc<Index>> {
        build().map(Arc::new)
    }
    /// A value that stands in for a parameter's own.
    fn parameter(&self, _name: &str) -> Option<Item> {
        None
    }
}

/// Elements of a section by the word of a field.
pub struct Index {
    /// The numbers of those that have it.
    pub by_word: HashMap<String, Vec<usize>>,
    /// The numbers of those of which it is not known.
    pub open: Vec<usize>,
}

/// How many lacks, each behind the other, are looked through at most.
const DEEPEST_LACK: usize = 12;

/// A home being judged.
pub struct Judged<'a> {
    /// The home as JSON.
    pub home: Json,
    /// Its fields.
    pub fields: &'a Fields,
    /// All facts.
    pub facts: &'a Facts,
    /// Facts that could not be found.
    pub missing: &'a [Missing],
    /// How the plugins fared.
    pub plugins: &'a [PluginStatus],
    /// Definitions of quantities.
    pub quantities: &'a Arc<BTreeMap<String, QuantityDef>>,
    /// What the firm adds to the words of rules.
    pub firm: &'a FirmWords,
    /// The former revision, where there is one to hold it against.
    pub former: Option<&'a Judged<'a>>,
    /// The tree, for places.
    pub tree: &'a Placed,
    /// The files, for places.
    pub files: &'a [SourceFile],
    /// The units of messages.
    pub units: UnitSystem,
    /// The revision's date.
    pub day: Date,
    /// What has been looked up already.
    pub memo: Memo<'a>,
}

/// What is looked up once for all rules.
#[derive(Default)]
pub struct Memo<'a> {
    subjects: Mutex<BTreeMap<Vec<String>, Arc<Vec<Subject>>>>,
    missing: OnceLock<BTreeMap<(&'a Subject, &'a str), &'a Missing>>,
    indices: Mutex<BTreeMap<String, Option<Arc<Index>>>>,
}

impl Judged<'_> {
    /// The JSON of an element, or of the home.
    fn element(&self, subject: &Subject, section: &[String]) -> Option<&Json> {
        if section.is_empty() {
            return Some(&self.home);
        }
        if section == ["ducts"] {
            let (unit, duct) = self.duct(subject)?;
            return self.units_of_air()?.get(unit)?.get("ducts")?.get(duct);
        }
        let elements = section.iter().try_fold(&self.home, |here, step| here.get(step))?;
        one_of(elements, id_in(subject, section))
    }

    /// The ventilation units.
    fn units_of_air(&self) -> Option<&serde_json::Map<String, Json>> {
        self.home.get("systems")?.get("ventilation")?.as_object()
    }

    /// Every duct that is typed: its unit, and its id there.
    fn ducts(&self) -> impl Iterator<Item = (&str, &str)> {
        let units = self.units_of_air().into_iter().flatten();
        units.flat_map(|(unit, said)| {
            let ducts = said.get("ducts").and_then(Json::as_object).into_iter().flatten();
            ducts.map(move |(duct, _)| (unit.as_str(), duct.as_str()))
        })
    }

    /// The unit and the id of a duct that is typed.
    fn duct(&self, subject: &Subject) -> Option<(&str, &str)> {
        let id = subject.id();
        self.ducts().find(|(unit, duct)| {
            id.strip_prefix(unit).and_then(|rest| rest.strip_prefix('-')).is_some_and(|rest| rest == *duct)
        })
    }

    /// The entry that describes every element of a section which has none of its own, or lacks a field.
    fn default_element(&self, section: &[String]) -> Option<&Json> {
        if section.is_empty() {
            return None;
        }
        section.iter().try_fold(&self.home, |here, step| here.get(step))?.get("default")
    }

    /// Why a fact could not be found, where a plugin says so.
    fn lack(&self, subject: &Subject, quantity: &str) -> Option<&Missing> {
        let index = self.memo.missing.get_or_init(|| {
            // The first that says so is heard.
            self.missing.iter().rev().map(|missing| ((&missing.subject, missing.quantity.as_ref()), missing)).collect()
        });
        index.get(&(subject, quantity)).copied()
    }

    /// Why a fact is not there at bottom.
    fn lack_at_bottom(&self, subject: &Subject, quantity: &str) -> Option<&Missing> {
        let mut lack = self.lack(subject, quantity)?;
        for _ in 0..DEEPEST_LACK {
            lack = self.behind(lack).unwrap_or(lack);
        }
        Some(lack)
    }

    /// The lack behind one that only names another fact: `takeoff.floor_area of the home is not known`.
    fn behind(&self, lack: &Missing) -> Option<&Missing> {
        let (named, _) = lack.because.split_once(" is not known")?;
        let (quantity, subject) = match named.split_once(" of ") {
            Some((quantity, "the home")) => (quantity, Subject::home()),
            Some((quantity, subject)) => (quantity, Subject::from(subject)),
            None => (named, lack.subject.clone()),
        };
        self.lack(&subject, quantity)
    }

    /// A path of the home as a place.
    pub fn place_of(&self, path: &str) -> Place {
        let steps: Vec<&str> = path.split('.').filter(|step| !step.is_empty()).collect();
        place(self.files, self.tree.span_at(&steps))
    }

    fn subjects_of(&self, section: &[String]) -> Vec<Subject> {
        if section.is_empty() {
            return vec![Subject::home()];
        }
        let name = section.join(".");
        if let Some(table) = self.vocabulary().table(section) {
            return rows(table, &name);
        }
        let mut subjects: Vec<Subject> = match section.iter().try_fold(&self.home, |here, step| here.get(step)) {
            Some(Json::Array(items)) => (0..items.len()).map(|number| Subject::element(&name, number)).collect(),
            Some(Json::Object(elements)) => {
                elements.keys().filter(|id| *id != "default").map(|id| Subject::element(&name, id)).collect()
            }
            _ if name == "ducts" => {
                self.ducts().map(|(unit, duct)| Subject::element(&name, format!("{unit}-{duct}"))).collect()
            }
            _ => Vec::new(),
        };
        let typed: BTreeSet<Subject> = subjects.iter().cloned().collect();
        let of_section =
            |subject: &&Subject| subject.as_str().strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('.'));
        subjects.extend(self.facts.subjects().filter(of_section).filter(|found| !typed.contains(*found)).cloned());
        // A seam may be named in the file from its other side; only what was found is judged.
        if name == "seams" {
            subjects.retain(|subject| self.facts.of(subject).next().is_some());
        }
        subjects
    }
}

/// The id of a subject within its section; the whole of one that is not in it.
pub(super) fn id_in<'s>(subject: &'s Subject, section: &[String]) -> &'s str {
    let inside = |rest: &'s str, step: &String| rest.strip_prefix(step.as_str())?.strip_prefix('.');
    section.iter().try_fold(subject.as_str(), inside).unwrap_or(subject.as_str())
}

impl Evidence for Judged<'_> {
    fn subjects(&self, section: &[String]) -> Arc<Vec<Subject>> {
        let mut known = self.memo.subjects.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(subjects) = known.get(section) {
            return Arc::clone(subjects);
        }
        let subjects = Arc::new(self.subjects_of(section));
        known.insert(section.to_vec(), Arc::clone(&subjects));
        subjects
    }

    fn field(&self, subject: &Subject, section: &[String], path: &str) -> Option<Lookup> {
        let vocabulary = self.vocabulary();
        let kind = vocabulary.kind_of(section, path)?;
        if let Some(table) = vocabulary.table(section) {
            return Some(cell(table, subject, path));
        }
        if matches!(kind, Kind::Struct | Kind::Elements) && self.quantities.contains_key(path) {
            return None;
        }
        let own = self.element(subject, section).or_else(|| self.reversed_seam(subject, section));
        let value = own.and_then(|element| value_at(element, path));
        let value = value.or_else(|| value_at(self.default_element(section)?, path));
        Some(value.and_then(|value| item(value, kind)).map_or(Lookup::Absent, Lookup::Found))
    }

    fn fact(&self, subject: &Subject, quantity: &str) -> Option<Lookup> {
        let definition = self.quantities.get(quantity)?;
        if let Some(fact) = self.facts.get(subject, quantity) {
            return Some(Lookup::Found(match &fact.value {
                Value::Number(quantity) => Item::Number(*quantity),
                Value::Text(text) => Item::Text(text.clone()),
                Value::Flag(flag) => Item::Flag(*flag),
            }));
        }
        let because = self.lack(subject, quantity);
        let owner = definition.name.split('.').next().unwrap_or_default();
        let failed = self.plugins.iter().find(|plugin| plugin.name == owner).and_then(|plugin| plugin.failure.as_ref());
        Some(Lookup::Missing(match (because, failed) {
            (Some(missing), _) => missing.because.clone(),
            (None, Some(failure)) => format!("plugin {owner} failed: {failure}"),
            (None, None) => format!("{subject} has no {quantity}"),
        }))
    }

    fn place(&self, subject: &Subject, names: &[&str], section: &[String]) -> (Option<Place>, Option<String>) {
        let of_fact = |quantity: &str| self.facts.get(subject, quantity)?.at.as_ref();
        let of_missing = |quantity: &str| self.lack_at_bottom(subject, quantity)?.at.as_ref();
        let pointer = names.iter().find_map(|name| of_fact(name).or_else(|| of_missing(name))).cloned();
        // Something found rather than typed points where one of its facts points.
        let of_any = || self.facts.of(subject).find_map(|fact| fact.at.clone()).map(|at| Pointer::new(at.path));
        let pointer = pointer.or_else(|| self.typed(subject, names, section)).or_else(of_any);
        let pointer = pointer.unwrap_or_else(|| Pointer::new("home"));
        (Some(self.place_of(&pointer.path)), pointer.note)
    }

    fn pointed(&self, subject: &Subject, names: &[&str], section: &[String]) -> Option<Pointer> {
        if names.iter().any(|name| self.lack(subject, name).is_some()) {
            return None;
        }
        let of_fact = |quantity: &&str| self.facts.get(subject, quantity)?.at.clone();
        names.iter().find_map(of_fact).or_else(|| self.typed(subject, names, section))
    }

    fn place_at(&self, path: &str) -> Option<Place> {
        Some(self.place_of(path))
    }

    fn owed(&self, subject: &Subject, quantity: &str) -> Option<(String, Option<String>)> {
        let lack = self.lack_at_bottom(subject, quantity)?;
        Some((lack.because.clone(), lack.at.as_ref().map(|at| at.path.clone())))
    }

    fn is_written(&self, path: &str) -> bool {
        let is_empty = |value: &Json| {
            value.as_object().is_some_and(|map| map.is_empty()) || value.as_array().is_some_and(Vec::is_empty)
        };
        value_at(&self.home, path).is_some_and(|value| !is_empty(value))
    }

    fn units(&self) -> UnitSystem {
        self.units
    }

    fn definition(&self, quantity: &str) -> Option<&QuantityDef> {
        self.quantities.get(quantity)
    }

    fn day(&self) -> Option<Date> {
        Some(self.day)
    }

    fn path_of(&self, subject: &Subject, section: &[String]) -> String {
        match Some(subject).filter(|_| section == ["ducts"]).and_then(|subject| self.duct(subject)) {
            Some((unit, duct)) => format!("systems.ventilation.{unit}.ducts.{duct}"),
            None => subject.to_string(),
        }
    }

    fn absent(&self, section: &[String]) -> Option<String> {
        if !self.subjects(section).is_empty() {
            return None;
        }
        let name = section.join(".");
        if self.vocabulary().table(section).is_some() {
            return None;
        }
        if FOUND.contains(&name.as_str()) {
            let failed = self.plugins.iter().find_map(|plugin| Some((&plugin.name, plugin.failure.as_ref()?)));
            return failed
                .map(|(plugin, why)| format!("plugin {plugin} failed, so that {name} may not be known: {why}"));
        }
        let is_said = self.is_written(&name) || self.fields.said_by_absence(section).is_some();
        (!is_said).then(|| format!("{name} is not given"))
    }

    fn former(&self) -> Option<&dyn Evidence> {
        self.former.map(|former| former as &dyn Evidence)
    }

    fn vocabulary(&self) -> Vocabulary<'_> {
        Vocabulary { fields: self.fields, quantities: self.quantities, firm: self.firm }
    }

    fn index(&self, name: &[&str], build: &dyn Fn() -> Option<Index>) -> Option<Arc<Index>> {
        let name = name.join(" ");
        let kept = || self.memo.indices.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(index) = kept().get(&name) {
            return index.clone();
        }
        let index = build().map(Arc::new);
        kept().insert(name, index.clone());
        index
    }
}

impl Judged<'_> {
    /// The path at which a subject is typed: at the first of the names judged that is a field, else at the subject; none
    /// where nothing describes it.
    fn typed(&self, subject: &Subject, names: &[&str], section: &[String]) -> Option<Pointer> {
        let path = if section.is_empty() {
            String::new()
        } else if self.element(subject, section).is_some() {
            self.path_of(subject, section)
        } else {
            self.default_element(section)?;
            format!("{}.default", section.join("."))
        };
        let is_field = |field: &&&str| {
            let steps = path.split('.').chain(field.split('.')).filter(|step| !step.is_empty());
            self.fields.kind(steps).is_some()
        };
        let path = match names.iter().find(is_field) {
            Some(field) => format!("{path}.{field}"),
            None if path.is_empty() => "home".to_owned(),
            None => path,
        };
        Some(Pointer::new(path))
    }

    /// `seams.B-A` describes the seam that was found as `A-B`.
    fn reversed_seam(&self, subject: &Subject, section: &[String]) -> Option<&Json> {
        if section != ["seams"] {
            return None;
        }
        let modules = self.home.get("modules")?.as_object()?;
        let id = subject.id();
        let first = modules.keys().find(|module| {
            id.strip_prefix(module.as_str())
                .and_then(|rest| rest.strip_prefix('-'))
                .is_some_and(|b| modules.contains_key(b))
        })?;
        let second = id.strip_prefix(first.as_str())?.strip_prefix('-')?;
        self.home.get("seams")?.get(format!("{second}-{first}"))
    }
}
