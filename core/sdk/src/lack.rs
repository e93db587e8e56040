//! What stands in the way of a fact.

use crate::Findings;
use mateline_model::{Pointer, QuantityDef, Subject};

/// An input that is missing, or values that contradict each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lack {
    /// In words.
    pub because: String,
    /// Where it could be given.
    pub at: Option<Pointer>,
}

impl Lack {
    /// Something that no one place in the home could give.
    pub fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None }
    }

    /// Something that the place of this path could give.
    pub fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }

    /// Says so of each quantity that it takes away.
    pub fn write(&self, subject: &Subject, definitions: &[&QuantityDef], findings: &mut Findings) {
        for definition in definitions {
            findings.missing(subject, definition, self.because.clone(), self.at.clone());
        }
    }
}
