//! Subjects: what a fact is about.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// An element of the home (`assemblies.wall`), something found in it (`seams.A-B`, `surfaces.wall-south`), or `home`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Subject(String);

impl Subject {
    /// The whole home.
    pub fn home() -> Subject {
        Subject("home".to_owned())
    }

    /// An element of a section.
    pub fn element(section: &str, id: impl fmt::Display) -> Subject {
        Subject(format!("{section}.{id}"))
    }

    /// The subject's text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The section, or `home`.
    pub fn section(&self) -> &str {
        self.0.split_once('.').map_or(self.0.as_str(), |(section, _)| section)
    }

    /// The id within the section; for `home`, `home`.
    pub fn id(&self) -> &str {
        self.0.split_once('.').map_or(self.0.as_str(), |(_, id)| id)
    }
}

impl From<&str> for Subject {
    fn from(text: &str) -> Subject {
        Subject(text.to_owned())
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
