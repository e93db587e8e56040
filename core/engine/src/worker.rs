//! What the schedule runs: a plugin's word and its work, whether it is linked in or lives behind a boundary.

use mateline_model::QuantityDef;
use mateline_model::home::Home;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};
use std::borrow::Cow;

/// What a plugin says of itself, with texts of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Declared {
    /// Short name, which is also the namespace of its quantities.
    pub name: String,
    /// Version.
    pub version: String,
    /// What it computes, in one sentence.
    pub about: String,
    /// Namespaces of the facts it reads.
    pub reads: Vec<String>,
    /// Sections of the home it reads; none where it was built before these were declared and sees the whole home.
    pub sections: Option<Vec<String>>,
    /// Every quantity it may write.
    pub quantities: Vec<QuantityDef>,
}

impl Declared {
    /// Whether it says that it reads this section of the home.
    pub fn names_section(&self, section: &str) -> bool {
        self.sections.as_ref().is_some_and(|sections| sections.iter().any(|named| named == section))
    }
}

impl From<Declaration> for Declared {
    fn from(declaration: Declaration) -> Declared {
        Declared {
            name: declaration.name.to_owned(),
            version: declaration.version.to_owned(),
            about: declaration.about.to_owned(),
            reads: declaration.reads.iter().map(|read| (*read).to_owned()).collect(),
            sections: Some(declaration.sections.iter().map(|section| (*section).to_owned()).collect()),
            quantities: declaration.quantities,
        }
    }
}

impl Declared {
    /// What it is given of a home.
    pub fn part_of<'a>(&self, home: &'a Home) -> Cow<'a, Home> {
        self.sections.as_ref().map_or(Cow::Borrowed(home), |sections| Cow::Owned(home.only(sections)))
    }
}

/// A plugin as the schedule runs it.
pub trait Worker: Send + Sync {
    /// What it said of itself.
    fn declared(&self) -> &Declared;

    /// What it is made of beyond its version: the SHA-256 of a library; empty for one that is linked in.
    fn content(&self) -> &str {
        ""
    }

    /// Computes the facts of one home.
    ///
    /// # Errors
    /// When nothing can be computed at all.
    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError>;
}

/// A plugin that is linked in.
pub struct BuiltIn {
    declared: Declared,
    plugin: Box<dyn Plugin>,
}

impl BuiltIn {
    /// A plugin with what it says of itself, asked once.
    pub fn new(plugin: Box<dyn Plugin>) -> BuiltIn {
        BuiltIn { declared: plugin.declaration().into(), plugin }
    }
}

impl Worker for BuiltIn {
    fn declared(&self) -> &Declared {
        &self.declared
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        self.plugin.run(request)
    }
}

/// A plugin that cannot be used, but whose word is known from when it was approved: the facts it owes are missing.
pub struct Lost {
    /// What it said of itself.
    pub declared: Declared,
    /// Why it cannot be used.
    pub why: String,
}

impl Worker for Lost {
    fn declared(&self) -> &Declared {
        &self.declared
    }

    fn run(&self, _: &Request<'_>) -> Result<Findings, PluginError> {
        Err(PluginError(self.why.clone()))
    }
}
