//! Leakage areas of components, as a firm measures or estimates them for its own work.

use super::Name;
use crate::quantity::Area;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The leakage of one kind of component.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leakage {
    /// What it is, in words.
    pub name: Name,
    /// Effective leakage area at 4 Pa of one of what `per` says: the mean.
    pub leakage: Area,
    /// What the leakage is for.
    pub per: Per,
    /// Geometric standard deviation.
    pub spread: f64,
    /// Where the estimate comes from.
    pub source: Name,
    /// How sure the source is.
    pub provenance: Name,
}

/// What one leakage area is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Per {
    /// A metre of joint.
    #[serde(rename = "m")]
    Metre,
    /// A square metre of surface.
    #[serde(rename = "m²")]
    SquareMetre,
    /// A piece.
    #[serde(rename = "each")]
    Each,
}
