//! Third-party plugins that cannot stand in one home: two of one namespace, or a circle of what they read.

use crate::worker::Declared;
use std::collections::{BTreeMap, BTreeSet};

/// The guests that cannot stand beside the others, by number, each with the reason.
///
/// Only what their declarations say is looked at, so that it is known before any of them runs.
pub fn conflicts<'a>(built_in: impl Iterator<Item = &'a Declared>, guests: &[&Declared]) -> Vec<(usize, String)> {
    let mut taken: BTreeSet<&str> = built_in.map(|plugin| plugin.name.as_str()).collect();
    let mut found = Vec::new();
    let mut reads: BTreeMap<&str, &[String]> = BTreeMap::new();
    for (index, guest) in guests.iter().enumerate() {
        if taken.insert(&guest.name) {
            reads.insert(&guest.name, &guest.reads);
        } else {
            found.push((index, format!("the namespace '{}' is taken by another plugin", guest.name)));
        }
    }
    for (index, guest) in guests.iter().enumerate() {
        if found.iter().any(|(clashing, _)| *clashing == index) {
            continue;
        }
        if let Some(way) = way_back(&guest.name, &reads) {
            found.push((index, format!("what it reads leads back to itself: {}", way.join(" reads "))));
        }
    }
    found.sort();
    found
}

/// The shortest way from a plugin along what is read back to it, itself at both ends.
fn way_back(from: &str, reads: &BTreeMap<&str, &[String]>) -> Option<Vec<String>> {
    let mut ways: Vec<Vec<&str>> = vec![vec![from]];
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    while !ways.is_empty() {
        let mut longer = Vec::new();
        for way in ways {
            for read in way.last().and_then(|name| reads.get(name)).copied().unwrap_or_default() {
                if read == from {
                    return Some(way.iter().chain([&from]).map(|name| (*name).to_owned()).collect());
                }
                if let Some((name, _)) = reads.get_key_value(read.as_str())
                    && seen.insert(name)
                {
                    longer.push([way.as_slice(), &[*name]].concat());
                }
            }
        }
        ways = longer;
    }
    None
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn declared(name: &str, reads: &[&str]) -> Declared {
        let reads = reads.iter().map(|read| (*read).to_owned()).collect();
        Declared {
            name: name.to_owned(),
            version: "1".to_owned(),
            about: String::new(),
            reads,
            sections: None,
            quantities: Vec::new(),
        }
    }

    fn found(guests: &[Declared]) -> Vec<(usize, String)> {
        let own = declared("takeoff", &[]);
        conflicts([&own].into_iter(), &guests.iter().collect::<Vec<_>>())
    }

    #[test]
    fn guests_that_fit_together_have_no_conflict() {
        assert!(found(&[declared("b", &["a"]), declared("a", &["takeoff"]), declared("c", &["a", "b"])]).is_empty());
    }

    #[test]
    fn a_namespace_is_taken_once() {
        let twice = found(&[declared("a", &[]), declared("takeoff", &[]), declared("a", &[])]);
        let taken = |name: &str| format!("the namespace '{name}' is taken by another plugin");
        assert_eq!(twice, [(1, taken("takeoff")), (2, taken("a"))]);
    }

    #[test]
    fn every_plugin_of_a_circle_is_named_and_none_that_only_reads_it() {
        let circle = [declared("a", &["b"]), declared("b", &["c"]), declared("c", &["a"]), declared("d", &["a"])];
        let reasons = found(&circle);
        assert_eq!(reasons.iter().map(|(index, _)| *index).collect::<Vec<_>>(), [0, 1, 2]);
        assert_eq!(reasons[0].1, "what it reads leads back to itself: a reads b reads c reads a");
        assert_eq!(found(&[declared("a", &["a"])])[0].1, "what it reads leads back to itself: a reads a");
    }
}
