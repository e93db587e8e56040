//! What is missing for a result, and where it could be given.

use mateline_model::Pointer;

/// Why something cannot be computed.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lack {
    /// In words.
    pub because: String,
    /// Where it could be given.
    pub at: Option<Pointer>,
    /// Whether the home does not describe the construction at all, so that a usual value may stand in.
    pub undescribed: bool,
}

impl Lack {
    pub(crate) fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None, undescribed: false }
    }

    pub(crate) fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { at: Some(Pointer::new(path)), ..Lack::new(because) }
    }

    pub(crate) fn undescribed(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { undescribed: true, ..Lack::at(because, path) }
    }
}

impl From<mateline_sdk::Lack> for Lack {
    fn from(lack: mateline_sdk::Lack) -> Lack {
        Lack { because: lack.because, at: lack.at, undescribed: false }
    }
}
