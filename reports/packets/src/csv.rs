//! A schedule as CSV, UTF-8 without a byte-order mark.
//!
//! A unit that all numbers of a column share stands in its head, so that the cells are numbers.

use crate::{Cell, Table};
use mateline_reports::csv::line;

pub(crate) fn table(table: &Table) -> String {
    let heads = table.columns.iter().map(|column| column.full_head()).collect::<Vec<_>>();
    let mut text = String::new();
    line(&mut text, heads.iter().map(String::as_str));
    for row in &table.rows {
        line(&mut text, row.iter().map(Cell::printed));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_quotes_and_line_ends_are_quoted() {
        let rows = vec![vec![Cell::words("a,b"), Cell::words("say \"x\""), Cell::words("two\nlines")]];
        let written = table(&Table::plain("t", &["one", "two", "three"], rows));
        assert_eq!(written, "one,two,three\r\n\"a,b\",\"say \"\"x\"\"\",\"two\nlines\"\r\n");
    }
}
