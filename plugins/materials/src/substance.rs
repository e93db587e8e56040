//! Kinds of substances to avoid, read once from `substances.yaml`, and how a listed content is matched to them.

use crate::cas::{self, CasNumber};
use crate::words::{holds, plain};
use indexmap::IndexMap;
use serde::Deserialize;
use std::sync::OnceLock;

/// A kind of substances.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Substances {
    /// Its name.
    pub title: String,
    /// The law behind it, where there is one.
    pub handle: String,
    /// How sure that is.
    pub provenance: String,
    /// CAS numbers.
    pub cas: Vec<String>,
    /// Phrases that a text may hold.
    pub holding: Vec<String>,
    /// Words that a text must be.
    #[serde(default)]
    pub exactly: Vec<String>,
}

/// Every kind, by id, in the order of its file.
pub fn substances() -> &'static IndexMap<String, Substances> {
    static SUBSTANCES: OnceLock<IndexMap<String, Substances>> = OnceLock::new();
    SUBSTANCES.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Substances>, serde_yaml::Error> {
    serde_yaml::from_str(include_str!("../substances.yaml"))
}

/// Words that say a substance is not there.
const ABSENT: &[&str] = &["no", "non", "not", "without", "free"];

/// The kinds that a listed content belongs to, with what matched.
pub fn matches(content: &str) -> Vec<(&'static str, &'static Substances, String)> {
    let text = plain(content);
    let absent = ABSENT.iter().any(|word| holds(&text, word));
    let numbers: Vec<String> = cas::find(content)
        .into_iter()
        .filter_map(|number| if let CasNumber::Right(number) = number { Some(number) } else { None })
        .collect();
    let matched = |kind: &Substances| {
        let number = kind.cas.iter().find(|number| !absent && numbers.contains(number));
        let phrase = || kind.holding.iter().find(|phrase| !absent && holds(&text, &plain(phrase)));
        let word = || kind.exactly.iter().find(|word| plain(word) == text);
        number.or_else(phrase).or_else(word).cloned()
    };
    substances().iter().filter_map(|(id, kind)| Some((id.as_str(), kind, matched(kind)?))).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn kinds(content: &str) -> Vec<&'static str> {
        matches(content).into_iter().map(|(id, ..)| id).collect()
    }

    #[test]
    fn the_file_can_be_read_and_every_number_checks() {
        let substances = read().unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(substances.len(), 10);
        for (id, kind) in &substances {
            for number in &kind.cas {
                assert_eq!(cas::read(number), Some(CasNumber::Right(number.clone())), "{id}: {number}");
            }
        }
    }

    #[test]
    fn numbers_phrases_and_words_match() {
        assert_eq!(kinds("117-81-7"), ["ortho-phthalates"]);
        assert_eq!(kinds("plasticiser DINP (28553-12-0), 12 %"), ["ortho-phthalates"]);
        assert_eq!(kinds("Ortho-phthalates"), ["ortho-phthalates"]);
        assert_eq!(kinds("vinyl"), ["pvc"]);
        assert_eq!(kinds("Brominated flame-retardants"), ["halogenated-flame-retardants"]);
        assert_eq!(kinds("polymeric MDI"), ["isocyanates"]);
    }

    #[test]
    fn likeness_is_not_enough_and_absence_is_understood() {
        for content in
            ["wool", "ethylene vinyl acetate", "lead-free solder", "PVC-free", "no added formaldehyde", "leadership"]
        {
            assert_eq!(kinds(content), Vec::<&str>::new(), "{content}");
        }
    }
}
