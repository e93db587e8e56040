//! The handshake: what a plugin says of itself before anything else happens.

use super::{ABI, OLDEST_ABI, Refused, Units};
use crate::Declaration;
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a plugin says of itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Handshake {
    /// The number of the boundary it was built for, 1 or 2. mateline reads it first, and nothing else when it speaks
    /// another.
    pub abi: u32,
    /// Short name, which is also the namespace of its quantities: lower-case letters, digits, `_` and `-`.
    pub name: String,
    /// Version.
    pub version: String,
    /// What it computes, in one sentence.
    pub about: String,
    /// Namespaces of the facts it reads.
    #[serde(default)]
    pub reads: Vec<String>,
    /// Sections of the home it reads; the others are as if the file said nothing. The home's name, units and revision, and
    /// the place and climate zone of its site, are seen by all. Left out in ABI 1 alone, whose plugins see the whole home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sections: Option<Vec<String>>,
    /// Every quantity it may write. All names begin with `name` and a dot.
    pub writes: Vec<QuantityDef>,
}

/// A quantity a plugin may write.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuantityDef {
    /// Full name, such as `acoustics.surface_mass`.
    pub name: String,
    /// What kind of value it has.
    pub kind: ValueKind,
    /// How numbers are shown; left out for words and flags.
    #[serde(default)]
    pub units: Units,
    /// What it is, in one sentence. Up to the first comma or colon it serves as a short name.
    pub meaning: String,
    /// The words that a text can be, where no others come.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
}

/// What kind of value a quantity has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ValueKind {
    /// A number with a unit.
    Number,
    /// A word or name.
    Text,
    /// Yes or no.
    Flag,
}

/// Only the number of the boundary, whatever else a handshake holds.
#[derive(Clone, Copy, Debug, Deserialize)]
struct AbiOnly {
    abi: u32,
}

/// Longest name of a plugin or quantity, in characters.
const MAX_NAME: usize = 80;
/// Longest sentence about a plugin or quantity, in characters.
const MAX_SENTENCE: usize = 400;
/// Quantities one plugin may declare.
const MAX_QUANTITIES: usize = 500;
/// Words a text may have.
const MAX_WORDS: usize = 100;

impl Handshake {
    /// What a Rust plugin says of itself.
    pub fn of(declaration: &Declaration) -> Handshake {
        Handshake {
            abi: ABI,
            name: declaration.name.to_owned(),
            version: declaration.version.to_owned(),
            about: declaration.about.to_owned(),
            reads: declaration.reads.iter().map(|read| (*read).to_owned()).collect(),
            sections: Some(declaration.sections.iter().map(|section| (*section).to_owned()).collect()),
            writes: declaration.quantities.iter().map(QuantityDef::from).collect(),
        }
    }

    /// Reads the bytes of a handshake, the number of the boundary first.
    ///
    /// # Errors
    /// Why it cannot be used: another number, no UTF-8, no JSON of this shape, or names that break the rules.
    pub fn read(bytes: &[u8]) -> Result<Handshake, Refused> {
        let text =
            std::str::from_utf8(bytes).map_err(|error| format!("answered the handshake with {}", no_utf8(&error)))?;
        let only: AbiOnly =
            serde_json::from_str(text).map_err(|error| format!("answered the handshake with no 'abi': {error}"))?;
        if !(OLDEST_ABI..=ABI).contains(&only.abi) {
            return Err(format!("was built for plugin ABI {}; this mateline speaks {OLDEST_ABI} to {ABI}", only.abi));
        }
        let handshake: Handshake = serde_json::from_str(text)
            .map_err(|error| format!("answered the handshake with something else: {error}"))?;
        handshake.quantities()?;
        Ok(handshake)
    }

    /// Its quantities as the model knows them.
    ///
    /// # Errors
    /// A name, unit or sentence that breaks the rules.
    pub fn quantities(&self) -> Result<Vec<model::QuantityDef>, Refused> {
        let is_name = |name: &str| {
            (1..=MAX_NAME).contains(&name.chars().count())
                && name.starts_with(|c: char| c.is_ascii_lowercase())
                && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '_' | '-'))
        };
        if !is_name(&self.name) {
            return Err(format!(
                "calls itself '{}', which is no name of lower-case letters, digits, _ and -",
                self.name
            ));
        }
        if !(1..=MAX_NAME).contains(&self.version.chars().count()) || self.version.chars().any(char::is_control) {
            return Err("has no version".to_owned());
        }
        sentence(&self.about)?;
        if let Some(read) = self.reads.iter().find(|read| !is_name(read)) {
            return Err(format!("reads '{read}', which is no namespace"));
        }
        match &self.sections {
            None if self.abi >= 2 => return Err("does not say which sections of the home it reads".to_owned()),
            Some(_) if self.abi < 2 => return Err("names sections of the home, which ABI 1 does not know".to_owned()),
            _ => {}
        }
        let mut sections = self.sections.iter().flatten();
        if let Some(section) = sections.find(|section| !model::home::READABLE.contains(&section.as_str())) {
            return Err(format!("reads '{}', which is no section of a home for plugins", section.escape_debug()));
        }
        if self.writes.len() > MAX_QUANTITIES {
            return Err(format!("declares {} quantities; {MAX_QUANTITIES} are the most", self.writes.len()));
        }
        let mut found: Vec<model::QuantityDef> = Vec::new();
        for quantity in &self.writes {
            let own = quantity.name.strip_prefix(&self.name).and_then(|rest| rest.strip_prefix('.'));
            if !own.is_some_and(is_name) {
                return Err(format!("declares '{}', which is not in its namespace '{}.'", quantity.name, self.name));
            }
            if found.iter().any(|other| other.name == quantity.name.as_str()) {
                return Err(format!("declares '{}' twice", quantity.name));
            }
            found.push(model::QuantityDef::try_from(quantity.clone())?);
        }
        Ok(found)
    }
}

fn sentence(text: &str) -> Result<(), Refused> {
    if text.trim().is_empty() || text.chars().count() > MAX_SENTENCE || text.chars().any(char::is_control) {
        return Err(format!("describes itself in no sentence of 1 to {MAX_SENTENCE} characters"));
    }
    Ok(())
}

/// Where bytes stop being UTF-8.
pub(super) fn no_utf8(error: &std::str::Utf8Error) -> String {
    format!("bytes that are not UTF-8 from byte {} on", error.valid_up_to() + 1)
}

impl From<&model::QuantityDef> for QuantityDef {
    fn from(quantity: &model::QuantityDef) -> QuantityDef {
        QuantityDef {
            name: quantity.name.to_string(),
            kind: match quantity.kind {
                model::ValueKind::Number => ValueKind::Number,
                model::ValueKind::Text => ValueKind::Text,
                model::ValueKind::Flag => ValueKind::Flag,
            },
            units: Units::from(&quantity.units),
            meaning: quantity.meaning.to_string(),
            words: quantity.words.iter().map(ToString::to_string).collect(),
        }
    }
}

impl TryFrom<QuantityDef> for model::QuantityDef {
    type Error = Refused;

    fn try_from(quantity: QuantityDef) -> Result<model::QuantityDef, Refused> {
        sentence(&quantity.meaning).map_err(|_| format!("declares '{}' with no meaning", quantity.name))?;
        if !quantity.words.is_empty() && quantity.kind != ValueKind::Text {
            return Err(format!("declares words for '{}', which is no text", quantity.name));
        }
        if quantity.words.len() > MAX_WORDS || quantity.words.iter().any(|word| sentence(word).is_err()) {
            return Err(format!(
                "declares more than {MAX_WORDS} words for '{}', or one of no 1 to {MAX_SENTENCE} characters",
                quantity.name
            ));
        }
        Ok(model::QuantityDef {
            units: quantity.units.try_into()?,
            name: quantity.name.into(),
            kind: match quantity.kind {
                ValueKind::Number => model::ValueKind::Number,
                ValueKind::Text => model::ValueKind::Text,
                ValueKind::Flag => model::ValueKind::Flag,
            },
            meaning: quantity.meaning.into(),
            words: quantity.words.into_iter().map(Into::into).collect(),
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    fn good() -> Handshake {
        Handshake {
            abi: ABI,
            name: "sample".into(),
            version: "1.0".into(),
            about: "a sample".into(),
            reads: vec!["takeoff".into()],
            sections: Some(vec!["modules".into()]),
            writes: vec![QuantityDef {
                name: "sample.length".into(),
                kind: ValueKind::Number,
                units: Units { si: "m".into(), si_digits: 2, ip: "ft".into(), ip_digits: 2 },
                meaning: "A length.".into(),
                words: Vec::new(),
            }],
        }
    }

    fn refused(change: impl Fn(&mut Handshake)) -> String {
        let mut handshake = good();
        change(&mut handshake);
        Handshake::read(&serde_json::to_vec(&handshake).unwrap()).unwrap_err()
    }

    #[test]
    fn a_good_handshake_is_read() {
        assert_eq!(Handshake::read(&serde_json::to_vec(&good()).unwrap()), Ok(good()));
    }

    /// The number is read before the rest: a later shape is told by both numbers, not by its fields.
    #[test]
    fn another_number_is_explained_with_both() {
        let error = Handshake::read(br#"{"abi": 7, "nom": "greffon"}"#).unwrap_err();
        assert_eq!(error, "was built for plugin ABI 7; this mateline speaks 1 to 2");
    }

    /// What a library says that was built before sections were declared.
    #[test]
    fn the_older_number_names_no_sections() {
        let older = Handshake { abi: 1, sections: None, ..good() };
        assert_eq!(Handshake::read(&serde_json::to_vec(&older).unwrap()), Ok(older));
        assert!(refused(|h| h.abi = 1).contains("ABI 1 does not know"));
        assert!(refused(|h| h.sections = None).contains("does not say which sections"));
        assert!(refused(|h| h.sections = Some(vec!["judge_by".into()])).contains("'judge_by'"));
    }

    #[test]
    fn names_that_break_the_rules_are_refused() {
        assert!(refused(|h| h.name = "Sam ple".into()).starts_with("calls itself 'Sam ple'"));
        assert!(refused(|h| h.version = String::new()).contains("version"));
        assert!(refused(|h| h.about = "a\u{1b}[31mb".into()).contains("sentence"));
        assert!(refused(|h| h.reads = vec!["../x".into()]).contains("reads '../x'"));
        assert!(refused(|h| h.writes[0].name = "takeoff.area".into()).contains("not in its namespace 'sample.'"));
        assert!(refused(|h| h.writes[0].units.ip = "lb".into()).contains("a length in 'm' and a mass in 'lb'"));
        assert!(refused(|h| h.writes.push(h.writes[0].clone())).contains("twice"));
        assert!(refused(|h| h.writes[0].words = vec!["long".into()]).contains("which is no text"));
        assert!(refused(|h| h.writes = vec![h.writes[0].clone(); 501]).contains("501"));
        assert!(Handshake::read(b"\xff{").unwrap_err().contains("not UTF-8 from byte 1 on"));
        assert!(Handshake::read(b"[]").unwrap_err().contains("no 'abi'"));
    }
}
