//! The expression language of rule packs: small, unit-typed, and always ending.
//!
//! An expression is parsed once ([`Expression::parse`]), checked against the names and units that exist when a pack is
//! loaded ([`Expression::check`]), and evaluated for one subject at a time ([`Expression::evaluate`]). It reads names
//! and computes; it changes nothing, calls nothing outside, and has no loops. Missing data gives a third truth value.
//! What a name stands for is the caller's business: [`Names`] says its kind, [`Scope`] its value. The grammar stands in
//! the module `syntax`.

mod check;
mod error;
mod evaluate;
mod kind;
mod lex;
mod literal;
mod parse;
mod syntax;

#[cfg(test)]
mod tests;

pub use error::ExpressionError;
pub use kind::Kind;
pub use syntax::NameRef;

use mateline_model::quantity::Quantity;
use syntax::{Function, Node, Part};

/// The longest text read as an expression, in bytes.
pub const LONGEST: usize = 4096;

/// How deep parentheses, lists, calls and signs may nest.
pub const DEEPEST: usize = 64;

/// An expression that has been read: its text, and what it says.
#[derive(Clone, Debug)]
pub struct Expression {
    text: String,
    root: Node,
}

/// What exists when an expression is checked, before there is any data.
pub trait Names {
    /// The kind of value a name has, for the subject at hand or `of` another one.
    ///
    /// # Errors
    /// Near spellings, best first, when there is no such name; none when nothing is near.
    fn kind(&self, path: &str, of: Option<&str>) -> Result<Kind, Vec<String>>;
}

/// Where an expression finds its data.
pub trait Scope {
    /// The value of a name, for the subject at hand or `of` another one.
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup;
}

/// What a name turns out to stand for.
#[derive(Clone, Debug, PartialEq)]
pub enum Lookup {
    /// A value.
    Found(Item),
    /// A value that should be there and is not, with the reason.
    Missing(String),
    /// An optional field that is not there.
    Absent,
}

/// A value in an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A number with its dimension.
    Number(Quantity),
    /// A word or name.
    Text(String),
    /// True or false.
    Flag(bool),
    /// A calendar date in ISO form, `2026-10-05`, so that the order of texts is the order of days.
    Date(String),
    /// Several values.
    List(Vec<Item>),
}

/// What became of an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Evaluation {
    /// A value.
    Known(Item),
    /// Not to be had: what is missing, in the order it is read, without repeats.
    Unknown(Vec<String>),
    /// It cannot be worked out from the data there is, such as a division by zero. Counts as unproven, never as met.
    Failed(String),
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Expression {
    /// Reads an expression.
    ///
    /// # Errors
    /// What is wrong with the text: every character and unit that cannot be read, otherwise what stands in the wrong
    /// place. Texts longer than [`LONGEST`] bytes or nested deeper than [`DEEPEST`] are refused.
    pub fn parse(text: &str) -> Result<Expression, Vec<ExpressionError>> {
        if text.len() > LONGEST {
            let message = format!("the expression has {} bytes, more than {LONGEST}", text.len());
            return Err(vec![ExpressionError::new(message, 0, text.len())]);
        }
        let tokens = lex::tokens(text)?;
        let root = parse::expression(text, &tokens)?;
        Ok(Expression { text: text.to_owned(), root })
    }

    /// The text it was read from.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text without line ends and the spaces beside them.
    pub fn line(&self) -> String {
        one_line(&self.text)
    }

    /// What it is never below, each piece as [`Expression::line`] has it: itself, and the arguments of a `max` that it
    /// is as a whole. With `least`, what it is never above: itself and the arguments of a `min`.
    pub fn bounds(&self, least: bool) -> Vec<String> {
        let function = if least { Function::Min } else { Function::Max };
        let arguments = match &self.root.part {
            Part::Call(found, arguments) if *found == function => arguments.as_slice(),
            _ => &[],
        };
        let piece = |node: &Node| self.text.get(node.start..node.end).map(one_line);
        std::iter::once(self.line()).chain(arguments.iter().filter_map(piece)).collect()
    }

    /// Every name it reads, in the order written, repeats included.
    pub fn names(&self) -> Vec<&NameRef> {
        let mut names = Vec::new();
        self.root.names(&mut names);
        names
    }

    /// Checks that every name exists and that everything it meets is of a kind it can meet; gives the kind of the result.
    ///
    /// # Errors
    /// Everything wrong, in the order of the text. A piece that is wrong counts as [`Kind::Unknown`] in what holds it,
    /// so that one mistake is told once.
    pub fn check(&self, names: &dyn Names) -> Result<Kind, Vec<ExpressionError>> {
        check::check(&self.text, &self.root, names)
    }

    /// Works the expression out.
    ///
    /// Numbers compare exactly, without a tolerance. `and`, `or` and `not` follow the strong three-valued logic of
    /// Kleene, so the order of operands never matters to the result. An expression that has not been checked evaluates
    /// too; where kinds do not fit it has [`Evaluation::Failed`].
    pub fn evaluate(&self, scope: &dyn Scope) -> Evaluation {
        evaluate::evaluate(&self.root, scope)
    }
}
