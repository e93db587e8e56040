//! What the verifier is asked: programmes and editions, and how far each is met.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Outcome, Severity};

pub(crate) fn section(source: Source<'_>) -> Section {
    let text = "Each requirement below was judged on the home as its file describes it. A value is taken as it stands in \
                the file; the records and tests listed here have to bear it out. Unproven is never a pass.";
    Section {
        id: "scope",
        title: "Scope and thresholds",
        blocks: vec![Block::paragraph(text), Block::Table(table(source))],
    }
}

/// One row a pack with how many requirements had each outcome.
pub(crate) fn table(source: Source<'_>) -> Table {
    let rows = source.report.packs.iter().map(|pack| {
        let verdicts = || source.report.verdicts.iter().filter(|verdict| verdict.pack == pack.id);
        let count = |outcome: Outcome| Cell::words(verdicts().filter(|v| v.outcome == outcome).count().to_string());
        let advice = verdicts()
            .filter(|v| v.severity == Severity::Advice && matches!(v.outcome, Outcome::Short | Outcome::Unproven))
            .count();
        vec![
            Cell::words(&pack.title),
            Cell::words(&pack.source),
            count(Outcome::Met),
            count(Outcome::Short),
            count(Outcome::Unproven),
            count(Outcome::Waived),
            count(Outcome::NotApplicable),
            Cell::words(advice.to_string()),
        ]
    });
    let heads = [
        "Code or programme",
        "Edition and source",
        "Met",
        "Short",
        "Unproven",
        "Waived",
        "Not applicable",
        "Of short and unproven: advice",
    ];
    Table::schedule("scope", "Requirements by code and programme", &heads, rows.collect())
}
