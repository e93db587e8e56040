//! The report: everything a check found out, from which every output format is written.

use crate::fact::{Basis, Fact, Missing, QuantityDef};
use crate::figure::Figure;
use crate::home::{Home, Name, Revision};
use crate::quantity::UnitSystem;
use crate::subject::Subject;
use crate::verdict::{Outcome, Place, Severity, Verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Facts in a fixed order, by subject and quantity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    facts: BTreeMap<Subject, BTreeMap<Cow<'static, str>, Arc<Fact>>>,
}

impl Facts {
    /// Adds a fact; one already there for the same subject and quantity is kept and the new one handed back.
    ///
    /// # Errors
    /// The fact, when there is one already.
    pub fn insert(&mut self, fact: Fact) -> Result<(), Arc<Fact>> {
        self.insert_shared(Arc::new(fact))
    }

    /// The same with a fact that others hold too.
    ///
    /// # Errors
    /// The fact, when there is one already.
    pub fn insert_shared(&mut self, fact: Arc<Fact>) -> Result<(), Arc<Fact>> {
        let of_subject = match self.facts.get_mut(&fact.subject) {
            Some(of_subject) => of_subject,
            None => self.facts.entry(fact.subject.clone()).or_default(),
        };
        if of_subject.contains_key(&fact.quantity) {
            return Err(fact);
        }
        of_subject.insert(fact.quantity.clone(), fact);
        Ok(())
    }

    /// One fact.
    pub fn get(&self, subject: &Subject, quantity: &str) -> Option<&Fact> {
        self.facts.get(subject)?.get(quantity).map(Arc::as_ref)
    }

    /// The facts about one subject, by quantity.
    pub fn of(&self, subject: &Subject) -> impl Iterator<Item = &Fact> {
        self.facts.get(subject).into_iter().flat_map(BTreeMap::values).map(Arc::as_ref)
    }

    /// Every subject with a fact.
    pub fn subjects(&self) -> impl Iterator<Item = &Subject> {
        self.facts.keys()
    }

    /// Every fact.
    pub fn iter(&self) -> impl Iterator<Item = &Fact> {
        self.facts.values().flat_map(BTreeMap::values).map(Arc::as_ref)
    }

    /// The facts of these namespaces, without the calculations behind them.
    #[must_use]
    pub fn of_namespaces<S: AsRef<str>>(&self, namespaces: &[S]) -> Facts {
        let is_read = |quantity: &str| {
            let namespace = quantity.split_once('.').map_or(quantity, |(namespace, _)| namespace);
            namespaces.iter().any(|read| read.as_ref() == namespace)
        };
        let bare = |fact: &Arc<Fact>| match fact.basis == Basis::default() {
            true => Arc::clone(fact),
            false => Arc::new(fact.bare()),
        };
        let mut facts = BTreeMap::new();
        for (subject, of_subject) in &self.facts {
            let read = of_subject.iter().filter(|(quantity, _)| is_read(quantity));
            let read: BTreeMap<_, _> = read.map(|(quantity, fact)| (quantity.clone(), bare(fact))).collect();
            if !read.is_empty() {
                facts.insert(subject.clone(), read);
            }
        }
        Facts { facts }
    }

    /// How many facts there are.
    pub fn len(&self) -> usize {
        self.facts.values().map(BTreeMap::len).sum()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.facts.is_empty()
    }
}

/// A text that a report rests on, a rule pack, a table or a list, so that it can be told again.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Traced {
    /// Its file: beside the home, of the firm's folder, or `<mateline>/…` for one that comes with the program.
    pub name: String,
    /// Its version, where it has one.
    pub version: Option<u32>,
    /// The SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

/// Whose a material is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Whose {
    /// The home's own.
    Home,
    /// The firm's.
    Firm,
    /// One that comes with mateline.
    Mateline,
}

impl Whose {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Whose::Home => "the home's own",
            Whose::Firm => "the firm's",
            Whose::Mateline => "mateline's",
        }
    }
}

/// A pack as the report cites it.
#[derive(Clone, Debug, PartialEq)]
pub struct PackSummary {
    /// Its id.
    pub id: String,
    /// Its version.
    pub version: Option<u32>,
    /// The edition of its source.
    pub edition: Option<String>,
    /// The texts that it is made of: its own, then those of the packs that it extends.
    pub texts: Vec<Traced>,
    /// Its title.
    pub title: String,
    /// What it restates.
    pub source: String,
    /// What a reader has to bear in mind.
    pub caution: Option<String>,
    /// Which facts its rules weigh, by rule: those of the value, of what is required and of the limits.
    pub reads: BTreeMap<String, Vec<Read>>,
}

/// A fact that a rule reads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Read {
    /// The quantity's full name.
    pub quantity: String,
    /// Whose it is; none for that of the subject judged.
    pub of: Option<Subject>,
}

/// How a plugin fared.
#[derive(Clone, Debug, PartialEq)]
pub struct PluginStatus {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// What it computes, in one sentence.
    pub about: String,
    /// The error, when it failed.
    pub failure: Option<String>,
    /// What it takes facts from.
    pub reads: Vec<String>,
    /// What it owns.
    pub writes: Vec<String>,
}

/// How many verdicts had each outcome.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Requirements met.
    pub met: usize,
    /// Requirements missed.
    pub short: usize,
    /// Requirements that cannot be shown.
    pub unproven: usize,
    /// Requirements excepted by agreement.
    pub waived: usize,
    /// Rules that do not concern this home.
    pub not_applicable: usize,
    /// Of the missed and unproven ones, how many are only advice.
    pub advice: usize,
}

/// Everything a check found out.
#[derive(Clone, Debug)]
pub struct Report {
    /// The home that was checked.
    pub home: Home,
    /// The file it was loaded from, relative to the project folder.
    pub file: String,
    /// The units of the report.
    pub units: UnitSystem,
    /// Definitions of all quantities, by name.
    pub quantities: BTreeMap<String, QuantityDef>,
    /// All facts.
    pub facts: Facts,
    /// Facts that could not be found, each with its reason, by subject and quantity. One of each: the first said.
    pub missing: Vec<Missing>,
    /// Where each fact's pointer, and each input of its basis, is in the files.
    pub places: BTreeMap<String, Place>,
    /// All verdicts, in the order of the packs, their rules and subjects.
    pub verdicts: Vec<Verdict>,
    /// The packs that judged.
    pub packs: Vec<PackSummary>,
    /// The tables and lists that it rests on beside the packs: the firm's, and those that come with mateline.
    pub tables: Vec<Traced>,
    /// Whose each material is that the home names, by id.
    pub materials: BTreeMap<String, Whose>,
    /// The plugins that ran.
    pub plugins: Vec<PluginStatus>,
    /// Figures.
    pub figures: Vec<Figure>,
    /// The text of each file, for snippets.
    pub sources: BTreeMap<String, String>,
    /// Remarks on the run itself, such as a waiver that matches nothing.
    pub remarks: Vec<Remark>,
    /// The firm's letterhead.
    pub letterhead: Option<String>,
    /// The firm's own parts of the HTML report, by the name of the part.
    pub partials: BTreeMap<String, String>,
}

/// An open verdict, and those that are counted under it.
#[derive(Clone, Debug)]
pub struct OpenPoint<'a> {
    /// The verdict.
    pub verdict: &'a Verdict,
    /// Those that stand back while it is open.
    pub under: Vec<&'a Verdict>,
}

impl OpenPoint<'_> {
    /// By what a reader begins with: requirements before advice, the missed before the unproven.
    pub fn gravity(&self) -> (bool, Outcome) {
        (self.verdict.severity == Severity::Advice, self.verdict.outcome)
    }
}

/// How many points are open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OpenCounts {
    /// Requirements that are missed.
    pub short: usize,
    /// Requirements that nothing can be said about.
    pub unproven: usize,
    /// Pieces of advice, missed or unproven.
    pub advice: usize,
}

/// A remark on the run itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// What is to be said.
    pub message: String,
    /// Where.
    pub at: Option<Place>,
    /// Whether it fails the run.
    pub fails: bool,
    /// What it is about.
    pub about: RemarkAbout,
}

/// What a remark is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RemarkAbout {
    /// The run: waivers, packs, plugins.
    #[default]
    Run,
    /// A value of the home that is unlikely, and may be a slip of the pen.
    Doubt,
}

impl Remark {
    /// A remark on the run that does not fail it.
    pub fn note(message: String, at: Option<Place>) -> Remark {
        Remark { message, at, fails: false, about: RemarkAbout::Run }
    }

    /// What is to be said, as a question where it is a doubt.
    pub fn told(&self) -> Cow<'_, str> {
        match self.about {
            RemarkAbout::Run => Cow::Borrowed(&self.message),
            RemarkAbout::Doubt => Cow::Owned(format!("Is this meant? {}", self.message)),
        }
    }
}

impl RemarkAbout {
    /// The word that stands before the remark.
    pub fn word(self) -> &'static str {
        match self {
            RemarkAbout::Run => "remark",
            RemarkAbout::Doubt => "is this meant?",
        }
    }
}

/// A quantity of a subject: found, or why it could not be.
#[derive(Clone, Copy, Debug)]
pub enum Entry<'a> {
    /// Found.
    Known(&'a Fact),
    /// Not found.
    Unknown(&'a Missing),
}

impl Report {
    /// Every quantity of every subject, found or not, in the order of facts.
    pub fn entries(&self) -> Vec<Entry<'_>> {
        let known = self.facts.iter().map(|fact| ((&fact.subject, &*fact.quantity), Entry::Known(fact)));
        let unknown = self.missing.iter().map(|one| ((&one.subject, &*one.quantity), Entry::Unknown(one)));
        known.chain(unknown).collect::<BTreeMap<_, _>>().into_values().collect()
    }

    /// The project's name.
    pub fn name(&self) -> &Name {
        &self.home.home
    }

    /// The revision checked.
    pub fn revision(&self) -> &Revision {
        &self.home.revision
    }

    /// Counts by outcome.
    pub fn summary(&self) -> Summary {
        let mut summary = Summary::default();
        for verdict in &self.verdicts {
            let count = match verdict.outcome {
                Outcome::Met => &mut summary.met,
                Outcome::Short => &mut summary.short,
                Outcome::Unproven => &mut summary.unproven,
                Outcome::Waived => &mut summary.waived,
                Outcome::NotApplicable => &mut summary.not_applicable,
            };
            *count += 1;
            if verdict.severity == Severity::Advice && verdict.is_open() {
                summary.advice += 1;
            }
        }
        summary
    }

    /// What is open, each with the verdicts that are counted under it: requirements first, then advice, each in the order
    /// of the verdicts.
    pub fn open_points(&self) -> Vec<OpenPoint<'_>> {
        let mut places = BTreeMap::new();
        let mut points: Vec<OpenPoint<'_>> = Vec::new();
        let (leading, rest): (Vec<&Verdict>, Vec<&Verdict>) =
            self.verdicts.iter().filter(|verdict| verdict.is_open()).partition(|verdict| verdict.under.is_none());
        for severity in [Severity::Required, Severity::Advice] {
            for verdict in leading.iter().filter(|verdict| verdict.severity == severity) {
                places.insert((verdict.full_name(), &verdict.subject), points.len());
                points.push(OpenPoint { verdict, under: Vec::new() });
            }
        }
        for verdict in rest {
            let Some(under) = &verdict.under else { continue };
            let point = places.get(&(under.rule.clone(), &under.subject)).and_then(|place| points.get_mut(*place));
            if let Some(point) = point {
                point.under.push(verdict);
            }
        }
        points
    }

    /// The requirements that are open, gravest first: the numbers by which a list and drawings of them agree begin with 1.
    pub fn open_requirements(&self) -> Vec<OpenPoint<'_>> {
        let mut points = self.open_points();
        points.retain(|point| point.verdict.severity == Severity::Required);
        points.sort_by_key(OpenPoint::gravity);
        points
    }

    /// How much is open; what is counted under another verdict is not counted by itself.
    pub fn open_counts(&self) -> OpenCounts {
        let mut counts = OpenCounts::default();
        for point in self.open_points() {
            match (point.verdict.severity, point.verdict.outcome) {
                (Severity::Advice, _) => counts.advice += 1,
                (Severity::Required, Outcome::Short) => counts.short += 1,
                (Severity::Required, _) => counts.unproven += 1,
            }
        }
        counts
    }

    /// Whether a plugin failed.
    pub fn plugin_failed(&self) -> bool {
        self.plugins.iter().any(|plugin| plugin.failure.is_some())
    }

    /// Whether anything required is short or unproven.
    pub fn fails(&self) -> bool {
        self.verdicts.iter().any(Verdict::fails) || self.remarks.iter().any(|remark| remark.fails)
    }
}
