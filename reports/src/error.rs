//! Why a report could not be written.

use std::error::Error;
use std::fmt;

/// A template that could not be filled: a fault of mateline, or of a template of the firm's own.
#[derive(Debug)]
pub struct ReportError {
    template: String,
    cause: minijinja::Error,
}

impl ReportError {
    pub(crate) fn new(template: &str, cause: minijinja::Error) -> ReportError {
        ReportError { template: template.to_owned(), cause }
    }
}

impl fmt::Display for ReportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
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
