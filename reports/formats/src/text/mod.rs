//! Text for the terminal: verdicts at their places, tables of facts, worked calculations.

mod check;
mod entry;
mod explain;
mod facts;
mod problems;
mod tables;

pub use check::{Extent, check};
pub use explain::explain;
pub(crate) use facts::columns;
pub use facts::facts;
pub use problems::{InputProblem, problems};
pub use tables::tables;

/// How the text is to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Whether escape sequences for colour may be written.
    pub colour: bool,
    /// The terminal's width in characters.
    pub width: usize,
}

impl Style {
    /// No colour, 120 characters wide: for files and tests.
    pub const PLAIN: Style = Style { colour: false, width: 120 };
}
