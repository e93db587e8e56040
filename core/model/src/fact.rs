//! Facts: what a plugin found out, with the worked calculation behind it.

use crate::quantity::{Dimension, Quantity, UnitSystem, Units};
use crate::subject::Subject;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The definition of a quantity: its name, what it means, and how its values are shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct QuantityDef {
    /// Full name: the owning plugin's namespace, a dot, and a name, such as `envelope.u_factor`.
    pub name: Cow<'static, str>,
    /// What kind of value it has.
    pub kind: ValueKind,
    /// How numbers are shown.
    pub units: Units,
    /// What it is, in one sentence.
    pub meaning: Cow<'static, str>,
    /// The words that a text can be, where no others come; none where it can be any.
    #[serde(default, skip_serializing_if = "<[_]>::is_empty")]
    pub words: Cow<'static, [Cow<'static, str>]>,
}

/// Any words.
const ANY: Cow<'static, [Cow<'static, str>]> = Cow::Borrowed(&[]);

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

impl QuantityDef {
    /// A quantity with numbers.
    pub const fn number(name: &'static str, units: Units, meaning: &'static str) -> QuantityDef {
        let (name, meaning) = (Cow::Borrowed(name), Cow::Borrowed(meaning));
        QuantityDef { name, kind: ValueKind::Number, units, meaning, words: ANY }
    }

    /// A quantity with words.
    pub const fn text(name: &'static str, meaning: &'static str) -> QuantityDef {
        let units = Units::plain(0);
        QuantityDef {
            name: Cow::Borrowed(name),
            kind: ValueKind::Text,
            units,
            meaning: Cow::Borrowed(meaning),
            words: ANY,
        }
    }

    /// A quantity with words, of which these are all.
    pub const fn words(name: &'static str, words: &'static [Cow<'static, str>], meaning: &'static str) -> QuantityDef {
        let units = Units::plain(0);
        let (name, meaning) = (Cow::Borrowed(name), Cow::Borrowed(meaning));
        QuantityDef { name, kind: ValueKind::Text, units, meaning, words: Cow::Borrowed(words) }
    }

    /// A quantity that is true or false.
    pub const fn flag(name: &'static str, meaning: &'static str) -> QuantityDef {
        let units = Units::plain(0);
        QuantityDef {
            name: Cow::Borrowed(name),
            kind: ValueKind::Flag,
            units,
            meaning: Cow::Borrowed(meaning),
            words: ANY,
        }
    }

    /// Whether a text can be this one.
    pub fn allows(&self, word: &str) -> bool {
        self.words.is_empty() || self.words.iter().any(|known| known == word)
    }

    /// Its short name in a sentence: the meaning up to the first comma, colon, semicolon or bracket.
    pub fn label(&self) -> String {
        let end = self.meaning.find([',', ';', ':', '(']).unwrap_or(self.meaning.len());
        self.meaning[..end].trim().trim_end_matches('.').to_owned()
    }

    /// What its numbers measure; plain for words and flags.
    pub fn dimension(&self) -> Dimension {
        self.units.dimension().unwrap_or(Dimension::PLAIN)
    }
}

/// A value of a fact, of a limit, or of a symbol in a calculation.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number with its dimension.
    Number(Quantity),
    /// A word or name.
    Text(String),
    /// Yes or no.
    Flag(bool),
}

impl Value {
    /// The number, if it is one.
    pub fn number(&self) -> Option<Quantity> {
        if let Value::Number(quantity) = self { Some(*quantity) } else { None }
    }

    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        if let Value::Text(text) = self { Some(text) } else { None }
    }

    /// As a person reads it.
    pub fn show(&self, units: &Units, system: UnitSystem) -> String {
        match self {
            Value::Number(quantity) => units.show(*quantity, system),
            Value::Text(text) => text.clone(),
            Value::Flag(true) => "yes".to_owned(),
            Value::Flag(false) => "no".to_owned(),
        }
    }
}

impl<Q: Into<Quantity>> From<Q> for Value {
    /// A number, never `-0`.
    fn from(quantity: Q) -> Value {
        let quantity = quantity.into();
        Value::Number(Quantity { si: quantity.si + 0.0, ..quantity })
    }
}

/// One fact: a subject's value of a quantity, and how it came about.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// What it is about.
    pub subject: Subject,
    /// The quantity's full name.
    pub quantity: Cow<'static, str>,
    /// The value.
    pub value: Value,
    /// The worked calculation.
    pub basis: Basis,
    /// The place in the home that matters most for this value, as a path, with a few words on why.
    pub at: Option<Pointer>,
}

impl Fact {
    /// The same without the calculation behind it.
    #[must_use]
    pub fn bare(&self) -> Fact {
        Fact {
            subject: self.subject.clone(),
            quantity: self.quantity.clone(),
            value: self.value.clone(),
            basis: Basis::default(),
            at: self.at.clone(),
        }
    }
}

/// A place in the home that a fact or problem points to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Pointer {
    /// Path from the top of the home: `assemblies.wall.layers.3`.
    pub path: String,
    /// What is to be seen there: `28 % of the resistance sits here`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Pointer {
    /// A place without a note.
    pub fn new(path: impl Into<String>) -> Pointer {
        Pointer { path: path.into(), note: None }
    }

    /// A place with a note.
    pub fn noted(path: impl Into<String>, note: impl Into<String>) -> Pointer {
        Pointer { path: path.into(), note: Some(note.into()) }
    }
}

/// The worked calculation behind a fact.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Basis {
    /// The method in a few words: `ISO 6946 combined method`.
    pub method: Cow<'static, str>,
    /// Standard and clause, or `common practice, no source`.
    pub source: Cow<'static, str>,
    /// Provenance of the method where it was not looked up: `from memory`.
    pub provenance: Option<Cow<'static, str>>,
    /// The steps, in the order a reader follows them.
    pub steps: Vec<Step>,
    /// What was assumed.
    pub assumptions: Vec<String>,
}

impl Basis {
    /// A calculation by a method from a source.
    pub fn new(method: impl Into<Cow<'static, str>>, source: impl Into<Cow<'static, str>>) -> Basis {
        Basis { method: method.into(), source: source.into(), ..Basis::default() }
    }

    /// With a provenance mark.
    #[must_use]
    pub fn provenance(mut self, mark: impl Into<Cow<'static, str>>) -> Basis {
        self.provenance = Some(mark.into());
        self
    }

    /// With one more step.
    #[must_use]
    pub fn step(mut self, step: Step) -> Basis {
        self.steps.push(step);
        self
    }

    /// With an assumption.
    #[must_use]
    pub fn assuming(mut self, assumption: impl Into<String>) -> Basis {
        self.assumptions.push(assumption.into());
        self
    }
}

/// One step: an equation, its symbols, and what comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The equation in symbols, `R = (R' + R'')/2`; of a procedure, what is done in words or in the source's notation.
    pub equation: Cow<'static, str>,
    /// Whether the equation can be worked out from the terms.
    pub kind: StepKind,
    /// The symbols on its right-hand side.
    pub terms: Vec<Term>,
    /// The symbol on its left-hand side, with its value.
    pub result: Option<Term>,
}

/// Whether a step can be worked out by hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepKind {
    /// An equation that holds between the terms and the result as they stand.
    #[default]
    Equation,
    /// A search, a network, a solver, a count, a table look-up or words: its terms tell what it works on.
    Procedure,
}

impl Step {
    /// An equation whose form is known only when it runs; any other is written by `mateline_equation::equation!`.
    pub fn new(equation: impl Into<Cow<'static, str>>) -> Step {
        Step { equation: equation.into(), kind: StepKind::Equation, terms: Vec::new(), result: None }
    }

    /// What is not an equation between its terms: a search, a network, a solver, a count, a table look-up or words.
    pub fn procedure(what: impl Into<Cow<'static, str>>) -> Step {
        Step { kind: StepKind::Procedure, ..Step::new(what) }
    }

    /// With a symbol.
    #[must_use]
    pub fn term(mut self, term: Term) -> Step {
        self.terms.push(term);
        self
    }

    /// With what comes out.
    #[must_use]
    pub fn result(mut self, term: Term) -> Step {
        self.result = Some(term);
        self
    }
}

/// A symbol of an equation with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Term {
    /// The symbol: `λ`.
    pub symbol: Cow<'static, str>,
    /// What it stands for: `conductivity of EPS type II`.
    pub meaning: String,
    /// Its value.
    pub value: Value,
    /// How the value is shown.
    pub units: Units,
    /// Where the value comes from.
    pub origin: Origin,
}

impl Term {
    /// A symbol computed in this calculation.
    pub fn new(
        symbol: impl Into<Cow<'static, str>>,
        meaning: impl Into<String>,
        value: impl Into<Value>,
        units: Units,
    ) -> Term {
        Term { symbol: symbol.into(), meaning: meaning.into(), value: value.into(), units, origin: Origin::Computed }
    }

    /// Taken from a place in the home.
    #[must_use]
    pub fn given(mut self, path: impl Into<String>) -> Term {
        self.origin = Origin::Given(path.into());
        self
    }

    /// Taken from another fact.
    #[must_use]
    pub fn fact(mut self, subject: &Subject, quantity: impl Into<Cow<'static, str>>) -> Term {
        self.origin = Origin::Fact(subject.clone(), quantity.into());
        self
    }

    /// Taken from a published table or a material library, with its mark.
    #[must_use]
    pub fn published(mut self, source: impl Into<String>) -> Term {
        self.origin = Origin::Published(source.into());
        self
    }
}

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// An earlier step of the same calculation.
    Computed,
    /// A place in the home, as a path.
    Given(String),
    /// Another fact.
    Fact(Subject, Cow<'static, str>),
    /// A published value: source and mark.
    Published(String),
}

/// A fact that could not be found, because an input is missing.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// What it would be about.
    pub subject: Subject,
    /// The quantity's full name.
    pub quantity: Cow<'static, str>,
    /// What is missing: `openings.w1 has no u_factor`.
    pub because: String,
    /// Where it could be given.
    pub at: Option<Pointer>,
}

/// Something in the home that cannot be: two boxes in the same place, an opening wider than its wall.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// Where.
    pub at: Pointer,
    /// Other places that take part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Pointer>,
    /// What is wrong, with numbers.
    pub message: String,
    /// What to do, beginning with a verb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}
