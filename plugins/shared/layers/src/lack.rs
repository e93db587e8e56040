//! What is missing for a property of a layer, and where it could be given.

/// Why a property is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lack {
    /// In words.
    pub because: String,
    /// The place in the home where it could be given.
    pub at: String,
}

impl Lack {
    /// What is missing, and where.
    pub fn new(because: impl Into<String>, at: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: at.into() }
    }
}
