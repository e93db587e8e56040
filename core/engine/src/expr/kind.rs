//! Kinds of values, and what may meet what. The checker asks before there is data, the evaluator again with it.

use super::Item;
use super::syntax::{Arithmetic, Comparator};
use mateline_model::quantity::Dimension;
use std::fmt;

/// What kind of value a name or an expression has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A number that measures something.
    Number(Dimension),
    /// A word or name; `Some(words)` when no others can occur.
    Text(Option<Vec<String>>),
    /// True or false.
    Flag,
    /// A calendar date.
    Date,
    /// Several values of one kind.
    List(Box<Kind>),
    /// Not known before there is data; meets everything.
    Unknown,
}

impl Kind {
    /// A plain number.
    pub(super) const PLAIN: Kind = Kind::Number(Dimension::PLAIN);

    /// The kind of a value.
    pub(super) fn of(item: &Item) -> Kind {
        match item {
            Item::Number(quantity) => Kind::Number(quantity.dimension),
            Item::Text(_) => Kind::Text(None),
            Item::Flag(_) => Kind::Flag,
            Item::Date(_) => Kind::Date,
            Item::List(items) => Kind::List(Box::new(items.first().map_or(Kind::Unknown, Kind::of))),
        }
    }

    /// The kind that covers both, such as two sets of words; `None` when they are different things.
    pub(super) fn with(self, other: Kind) -> Option<Kind> {
        match (self, other) {
            (Kind::Unknown, kind) | (kind, Kind::Unknown) => Some(kind),
            (Kind::Text(Some(mut words)), Kind::Text(Some(more))) => {
                for word in more {
                    if !words.contains(&word) {
                        words.push(word);
                    }
                }
                Some(Kind::Text(Some(words)))
            }
            (Kind::Text(_), Kind::Text(_)) => Some(Kind::Text(None)),
            (Kind::List(a), Kind::List(b)) => a.with(*b).map(|kind| Kind::List(Box::new(kind))),
            (a, b) => (a == b).then_some(a),
        }
    }
}

impl fmt::Display for Kind {
    /// With its article: `a length`, `an area`, `text`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Kind::Number(dimension) => {
                let name = dimension.to_string();
                match name.chars().next() {
                    _ if !Dimension::NAMED.iter().any(|(named, _)| named == dimension) => {
                        write!(f, "a number in {name}")
                    }
                    _ if name.starts_with("money") || name == "degree-days" => f.write_str(&name),
                    // A U-factor, but an area.
                    Some('a' | 'e' | 'i' | 'o' | 'u') => write!(f, "an {name}"),
                    _ => write!(f, "a {name}"),
                }
            }
            Kind::Text(_) => f.write_str("text"),
            Kind::Flag => f.write_str("true or false"),
            Kind::Date => f.write_str("a date"),
            Kind::List(_) => f.write_str("a list"),
            Kind::Unknown => f.write_str("a value of any kind"),
        }
    }
}

/// Whether two kinds can be compared so.
///
/// # Errors
/// The message that says they cannot.
pub(super) fn compare(left: &Kind, comparator: Comparator, right: &Kind) -> Result<(), String> {
    let sign = comparator.sign();
    if comparator == Comparator::In {
        return match (left, right) {
            (_, Kind::Unknown) => Ok(()),
            (Kind::List(_), Kind::List(_)) => Err("'in' cannot look for a list in a list".to_owned()),
            (item, Kind::List(kind)) if same(item, kind) => Ok(()),
            (item, Kind::List(kind)) => Err(format!("'in' cannot compare {item} with {kind}")),
            (_, other) => Err(format!("'in' needs a list after it, not {other}")),
        };
    }
    match (left, right) {
        (Kind::List(_), _) | (_, Kind::List(_)) => Err(format!("'{sign}' cannot compare a list (use 'in')")),
        (Kind::Text(_), Kind::Text(_)) if !comparator.is_equality() => {
            Err(format!("'{sign}' cannot put text in order (use '==', '!=' or 'in')"))
        }
        (Kind::Flag, Kind::Flag) if !comparator.is_equality() => {
            Err(format!("'{sign}' cannot put true and false in order (use '==' or '!=')"))
        }
        _ if same(left, right) => Ok(()),
        _ => Err(format!("'{sign}' cannot compare {left} with {right}")),
    }
}

fn same(left: &Kind, right: &Kind) -> bool {
    match (left, right) {
        (Kind::Unknown, _) | (_, Kind::Unknown) | (Kind::Text(_), Kind::Text(_)) => true,
        _ => left == right,
    }
}

/// The kind of a sum, difference, product or quotient.
///
/// Temperatures on a scale: a difference of two is a temperature difference, a temperature difference can be added or
/// taken away, and nothing else is meant. Dates likewise: a difference of two is a time.
///
/// # Errors
/// The message that says there is none.
pub(super) fn compute(left: &Kind, operator: Arithmetic, right: &Kind) -> Result<Kind, String> {
    let (a, b) = match (left, right) {
        (Kind::Date, Kind::Date) if operator == Arithmetic::Minus => return Ok(Kind::Number(Dimension::TIME)),
        (Kind::Date, Kind::Number(Dimension::TIME)) if matches!(operator, Arithmetic::Plus | Arithmetic::Minus) => {
            return Ok(Kind::Date);
        }
        (Kind::Number(a), Kind::Number(b)) => (*a, *b),
        (Kind::Unknown, Kind::Unknown | Kind::Number(_)) | (Kind::Number(_), Kind::Unknown) => {
            return Ok(Kind::Unknown);
        }
        _ => return Err(refusal(left, operator, right)),
    };
    let difference = Dimension::TEMPERATURE_DIFFERENCE;
    let dimension = match operator {
        Arithmetic::Plus if a.point => (b == difference).then_some(a),
        Arithmetic::Plus if b.point => (a == difference).then_some(b),
        Arithmetic::Minus if a.point && b.point => Some(difference),
        Arithmetic::Minus if a.point => (b == difference).then_some(a),
        Arithmetic::Plus | Arithmetic::Minus => (a == b).then_some(a),
        Arithmetic::Times => a.times(b),
        Arithmetic::Over => a.per(b),
    };
    dimension.map(Kind::Number).ok_or_else(|| refusal(left, operator, right))
}

fn refusal(left: &Kind, operator: Arithmetic, right: &Kind) -> String {
    match operator {
        Arithmetic::Plus => format!("'+' cannot add {right} to {left}"),
        Arithmetic::Minus => format!("'-' cannot take {right} from {left}"),
        Arithmetic::Times => format!("'*' cannot multiply {left} by {right}"),
        Arithmetic::Over => format!("'/' cannot divide {left} by {right}"),
    }
}

/// Whether a kind can change its sign or lose it: numbers can, temperatures on a scale cannot.
///
/// # Errors
/// The message that says it cannot.
pub(super) fn unsigned(what: &str, kind: &Kind) -> Result<(), String> {
    match kind {
        Kind::Unknown => Ok(()),
        Kind::Number(dimension) if !dimension.point => Ok(()),
        _ => Err(format!("'{what}' needs a number, not {kind}")),
    }
}
