//! The names of one rule about one subject, and what its figures go through.

use super::scope::{Evidence, Index};
use crate::expr::{Item, Join, Lookup, Scope, THIS, Within};
use crate::pack::{ID, PARAMETER, Pack, Rule, TODAY, is_section, section_path};
use mateline_model::Subject;
use std::collections::HashMap;

/// How often a rule may hold one element against another without a field that joins them.
const MOST_PAIRS: usize = 1_000_000;

/// The names of one rule about one subject.
#[derive(Clone, Copy)]
pub struct RuleScope<'a> {
    /// What names are asked of.
    pub subject: &'a Subject,
    /// The section it is in; empty for the home.
    pub section: &'a [String],
    /// What is judged, where the elements of a section are gone through for it.
    this: Option<(&'a Subject, &'a [String])>,
    /// Its pack: quantities read in place of others, and parameters.
    pub pack: &'a Pack,
    /// What is known.
    pub evidence: &'a dyn Evidence,
}

impl<'a> RuleScope<'a> {
    /// The names of a rule about a subject.
    pub fn of(pack: &'a Pack, rule: &'a Rule, subject: &'a Subject, evidence: &'a dyn Evidence) -> RuleScope<'a> {
        RuleScope { subject, section: &rule.section, this: None, pack, evidence }
    }

    /// A name of the element that another name of this subject names: `module.level` of an opening.
    fn through(&self, section: &[String], subject: &Subject, path: &str) -> Option<Lookup> {
        let (name, named, rest) = self.evidence.vocabulary().reference(section, path)?;
        if let Some(found) = self.evidence.stated(subject, path) {
            return Some(found);
        }
        let words = match self.evidence.field(subject, section, name)? {
            Lookup::Found(Item::Text(word)) => vec![Item::Text(word)],
            Lookup::Found(Item::List(words)) => words,
            Lookup::Found(_) | Lookup::Absent => Vec::new(),
            Lookup::Missing(why) => return Some(Lookup::Missing(why)),
        };
        let id = match words.as_slice() {
            [Item::Text(id)] => id,
            [] => return Some(Lookup::Missing(format!("{name} is not given"))),
            _ => return Some(Lookup::Missing(format!("{name} names several, so that {path} is none of one"))),
        };
        let section = [named];
        let other = Subject::element(section[0].as_str(), id);
        if !self.evidence.subjects(&section).contains(&other) {
            return Some(Lookup::Missing(format!("{id} is none of {}", section[0])));
        }
        let inner = RuleScope { subject: &other, section: &section, this: None, ..*self };
        Some(match inner.look_up(rest, None) {
            Lookup::Missing(why) if !why.contains(other.as_str()) => Lookup::Missing(format!("{other}: {why}")),
            Lookup::Absent => Lookup::Missing(format!("{rest} of {other} is not given")),
            found => found,
        })
    }

    /// The elements of a section that may count where they are joined, by their numbers; all where nothing is gained.
    fn joined(&self, section: &[String], subjects: &[Subject], join: &Join<'_>) -> Option<Vec<usize>> {
        let element = |subject: &Subject| {
            let name = RuleScope { subject, section, this: None, ..*self };
            name.look_up(join.field, None)
        };
        // What is asked here every time is noted by who watches, also where the index has been made for another rule.
        subjects.first().map(element);
        let build = || {
            let mut index = Index { by_word: HashMap::new(), open: Vec::new() };
            for (number, subject) in subjects.iter().enumerate() {
                match element(subject) {
                    Lookup::Found(Item::Text(word)) => index.by_word.entry(word).or_default().push(number),
                    Lookup::Found(_) => return None,
                    Lookup::Missing(_) | Lookup::Absent => index.open.push(number),
                }
            }
            Some(index)
        };
        let index = self.evidence.index(&[&self.pack.id, &section.join("."), join.field], &build)?;
        let found = join.words.iter().filter_map(|word| index.by_word.get(word)).flatten();
        let mut numbers: Vec<usize> = found.chain(&index.open).copied().collect();
        numbers.sort_unstable();
        numbers.dedup();
        Some(numbers)
    }
}

impl Scope for RuleScope<'_> {
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup {
        if let (Some(name), None) = (path.strip_prefix(PARAMETER), of) {
            return match (self.evidence.parameter(name), self.pack.parameters.get(name)) {
                (Some(item), Some(_)) => Lookup::Found(item),
                (None, Some(parameter)) => Lookup::Found(parameter.value().clone()),
                (_, None) => Lookup::Missing(format!("the pack has no parameter {name}")),
            };
        }
        if let (Some(name), Some((subject, section)), None) = (path.strip_prefix(THIS), self.this, of) {
            return RuleScope { subject, section, this: None, ..*self }.look_up(name, None);
        }
        if of.is_none()
            && let Some(found) = self.evidence.field(self.subject, self.section, path)
        {
            return found;
        }
        match (path, of) {
            (TODAY, None) => {
                let missing = || Lookup::Missing("revision.date is not given".to_owned());
                return self.evidence.day().map_or_else(missing, |day| Lookup::Found(Item::Date(day.to_string())));
            }
            (ID, None) if !self.section.is_empty() => {
                return Lookup::Found(Item::Text(super::scope::id_in(self.subject, self.section).to_owned()));
            }
            _ => {}
        }
        let quantity = self.pack.reads_as.get(path).map_or(path, String::as_str);
        let other = of.map(Subject::from);
        if let Some(found) = self.evidence.fact(other.as_ref().unwrap_or(self.subject), quantity) {
            return found;
        }
        let found = match &other {
            Some(other) => {
                let steps: Vec<String> = other.as_str().split('.').map(str::to_owned).collect();
                let section = steps.split_last().map_or(&[][..], |(_, section)| section);
                self.evidence.field(other, section, path)
            }
            None => {
                let home = Subject::home();
                let own = self.through(self.section, self.subject, path);
                let from_top = || self.evidence.field(&home, &[], path);
                own.or_else(from_top).or_else(|| self.through(&[], &home, path))
            }
        };
        found.unwrap_or_else(|| Lookup::Missing(format!("{path} is not known")))
    }

    fn within(&self, section: &str, join: Option<&Join<'_>>) -> Within<'_> {
        let over = section_path(Some(section));
        let subjects = self.evidence.subjects(&over);
        if let Some(why) = self.evidence.absent(&over) {
            return Within::Absent(why);
        }
        let joined = join.and_then(|join| self.joined(&over, &subjects, join));
        let pairs = self.evidence.subjects(self.section).len().saturating_mul(subjects.len());
        if joined.is_none() && pairs > MOST_PAIRS {
            return Within::Failed(format!(
                "the elements of {section} would be gone through {pairs} times in all, more than {MOST_PAIRS}; join them by a \
                 field: FIELD == this.NAME"
            ));
        }
        let element = |subject: &Subject| -> Box<dyn Scope + '_> {
            let this = Some((self.subject, self.section));
            Box::new(Element { subject: subject.clone(), section: over.clone(), outer: RuleScope { this, ..*self } })
        };
        Within::Elements(match joined {
            Some(numbers) => numbers.into_iter().filter_map(|number| subjects.get(number)).map(element).collect(),
            None => subjects.iter().map(element).collect(),
        })
    }

    fn is_section(&self, path: &str) -> bool {
        is_section(&self.evidence.vocabulary(), self.section, path)
    }

    fn former(&self) -> Result<Box<dyn Scope + '_>, String> {
        match self.evidence.former() {
            Some(former) => Ok(Box::new(RuleScope { evidence: former, ..*self })),
            None => Err("there is no former revision to hold it against".to_owned()),
        }
    }
}

/// An element of a section that is gone through.
struct Element<'a> {
    subject: Subject,
    section: Vec<String>,
    /// What it is gone through for.
    outer: RuleScope<'a>,
}

impl Element<'_> {
    fn scope(&self) -> RuleScope<'_> {
        RuleScope { subject: &self.subject, section: &self.section, ..self.outer }
    }
}

impl Scope for Element<'_> {
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup {
        self.scope().look_up(path, of)
    }

    fn former(&self) -> Result<Box<dyn Scope + '_>, String> {
        match self.outer.evidence.former() {
            Some(former) => {
                let outer = RuleScope { evidence: former, ..self.outer };
                Ok(Box::new(Element { subject: self.subject.clone(), section: self.section.clone(), outer }))
            }
            None => Err("there is no former revision to hold it against".to_owned()),
        }
    }

    fn name(&self) -> Option<&str> {
        Some(self.subject.as_str())
    }
}
