//! Verdicts kept from check to check: a rule judges anew only when something has changed that it looked at.
//!
//! What a rule looks at is noted while it judges. As long as all of that is the same it would look at the same things
//! again and find the same. Where its verdicts stand in the files is looked up anew each time.

use super::scope::{Evidence, Index};
use super::{Said, names_judged, verdict};
use crate::digest::Digest;
use crate::expr::{Item, Lookup};
use crate::pack::{Pack, Rule, Vocabulary};
use mateline_model::home::Date;
use mateline_model::quantity::UnitSystem;
use mateline_model::{Outcome, Place, Pointer, QuantityDef, Subject, Verdict};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Packs whose verdicts are kept; the oldest go first.
const MOST: usize = 32;

/// The verdicts that are kept.
#[derive(Default)]
pub struct KeptVerdicts {
    packs: Mutex<Vec<Arc<KeptPack>>>,
}

/// The last verdicts of each rule of a pack.
struct KeptPack {
    rules: Arc<Vec<Rule>>,
    judged: Vec<Mutex<Option<KeptRule>>>,
}

struct KeptRule {
    common: Digest,
    seen: Vec<Seen>,
    verdicts: Vec<(Verdict, Option<Pointer>)>,
}

/// Something that a rule has looked at, as it was then.
#[derive(Clone, PartialEq)]
enum Seen {
    /// The subjects of a section.
    Subjects(Vec<String>, Arc<Vec<Subject>>),
    /// A section of the home.
    Section(String, Option<Digest>),
    /// What the plugin of a namespace found.
    Namespace(String, Option<Digest>),
}

/// All that rules may look at in one check, by name.
pub struct Inputs<'a> {
    /// Sections of the home.
    pub sections: &'a BTreeMap<String, Digest>,
    /// What each plugin found.
    pub namespaces: &'a BTreeMap<String, Digest>,
    /// What every rule may depend on: units, the day, and the values of parameters.
    pub common: Digest,
    /// What is kept from earlier checks.
    pub kept: &'a KeptVerdicts,
}

impl KeptVerdicts {
    /// What is kept of a pack, which is the same as long as its rules are.
    fn of(&self, pack: &Pack) -> Arc<KeptPack> {
        let mut packs = self.packs.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(kept) = packs.iter().find(|kept| Arc::ptr_eq(&kept.rules, &pack.rules)) {
            return Arc::clone(kept);
        }
        let judged = pack.rules.iter().map(|_| Mutex::new(None)).collect();
        let kept = Arc::new(KeptPack { rules: Arc::clone(&pack.rules), judged });
        if packs.len() >= MOST {
            packs.remove(0);
        }
        packs.push(Arc::clone(&kept));
        kept
    }

    /// The namespaces that a rule of a pack looked at when it judged last.
    pub fn looked_at(&self, pack: &Pack, rule: usize) -> Vec<String> {
        let of_pack = self.of(pack);
        let Some(kept) = of_pack.judged.get(rule) else { return Vec::new() };
        let kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
        let seen = kept.iter().flat_map(|kept| &kept.seen);
        seen.filter_map(|seen| if let Seen::Namespace(name, _) = seen { Some(name.clone()) } else { None }).collect()
    }
}

impl Inputs<'_> {
    fn is_still(&self, seen: &Seen, evidence: &dyn Evidence) -> bool {
        match seen {
            Seen::Subjects(section, then) => evidence.subjects(section) == *then,
            Seen::Section(name, then) => self.sections.get(name) == then.as_ref(),
            Seen::Namespace(name, then) => self.namespaces.get(name) == then.as_ref(),
        }
    }

    /// What a rule says, without places: judged now, or earlier.
    pub(super) fn verdicts(&self, pack: &Pack, number: usize, rule: &Rule, evidence: &dyn Evidence) -> Vec<Said> {
        let of_pack = self.kept.of(pack);
        let Some(kept) = of_pack.judged.get(number) else { return Vec::new() };
        let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(then) = kept.as_ref()
            && then.common == self.common
            && then.seen.iter().all(|seen| self.is_still(seen, evidence))
        {
            let said = |(verdict, pointed): &(Verdict, Option<Pointer>)| Said {
                verdict: verdict.clone(),
                pointed: pointed.clone(),
                fault: None,
            };
            return then.verdicts.iter().map(said).collect();
        }
        let watched = Watched { evidence, inputs: self, seen: Mutex::new(Vec::new()) };
        let subjects = watched.subjects(&rule.section);
        let names = names_judged(pack, rule);
        let say = |subject: &Subject| {
            let (verdict, fault) = verdict(pack, rule, subject, &watched);
            // What an unproven verdict waits for is looked up anew each time.
            let is_open = verdict.outcome == Outcome::Unproven;
            let pointed = if is_open { None } else { watched.pointed(subject, &names, &rule.section) };
            Said { verdict, pointed, fault }
        };
        let found: Vec<Said> = subjects.iter().map(say).collect();
        let is_sound = found.iter().all(|said| said.fault.is_none());
        let seen = watched.seen.into_inner().unwrap_or_else(PoisonError::into_inner);
        let verdicts = || found.iter().map(|said| (said.verdict.clone(), said.pointed.clone())).collect();
        *kept = is_sound.then(|| KeptRule { common: self.common, seen, verdicts: verdicts() });
        found
    }
}

/// Evidence that notes what is asked of it.
struct Watched<'a> {
    evidence: &'a dyn Evidence,
    inputs: &'a Inputs<'a>,
    seen: Mutex<Vec<Seen>>,
}

impl Watched<'_> {
    fn note(&self, seen: Seen) {
        let mut all = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        if !all.contains(&seen) {
            all.push(seen);
        }
    }

    fn section(&self, name: &str) {
        self.note(Seen::Section(name.to_owned(), self.inputs.sections.get(name).copied()));
    }

    /// The sections of the home in which the elements of a section are described.
    fn sections(&self, first: &str) {
        self.section(if first == "ducts" { "systems" } else { first });
        // A seam may be written down from its other side, which the boxes tell.
        if first == "seams" {
            self.section("modules");
        }
    }

    fn namespace(&self, quantity: &str) {
        let namespace = quantity.split('.').next().unwrap_or_default();
        self.note(Seen::Namespace(namespace.to_owned(), self.inputs.namespaces.get(namespace).copied()));
    }
}

impl Evidence for Watched<'_> {
    fn subjects(&self, section: &[String]) -> Arc<Vec<Subject>> {
        let subjects = self.evidence.subjects(section);
        self.note(Seen::Subjects(section.to_vec(), Arc::clone(&subjects)));
        subjects
    }

    fn field(&self, subject: &Subject, section: &[String], path: &str) -> Option<Lookup> {
        let first = section.first().map(String::as_str).or_else(|| path.split('.').next());
        self.sections(first.unwrap_or_default());
        self.evidence.field(subject, section, path)
    }

    fn fact(&self, subject: &Subject, quantity: &str) -> Option<Lookup> {
        self.namespace(quantity);
        self.evidence.fact(subject, quantity)
    }

    fn place(&self, subject: &Subject, names: &[&str], section: &[String]) -> (Option<Place>, Option<String>) {
        self.evidence.place(subject, names, section)
    }

    fn pointed(&self, subject: &Subject, names: &[&str], section: &[String]) -> Option<Pointer> {
        names.iter().for_each(|name| self.namespace(name));
        section.first().into_iter().for_each(|first| self.sections(first));
        self.evidence.pointed(subject, names, section)
    }

    fn place_at(&self, path: &str) -> Option<Place> {
        self.evidence.place_at(path)
    }

    fn owed(&self, subject: &Subject, quantity: &str) -> Option<(String, Option<String>)> {
        self.evidence.owed(subject, quantity)
    }

    fn is_written(&self, path: &str) -> bool {
        self.evidence.is_written(path)
    }

    fn units(&self) -> UnitSystem {
        self.evidence.units()
    }

    fn definition(&self, quantity: &str) -> Option<&QuantityDef> {
        self.evidence.definition(quantity)
    }

    fn day(&self) -> Option<Date> {
        self.evidence.day()
    }

    fn parameter(&self, name: &str) -> Option<Item> {
        self.evidence.parameter(name)
    }

    fn path_of(&self, subject: &Subject, section: &[String]) -> String {
        self.evidence.path_of(subject, section)
    }

    fn absent(&self, section: &[String]) -> Option<String> {
        self.evidence.absent(section)
    }

    fn vocabulary(&self) -> Vocabulary<'_> {
        self.evidence.vocabulary()
    }

    fn index(&self, name: &[&str], build: &dyn Fn() -> Option<Index>) -> Option<Arc<Index>> {
        self.evidence.index(name, build)
    }
}
