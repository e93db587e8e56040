//! Facts with their worked calculation, what is missing, and what cannot be.

use super::{Refused, Units, Value};
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A fact a plugin found out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// What it is about: `home`, or section and id such as `assemblies.wall`.
    pub subject: String,
    /// The quantity's full name.
    pub quantity: String,
    /// The value, of the kind and dimension that were declared.
    pub value: Value,
    /// The worked calculation.
    pub basis: Basis,
    /// The place in the home that matters most for this value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Pointer>,
}

/// A fact a plugin is given: another plugin's value, without the calculation behind it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Given {
    /// What it is about.
    pub subject: String,
    /// The quantity's full name.
    pub quantity: String,
    /// The value.
    pub value: Value,
    /// The place in the home that matters most for this value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Pointer>,
}

/// A place in the home.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pointer {
    /// Path from the top of the home: `assemblies.wall.layers.3`.
    pub path: String,
    /// What is to be seen there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The worked calculation behind a fact.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Basis {
    /// The method in a few words.
    pub method: String,
    /// Standard and clause, or `common practice, no source`.
    pub source: String,
    /// How sure the method is, where it was not looked up: `from memory`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub provenance: Option<String>,
    /// The steps, in the order a reader follows them.
    #[serde(default)]
    pub steps: Vec<Step>,
    /// What was assumed.
    #[serde(default)]
    pub assumptions: Vec<String>,
}

/// One step: an equation, its symbols, and what comes out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// The equation in symbols; of a procedure, what is done.
    pub equation: String,
    /// Whether this is no equation between its terms but a search, a count, a table look-up or words.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub procedure: bool,
    /// The symbols on its right-hand side.
    #[serde(default)]
    pub terms: Vec<Term>,
    /// The symbol on its left-hand side, with its value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub result: Option<Term>,
}

/// A symbol of an equation with its value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Term {
    /// The symbol.
    pub symbol: String,
    /// What it stands for.
    pub meaning: String,
    /// Its value.
    pub value: Value,
    /// How the value is shown.
    #[serde(default)]
    pub units: Units,
    /// Where the value comes from.
    #[serde(default)]
    pub origin: Origin,
}

/// Where a value comes from: `"computed"`, `{"given": PATH}`, `{"fact": {…}}` or `{"published": SOURCE}`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// An earlier step of the same calculation.
    #[default]
    Computed,
    /// A place in the home, as a path.
    Given(String),
    /// Another fact.
    Fact {
        /// What it is about.
        subject: String,
        /// Its full name.
        quantity: String,
    },
    /// A published value: source and mark.
    Published(String),
}

/// A fact that could not be found, because an input is missing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Missing {
    /// What it would be about.
    pub subject: String,
    /// The quantity's full name.
    pub quantity: String,
    /// What is missing.
    pub because: String,
    /// Where it could be given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Pointer>,
}

/// Something in the home that cannot be, such as an opening wider than its wall.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Problem {
    /// Where.
    pub at: Pointer,
    /// Other places that take part.
    #[serde(default)]
    pub also: Vec<Pointer>,
    /// What is wrong, with numbers.
    pub message: String,
    /// What to do, beginning with a verb.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}

/// Longest subject, in characters.
const MAX_SUBJECT: usize = 200;

/// A subject, if the text is one.
pub(super) fn subject(text: &str) -> Result<model::Subject, Refused> {
    let is_part = |part: &str| !part.is_empty() && !part.chars().any(|c| c.is_control() || c.is_whitespace());
    let sound = text == "home" || (text.split('.').count() >= 2 && text.split('.').all(is_part));
    if !sound || text.chars().count() > MAX_SUBJECT {
        return Err(format!("names the subject '{}', which is neither 'home' nor section and id", text.escape_debug()));
    }
    Ok(text.into())
}

impl From<&model::Fact> for Fact {
    fn from(fact: &model::Fact) -> Fact {
        Fact {
            subject: fact.subject.to_string(),
            quantity: fact.quantity.to_string(),
            value: Value::from(&fact.value),
            basis: Basis::from(&fact.basis),
            at: fact.at.as_ref().map(Pointer::from),
        }
    }
}

impl TryFrom<Fact> for model::Fact {
    type Error = Refused;

    fn try_from(fact: Fact) -> Result<model::Fact, Refused> {
        Ok(model::Fact {
            subject: subject(&fact.subject)?,
            quantity: fact.quantity.into(),
            value: fact.value.try_into()?,
            basis: fact.basis.try_into()?,
            at: fact.at.map(Into::into),
        })
    }
}

impl From<&model::Fact> for Given {
    fn from(fact: &model::Fact) -> Given {
        Given {
            subject: fact.subject.to_string(),
            quantity: fact.quantity.to_string(),
            value: Value::from(&fact.value),
            at: fact.at.as_ref().map(Pointer::from),
        }
    }
}

impl TryFrom<Given> for model::Fact {
    type Error = Refused;

    fn try_from(given: Given) -> Result<model::Fact, Refused> {
        Ok(model::Fact {
            subject: given.subject.as_str().into(),
            quantity: given.quantity.into(),
            value: given.value.try_into()?,
            basis: model::Basis::default(),
            at: given.at.map(Into::into),
        })
    }
}

impl From<&model::Pointer> for Pointer {
    fn from(pointer: &model::Pointer) -> Pointer {
        Pointer { path: pointer.path.clone(), note: pointer.note.clone() }
    }
}

impl From<Pointer> for model::Pointer {
    fn from(pointer: Pointer) -> model::Pointer {
        model::Pointer { path: pointer.path, note: pointer.note }
    }
}

impl From<&model::Basis> for Basis {
    fn from(basis: &model::Basis) -> Basis {
        Basis {
            method: basis.method.to_string(),
            source: basis.source.to_string(),
            provenance: basis.provenance.as_ref().map(ToString::to_string),
            steps: basis.steps.iter().map(Step::from).collect(),
            assumptions: basis.assumptions.clone(),
        }
    }
}

impl TryFrom<Basis> for model::Basis {
    type Error = Refused;

    fn try_from(basis: Basis) -> Result<model::Basis, Refused> {
        if basis.method.trim().is_empty() || basis.source.trim().is_empty() {
            return Err("states a fact whose basis has no method or no source".to_owned());
        }
        Ok(model::Basis {
            method: basis.method.into(),
            source: basis.source.into(),
            provenance: basis.provenance.map(Into::into),
            steps: basis.steps.into_iter().map(TryInto::try_into).collect::<Result<_, _>>()?,
            assumptions: basis.assumptions,
        })
    }
}

impl From<&model::Step> for Step {
    fn from(step: &model::Step) -> Step {
        Step {
            equation: step.equation.to_string(),
            procedure: step.kind == model::StepKind::Procedure,
            terms: step.terms.iter().map(Term::from).collect(),
            result: step.result.as_ref().map(Term::from),
        }
    }
}

impl TryFrom<Step> for model::Step {
    type Error = Refused;

    fn try_from(step: Step) -> Result<model::Step, Refused> {
        Ok(model::Step {
            equation: step.equation.into(),
            kind: if step.procedure { model::StepKind::Procedure } else { model::StepKind::Equation },
            terms: step.terms.into_iter().map(TryInto::try_into).collect::<Result<_, _>>()?,
            result: step.result.map(TryInto::try_into).transpose()?,
        })
    }
}

impl From<&model::Term> for Term {
    fn from(term: &model::Term) -> Term {
        Term {
            symbol: term.symbol.to_string(),
            meaning: term.meaning.clone(),
            value: Value::from(&term.value),
            units: Units::from(&term.units),
            origin: match &term.origin {
                model::Origin::Computed => Origin::Computed,
                model::Origin::Given(path) => Origin::Given(path.clone()),
                model::Origin::Fact(subject, quantity) => {
                    Origin::Fact { subject: subject.to_string(), quantity: quantity.to_string() }
                }
                model::Origin::Published(source) => Origin::Published(source.clone()),
            },
        }
    }
}

impl TryFrom<Term> for model::Term {
    type Error = Refused;

    fn try_from(term: Term) -> Result<model::Term, Refused> {
        Ok(model::Term {
            symbol: term.symbol.into(),
            meaning: term.meaning,
            value: term.value.try_into()?,
            units: term.units.try_into()?,
            origin: match term.origin {
                Origin::Computed => model::Origin::Computed,
                Origin::Given(path) => model::Origin::Given(path),
                Origin::Fact { subject: of, quantity } => model::Origin::Fact(subject(&of)?, quantity.into()),
                Origin::Published(source) => model::Origin::Published(source),
            },
        })
    }
}

impl From<&model::Missing> for Missing {
    fn from(missing: &model::Missing) -> Missing {
        Missing {
            subject: missing.subject.to_string(),
            quantity: missing.quantity.to_string(),
            because: missing.because.clone(),
            at: missing.at.as_ref().map(Pointer::from),
        }
    }
}

impl TryFrom<Missing> for model::Missing {
    type Error = Refused;

    fn try_from(missing: Missing) -> Result<model::Missing, Refused> {
        Ok(model::Missing {
            subject: subject(&missing.subject)?,
            quantity: missing.quantity.into(),
            because: missing.because,
            at: missing.at.map(Into::into),
        })
    }
}

impl From<&model::Problem> for Problem {
    fn from(problem: &model::Problem) -> Problem {
        Problem {
            at: Pointer::from(&problem.at),
            also: problem.also.iter().map(Pointer::from).collect(),
            message: problem.message.clone(),
            help: problem.help.clone(),
        }
    }
}

impl From<Problem> for model::Problem {
    fn from(problem: Problem) -> model::Problem {
        model::Problem {
            at: problem.at.into(),
            also: problem.also.into_iter().map(Into::into).collect(),
            message: problem.message,
            help: problem.help,
        }
    }
}
