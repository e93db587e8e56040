//! The grammar, and the tree an expression is read into.
//!
//! ```text
//! expression = all { ("or" | "||") all }
//! all        = negation { ("and" | "&&") negation }
//! negation   = ("not" | "!") negation | comparison
//! comparison = sum [ ("==" | "!=" | "<" | "<=" | ">" | ">=" | "in") sum ]     one only: comparisons do not chain
//! sum        = product { ("+" | "-") product }                               left to right
//! product    = signed { ("*" | "/") signed }                                 left to right
//! signed     = "-" signed | value
//! value      = quantity | text | "true" | "false" | name [ "of" subject ] | call | figure | list | "(" expression ")"
//! call       = function "(" expression { "," expression } ")"
//! figure     = figures "(" [ expression "over" ] section [ "where" expression ] [ "weighted_by" expression ] ")"
//! list       = "[" [ expression { "," expression } ] "]"
//! function   = "min" | "max" | "abs" | "count" | "given" | "leading_number" | "begins" | "ends" | "matches" | "common"
//!            | "distinct" | "before"
//! figures    = "any" | "all" | "none" | "count" | "sum" | "min" | "max" | "mean"      none within another
//! section    = name
//! subject    = segment | text                                                a word without a dot, or a text
//!
//! name       = segment { "." segment }                                       kind, takeoff.net_area
//! segment    = [a-z_] { [A-Za-z0-9_] | "-" }
//! text       = "'" any characters but "'" "'"
//! quantity   = resistance | terms | figure
//! resistance = ("R" | "RSI") ["-"] decimal                                   R-13, RSI 2.3
//! terms      = figure unit { figure unit }                                   13 ft 9 1/2 in
//! figure     = decimal | [whole] fraction | whole "/" whole                  5.5, 9 1/2, 9½, 1/2
//! ```
//!
//! Where two readings are possible:
//!
//! - **`-` in a name.** It belongs to the name when a letter or digit stands directly before it and a letter directly
//!   after: `a-b` is one name, `a - b`, `a -b` and `a-1` subtract.
//! - **`-` before a number** is part of the number where a value begins (`-8 °F` is a temperature below zero); after a
//!   value it subtracts, so `13 ft - 9 in` and `13 ft -9 in` are 12 ft 3 in.
//! - **Units.** A unit follows its number, with or without a space, and reaches as far as it can be read without a space
//!   or `*`: `0.04 cfm/ft²`. It never begins with `/`, so `1/r_value` divides. A space ends it: `5 ft / h` divides
//!   by a name. Feet and inches are `ft` and `in`, because `'` opens a text.
//! - **`1/2`** without spaces and directly before a unit is a fraction (`1/2 in`); elsewhere `/` divides.
//! - **`in`** after a number is the inch, unless `[`, `(` or a name follows: `5 in` is a length, `5 in ['a']` and
//!   `5 in sizes` ask for membership.
//! - **Words** such as `and`, `in` and `true` are no names; with a dot (`framed.in`) they are.
//! - A function's name is one only before `(`; `over`, `where` and `weighted_by` are words only within a figure.
//! - **`its.in`** is the name `in` of the element at hand, where that alone is a word. **`this.u_factor`** is, within a
//!   figure, the name of what is judged; elsewhere the two are the same.

use super::error::ExpressionError;
use super::figure::Figure;
use super::pattern::Pattern;
use mateline_model::quantity::Quantity;
use std::fmt;

/// How a name begins that an element gone through asks of what is judged.
pub const THIS: &str = "this.";

/// Words and marks with a meaning of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    Or,
    And,
    Not,
    Of,
    True,
    False,
    Comparator(Comparator),
    Arithmetic(Arithmetic),
    Open,
    Close,
    OpenList,
    CloseList,
    Comma,
}

/// Words that are never a unit and never a name.
pub(super) const WORDS: [(&str, Sign); 7] = [
    ("or", Sign::Or),
    ("and", Sign::And),
    ("not", Sign::Not),
    ("of", Sign::Of),
    ("in", Sign::Comparator(Comparator::In)),
    ("true", Sign::True),
    ("false", Sign::False),
];

/// Whether a word has a meaning of its own.
pub(super) fn is_word(written: &str) -> bool {
    WORDS.iter().any(|(word, _)| *word == written)
}

/// A name an expression reads, and where it stands in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameRef {
    /// The dotted path.
    pub path: String,
    /// The other subject it is asked of, where one is written.
    pub of: Option<String>,
    /// First byte in the text.
    pub start: usize,
    /// The byte after the last, subject included.
    pub end: usize,
}

impl fmt::Display for NameRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.of {
            Some(subject) => write!(f, "{} of {subject}", self.path),
            None => f.write_str(&self.path),
        }
    }
}

/// A piece of an expression and the bytes it takes up, parentheses included.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub part: Part,
    pub start: usize,
    pub end: usize,
}

/// What a piece says. Operators of one precedence in a row make one node, so that only nesting makes a tree deep.
#[derive(Clone, Debug)]
pub(super) enum Part {
    Number(Quantity),
    Text(String),
    Flag(bool),
    Name(NameRef),
    List(Vec<Node>),
    Call(Function, Vec<Node>),
    /// Whether a text is as a pattern has it.
    Matches(Box<Node>, Pattern),
    /// A figure over the elements of a section.
    Over(Box<Over>),
    /// What something was in the former revision.
    Before(Box<Node>),
    Negative(Box<Node>),
    /// Sums or products, left to right.
    Chain(Box<Node>, Vec<(Arithmetic, Node)>),
    Compare(Box<Node>, Comparator, Box<Node>),
    Not(Box<Node>),
    All(Vec<Node>),
    Any(Vec<Node>),
}

/// A figure as an expression has it.
#[derive(Clone, Debug)]
pub(super) struct Over {
    pub figure: Figure,
    /// What it is of.
    pub of: Option<Node>,
    /// The section.
    pub section: String,
    /// Where the section's name stands.
    pub at: (usize, usize),
    /// Which of its elements.
    pub filter: Option<Node>,
    /// What a mean is weighted by.
    pub weight: Option<Node>,
}

impl Over {
    /// A field of the elements that has to equal a name of what is judged, or be in a list that this is: both names. An
    /// element of another value does not count, whatever the rest of the condition says.
    pub fn joined_by(&self) -> Option<(&str, &NameRef)> {
        let filter = self.filter.as_ref()?;
        let pieces =
            if let Part::All(pieces) = &filter.part { pieces.as_slice() } else { std::slice::from_ref(filter) };
        pieces.iter().find_map(|piece| {
            let Part::Compare(left, comparator, right) = &piece.part else { return None };
            let (Part::Name(left), Part::Name(right)) = (&left.part, &right.part) else { return None };
            match (comparator, is_of_judged(left), is_of_judged(right)) {
                (Comparator::Equal | Comparator::In, false, true) if left.of.is_none() => {
                    Some((left.path.as_str(), right))
                }
                (Comparator::Equal, true, false) if right.of.is_none() => Some((right.path.as_str(), left)),
                _ => None,
            }
        })
    }
}

/// Whether a name within a figure is one of what is judged.
fn is_of_judged(name: &NameRef) -> bool {
    name.of.is_none() && name.path.starts_with(THIS)
}

/// `+ - * /`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Arithmetic {
    Plus,
    Minus,
    Times,
    Over,
}

/// `== != < <= > >= in`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Comparator {
    Equal,
    Unequal,
    Below,
    AtMost,
    Above,
    AtLeast,
    In,
}

impl Comparator {
    /// As it is written.
    pub fn sign(self) -> &'static str {
        match self {
            Comparator::Equal => "==",
            Comparator::Unequal => "!=",
            Comparator::Below => "<",
            Comparator::AtMost => "<=",
            Comparator::Above => ">",
            Comparator::AtLeast => ">=",
            Comparator::In => "in",
        }
    }

    /// Whether it asks for equality and not for order.
    pub fn is_equality(self) -> bool {
        matches!(self, Comparator::Equal | Comparator::Unequal | Comparator::In)
    }
}

/// The functions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Function {
    /// The least of several numbers.
    Min,
    /// The greatest of several numbers.
    Max,
    /// A number without its sign.
    Abs,
    /// How many values a list holds.
    Count,
    /// Whether a name has a value.
    Given,
    /// The number a text begins with: 6 of `6A`.
    LeadingNumber,
    /// Whether a text begins with another.
    Begins,
    /// Whether a text ends with another.
    Ends,
    /// Whether a text is as a pattern has it, from its begin to its end.
    Matches,
    /// The values that two lists have in common.
    Common,
    /// The values of a list, each once.
    Distinct,
    /// What an expression came to in the former revision.
    Before,
}

impl Function {
    pub const ALL: [(Function, &'static str); 12] = [
        (Function::Min, "min"),
        (Function::Max, "max"),
        (Function::Abs, "abs"),
        (Function::Count, "count"),
        (Function::Given, "given"),
        (Function::LeadingNumber, "leading_number"),
        (Function::Begins, "begins"),
        (Function::Ends, "ends"),
        (Function::Matches, "matches"),
        (Function::Common, "common"),
        (Function::Distinct, "distinct"),
        (Function::Before, "before"),
    ];

    /// As it is written.
    pub fn name(self) -> &'static str {
        Function::ALL.iter().find(|(function, _)| *function == self).map_or("", |(_, name)| name)
    }

    /// Its arguments, and what it says.
    pub fn told(self) -> (&'static str, &'static str) {
        match self {
            Function::Min => ("a, b, …", "The least of several numbers."),
            Function::Max => ("a, b, …", "The greatest of several numbers."),
            Function::Abs => ("a", "A number without its sign."),
            Function::Count => ("list", "How many values a list holds; of a section, how many elements."),
            Function::Given => ("NAME", "Whether there is a value: of a field, a fact, or what a name leads to."),
            Function::LeadingNumber => ("text", "The number that a text begins with: 6 of `6A`."),
            Function::Begins => ("text, start", "Whether a text begins with another."),
            Function::Ends => ("text, end", "Whether a text ends with another."),
            Function::Matches => (
                "text, 'pattern'",
                "Whether a text is from begin to end as a regular expression has it: `matches(own.detail, 'A-5[0-9]{2}')`.",
            ),
            Function::Common => ("list, list", "The values that two lists have in common."),
            Function::Distinct => ("list", "The values of a list, each once."),
            Function::Before => (
                "EXPRESSION",
                "What it came to in the former revision: OLD of `compare`, or of `check --former OLD`; unproven where there is none.",
            ),
        }
    }

    /// What is wrong with the arguments of a call, if anything is.
    pub fn refuses(self, arguments: &[Node]) -> Option<String> {
        let name = self.name();
        match (self, arguments) {
            (Function::Min | Function::Max, [_, _, ..]) => None,
            (Function::Min | Function::Max, _) => {
                Some(format!("'{name}' takes two arguments or more, not {}", arguments.len()))
            }
            (Function::Given, [Node { part: Part::Name(_), .. }]) => None,
            (Function::Given, [_]) => Some("'given' takes a name".to_owned()),
            (Function::Matches, [_, Node { part: Part::Text(_), .. }]) => None,
            (Function::Matches, [_, _]) => Some("the pattern of 'matches' stands in quotes".to_owned()),
            (Function::Begins | Function::Ends | Function::Common, [_, _]) => None,
            (Function::Begins | Function::Ends | Function::Common | Function::Matches, _) => {
                Some(format!("'{name}' takes two arguments, not {}", arguments.len()))
            }
            (_, [_]) => None,
            _ => Some(format!("'{name}' takes one argument, not {}", arguments.len())),
        }
    }
}

impl Node {
    pub fn new(part: Part, start: usize, end: usize) -> Node {
        Node { part, start, end }
    }

    /// An error about this piece.
    pub fn error(&self, message: impl Into<String>) -> ExpressionError {
        ExpressionError::new(message, self.start, self.end)
    }

    /// Adds every name read in this piece, in the order written; none of those that the elements of a section or the
    /// former revision are asked for.
    pub fn names<'n>(&'n self, names: &mut Vec<&'n NameRef>) {
        match &self.part {
            Part::Name(name) => names.push(name),
            Part::Over(_) | Part::Before(_) => {}
            _ => self.pieces().into_iter().for_each(|piece| piece.names(names)),
        }
    }

    /// Adds the names in this piece, those of the elements that a figure goes over among them.
    pub fn every_name<'n>(&'n self, names: &mut Vec<&'n NameRef>) {
        match &self.part {
            Part::Name(name) => names.push(name),
            Part::Over(over) => {
                let parts = [&over.of, &over.filter, &over.weight];
                parts.into_iter().flatten().for_each(|piece| piece.every_name(names));
            }
            Part::Before(_) => {}
            _ => self.pieces().into_iter().for_each(|piece| piece.every_name(names)),
        }
    }

    /// Adds the names of sections that are counted in this piece.
    pub fn counted<'n>(&'n self, sections: &mut Vec<&'n str>) {
        match &self.part {
            Part::Over(over) if over.figure == Figure::Count => sections.push(&over.section),
            Part::Call(Function::Count, pieces) => {
                if let [Node { part: Part::Name(NameRef { path, of: None, .. }), .. }] = pieces.as_slice() {
                    sections.push(path);
                }
            }
            Part::Over(_) => {}
            _ => self.pieces().into_iter().for_each(|piece| piece.counted(sections)),
        }
    }

    /// Whether it asks what something was in the former revision.
    pub fn asks_what_was(&self) -> bool {
        match &self.part {
            Part::Before(_) => true,
            Part::Over(over) => [&over.of, &over.filter, &over.weight].into_iter().flatten().any(Node::asks_what_was),
            _ => self.pieces().into_iter().any(Node::asks_what_was),
        }
    }

    /// The pieces it is made of, in the order written.
    fn pieces(&self) -> Vec<&Node> {
        match &self.part {
            Part::Number(_) | Part::Text(_) | Part::Flag(_) | Part::Name(_) | Part::Over(_) => Vec::new(),
            Part::Negative(inner) | Part::Not(inner) | Part::Matches(inner, _) | Part::Before(inner) => vec![inner],
            Part::List(pieces) | Part::Call(_, pieces) | Part::All(pieces) | Part::Any(pieces) => {
                pieces.iter().collect()
            }
            Part::Chain(first, rest) => std::iter::once(&**first).chain(rest.iter().map(|(_, piece)| piece)).collect(),
            Part::Compare(left, _, right) => vec![left, right],
        }
    }
}
