//! What the foundations cost side by side, from the home's own unit rates.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Drawing, Figure};

pub(crate) fn section(source: Source<'_>) -> Section {
    let tables = source.report.figures.iter().filter(|figure| figure.key == super::SIDE_BY_SIDE);
    let blocks: Vec<Block> = tables.filter_map(table).map(Block::Table).collect();
    let blocks = if blocks.is_empty() {
        vec![Block::paragraph("No costs are computed: the home file gives no unit rates.")]
    } else {
        blocks
    };
    Section { id: "cost", title: "What the foundation costs", blocks }
}

/// A figure that is a table.
pub(crate) fn table(figure: &Figure) -> Option<Table> {
    let Drawing::Table { columns, rows, note } = &figure.drawing else { return None };
    let heads: Vec<&str> = columns.iter().map(String::as_str).collect();
    let rows = rows.iter().map(|row| row.iter().map(Cell::words).collect()).collect();
    Some(Table::plain(&figure.title, &heads, rows).note(note))
}
