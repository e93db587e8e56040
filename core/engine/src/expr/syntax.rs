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
//! value      = quantity | text | "true" | "false" | name [ "of" subject ] | call | list | "(" expression ")"
//! call       = function "(" expression { "," expression } ")"
//! list       = "[" [ expression { "," expression } ] "]"
//! function   = "min" | "max" | "abs" | "count" | "given" | "leading_number"
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
//! - A function's name is one only before `(`.

use super::error::ExpressionError;
use mateline_model::quantity::Quantity;
use std::fmt;

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
    Negative(Box<Node>),
    /// Sums or products, left to right.
    Chain(Box<Node>, Vec<(Arithmetic, Node)>),
    Compare(Box<Node>, Comparator, Box<Node>),
    Not(Box<Node>),
    All(Vec<Node>),
    Any(Vec<Node>),
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
}

impl Function {
    pub const ALL: [(Function, &'static str); 6] = [
        (Function::Min, "min"),
        (Function::Max, "max"),
        (Function::Abs, "abs"),
        (Function::Count, "count"),
        (Function::Given, "given"),
        (Function::LeadingNumber, "leading_number"),
    ];

    /// As it is written.
    pub fn name(self) -> &'static str {
        Function::ALL.iter().find(|(function, _)| *function == self).map_or("", |(_, name)| name)
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

    /// Adds every name read in this piece, in the order written.
    pub fn names<'n>(&'n self, names: &mut Vec<&'n NameRef>) {
        match &self.part {
            Part::Number(_) | Part::Text(_) | Part::Flag(_) => {}
            Part::Name(name) => names.push(name),
            Part::Negative(inner) | Part::Not(inner) => inner.names(names),
            Part::List(pieces) | Part::Call(_, pieces) | Part::All(pieces) | Part::Any(pieces) => {
                pieces.iter().for_each(|piece| piece.names(names));
            }
            Part::Chain(first, rest) => {
                first.names(names);
                rest.iter().for_each(|(_, piece)| piece.names(names));
            }
            Part::Compare(left, _, right) => {
                left.names(names);
                right.names(names);
            }
        }
    }
}
