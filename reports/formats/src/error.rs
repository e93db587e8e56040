//! Why a report could not be written.

use crate::overrides;
use std::error::Error;
use std::fmt;

/// A template that could not be filled: a fault of mateline, or of a template of the firm's own.
#[derive(Debug)]
pub struct ReportError {
    template: String,
    /// A part of the firm's own that is to blame: name, line and what is wrong.
    part: Option<(String, usize, String)>,
    cause: minijinja::Error,
}

impl ReportError {
    pub(crate) fn new(template: &str, cause: minijinja::Error, is_part: impl Fn(&str) -> bool) -> ReportError {
        ReportError { template: template.to_owned(), part: overrides::fault(&cause, is_part), cause }
    }

    /// Whether a part of the firm's own is to blame, and not mateline.
    pub fn is_of_firm(&self) -> bool {
        self.part.is_some()
    }
}

impl fmt::Display for ReportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((name, line, words)) = &self.part {
            return write!(f, "the firm's reports/{name}:{line}: the part cannot be filled: {words}");
        }
        write!(f, "the template {} cannot be filled: {}", self.template, self.cause)?;
        let mut cause = self.cause.source();
        while let Some(inner) = cause {
            write!(f, ": {inner}")?;
            cause = inner.source();
        }
        Ok(())
    }
}

impl Error for ReportError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        Some(&self.cause)
    }
}
