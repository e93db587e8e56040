//! What is open: every requirement that is short or cannot be shown, with what would help, a place to close it, and what
//! waits for that.

use crate::packet::{Block, Section};
use crate::source::{Source, words_of};
use crate::{Cell, Table};
use mateline_model::{OpenPoint, Severity};
use mateline_reports::shown;

/// Everything that is open.
pub(crate) fn section(source: Source<'_>) -> Section {
    of(source, source.open(), "Nothing is short and nothing is unproven.")
}

/// The requirements that are open, without advice.
pub(crate) fn required(source: Source<'_>) -> Section {
    let required = source.open().into_iter().filter(|point| point.verdict.severity == Severity::Required);
    of(source, required.collect(), "No requirement is open. Advice is left out here.")
}

fn of(source: Source<'_>, open: Vec<OpenPoint<'_>>, none: &str) -> Section {
    let mut blocks = Vec::new();
    if open.is_empty() {
        blocks.push(Block::paragraph(none));
    } else {
        let numbered = source.report.open_requirements();
        let rows = open.iter().map(|OpenPoint { verdict, under }| {
            // The number that drawings mark it by.
            let is_it = |point: &OpenPoint<'_>| std::ptr::eq(point.verdict, *verdict);
            let number = numbered.iter().position(is_it).map_or_else(String::new, |at| format!("{}. ", at + 1));
            vec![
                words_of(verdict, format!("{number}{}", verdict.title)),
                source.cited(verdict),
                words_of(verdict, verdict.subject.to_string()),
                source.outcome(verdict),
                source.who(verdict),
                source.due(verdict),
                words_of(verdict, &verdict.message),
                words_of(verdict, verdict.help.clone().unwrap_or_default()),
                Cell::words(verdict.at.as_ref().map(shown::place).unwrap_or_default()),
                words_of(verdict, shown::waiting(under).unwrap_or_default()),
            ]
        });
        let heads = [
            "Requirement",
            "Source",
            "Concerns",
            "Verdict",
            "Who acts",
            "By when",
            "What was found",
            "What would help",
            "Line",
            "What waits for it",
        ];
        blocks.push(Block::Table(Table::schedule("open-points", "", &heads, rows.collect()).above(2).note(
            "Who acts follows from the element and from what is owed: a record or work from whom the home file names for \
             it, a test from the tester, a choice or a price from the owner, all else from the designer. A date or hold \
             point is that of the home file.",
        )));
    }
    let failed: Vec<String> = source
        .report
        .plugins
        .iter()
        .filter_map(|plugin| {
            plugin.failure.as_ref().map(|why| format!("The calculation {} failed: {why}", plugin.name))
        })
        .collect();
    let remarks = source.report.remarks.iter().map(|remark| crate::words::sentence(&remark.told()));
    let items: Vec<String> = failed.into_iter().chain(remarks).collect();
    if !items.is_empty() {
        blocks.push(Block::List { items });
    }
    Section { id: "open-points", title: "Open points", blocks }
}
