//! A table of facts, those that could not be found among them.

use crate::{nearest, printable, shown};
use mateline_model::{Entry, Report, Subject};

/// Facts as a table: subject, quantity, value, method; of one that could not be found, why. The filter is a subject
/// (`assemblies.wall`) or a section (`assemblies`).
pub fn facts(report: &Report, subject_filter: Option<&str>) -> String {
    let wanted = |subject: &Subject| match subject_filter {
        Some(filter) => {
            let rest = subject.as_str().strip_prefix(filter);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        }
        None => true,
    };
    let rows: Vec<[String; 4]> = report
        .entries()
        .into_iter()
        .map(|entry| match entry {
            Entry::Known(fact) => {
                (&fact.subject, &fact.quantity, shown::fact(report, fact), fact.basis.method.to_string())
            }
            Entry::Unknown(missing) => {
                (&missing.subject, &missing.quantity, shown::NOT_KNOWN.to_owned(), missing.because.clone())
            }
        })
        .filter(|(subject, ..)| wanted(subject))
        .map(|(subject, quantity, value, how)| {
            [subject.to_string(), quantity.to_string(), value, how].map(|cell| printable::line(&cell).into_owned())
        })
        .collect();
    match (rows.is_empty(), subject_filter) {
        (true, Some(filter)) => {
            let known = report.facts.subjects().chain(report.missing.iter().map(|missing| &missing.subject));
            let near = nearest::remark(filter, known.map(Subject::as_str));
            printable::line(&format!("no facts about '{filter}'{near}")).into_owned() + "\n"
        }
        (true, None) => "no facts\n".to_owned(),
        (false, _) => columns(&["subject", "quantity", "value", "method"], &rows),
    }
}

/// Columns as wide as their widest cell; the last one is not padded.
pub(crate) fn columns<const N: usize>(heads: &[&str; N], rows: &[[String; N]]) -> String {
    let mut widths = heads.map(|head| head.chars().count());
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.chars().count());
        }
    }
    let mut text = String::new();
    let mut line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut row = String::new();
        for (cell, width) in cells.zip(widths) {
            row.push_str(cell);
            row.extend(std::iter::repeat_n(' ', width.saturating_sub(cell.chars().count()) + 2));
        }
        text.push_str(row.trim_end());
        text.push('\n');
    };
    line(&mut heads.iter().copied());
    for row in rows {
        line(&mut row.iter().map(String::as_str));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn facts_of_a_section_line_up() {
        let text = facts(&fixture::report(), Some("assemblies"));
        let value_columns: Vec<Option<usize>> = text.lines().map(|line| line.find("envelope.")).collect();
        assert!(text.starts_with("subject"), "{text}");
        assert!(text.lines().count() >= 3, "{text}");
        assert!(value_columns.iter().skip(1).all(|column| *column == Some("assemblies.wall  ".len())), "{text}");
        assert!(text.contains("0.0520 Btu/(h·ft²·°F)"), "{text}");
        assert!(text.contains("not known"), "{text}");
        assert!(text.contains("assemblies.wall.layers.3 has no thickness"), "{text}");
        assert!(!text.contains("takeoff."), "{text}");
    }

    #[test]
    fn a_misspelt_subject_is_answered() {
        let text = facts(&fixture::report(), Some("assemblies.wal"));
        assert_eq!(text, "no facts about 'assemblies.wal' (did you mean 'assemblies.wall'?)\n");
    }

    #[test]
    fn a_fact_without_a_definition_keeps_its_dimension() {
        let mut report = fixture::report();
        report.quantities.clear();
        assert!(facts(&report, Some("assemblies.wall")).contains("(SI, U-factor)"));
    }
}
