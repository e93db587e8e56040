//! Ids of places on the page, made from names so that a link still works after the next revision.

use mateline_model::{Fact, Report, Subject};
use std::collections::BTreeMap;

/// Longest readable part of an id.
const LONGEST: usize = 80;

/// The ids given out so far.
#[derive(Default)]
pub(super) struct Anchors {
    /// How often each id was asked for.
    taken: BTreeMap<String, usize>,
}

impl Anchors {
    /// An id that nothing else on the page has: letters, digits and hyphens of the names, and a number where two would
    /// be alike.
    pub(super) fn claim(&mut self, prefix: &str, names: &[&str]) -> String {
        let mut id = prefix.to_owned();
        for name in names {
            id.push('-');
            id.extend(name.chars().take(LONGEST).map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }));
        }
        loop {
            let times = self.taken.entry(id.clone()).or_insert(0);
            *times += 1;
            if *times == 1 {
                return id;
            }
            id = format!("{id}--{times}");
        }
    }
}

/// The id of every fact on the page.
pub(super) struct FactIds<'a> {
    ids: BTreeMap<&'a Subject, BTreeMap<&'a str, String>>,
}

impl<'a> FactIds<'a> {
    /// Gives every fact of a report its id.
    pub(super) fn of(report: &'a Report, anchors: &mut Anchors) -> FactIds<'a> {
        let mut ids: BTreeMap<&Subject, BTreeMap<&str, String>> = BTreeMap::new();
        for fact in report.facts.iter() {
            let id = anchors.claim("fact", &[fact.subject.as_str(), &fact.quantity]);
            ids.entry(&fact.subject).or_default().insert(&fact.quantity, id);
        }
        FactIds { ids }
    }

    pub(super) fn get(&self, fact: &Fact) -> Option<&str> {
        self.find(&fact.subject, &fact.quantity)
    }

    pub(super) fn find(&self, subject: &Subject, quantity: &str) -> Option<&str> {
        self.ids.get(subject)?.get(quantity).map(String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_readable_plain_and_different() {
        let mut anchors = Anchors::default();
        assert_eq!(
            anchors.claim("fact", &["assemblies.wall", "envelope.u_factor"]),
            "fact-assemblies-wall-envelope-u-factor"
        );
        assert_eq!(anchors.claim("fact", &["a.b"]), "fact-a-b");
        assert_eq!(anchors.claim("fact", &["a-b"]), "fact-a-b--2");
        assert_eq!(anchors.claim("fact", &["a b"]), "fact-a-b--3");
        assert_eq!(anchors.claim("fact", &["a-b--3"]), "fact-a-b--3--2");
        assert!(anchors.claim("fact", &[&"\"'>é".repeat(99)]).chars().all(|c| c.is_ascii_alphanumeric() || c == '-'));
    }
}
