//! Tokens apart from the compiler's, so that tests read declarations too.

/// A token and the number of its place in the source; 0 stands for the whole use of the macro.
#[derive(Clone, Debug)]
pub struct Token {
    pub tree: Tree,
    pub place: usize,
}

/// What a token is.
#[derive(Clone, Debug)]
pub enum Tree {
    /// A name or keyword.
    Word(String),
    /// A sign.
    Mark(char),
    /// A literal as it stands in the source, with its quotes.
    Text(String),
    /// Brackets: which, what is in them, and that as text.
    Group(char, Vec<Token>, String),
}

/// What is wrong with a declaration or a text, and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub place: usize,
    pub message: String,
}

impl Fault {
    pub fn new(place: usize, message: impl Into<String>) -> Fault {
        Fault { place, message: message.into() }
    }
}
