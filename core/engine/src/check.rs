//! The whole pipeline: load, run plugins, judge, and put the report together.

use crate::host::{Host, conflicts, invite, recorded, sha256};
use crate::judge::{Judged, Memo, apart, count_under, doubts, idle, judge, judge_again, unknown_waivers, waive};
use crate::load::{
    BadInput, Changes, Diagnosis, Fields, FirmWords, JudgePart, KeptTrees, Loaded, Placed, Project, SourceFile, Span,
    Unusable, firm_materials, load_home, place,
};
use crate::memory::{Memory, Recall};
use crate::only::Only;
use crate::pack::{
    KeptPacks, Library, OF_MATELINE, Pack, Vocabulary, asked, load_pack, load_packs, opposed, pack_faults,
};
use crate::remedies::Levers;
use crate::schedule::Schedule;
use crate::settings::all_settings;
use crate::worker::Declared;
use mateline_model::home::{Elements, Home, Material, Name};
use mateline_model::quantity::UnitSystem;
use mateline_model::{
    Facts, Missing, PackSummary, Place, Pointer, Problem, QuantityDef, Read, Remark, Report, Subject, Traced, Verdict,
    Whose,
};
use mateline_sdk::Plugin;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A set of plugins, packs and materials that homes are checked with.
#[derive(Clone)]
pub struct Engine {
    schedule: Schedule,
    trying: Option<(String, Schedule)>,
    levers: &'static str,
    also: Vec<Name>,
    library: Library,
    asking: &'static [&'static str],
    tables: Vec<Traced>,
    materials: Elements<Material>,
    host: Option<Host>,
    firm: Option<PathBuf>,
    words: FirmWords,
    parts: Option<JudgePart>,
    kept: Arc<KeptPacks>,
}

/// A checked home with what it was read from.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The report.
    pub report: Report,
    /// The tree of its files.
    pub tree: Placed,
    /// The files.
    pub files: Vec<SourceFile>,
    /// The packs that judged it.
    pub packs: Vec<Arc<Pack>>,
    /// What its firm adds to the words of rules.
    pub words: FirmWords,
    /// Definitions of all quantities, by name.
    pub(crate) quantities: Arc<BTreeMap<String, QuantityDef>>,
}

impl Checked {
    /// It as it was judged.
    pub(crate) fn judged(&self) -> Judged<'_> {
        Judged {
            home: self.report.home.to_json().unwrap_or_default(),
            fields: Fields::of_home(),
            facts: &self.report.facts,
            missing: &self.report.missing,
            plugins: &self.report.plugins,
            quantities: &self.quantities,
            firm: &self.words,
            former: None,
            tree: &self.tree,
            files: &self.files,
            units: self.report.units,
            day: self.report.revision().date,
            memo: Memo::default(),
        }
    }
}

/// What a caller may ask for.
#[derive(Clone, Copy, Debug, Default)]
pub struct Options {
    /// Units of the report, where not the home's.
    pub units: Option<UnitSystem>,
    /// The day on which certificates and waivers are judged, where not the revision's.
    pub on: Option<mateline_model::home::Date>,
}

impl Engine {
    /// An engine.
    ///
    /// # Errors
    /// When the plugins do not fit together.
    pub fn new(
        plugins: Vec<Box<dyn Plugin>>,
        library: Library,
        materials: Elements<Material>,
    ) -> Result<Engine, String> {
        let schedule = Schedule::new(plugins)?;
        Ok(Engine {
            schedule,
            trying: None,
            levers: "{}",
            also: Vec::new(),
            library,
            asking: &[],
            tables: Vec::new(),
            materials,
            host: None,
            firm: None,
            words: FirmWords::default(),
            parts: None,
            kept: Arc::default(),
        })
    }

    /// The same engine, which runs the third-party plugins a home names.
    #[must_use]
    pub fn hosting(self, host: Host) -> Engine {
        Engine { host: Some(host), ..self }
    }

    /// The same engine, which tries changes with another plugin in place of the one of its name: one that finds nearly the
    /// same, sooner. What comes of trying is checked with the plugins as they are.
    #[must_use]
    pub fn trying_with(self, plugin: Box<dyn Plugin>) -> Engine {
        let name = plugin.declaration().name.to_owned();
        Engine { trying: Some((name, self.schedule.with(plugin))), ..self }
    }

    /// The same engine with these levers, as YAML: a home may alter them, and what it says of them is checked with it.
    #[must_use]
    pub fn with_levers(self, levers: &'static str) -> Engine {
        Engine { levers, ..self }
    }

    /// The same engine, which judges every home by this pack too.
    #[must_use]
    pub fn judging_by(mut self, pack: Name) -> Engine {
        self.also.push(pack);
        self
    }

    /// A home as it is judged: on the day asked for, and by the packs that are asked of every home, each in the version that
    /// the home asks for.
    fn asked_of(&self, home: &mut Home, options: &Options) {
        if let Some(on) = options.on {
            home.revision.date = on;
        }
        let of = |name: &str| name.split('@').next().unwrap_or_default().to_owned();
        for also in &self.also {
            if !home.judge_by.iter().any(|known| **known == **also || *of(known) == **also) {
                home.judge_by.push(also.clone());
            }
        }
    }

    /// The levers beneath those of a home.
    ///
    /// # Errors
    /// Every problem with them.
    pub(crate) fn levers(&self) -> Result<Levers, BadInput> {
        Levers::read(&format!("{OF_MATELINE}levers.yaml"), self.levers)
    }

    /// Whether there is a sooner way to find what is asked for.
    pub(crate) fn tries(&self, only: &Only) -> bool {
        self.trying.as_ref().is_some_and(|(name, _)| only.plugins.contains(name))
    }

    /// The same engine, for a firm: what its folder holds is used for every home, whatever folder a home names.
    #[must_use]
    pub fn for_firm(self, folder: &Path) -> Engine {
        let mut engine = Engine { firm: Some(folder.to_owned()), ..self };
        // What is wrong with them is told with the first pack or home that is read.
        engine.words =
            engine.project().map(|mut project| FirmWords::read(&mut project, &mut Vec::new())).unwrap_or_default();
        engine
    }

    /// The same engine, which asks of every home whether its values are meant as they stand, by these packs. A firm's pack
    /// that extends one of them stands in its place.
    #[must_use]
    pub fn asking(self, packs: &'static [&'static str]) -> Engine {
        Engine { asking: packs, ..self }
    }

    /// The same engine, whose reports tell these tables, the name and text of each, as what they rest on beside packs.
    #[must_use]
    pub fn tracing(self, tables: &[(&str, &str)]) -> Engine {
        let traced = |(name, text): &(&str, &str)| Traced {
            name: format!("{OF_MATELINE}{name}"),
            version: None,
            sha256: sha256(text.as_bytes()),
        };
        Engine { tables: tables.iter().map(traced).collect(), ..self }
    }

    /// The same engine, which judges the parts of the report that a firm replaces.
    #[must_use]
    pub fn judging_parts(self, judge: JudgePart) -> Engine {
        Engine { parts: Some(judge), ..self }
    }

    /// Names of the firm's packs, in order.
    ///
    /// # Errors
    /// When the firm's folder cannot be used.
    pub fn firm_packs(&self) -> Result<Vec<String>, BadInput> {
        self.project()?.firm_packs().map_err(|message| refused(&message))
    }

    /// Materials that a home may name without describing them: the firm's, and those that come with mateline.
    ///
    /// # Errors
    /// When the firm's cannot be read.
    pub fn materials(&self) -> Result<Elements<Material>, BadInput> {
        let mut project = self.project()?;
        let mut all = firm_materials(&mut project).map_err(|problems| BadInput::new(problems, project.into_files()))?;
        for (id, material) in &self.materials {
            if !all.contains_key(id) {
                all.insert(id.clone(), material.clone());
            }
        }
        Ok(all)
    }

    /// A project with no home, and the firm's folder.
    fn project(&self) -> Result<Project, BadInput> {
        let mut project = Project::at(Path::new("."));
        if let Some(folder) = &self.firm {
            project.take_firm(folder).map_err(|message| refused(&format!("the firm's folder: {message}")))?;
        }
        Ok(project)
    }

    /// The same engine, which also knows what the plugins write that are on record for a folder: in it, or else in the
    /// nearest folder around it. None of them is loaded.
    ///
    /// # Errors
    /// Why the record cannot be used.
    pub fn knowing(&self, folder: &Path) -> Result<Engine, String> {
        let schedule = self.schedule.joined_by(recorded(folder)?);
        Ok(Engine { schedule, trying: None, ..self.clone() })
    }

    /// Everything a rule may name.
    pub fn vocabulary(&self) -> Vocabulary<'_> {
        Vocabulary { fields: Fields::of_home(), quantities: self.schedule.quantities(), firm: &self.words }
    }

    /// The plugins and what they do.
    pub fn schedule(&self) -> &Schedule {
        &self.schedule
    }

    /// Packs that come with mateline, former versions among them.
    pub fn library(&self) -> Library {
        self.library
    }

    /// Ids of the packs that come with mateline, without former versions.
    pub fn packs(&self) -> impl Iterator<Item = &'static str> {
        self.library.iter().map(|(id, _)| *id).filter(|id| asked(id).1.is_none())
    }

    /// Packs that have been compiled, for every home that names them.
    pub fn kept(&self) -> &KeptPacks {
        &self.kept
    }

    /// Loads a pack by name, of the firm or of those that come with mateline, or from a file.
    ///
    /// # Errors
    /// Every problem with it.
    pub fn pack(&self, name: &str) -> Result<Pack, BadInput> {
        let by_name = self.library.iter().any(|(id, _)| *id == name);
        let path_like = name.contains(['/', '\\']) || name.ends_with(".yaml") || name.ends_with(".yml");
        let (mut project, name) = if by_name || !path_like {
            (self.project()?, name.to_owned())
        } else {
            let (mut project, name) = Project::of(Path::new(name))?;
            if let Some(folder) = &self.firm {
                project.take_firm(folder).map_err(|message| refused(&format!("the firm's folder: {message}")))?;
            }
            (project, name)
        };
        let mut problems = Vec::new();
        FirmWords::read(&mut project, &mut problems);
        let found = match problems.is_empty() {
            true => load_pack(&name, Span::start(0), &mut project, self.library, &self.vocabulary()),
            false => Err(problems),
        };
        found.map_err(|problems| BadInput::new(problems, project.into_files()))
    }

    /// Loads a home only.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn load(&self, path: &Path) -> Result<Loaded, BadInput> {
        self.load_with(path, None, Changes::default())
    }

    /// The same with the trees that a session keeps, and with other values than the files say.
    pub(crate) fn load_with(
        &self,
        path: &Path,
        kept: Option<&KeptTrees>,
        changes: Changes<'_>,
    ) -> Result<Loaded, BadInput> {
        self.load_for(path, self.firm.as_deref(), kept, changes)
    }

    /// The same with a firm's folder in place of the engine's, where one is given.
    pub(crate) fn load_by(&self, path: &Path, firm: Option<&Path>) -> Result<Loaded, BadInput> {
        self.load_for(path, firm.or(self.firm.as_deref()), None, Changes::default())
    }

    fn load_for(
        &self,
        path: &Path,
        firm: Option<&Path>,
        kept: Option<&KeptTrees>,
        changes: Changes<'_>,
    ) -> Result<Loaded, BadInput> {
        let (project, file) = Project::of(path)?;
        let loaded = load_home(project, file, &self.materials, firm, self.parts, kept, changes);
        loaded.map_err(|unusable| self.all_wrong_with(*unusable))
    }

    /// Everything that is wrong with a home that cannot be used: what was found, and its packs.
    fn all_wrong_with(&self, unusable: Unusable) -> BadInput {
        let Unusable { mut problems, mut project, tree, words } = unusable;
        // What a plugin of others writes is known only when it is loaded, which a home that cannot be used does not ask.
        if let Some(tree) = tree.filter(|tree| tree.get("plugins").is_none()) {
            let vocabulary = Vocabulary { firm: &words, ..self.vocabulary() };
            problems.extend(pack_faults(&tree, &mut project, self.library, &self.kept, &vocabulary));
        }
        BadInput::new(problems, project.into_files())
    }

    /// Checks a home.
    ///
    /// # Errors
    /// Every problem of the input.
    pub fn check(&self, path: &Path, options: &Options) -> Result<Report, BadInput> {
        self.check_loaded(self.load(path)?, options).map(|checked| checked.report)
    }

    /// Checks a home that has been loaded.
    ///
    /// # Errors
    /// Problems of its packs, and things in it that cannot be.
    pub fn check_loaded(&self, loaded: Loaded, options: &Options) -> Result<Checked, BadInput> {
        self.check_with(loaded, options, None, None)
    }

    /// Checks a home that has been loaded; rules that ask what was before ask it of a former revision.
    ///
    /// # Errors
    /// Problems of its packs, and things in it that cannot be.
    pub fn check_after(&self, loaded: Loaded, options: &Options, former: &Checked) -> Result<Checked, BadInput> {
        self.check_with(loaded, options, None, Some(former))
    }

    /// The same with what a session remembers.
    pub(crate) fn check_with(
        &self,
        mut loaded: Loaded,
        options: &Options,
        memory: Option<&Memory>,
        former: Option<&Checked>,
    ) -> Result<Checked, BadInput> {
        self.asked_of(&mut loaded.home, options);
        let Loaded { home, tree, mut project, file, firm, renamed } = loaded;
        let invited = invite(self.host.as_ref(), &home, &tree, &project);
        let guests: Vec<&Declared> = invited.workers.iter().map(|guest| guest.declared()).collect();
        let conflicts = conflicts(self.schedule.declarations(), &guests);
        let conflicts = conflicts.into_iter().filter_map(|(index, why)| {
            let (guest, at) = (guests.get(index)?, invited.named.get(index)?);
            Some(Diagnosis::new(*at, format!("the plugin '{}' cannot be used here: {why}", guest.name)))
        });
        let conflicts: Vec<Diagnosis> = conflicts.collect();
        let schedule = self.schedule.joined_by(invited.workers);
        let quantities = schedule.quantities();
        let vocabulary = Vocabulary { fields: Fields::of_home(), quantities, firm: &firm.words };
        // With a bad pack the plugins run all the same: what is wrong with the home is told together with it.
        let (packs, problems) =
            match load_packs(&home, &tree, &mut project, (self.library, self.asking), &self.kept, &vocabulary) {
                Ok(packs) => {
                    let problems = unknown_waivers(&home, &tree, &packs, self.library);
                    (packs, problems)
                }
                // A name a pack uses may be a plugin's that could not be used.
                Err(problems) => (Vec::new(), invited.problems.into_iter().chain(problems).collect()),
            };
        let mut problems: Vec<Diagnosis> = conflicts.into_iter().chain(problems).collect();
        if !home.levers.is_empty() {
            problems.extend(self.levers()?.for_home(&home, &tree, quantities).err().into_iter().flatten());
        }
        let unwritten = |error: serde_json::Error| {
            BadInput::new(vec![Diagnosis::new(Span::start(0), error.to_string())], project.files().to_vec())
        };
        let json = home.to_json().map_err(unwritten)?;
        let settings = all_settings(&schedule, &packs, (&home, &json), &firm, &mut project);
        let recall = memory.map(|memory| Recall::of(memory, &tree, home.revision.date));
        let mut found = schedule.run_with(&home, &settings, recall.as_ref(), None);
        found.plugins.extend(invited.unknown);
        if !(problems.is_empty() && found.problems.is_empty()) {
            problems.extend(found.problems.iter().map(|problem| diagnosed(problem, &tree)));
            return Err(BadInput::new(problems, project.into_files()));
        }
        let units = options.units.unwrap_or(home.units);
        let former = former.map(Checked::judged);
        let judged = Judged {
            home: json,
            fields: Fields::of_home(),
            facts: &found.facts,
            missing: &found.missing,
            plugins: &found.plugins,
            quantities,
            tree: &tree,
            files: project.files(),
            firm: &firm.words,
            former: former.as_ref(),
            units,
            day: home.revision.date,
            memo: Memo::default(),
        };
        let verdicts = match &recall {
            Some(recall) => judge_again(&packs, &judged, &recall.inputs(units, &found.digests), None),
            None => judge(&packs, &judged),
        };
        let mut verdicts = match verdicts {
            Ok(verdicts) => verdicts,
            Err(faults) => return Err(BadInput::new(faults, project.into_files())),
        };
        let mut remarks = invited.remarks;
        let notes = packs.iter().flat_map(|pack| &pack.notes);
        remarks.extend(notes.map(|note| Remark::note(note.message.clone(), Some(place(project.files(), note.at)))));
        let clashes = opposed(packs.iter().map(Arc::as_ref));
        let apart = apart(&verdicts, units, &clashes);
        let clashes = clashes.iter().map(|clash| (clash.to_string(), None)).chain(apart);
        remarks.extend(clashes.map(|(message, at)| Remark::note(message, at)));
        remarks.extend(renamed.into_iter().map(|(path, message)| Remark::note(message, Some(judged.place_of(&path)))));
        remarks.extend(found.remarks.iter().map(|remark| {
            let note = Remark::note(remark.message.clone(), Some(judged.place_of(&remark.at.path)));
            Remark { fails: true, ..note }
        }));
        remarks.extend(packs.iter().filter_map(|pack| idle(pack, &verdicts)));
        remarks.extend(waive(&home, &packs, &mut verdicts, &judged));
        remarks.extend(doubts(&packs, &mut verdicts));
        count_under(&packs, &mut verdicts);
        if let Some(on) = options.on {
            let message = format!("certificates and waivers are judged on {on}, not on the revision's date");
            remarks.push(Remark::note(message, None));
        }
        let materials = whose_materials(&judged.home, &tree, &project);
        remarks.extend(materials.iter().filter_map(|(id, whose)| {
            let is_other = *whose != Whose::Mateline && self.materials.contains_key(id.as_str());
            let message =
                || format!("the material {id} is {}, in place of the one that comes with mateline", whose.word());
            is_other.then(|| Remark::note(message(), Some(judged.place_of(&format!("materials.{id}")))))
        }));
        let missing = not_found(&found.facts, &found.missing);
        let pointers = missing.iter().filter_map(|missing| Some(&missing.at.as_ref()?.path));
        found.paths.extend(pointers.cloned());
        let placed = |path: String| {
            let place = judged.place_of(&path);
            (path, place)
        };
        let places = std::mem::take(&mut found.paths).into_iter().map(placed).collect();
        let sources = project.files().iter().map(|file| (file.name.clone(), file.text.clone())).collect();
        let report = Report {
            file,
            units,
            quantities: (**quantities).clone(),
            places,
            verdicts,
            packs: packs.iter().filter(|pack| !pack.asks).map(|pack| summary(pack)).collect(),
            tables: self.tables_of(&project),
            materials,
            plugins: found.plugins,
            figures: found.figures,
            sources,
            remarks,
            facts: found.facts,
            missing,
            home,
            letterhead: firm.letterhead,
            partials: firm.partials,
        };
        let quantities = Arc::clone(quantities);
        Ok(Checked { report, tree, files: project.into_files(), packs, words: firm.words, quantities })
    }

    /// What some plugins find on a home that names none of others, and what some rules say of it; nearly, where that is
    /// enough. What is remembered has to be of checks of the same kind.
    ///
    /// # Errors
    /// Problems of its packs, and things in it that cannot be.
    pub(crate) fn asked(
        &self,
        mut loaded: Loaded,
        options: &Options,
        memory: &Memory,
        only: &Only,
        roughly: bool,
    ) -> Result<(Facts, Vec<Verdict>), BadInput> {
        self.asked_of(&mut loaded.home, options);
        let Loaded { home, tree, mut project, firm, .. } = loaded;
        let bad = |problems: Vec<Diagnosis>, project: &Project| BadInput::new(problems, project.files().to_vec());
        let vocabulary =
            Vocabulary { fields: Fields::of_home(), quantities: self.schedule.quantities(), firm: &firm.words };
        let packs = load_packs(&home, &tree, &mut project, (self.library, &[]), &self.kept, &vocabulary);
        let packs = packs.map_err(|problems| bad(problems, &project))?;
        let json =
            home.to_json().map_err(|error| bad(vec![Diagnosis::new(Span::start(0), error.to_string())], &project))?;
        let settings = all_settings(&self.schedule, &packs, (&home, &json), &firm, &mut project);
        let recall = Recall::of(memory, &tree, home.revision.date);
        let schedule = self.trying.as_ref().filter(|_| roughly).map_or(&self.schedule, |(_, schedule)| schedule);
        let found = schedule.run_with(&home, &settings, Some(&recall), Some(&only.plugins));
        if !found.problems.is_empty() {
            return Err(bad(found.problems.iter().map(|problem| diagnosed(problem, &tree)).collect(), &project));
        }
        let judged = Judged {
            home: json,
            fields: Fields::of_home(),
            facts: &found.facts,
            missing: &found.missing,
            plugins: &found.plugins,
            quantities: self.schedule.quantities(),
            tree: &tree,
            files: project.files(),
            firm: &firm.words,
            former: None,
            units: options.units.unwrap_or(home.units),
            day: home.revision.date,
            memo: Memo::default(),
        };
        let inputs = recall.inputs(judged.units, &found.digests);
        let mut verdicts =
            judge_again(&packs, &judged, &inputs, Some(&only.rules)).map_err(|faults| bad(faults, &project))?;
        waive(&home, &packs, &mut verdicts, &judged);
        Ok((found.facts, verdicts))
    }

    /// The tables and lists that a report of a project rests on: the firm's files apart from packs and parts of reports,
    /// then those that come with mateline.
    fn tables_of(&self, project: &Project) -> Vec<Traced> {
        let of_firm = project.files().iter().filter(|file| {
            let within = project.within_firm(&file.name);
            within.is_some_and(|within| !within.starts_with("packs/") && !within.starts_with("reports/"))
        });
        let of_firm =
            of_firm.map(|file| Traced { name: file.name.clone(), version: None, sha256: sha256(file.text.as_bytes()) });
        let mut all: Vec<Traced> = of_firm.collect();
        all.sort();
        all.dedup();
        all.extend(self.tables.iter().cloned());
        all
    }

    /// The home's place for a path, for callers that hold a loaded home.
    pub fn place_of(loaded: &Loaded, path: &str) -> Place {
        let steps: Vec<String> = path.split('.').map(str::to_owned).collect();
        place(loaded.project.files(), loaded.tree.span_at(&steps))
    }
}

/// What could not be found, in the order of facts. A plugin may come upon a want twice; the first reason is heard, as
/// verdicts do.
fn not_found(facts: &Facts, missing: &[Missing]) -> Vec<Missing> {
    let mut first: BTreeMap<(&Subject, &str), &Missing> = BTreeMap::new();
    for one in missing.iter().filter(|one| facts.get(&one.subject, &one.quantity).is_none()) {
        first.entry((&one.subject, &one.quantity)).or_insert(one);
    }
    first.into_values().cloned().collect()
}

/// Whose each material is that a home names anywhere.
fn whose_materials(home: &Value, tree: &Placed, project: &Project) -> BTreeMap<String, Whose> {
    fn gather<'h>(value: &'h Value, path: &mut Vec<String>, found: &mut BTreeSet<&'h str>) {
        match value {
            Value::Object(map) => {
                for (key, value) in map {
                    path.push(key.clone());
                    gather(value, path, found);
                    path.pop();
                }
            }
            Value::Array(items) => {
                for (number, item) in items.iter().enumerate() {
                    path.push(number.to_string());
                    gather(item, path, found);
                    path.pop();
                }
            }
            Value::String(name) => {
                let names = Fields::of_home().named_at(path).is_some_and(|named| named.section == "materials");
                found.extend(names.then_some(name.as_str()));
            }
            _ => {}
        }
    }
    let mut named = BTreeSet::new();
    // A material names no other.
    for (section, value) in home.as_object().into_iter().flatten().filter(|(section, _)| *section != "materials") {
        gather(value, &mut vec![section.clone()], &mut named);
    }
    let described = |id: &str| tree.get("materials").and_then(|materials| materials.value.get(id));
    let whose = |id: &str| match described(id) {
        None => Whose::Mateline,
        Some(entry) => {
            let file = project.files().get(entry.key_span.file).map(|file| file.name.as_str()).unwrap_or_default();
            if project.within_firm(file).is_some() { Whose::Firm } else { Whose::Home }
        }
    };
    named.into_iter().map(|id| (id.to_owned(), whose(id))).collect()
}

/// What a plugin found wrong with the home, at its places.
fn diagnosed(problem: &Problem, tree: &Placed) -> Diagnosis {
    let span = |pointer: &Pointer| tree.span_at(&pointer.path.split('.').collect::<Vec<_>>());
    let mut diagnosis = Diagnosis::new(span(&problem.at), problem.message.clone());
    for also in &problem.also {
        let words = also.note.clone().unwrap_or_else(|| also.path.clone());
        diagnosis = diagnosis.note(span(also), words);
    }
    diagnosis.help = problem.help.clone();
    diagnosis
}

/// Why nothing can be read at all.
fn refused(message: &str) -> BadInput {
    let file = SourceFile { name: "<firm>".to_owned(), text: String::new() };
    BadInput::new(vec![Diagnosis::new(Span::start(0), message)], vec![file])
}

fn summary(pack: &Pack) -> PackSummary {
    let read = |(name, of): (&str, Option<&str>)| {
        let quantity = pack.reads_as.get(name).map_or(name, String::as_str);
        quantity.contains('.').then(|| Read { quantity: quantity.to_owned(), of: of.map(Subject::from) })
    };
    let reads = pack.rules.iter().map(|rule| (rule.id.clone(), rule.weighed().into_iter().filter_map(read).collect()));
    PackSummary {
        reads: reads.collect(),
        id: pack.id.clone(),
        version: pack.version,
        edition: pack.edition.clone(),
        texts: pack.texts.clone(),
        title: pack.title.clone(),
        source: pack.source.clone(),
        caution: pack.caution.clone(),
    }
}
