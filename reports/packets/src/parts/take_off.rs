//! Areas, volumes and counts, and how each was measured.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Fact, Subject};
use mateline_reports::shown;

pub(crate) fn section(source: Source<'_>) -> Section {
    let home = Subject::home();
    let rows = source.report.facts.of(&home).filter(is_taken_off).map(|fact| {
        let meaning = source.report.quantities.get(&*fact.quantity).map(|known| known.meaning.to_string());
        vec![
            Cell::words(meaning.unwrap_or_else(|| fact.quantity.to_string())),
            source.of(fact),
            Cell::words(fact.basis.method.to_string()),
            Cell::words(shown::cited(&fact.basis.source, fact.basis.provenance.as_deref())),
        ]
    });
    let whole =
        Table::schedule("take-off", "Whole home", &["What", "Value", "How it was measured", "Source"], rows.collect());
    Section { id: "take-off", title: "Take-off", blocks: vec![Block::Table(whole), Block::Table(surfaces(source))] }
}

fn is_taken_off(fact: &&Fact) -> bool {
    fact.quantity.starts_with("takeoff.")
}

fn surfaces(source: Source<'_>) -> Table {
    let rows = source.subjects("surfaces").map(|subject| {
        let quantities = ["assembly", "boundary", "orientation", "gross_area", "opening_area", "net_area"];
        let cells = quantities.map(|name| source.fact(subject, &format!("takeoff.{name}")));
        std::iter::once(Cell::words(subject.id())).chain(cells).collect()
    });
    let heads = ["Surface", "Assembly", "Next to", "Faces", "Gross area", "Openings", "Net area"];
    Table::schedule("surfaces", "Surfaces of the enclosure", &heads, rows.collect())
}
