//! What the foundations cost side by side, from the home's own unit rates, and what choices would cost that are still open.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::{Drawing, Figure};

pub(crate) fn section(source: Source<'_>) -> Section {
    let tables = source.report.figures.iter().filter(|figure| figure.key == super::SIDE_BY_SIDE);
    let blocks: Vec<Block> = tables.filter_map(|figure| marked(source, figure)).map(Block::Table).collect();
    let blocks = if blocks.is_empty() {
        vec![Block::paragraph("No costs are computed: the home file gives no unit rates.")]
    } else {
        blocks
    };
    let choices = source.report.figures.iter().find(|figure| figure.key == super::CHOICES).and_then(table);
    let title = if choices.is_some() { "What things cost" } else { "What the foundation costs" };
    let blocks = blocks.into_iter().chain(choices.map(Block::Table)).collect();
    Section { id: "cost", title, blocks }
}

/// The table with the foundation that the home has marked, and whose rates these are.
fn marked(source: Source<'_>, figure: &Figure) -> Option<Table> {
    let mut table = table(figure)?;
    let has = source.report.home.foundation.as_ref().map(|foundation| foundation.kind);
    for column in &mut table.columns {
        if has.is_some_and(|kind| words::of(&kind) == words::plain(&column.head)) {
            column.head = format!("{}, as drawn", words::plain(&column.head));
        } else {
            column.head = words::plain(&column.head);
        }
    }
    table.note = format!("Costs are by the unit rates in the home file and no offer of anyone. {}", table.note);
    Some(table)
}

/// A figure that is a table.
pub(crate) fn table(figure: &Figure) -> Option<Table> {
    let Drawing::Table { columns, rows, note } = &figure.drawing else { return None };
    let heads: Vec<&str> = columns.iter().map(String::as_str).collect();
    let rows = rows.iter().map(|row| row.iter().map(Cell::words).collect()).collect();
    Some(Table::plain(&figure.title, &heads, rows).note(note))
}
