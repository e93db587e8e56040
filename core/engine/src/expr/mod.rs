//! The expression language of rule packs: small, unit-typed, and always ending.
//!
//! An expression is parsed once ([`Expression::parse`]), checked against the names and units that exist when a pack is
//! loaded ([`Expression::check`]), and evaluated for one subject at a time ([`Expression::evaluate`]). It reads names
//! and computes; it changes nothing and calls nothing outside. It goes through the elements of a section, never within
//! another such figure. Missing data gives a third truth value.
//! What a name stands for is the caller's business: [`Names`] says its kind, [`Scope`] its value. The grammar stands in
//! the module `syntax`.

mod check;
mod error;
mod evaluate;
mod figure;
mod kind;
mod lex;
mod literal;
mod parse;
mod pattern;
mod syntax;

#[cfg(test)]
mod tests;

pub use error::ExpressionError;
pub(crate) use error::never;
pub use figure::Figure;
pub use kind::Kind;
pub use syntax::{NameRef, THIS};

use mateline_model::quantity::Quantity;
use syntax::{Function, Node, Part};

/// Every function as it is written, and what it says.
pub fn functions() -> impl Iterator<Item = (String, &'static str)> {
    Function::ALL.iter().map(|(function, name)| {
        let (arguments, says) = function.told();
        (format!("{name}({arguments})"), says)
    })
}

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

    /// The names that an element of a section has; what is judged is asked by names that begin with `this.`.
    ///
    /// # Errors
    /// That there is no such section, with a near one.
    fn within(&self, section: &str) -> Result<Box<dyn Names + '_>, String> {
        Err(format!("unknown section '{section}'"))
    }

    /// Whether a name alone is the section of this name and no field of the subject.
    fn is_section(&self, _path: &str) -> bool {
        false
    }
}

/// Where an expression finds its data.
pub trait Scope {
    /// The value of a name, for the subject at hand or `of` another one.
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup;

    /// The elements of a section. Where they are joined, those that differ in the field may be left out.
    fn within(&self, _section: &str, _join: Option<&Join<'_>>) -> Within<'_> {
        Within::Absent("there are no sections".to_owned())
    }

    /// Whether a name alone is the section of this name and no field of the subject.
    fn is_section(&self, _path: &str) -> bool {
        false
    }

    /// The subject as it was in the former revision.
    ///
    /// # Errors
    /// Why there is none.
    fn former(&self) -> Result<Box<dyn Scope + '_>, String> {
        Err("there is no former revision".to_owned())
    }

    /// What it is called where something of it is missing; nothing where that goes without saying.
    fn name(&self) -> Option<&str> {
        None
    }
}

/// What elements of a section have in common that count: a field and the words it may be.
#[derive(Clone, Debug)]
pub struct Join<'e> {
    /// The field.
    pub field: &'e str,
    /// The words.
    pub words: Vec<String>,
}

/// What is in a section.
pub enum Within<'s> {
    /// Its elements, in a fixed order.
    Elements(Vec<Box<dyn Scope + 's>>),
    /// Nothing is said of it, in these words.
    Absent(String),
    /// It cannot be gone through, for this reason.
    Failed(String),
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

impl Item {
    /// The number, if it is one.
    pub fn as_number(&self) -> Option<Quantity> {
        if let Item::Number(quantity) = self { Some(*quantity) } else { None }
    }

    /// The date in ISO form, if it is one.
    fn as_date(&self) -> Option<&str> {
        if let Item::Date(date) = self { Some(date) } else { None }
    }
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

    /// The same with the names of the elements that a figure goes over.
    pub fn every_name(&self) -> Vec<&NameRef> {
        let mut names = Vec::new();
        self.root.every_name(&mut names);
        names
    }

    /// Whether it asks what something was in the former revision.
    pub fn asks_what_was(&self) -> bool {
        self.root.asks_what_was()
    }

    /// Whether it is as a whole a figure over the elements of a section.
    pub fn is_figure(&self) -> bool {
        matches!(self.root.part, Part::Over(_)) || self.is_whole_count()
    }

    /// Whether it is a count as a whole.
    pub fn is_whole_count(&self) -> bool {
        match &self.root.part {
            Part::Over(over) => over.figure == Figure::Count,
            Part::Call(function, _) => *function == Function::Count,
            _ => false,
        }
    }

    /// The sections that it counts, repeats included.
    pub fn counted(&self) -> Vec<&str> {
        let mut sections = Vec::new();
        self.root.counted(&mut sections);
        sections
    }

    /// Of several conditions that must all be true, those that are not: each as written, with the names it reads and
    /// what they are. None where it is a single one.
    pub fn failing(&self, scope: &dyn Scope) -> Vec<(String, Vec<(&NameRef, Item)>)> {
        let Part::All(pieces) = &self.root.part else { return Vec::new() };
        let failing = pieces
            .iter()
            .filter(|piece| matches!(evaluate::evaluate(piece, scope), Evaluation::Known(Item::Flag(false))));
        failing
            .map(|piece| {
                let mut names = Vec::new();
                piece.names(&mut names);
                let found = names.into_iter().filter_map(|name| match scope.look_up(&name.path, name.of.as_deref()) {
                    Lookup::Found(item) => Some((name, item)),
                    _ => None,
                });
                (one_line(self.text.get(piece.start..piece.end).unwrap_or_default()), found.collect())
            })
            .collect()
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
