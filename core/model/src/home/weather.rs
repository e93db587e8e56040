//! An hourly year of weather.

use super::Name;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An hourly year of weather for the site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// A file of the project folder: TMY3 as its makers publish it, or a plain table with a unit in each head. `mateline
    /// climate FILE` says whether it can be read.
    pub file: Name,
}
