//! Parts of the pages that a firm replaces by name: what may be replaced, and whether a replacement can be read.

use crate::error::words;
use crate::templates;
use minijinja::Environment;

/// What is wrong with a part of a firm's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartFault {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// What would help.
    pub help: Option<String>,
}

/// Names of the parts of the report's page.
pub fn names() -> impl Iterator<Item = &'static str> {
    templates::TEMPLATES.iter().map(|(name, _)| *name).filter(|name| is_part(name))
}

/// Comparisons, and what is said of a home that cannot be used, are written by mateline alone, and so are drawings.
fn is_part(name: &str) -> bool {
    is_template(name) && !name.starts_with("comparison") && name != "unusable.html"
}

/// Whether a part is read as a template of the pages.
fn is_template(name: &str) -> bool {
    name.ends_with(".html") || name.ends_with(".css")
}

/// Whether a part can stand in for the one of its name: the name is known and, where it is a template, its text can be
/// read.
///
/// `others` are the names of parts of other pages than the report.
///
/// # Errors
/// The first thing wrong with it.
pub fn check(name: &str, text: &str, others: impl Iterator<Item = &'static str>) -> Result<(), PartFault> {
    let known: Vec<&str> = names().chain(others).collect();
    if !known.contains(&name) {
        let help = format!("the parts are {}", known.join(", "));
        return Err(PartFault { line: 1, message: format!("no page has a part called '{name}'"), help: Some(help) });
    }
    if !is_template(name) {
        return Ok(());
    }
    let mut environment = Environment::new();
    let read = templates::syntax()
        .map(|syntax| environment.set_syntax(syntax))
        .and_then(|()| environment.template_from_named_str(name, text).map(|_| ()));
    read.map_err(|error| PartFault {
        line: error.line().unwrap_or(1),
        message: format!("the part cannot be read: {}", words(&error)),
        help: None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn a_part_is_known_and_can_be_read() {
        assert_eq!(check("summary.html", "<p>{{ title }}</p>", std::iter::empty()), Ok(()));
        assert_eq!(check("packet.css", "p {}", std::iter::once("packet.css")), Ok(()));
        let unknown = check("sumary.html", "", std::iter::once("packet.css")).unwrap_err();
        assert!(
            unknown
                .help
                .unwrap()
                .starts_with("the parts are page.html, style.css, firm.css, firm.html, summary.html, ")
        );
        let broken = check("summary.html", "<p>\n{{ title }\n</p>", std::iter::empty()).unwrap_err();
        assert_eq!(broken.line, 2);
        assert!(broken.message.starts_with("the part cannot be read: "), "{}", broken.message);
    }

    #[test]
    fn figures_are_no_parts() {
        assert!(names().all(|name| !name.ends_with(".svg") && !name.ends_with(".js")));
    }
}
