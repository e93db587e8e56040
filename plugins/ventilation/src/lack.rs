//! Why a fact cannot be found.

use mateline_model::{Pointer, QuantityDef, Subject};
use mateline_sdk::Findings;

/// An input that is missing, or values that contradict each other.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lack {
    pub(crate) because: String,
    pub(crate) at: Option<Pointer>,
}

impl Lack {
    pub(crate) fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None }
    }

    pub(crate) fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }

    /// Says so of each of several quantities.
    pub(crate) fn write(&self, subject: &Subject, definitions: &[&QuantityDef], findings: &mut Findings) {
        for definition in definitions {
            findings.missing(subject, definition, self.because.clone(), self.at.clone());
        }
    }
}
