//! What is missing for a fact, and where it could be given.

use mateline_model::Pointer;

/// What is missing, and where it could be given.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lack {
    pub because: String,
    pub at: Option<Pointer>,
}

impl Lack {
    pub(crate) fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None }
    }

    pub(crate) fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }
}

impl From<mateline_layers::Lack> for Lack {
    fn from(lack: mateline_layers::Lack) -> Lack {
        Lack::at(lack.because, lack.at)
    }
}
