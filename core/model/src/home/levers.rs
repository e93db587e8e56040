//! What may be changed on a home to meet a requirement: which field, in which steps, at what price.

use super::{Id, Name};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A lever: something that may be changed, as the search for remedies and studies take it. One of the name of a lever
/// that comes with mateline alters that one where it says something; any other is a lever of its own and gives title,
/// field, steps and what it moves.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lever {
    /// What it is, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<Name>,
    /// The field, as `mateline fields` names it: `assemblies.ID.layers.N.thickness`. An id or a number in place of ID or N
    /// is that element alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<Name>,
    /// What the fields beside it have to be, where it matters; a word that ends in * is a beginning.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub beside: IndexMap<Id, Vec<Name>>,
    /// The sizes or kinds that can be had.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<Name>,
    /// What changes with it in proportion: fields of the same element, every value of those that have several.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub along: Vec<Name>,
    /// What comes with a step, for a product that is chosen from a list: other fields beside the field, as far as the home
    /// says them: `{"0.20 Btu/(h·ft²·°F)": {shgc: 27 %, air_leakage: 0.05 cfm/ft²}}`.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub brings: IndexMap<Name, IndexMap<Id, Name>>,
    /// The side that helps a home; both are tried where it is not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub towards: Option<Towards>,
    /// The facts and fields that it moves, or the beginnings of their names.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub moves: Vec<Name>,
    /// Who else has to decide, or what to bear in mind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Name>,
    /// Prices in the project's currency by step: `{1 in: 0.85 $/ft²}`. A change costs the difference of two prices; what
    /// lies between two sizes costs in proportion.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub prices: IndexMap<Name, Name>,
    /// The fact of the element that a price multiplies: `takeoff.net_area` for a price by area. Where it is not said a price
    /// is that of the element as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per: Option<Name>,
    /// The fact that is the price of a step where no price is given: QUANTITY of SUBJECT, with STEP in place of the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub priced_by: Option<Name>,
    /// Why it is not to be used here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub forbidden: Option<Name>,
}

/// A side to which a value is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Towards {
    /// Larger values.
    More,
    /// Smaller values.
    Less,
}

impl Lever {
    /// It, with what it leaves open taken from another.
    #[must_use]
    pub fn over(self, other: &Lever) -> Lever {
        let other = other.clone();
        fn kept<T>(mine: Vec<T>, theirs: Vec<T>) -> Vec<T> {
            if mine.is_empty() { theirs } else { mine }
        }
        Lever {
            title: self.title.or(other.title),
            field: self.field.or(other.field),
            beside: if self.beside.is_empty() { other.beside } else { self.beside },
            steps: kept(self.steps, other.steps),
            along: kept(self.along, other.along),
            brings: if self.brings.is_empty() { other.brings } else { self.brings },
            towards: self.towards.or(other.towards),
            moves: kept(self.moves, other.moves),
            caution: self.caution.or(other.caution),
            prices: if self.prices.is_empty() { other.prices } else { self.prices },
            per: self.per.or(other.per),
            priced_by: self.priced_by.or(other.priced_by),
            forbidden: self.forbidden.or(other.forbidden),
        }
    }
}
