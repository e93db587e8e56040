//! Compounds and their published levels, read once from `compounds.yaml`.

use crate::cas::{self, CasNumber};
use crate::words::{did_you_mean, hyphened};
use indexmap::IndexMap;
use mateline_model::home::Home;
use mateline_model::quantity::Density;
use serde::Deserialize;
use std::sync::OnceLock;

/// The file as it is embedded.
pub const TABLE: &str = include_str!("../compounds.yaml");

/// A compound.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Compound {
    /// Its name.
    pub name: String,
    /// Its CAS number; a sum of compounds has none.
    #[serde(default)]
    pub cas: Option<String>,
    /// Isomers that share its levels, with their CAS numbers. Their concentrations add.
    #[serde(default)]
    pub isomers: IndexMap<String, String>,
    /// Other names.
    #[serde(default)]
    pub also: Vec<String>,
    /// Chronic reference exposure level.
    #[serde(default)]
    pub chronic_level: Option<Density>,
    /// The year that level is of.
    #[serde(default)]
    pub chronic_year: Option<u32>,
    /// Where that level comes from, where it is a home's own.
    #[serde(skip)]
    pub chronic_from: Option<String>,
    /// Mark of that level, where it is not `provenance`.
    #[serde(default)]
    pub chronic_mark: Option<String>,
    /// What the CDPH method allows one product to bring about.
    #[serde(default)]
    pub allowable: Option<Density>,
    /// Mark of that, where it is not `provenance`.
    #[serde(default)]
    pub allowable_mark: Option<String>,
    /// Organs that the chronic level protects.
    #[serde(default)]
    pub organs: Vec<String>,
    /// How sure the levels are.
    pub provenance: String,
}

impl Compound {
    /// How sure the chronic level is.
    pub fn chronic_mark(&self) -> &str {
        self.chronic_mark.as_deref().unwrap_or(&self.provenance)
    }

    /// How sure the allowable concentration is.
    pub fn allowable_mark(&self) -> &str {
        self.allowable_mark.as_deref().unwrap_or(&self.provenance)
    }

    /// Where the chronic level comes from, with its mark.
    pub(crate) fn chronic_source(&self) -> String {
        if let Some(source) = &self.chronic_from {
            return format!("{source} ({})", self.chronic_mark());
        }
        let year = self.chronic_year.map(|year| format!(", {year}")).unwrap_or_default();
        format!("OEHHA chronic reference exposure level{year} ({})", self.chronic_mark())
    }

    /// Where the allowable concentration comes from, with its mark.
    pub(crate) fn allowable_source(&self) -> String {
        format!("CDPH Standard Method v1.2, January 2017 ({})", self.allowable_mark())
    }

    fn of_number(number: &str) -> Compound {
        Compound {
            name: format!("CAS {number}"),
            cas: Some(number.to_owned()),
            isomers: IndexMap::new(),
            also: Vec::new(),
            chronic_level: None,
            chronic_year: None,
            chronic_from: None,
            chronic_mark: None,
            allowable: None,
            allowable_mark: None,
            organs: Vec::new(),
            provenance: "as given".to_owned(),
        }
    }
}

/// A compound that a home names.
#[derive(Clone, Debug)]
pub struct Named {
    /// Its id, for subjects.
    pub id: String,
    /// What is known of it.
    pub compound: Compound,
    /// The one substance meant: the compound's CAS number or an isomer's, or its id.
    pub substance: String,
}

/// Every compound, by id, in the order of its file.
pub fn compounds() -> &'static IndexMap<String, Compound> {
    static COMPOUNDS: OnceLock<IndexMap<String, Compound>> = OnceLock::new();
    COMPOUNDS.get_or_init(|| read().unwrap_or_default())
}

/// Reads the embedded file. It does not change after the build, and a test holds that it can be read.
fn read() -> Result<IndexMap<String, Compound>, serde_yaml::Error> {
    serde_yaml::from_str(TABLE)
}

/// The compound of a name or CAS number. One that is not in the list has the level that the home gives it, or none.
///
/// # Errors
/// What is wrong with the name, with the nearest known one.
pub fn find(home: &Home, name: &str) -> Result<Named, String> {
    let mut named = listed(name)?;
    let own = home.compounds.values().find(|own| Some(&*own.cas) == named.compound.cas.as_deref());
    if let Some(own) = own.filter(|_| named.compound.chronic_level.is_none()) {
        if let Some(name) = &own.name {
            named.compound.name = name.to_string();
        }
        named.compound.chronic_level = Some(own.chronic_level);
        named.compound.chronic_from = Some(own.source.to_string());
        named.compound.chronic_mark = Some(own.provenance.to_string());
    }
    Ok(named)
}

/// The compound of a name or CAS number, by the list alone. A CAS number that is not in it is a compound without levels.
///
/// # Errors
/// What is wrong with the name, with the nearest known one.
pub fn listed(name: &str) -> Result<Named, String> {
    let number = match cas::read(name.trim()) {
        Some(CasNumber::WrongDigit { written, expected }) => {
            return Err(format!("CAS number {written} does not check: its last digit would be {expected}"));
        }
        Some(CasNumber::Right(number)) => Some(number),
        None => None,
    };
    let word = hyphened(name);
    for (id, compound) in compounds() {
        let own = number.as_ref().map_or_else(
            || {
                *id == word
                    || hyphened(&compound.name) == word
                    || compound.also.iter().any(|name| hyphened(name) == word)
            },
            |number| compound.cas.as_ref() == Some(number),
        );
        let isomer = compound.isomers.iter().find(|(name, cas)| **name == word || number.as_ref() == Some(*cas));
        if own || isomer.is_some() {
            let substance = isomer.map(|(_, cas)| cas.clone()).or_else(|| compound.cas.clone());
            let substance = substance.unwrap_or_else(|| id.clone());
            return Ok(Named { id: id.clone(), compound: compound.clone(), substance });
        }
    }
    match number {
        Some(number) => {
            Ok(Named { id: format!("cas-{number}"), compound: Compound::of_number(&number), substance: number })
        }
        None => {
            let isomers = compounds().values().flat_map(|compound| compound.isomers.keys());
            let known = compounds().keys().chain(isomers).map(String::as_str);
            Err(format!("unknown compound '{name}'{}", did_you_mean(name, known)))
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::quantity::parse;

    fn micrograms(number: f64) -> f64 {
        number * 1e-9
    }

    #[test]
    fn every_compound_is_complete_and_every_number_checks() {
        let compounds = read().unwrap_or_else(|error| panic!("{error}"));
        for (id, compound) in &compounds {
            assert_eq!(hyphened(id), *id);
            for number in compound.cas.iter().chain(compound.isomers.values()) {
                assert_eq!(cas::read(number), Some(CasNumber::Right(number.clone())), "{id}");
            }
            assert!(compound.chronic_level.is_some() || compound.allowable.is_none(), "{id}");
            for other in compounds.keys().filter(|other| *other != id) {
                assert!(!other.ends_with(&format!("-{id}")), "subjects of {id} and {other} could be alike");
            }
        }
    }

    /// The method lists 35 compounds when the three isomers of xylene count one by one (from memory, high).
    #[test]
    fn the_list_of_the_method_is_whole() {
        let listed = read().unwrap().into_values().filter(|compound| compound.allowable.is_some());
        let count: usize = listed.map(|compound| compound.isomers.len().max(1)).sum();
        assert_eq!(count, 35);
    }

    /// Half the chronic level of its time; formaldehyde at the full level, toluene before its level changed.
    #[test]
    fn allowable_is_half_the_chronic_level() {
        for (id, compound) in compounds() {
            let (Some(chronic), Some(allowable)) = (compound.chronic_level, compound.allowable) else { continue };
            let expected = match id.as_str() {
                "formaldehyde" => micrograms(9.0),
                "toluene" => micrograms(150.0),
                _ => chronic.si() / 2.0,
            };
            assert!((allowable.si() - expected).abs() < 1e-15, "{id}");
        }
        assert_eq!(compounds()["toluene"].chronic_level.unwrap().si(), parse("420 µg/m³").unwrap().si);
    }

    /// OEHHA's consolidated table of 13 May 2015 (looked up): ammonia 200, acrolein 0.35 µg/m³. The others from memory, and
    /// marked so that no rule fails a run for them.
    #[test]
    fn levels_that_the_method_does_not_list() {
        for (name, level, mark) in [
            ("7664-41-7", 200.0, "looked up"),
            ("107-02-8", 0.35, "looked up"),
            ("111-76-2", 82.0, "from memory, med"),
            ("105-60-2", 2.2, "from memory, med"),
            ("101-68-8", 0.08, "from memory, med"),
            ("584-84-9", 0.008, "from memory, med"),
            ("106-99-0", 2.0, "from memory, med"),
        ] {
            let compound = listed(name).unwrap().compound;
            assert!((compound.chronic_level.unwrap().si() / micrograms(level) - 1.0).abs() < 1e-12, "{name}");
            assert_eq!((compound.chronic_mark(), compound.allowable), (mark, None), "{name}");
        }
    }

    #[test]
    fn names_and_numbers_lead_to_the_same_compound() {
        for name in
            ["formaldehyde", "Formaldehyde", "50-00-0", "1,4-dioxane", "methylene chloride", "m-xylene", "xylene"]
        {
            assert!(listed(name).is_ok(), "{name}");
        }
        assert_eq!(listed("108-38-3").unwrap().id, "xylenes");
        assert_ne!(listed("m-xylene").unwrap().substance, listed("p-xylene").unwrap().substance);
        assert_eq!(listed("tolune").unwrap_err(), "unknown compound 'tolune' (did you mean 'toluene'?)");
        assert_eq!(listed("50-00-1").unwrap_err(), "CAS number 50-00-1 does not check: its last digit would be 0");
        assert_eq!(listed("58-08-2").unwrap().compound.name, "CAS 58-08-2");
    }
}
