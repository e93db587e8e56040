//! What is missing for a fact, and where it could be given.

use mateline_model::{Pointer, QuantityDef, Subject};
use mateline_sdk::Findings;

/// Why something cannot be computed.
#[derive(Clone, Debug, PartialEq)]
pub struct Lack {
    /// In words.
    pub because: String,
    /// Where it could be given.
    pub at: Option<Pointer>,
}

impl Lack {
    /// A lack that a place of the home could fill.
    pub fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }

    /// Writes it down for every quantity it takes away.
    pub(crate) fn write(&self, subject: &Subject, quantities: &[&QuantityDef], findings: &mut Findings) {
        for definition in quantities {
            findings.missing(subject, definition, self.because.clone(), self.at.clone());
        }
    }
}

impl From<mateline_layers::Lack> for Lack {
    fn from(lack: mateline_layers::Lack) -> Lack {
        Lack::at(lack.because, lack.at)
    }
}
