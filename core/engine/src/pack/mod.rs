//! Rule packs: from their file to rules whose names and units have been checked.

mod aggregate;
mod catalogue;
mod changes;
mod compile;
mod describe;
mod example;
mod extend;
mod follow;
mod format;
mod kept;
mod key;
mod language;
mod limit;
mod limit_file;
mod load;
mod names;
mod opposed;
mod parameter;
mod shown_units;
mod strictness;
mod table;
mod value_file;

pub use catalogue::catalogue;
pub use changes::changes;
pub use compile::compile;
pub use describe::describe;
pub use example::Example;
pub use extend::{Change, Merged};
pub use format::{EffectiveFile, ExampleFile, PackFile, ParameterFile, ProvisionalFile, RuleFile, TightenFile};
pub use kept::KeptPacks;
pub use language::{language, words_of_rules};
pub use limit_file::LimitFile;
pub use load::{Library, OF_MATELINE, asked, load_pack, load_packs, pack_faults};
pub(crate) use names::{FOUND, ID, PARAMETER, TODAY, is_section};
pub use names::{Vocabulary, section_path};
pub use opposed::{Clash, opposed};
pub use parameter::Parameter;
pub(crate) use parameter::show as show_parameter;
pub use table::{Measure, Probe, Row, Table};
pub use value_file::{AggregateFile, ValueFile};

use crate::expr::Expression;
use crate::load::Span;
use indexmap::IndexMap;
use mateline_model::home::Date;
use mateline_model::quantity::{Quantity, Units};
use mateline_model::{Severity, Traced};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A pack ready to judge.
#[derive(Clone, Debug)]
pub struct Pack {
    /// Its id.
    pub id: String,
    /// Its version.
    pub version: Option<u32>,
    /// The edition of its source.
    pub edition: Option<String>,
    /// Its title.
    pub title: String,
    /// What it restates.
    pub source: String,
    /// The texts that it is made of: its own, then those of the packs that it extends.
    pub texts: Vec<Traced>,
    /// What a reader has to bear in mind.
    pub caution: Option<String>,
    /// Settings handed to plugins.
    pub uses: IndexMap<String, serde_json::Value>,
    /// Quantities read in place of others.
    pub reads_as: IndexMap<String, String>,
    /// Ways to its requirements that it does not judge, in words.
    pub open_paths: Option<String>,
    /// Values it leaves to the home.
    pub parameters: BTreeMap<String, Parameter>,
    /// The rules, in the order of the file.
    pub rules: Arc<Vec<Rule>>,
    /// Whether it is a firm's or a project's, and none that comes with mateline.
    pub is_own: bool,
    /// Whether it only asks if values are meant as they stand: what is short by it is a remark.
    pub asks: bool,
    /// What every report has to say of the pack: published limits it loosens, rules it drops.
    pub notes: Vec<Note>,
}

/// Something a report has to say of a pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// What.
    pub message: String,
    /// Where in the pack.
    pub at: Span,
}

/// A rule ready to judge.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its id within the pack.
    pub id: String,
    /// What it requires.
    pub title: String,
    /// The section whose elements it judges; empty for the whole home.
    pub section: Vec<String>,
    /// When it concerns an element.
    pub when: Option<Expression>,
    /// The value judged.
    pub value: Option<Expression>,
    /// The quantity the value is, where it is just that.
    pub quantity: Option<String>,
    /// How the value and its limit are shown.
    pub units: Units,
    /// The comparison.
    pub comparator: Comparator,
    /// Source clause.
    pub source: String,
    /// How sure the limit is.
    pub provenance: String,
    /// Whether a shortfall fails the run.
    pub severity: Severity,
    /// Whether an agreed exception may except from it.
    pub waivable: bool,
    /// When it is in force.
    pub effective: Effective,
    /// What a designer can do.
    pub if_short: String,
    /// What to file, measure or state where it is unproven.
    pub if_unproven: Option<String>,
    /// Full names of the rules on which it stands.
    pub after: Vec<String>,
    /// Rules which, met for its subject or for the home, satisfy this one too.
    pub satisfied_by: Vec<String>,
    /// Rules without which it is not met: those that concern its subject, or the home.
    pub together_with: Vec<String>,
    /// When it is met provisionally only.
    pub provisional: Option<Provisional>,
    /// Paths of the home whose absence is no lack, each with the reason.
    pub without: Vec<(String, String)>,
    /// Cases with their outcome.
    pub examples: Vec<Example>,
}

/// What a met verdict rests on for the time being.
#[derive(Clone, Debug)]
pub struct Provisional {
    /// True once the requirement is met for good.
    pub unless: Expression,
    /// What the verdict says until then.
    pub says: String,
}

/// When something is in force.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effective {
    /// The first day.
    pub from: Option<Date>,
    /// The day from which it no longer is.
    pub until: Option<Date>,
}

impl Effective {
    /// Why it is not in force on a day, if it is not.
    pub fn refuses(&self, on: Date) -> Option<String> {
        let early = self.from.filter(|from| on < *from);
        let late = self.until.filter(|until| on >= *until);
        early
            .map(|from| format!("in force from {from}, after the revision's {on}"))
            .or_else(|| late.map(|until| format!("in force until {until}, not on the revision's {on}")))
    }

    /// When both are.
    #[must_use]
    pub(crate) fn and(self, other: Effective) -> Effective {
        let until = match (self.until, other.until) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        Effective { from: self.from.max(other.from), until }
    }
}

/// How a value is judged.
#[derive(Clone, Debug)]
pub enum Comparator {
    /// At least.
    AtLeast(Limit),
    /// At most.
    AtMost(Limit),
    /// Between two limits, ends included.
    Between(Limit, Limit),
    /// One of these words.
    OneOf(Vec<String>),
    /// Given at all (`true`), or left out (`false`).
    Present(bool),
    /// An expression that must be true.
    Requires(Expression),
}

impl Rule {
    /// Whether its limit is remembered without doubt, or was looked up.
    pub fn is_sure(&self) -> bool {
        !self.provenance.ends_with(", med") && !self.provenance.ends_with(", low")
    }

    /// Every name that it reads, in the order in which it judges: whether it concerns the subject, the value, what it
    /// requires, its limits.
    pub fn names(&self) -> Vec<(&str, Option<&str>)> {
        self.when.iter().flat_map(named).chain(self.weighed()).collect()
    }

    /// Whether it holds the home against its former revision.
    pub(crate) fn asks_what_was(&self) -> bool {
        let limits = self.comparator.limits().into_iter().filter_map(|limit| match limit {
            Limit::Expression(expression) => Some(expression),
            _ => None,
        });
        self.when.iter().chain(self.expressions()).chain(limits).any(Expression::asks_what_was)
    }

    /// The expressions that an outcome rests on where the rule concerns the subject.
    pub(crate) fn expressions(&self) -> impl Iterator<Item = &Expression> {
        self.value.iter().chain(self.comparator.required())
    }

    /// The names that a change may bear on: those that an outcome rests on, and those of the elements that a figure goes over.
    pub fn moved_by(&self) -> Vec<&str> {
        let within = self.expressions().flat_map(Expression::every_name).map(|name| name.path.as_str());
        within.chain(self.weighed().into_iter().map(|(name, _)| name)).collect()
    }

    /// The names that an outcome rests on where the rule concerns the subject: the value, what it requires, its limits.
    pub fn weighed(&self) -> Vec<(&str, Option<&str>)> {
        let judged = self.value.iter().chain(self.comparator.required()).flat_map(named);
        let limits = self.comparator.limits().into_iter().flat_map(|limit| match limit {
            Limit::Value(_) | Limit::Parameter { .. } => Vec::new(),
            Limit::Table(table, _) => vec![(table.by.as_str(), None)],
            Limit::Fact { quantity, of, .. } => vec![(quantity.as_str(), of.as_deref())],
            Limit::Expression(expression) => named(expression),
        });
        judged.chain(limits).collect()
    }
}

/// The names of an expression.
fn named(expression: &Expression) -> Vec<(&str, Option<&str>)> {
    expression.names().into_iter().map(|name| (name.path.as_str(), name.of.as_deref())).collect()
}

impl Comparator {
    /// The expression that must be true.
    pub fn required(&self) -> Option<&Expression> {
        if let Comparator::Requires(expression) = self { Some(expression) } else { None }
    }

    /// The same, to be altered.
    fn limits_mut(&mut self) -> Vec<&mut Limit> {
        match self {
            Comparator::AtLeast(limit) | Comparator::AtMost(limit) => vec![limit],
            Comparator::Between(low, high) => vec![low, high],
            Comparator::OneOf(_) | Comparator::Present(_) | Comparator::Requires(_) => Vec::new(),
        }
    }

    /// The limits it compares with.
    pub fn limits(&self) -> Vec<&Limit> {
        match self {
            Comparator::AtLeast(limit) | Comparator::AtMost(limit) => vec![limit],
            Comparator::Between(low, high) => vec![low, high],
            Comparator::OneOf(_) | Comparator::Present(_) | Comparator::Requires(_) => Vec::new(),
        }
    }
}

/// A limit.
#[derive(Clone, Debug)]
pub enum Limit {
    /// A value.
    Value(Quantity),
    /// A table, and where it stands.
    Table(Table<Quantity>, Span),
    /// Another fact, times a factor.
    Fact {
        /// The quantity.
        quantity: String,
        /// The subject, where it is not the one judged.
        of: Option<String>,
        /// The factor.
        times: f64,
    },
    /// A parameter of the pack, times a factor.
    Parameter {
        /// Its name.
        parameter: String,
        /// The factor.
        times: f64,
    },
    /// What an expression comes to for the subject.
    Expression(Expression),
}
