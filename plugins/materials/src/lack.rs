//! What stands in the way of a fact.

use mateline_model::{Pointer, QuantityDef, Subject};
use mateline_sdk::Findings;

/// Why a fact cannot be found, and where the input for it could be given.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lack {
    pub because: String,
    pub at: Option<Pointer>,
}

impl Lack {
    /// With no place in the home.
    pub(crate) fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None }
    }

    /// With the place where the input could be given.
    pub(crate) fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }

    /// Hands it on as a missing fact.
    pub(crate) fn report(&self, subject: &Subject, definition: &QuantityDef, findings: &mut Findings) {
        findings.missing(subject, definition, self.because.clone(), self.at.clone());
    }
}
