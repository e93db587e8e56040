//! Kinds of substances to avoid, read once from `substances.yaml`, and how a listed content is matched to them.

use crate::cas::{self, CasNumber};
use crate::words::{holds, is_nearly, plain};
use indexmap::IndexMap;
use serde::Deserialize;
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../substances.yaml");

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
    /// The phrases in their plain form.
    #[serde(skip)]
    plain_holding: Vec<String>,
    /// The words in their plain form.
    #[serde(skip)]
    plain_exactly: Vec<String>,
}

impl Substances {
    /// Its phrases, each as it stands in the file and in its plain form.
    fn phrases(&self) -> impl Iterator<Item = (&String, &str)> {
        self.holding.iter().zip(self.plain_holding.iter().map(String::as_str))
    }

    /// Its words, in the same way.
    fn words(&self) -> impl Iterator<Item = (&String, &str)> {
        self.exactly.iter().zip(self.plain_exactly.iter().map(String::as_str))
    }
}

/// Every kind, by id, in the order of its file.
pub fn substances() -> &'static IndexMap<String, Substances> {
    static SUBSTANCES: OnceLock<IndexMap<String, Substances>> = OnceLock::new();
    SUBSTANCES.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Substances>, serde_yaml::Error> {
    let mut all: IndexMap<String, Substances> = serde_yaml::from_str(TABLE)?;
    for kind in all.values_mut() {
        kind.plain_holding = kind.holding.iter().map(|phrase| plain(phrase)).collect();
        kind.plain_exactly = kind.exactly.iter().map(|word| plain(word)).collect();
    }
    Ok(all)
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
        let phrase = || kind.phrases().find(|(_, phrase)| !absent && holds(&text, phrase)).map(|(phrase, _)| phrase);
        let word = || kind.words().find(|(_, word)| *word == text).map(|(word, _)| word);
        number.or_else(phrase).or_else(word).cloned()
    };
    substances().iter().filter_map(|(id, kind)| Some((id.as_str(), kind, matched(kind)?))).collect()
}

/// The phrase of a kind that a content without CAS number nearly holds, where it belongs to no kind: a slip of the pen
/// that would count as none of them.
pub fn nearly(content: &str) -> Option<&'static str> {
    let text = plain(content);
    let told = !cas::find(content).is_empty() || ABSENT.iter().any(|word| holds(&text, word));
    if told || !matches(content).is_empty() {
        return None;
    }
    let words: Vec<&str> = text.split(' ').collect();
    let held = |(_, phrase): &(&String, &str)| {
        let count = phrase.split(' ').count();
        (1..=count).any(|some| words.windows(some).any(|window| is_nearly(window, phrase)))
    };
    let whole = |(_, word): &(&String, &str)| is_nearly(&words, word);
    let mut kinds = substances().values();
    let found = kinds.find_map(|kind| kind.phrases().find(held).or_else(|| kind.words().find(whole)));
    found.map(|(phrase, _)| phrase.as_str())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn a_slip_of_the_pen_is_near_and_another_material_is_not() {
        for (content, phrase) in [
            ("phtalate", "phthalate"),
            ("DEPH", "dehp"),
            ("diisononyl phtalate, 20 %", "diisononyl phthalate"),
            ("polyvinylchloride", "polyvinyl chloride"),
            ("urea formaldehide resin", "urea-formaldehyde"),
            ("Brominatd flame retardants", "brominated flame retardant"),
            ("penthachlorphenol", "pentachlorophenol"),
            ("cadmuim", "cadmium"),
            ("crosote oil", "creosote"),
        ] {
            assert_eq!(nearly(content), Some(phrase), "{content}");
        }
        for content in [
            "wool",
            "oak",
            "red pigment",
            "calcium sulfate",
            "polyisocyanurate",
            "ethylene vinyl acetate",
            "leaf",
            "tin stabiliser",
            "melamine facing",
            "zinc chromate",
            "phthalat-free",
            "DEPH (9002-18-0)",
            "MDF",
            "PVC",
            "acetaldehyde",
            "polyvinyl alcohol",
            "silver fir",
            "mineral wool",
            "vinegar",
            "HFC-152a",
            "urea",
        ] {
            assert_eq!(nearly(content), None, "{content}");
        }
    }

    fn kinds(content: &str) -> Vec<&'static str> {
        matches(content).into_iter().map(|(id, ..)| id).collect()
    }

    #[test]
    fn no_letter_that_is_left_out_makes_a_substance_none() {
        let phrases = substances().values().flat_map(|kind| kind.holding.iter().chain(&kind.exactly));
        let mut tried = 0;
        for phrase in phrases {
            let letters: Vec<char> = phrase.chars().collect();
            for (at, letter) in letters.iter().enumerate() {
                let ends = [letters.iter().take(at).rev().collect::<Vec<_>>(), letters.iter().skip(at).collect()];
                let word: usize =
                    ends.iter().map(|end| end.iter().take_while(|one| one.is_alphanumeric()).count()).sum();
                if word < 5 || !letter.is_alphanumeric() {
                    continue;
                }
                let mut left = letters.clone();
                left.remove(at);
                let slip: String = left.iter().collect();
                assert!(nearly(&slip).is_some() || !matches(&slip).is_empty(), "{slip} is no {phrase}");
                tried += 1;
            }
        }
        assert!(tried > 500, "{tried} slips");
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
