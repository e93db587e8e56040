//! Why a report could not be written.

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
        ReportError { template: template.to_owned(), part: fault(&cause, is_part), cause }
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

/// What the template engine says, without the place.
pub(crate) fn words(error: &minijinja::Error) -> String {
    error.detail().map_or_else(|| error.kind().to_string(), str::to_owned)
}

/// Where in a part of the firm's own a page could not be filled: name, line and words.
fn fault(error: &minijinja::Error, is_own: impl Fn(&str) -> bool) -> Option<(String, usize, String)> {
    let mut found = None;
    let mut next: Option<&(dyn Error + 'static)> = Some(error);
    while let Some(error) = next {
        if let Some(error) = error.downcast_ref::<minijinja::Error>() {
            let name = error.name().filter(|name| is_own(name));
            found = name.map(|name| (name.to_owned(), error.line().unwrap_or(1), words(error))).or(found);
        }
        next = error.source();
    }
    found
}
