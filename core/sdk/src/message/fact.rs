//! Facts with their worked calculation, what is missing, and what cannot be.

use super::cross::{Cross, part};
use super::{Refused, Units, Value};
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

part! {
    /// A fact a plugin found out.
    Fact {
        /// What it is about: `home`, or section and id such as `assemblies.wall`.
        subject: String,
        /// The quantity's full name.
        quantity: String,
        /// The value, of the kind and dimension that were declared.
        value: Value,
        /// The worked calculation.
        basis: Basis,
        /// The place in the home that matters most for this value.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at: Option<Pointer>,
    }
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

part! {
    /// A place in the home.
    Pointer {
        /// Path from the top of the home: `assemblies.wall.layers.3`.
        path: String,
        /// What is to be seen there.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
}

part! {
    /// The worked calculation behind a fact.
    Basis {
        /// The method in a few words.
        method: String,
        /// Standard and clause, or `common practice, no source`.
        source: String,
        /// How sure the method is, where it was not looked up: `from memory`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        provenance: Option<String>,
        /// The steps, in the order a reader follows them.
        #[serde(default)]
        steps: Vec<Step>,
        /// What was assumed.
        #[serde(default)]
        assumptions: Vec<String>,
    }
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

part! {
    /// A symbol of an equation with its value.
    Term {
        /// The symbol.
        symbol: String,
        /// What it stands for.
        meaning: String,
        /// Its value.
        value: Value,
        /// How the value is shown.
        #[serde(default)]
        units: Units,
        /// Where the value comes from.
        #[serde(default)]
        origin: Origin,
    }
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

part! {
    /// A fact that could not be found, because an input is missing.
    Missing {
        /// What it would be about.
        subject: String,
        /// The quantity's full name.
        quantity: String,
        /// What is missing.
        because: String,
        /// Where it could be given.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at: Option<Pointer>,
    }
}

part! {
    /// Something in the home that cannot be, such as an opening wider than its wall.
    Problem {
        /// Where.
        at: Pointer,
        /// Other places that take part.
        #[serde(default)]
        also: Vec<Pointer>,
        /// What is wrong, with numbers.
        message: String,
        /// What to do, beginning with a verb.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        help: Option<String>,
    }
}

/// Longest subject, in characters.
const MAX_SUBJECT: usize = 200;

/// A subject, if the text is one.
impl Cross<model::Subject> for String {
    fn cross(self) -> Result<model::Subject, Refused> {
        let text = self.as_str();
        let is_part = |part: &str| !part.is_empty() && !part.chars().any(|c| c.is_control() || c.is_whitespace());
        let sound = text == "home" || (text.split('.').count() >= 2 && text.split('.').all(is_part));
        if !sound || text.chars().count() > MAX_SUBJECT {
            return Err(format!(
                "names the subject '{}', which is neither 'home' nor section and id",
                text.escape_debug()
            ));
        }
        Ok(text.into())
    }
}

impl Cross<String> for model::Subject {
    fn cross(self) -> Result<String, Refused> {
        Ok(self.to_string())
    }
}

impl From<&model::Fact> for Given {
    fn from(fact: &model::Fact) -> Given {
        Given {
            subject: fact.subject.to_string(),
            quantity: fact.quantity.to_string(),
            value: Value::from(&fact.value),
            at: fact.at.clone().map(|at| Pointer { path: at.path, note: at.note }),
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
            at: given.at.cross()?,
        })
    }
}

impl Cross<Step> for model::Step {
    fn cross(self) -> Result<Step, Refused> {
        let procedure = self.kind == model::StepKind::Procedure;
        Ok(Step {
            equation: self.equation.into_owned(),
            procedure,
            terms: self.terms.cross()?,
            result: self.result.cross()?,
        })
    }
}

impl Cross<model::Step> for Step {
    fn cross(self) -> Result<model::Step, Refused> {
        Ok(model::Step {
            equation: self.equation.into(),
            kind: if self.procedure { model::StepKind::Procedure } else { model::StepKind::Equation },
            terms: self.terms.cross()?,
            result: self.result.cross()?,
        })
    }
}

impl Cross<Origin> for model::Origin {
    fn cross(self) -> Result<Origin, Refused> {
        Ok(match self {
            model::Origin::Computed => Origin::Computed,
            model::Origin::Given(path) => Origin::Given(path),
            model::Origin::Fact(subject, quantity) => {
                Origin::Fact { subject: subject.cross()?, quantity: quantity.into_owned() }
            }
            model::Origin::Published(source) => Origin::Published(source),
        })
    }
}

impl Cross<model::Origin> for Origin {
    fn cross(self) -> Result<model::Origin, Refused> {
        Ok(match self {
            Origin::Computed => model::Origin::Computed,
            Origin::Given(path) => model::Origin::Given(path),
            Origin::Fact { subject, quantity } => model::Origin::Fact(subject.cross()?, quantity.into()),
            Origin::Published(source) => model::Origin::Published(source),
        })
    }
}
