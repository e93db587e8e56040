//! Why a fact cannot be found.

use mateline_model::{Pointer, QuantityDef, Subject};
use mateline_sdk::Findings;

/// An input that is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lack {
    /// What is missing.
    pub because: String,
    /// Where it could be given, as a path.
    pub at: String,
}

impl Lack {
    /// What is missing, and where it could be given.
    pub fn new(because: impl Into<String>, at: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: at.into() }
    }

    /// The foundation does not say something.
    pub fn foundation(field: &str) -> Lack {
        Lack::new(format!("the foundation has no {field}"), "foundation")
    }

    /// The site does not say something.
    pub fn site(field: &str) -> Lack {
        Lack::new(format!("the site has no {field}"), "site")
    }

    /// A fact of another plugin is missing.
    pub fn fact(subject: &Subject, quantity: &str) -> Lack {
        Lack::new(format!("{subject} has no {quantity}"), "modules")
    }

    /// Says so of each of several quantities.
    pub fn write(&self, subject: &Subject, definitions: &[&QuantityDef], findings: &mut Findings) {
        for definition in definitions {
            findings.missing(subject, definition, self.because.clone(), Some(Pointer::new(self.at.clone())));
        }
    }
}
