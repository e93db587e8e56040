//! What a plugin author needs.
//!
//! A plugin computes facts from the home and from other plugins' facts. It holds no limits, keeps no state, owns no
//! threads and writes to no stream; the same input gives the same facts in any order.
//!
//! A plugin that comes with mateline is linked in. Any other is a library that exports three C functions: in Rust by
//! [`export_plugin!`], in other languages by `include/mateline_plugin.h`.

pub mod abi;
mod lack;
pub mod message;
mod table;

pub use lack::Lack;

pub use mateline_model::QuantityDef;
use mateline_model::{Basis, Fact, Facts, Figure, Home, Missing, Pointer, Problem, Subject, Value, quantity::Quantity};
use std::fmt;

/// What a plugin says of itself before it runs.
#[derive(Clone, Debug)]
pub struct Declaration {
    /// Short name, which is also the namespace of its quantities.
    pub name: &'static str,
    /// Version.
    pub version: &'static str,
    /// What it computes, in one sentence.
    pub about: &'static str,
    /// Namespaces of the facts it reads.
    pub reads: &'static [&'static str],
    /// Sections of the home it reads, of [`mateline_model::home::READABLE`]. The home's name, units and revision, and the
    /// place and climate zone of its site, are seen by all.
    pub sections: &'static [&'static str],
    /// Every quantity it may write. All names begin with `name` and a dot.
    pub quantities: Vec<QuantityDef>,
}

/// What a plugin is given.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// The home, in which a section that was not declared is as if the file said nothing.
    pub home: &'a Home,
    /// Facts of the namespaces it reads, without the calculations behind them.
    pub facts: &'a Facts,
    /// What the judging packs ask this plugin to use, in the order of the packs: (pack, settings).
    pub settings: &'a [(String, serde_json::Value)],
    /// Whether anybody will see figures. A search and a study try values by the thousand and look at facts alone: a plugin
    /// may leave its figures out there, and nothing else.
    pub shown: bool,
}

impl Request<'_> {
    /// A number among the facts, in SI.
    pub fn number(&self, subject: &Subject, quantity: &str) -> Option<f64> {
        self.facts.get(subject, quantity)?.value.number().map(|quantity| quantity.si)
    }

    /// A text among the facts.
    pub fn text(&self, subject: &Subject, quantity: &str) -> Option<&str> {
        self.facts.get(subject, quantity)?.value.text()
    }

    /// The subjects of one section that have facts, in order.
    pub fn subjects<'a>(&'a self, section: &'a str) -> impl Iterator<Item = &'a Subject> {
        self.facts.subjects().filter(move |subject| subject.section() == section)
    }
}

/// What a plugin hands back.
#[derive(Clone, Debug, Default)]
pub struct Findings {
    /// Facts.
    pub facts: Vec<Fact>,
    /// Facts that could not be found for want of an input.
    pub missing: Vec<Missing>,
    /// Things in the home that cannot be; the input cannot be used.
    pub problems: Vec<Problem>,
    /// Figures.
    pub figures: Vec<Figure>,
    /// What has to be said aloud and stops nothing: an answer that was asked for and is not there.
    pub remarks: Vec<Problem>,
}

impl Findings {
    /// Adds a fact.
    pub fn fact(&mut self, subject: &Subject, definition: &QuantityDef, value: impl Into<Value>, basis: Basis) {
        self.push(subject, definition, value.into(), basis, None);
    }

    /// Adds a fact that points at the place in the home that matters most for it.
    pub fn fact_at(
        &mut self,
        subject: &Subject,
        definition: &QuantityDef,
        value: impl Into<Value>,
        basis: Basis,
        at: Pointer,
    ) {
        self.push(subject, definition, value.into(), basis, Some(at));
    }

    /// Adds a word.
    pub fn text(&mut self, subject: &Subject, definition: &QuantityDef, text: impl Into<String>, basis: Basis) {
        self.push(subject, definition, Value::Text(text.into()), basis, None);
    }

    /// Adds a yes or no.
    pub fn flag(&mut self, subject: &Subject, definition: &QuantityDef, flag: bool, basis: Basis) {
        self.push(subject, definition, Value::Flag(flag), basis, None);
    }

    /// Adds a count.
    pub fn count(&mut self, subject: &Subject, definition: &QuantityDef, count: usize, basis: Basis) {
        self.push(subject, definition, Value::Number(Quantity::plain(count as f64)), basis, None);
    }

    /// Says aloud that an answer which the home asks for is not there. The run goes on, and does not end well.
    pub fn remark(&mut self, message: impl Into<String>, at: Pointer) {
        self.remarks.push(Problem { at, also: Vec::new(), message: message.into(), help: None });
    }

    /// Says that a fact could not be found, and why.
    pub fn missing(
        &mut self,
        subject: &Subject,
        definition: &QuantityDef,
        because: impl Into<String>,
        at: Option<Pointer>,
    ) {
        self.missing.push(Missing {
            subject: subject.clone(),
            quantity: definition.name.clone(),
            because: because.into(),
            at,
        });
    }

    /// A number that is not finite, as inputs beyond all measure lead to, is missing.
    fn push(&mut self, subject: &Subject, definition: &QuantityDef, value: Value, basis: Basis, at: Option<Pointer>) {
        if value.number().is_some_and(|quantity| !quantity.si.is_finite()) {
            return self.missing(subject, definition, "the values given lead to no finite number", at);
        }
        self.facts.push(Fact { subject: subject.clone(), quantity: definition.name.clone(), value, basis, at });
    }
}

/// Why a plugin could not do its work at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PluginError(pub String);

impl fmt::Display for PluginError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PluginError {}

/// A calculation that turns a home into facts.
pub trait Plugin: Send + Sync {
    /// What it is, what it reads and what it writes. Called once, before anything runs.
    fn declaration(&self) -> Declaration;

    /// Computes the facts of one home.
    ///
    /// # Errors
    /// When nothing can be computed at all. A missing input is no error: it goes into [`Findings::missing`].
    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError>;
}
