//! A schedule as CSV: RFC 4180, UTF-8 without a byte-order mark, lines ended by CR LF.
//!
//! A unit that all numbers of a column share stands in its head, so that the cells are numbers. A spreadsheet takes a
//! cell that begins with `=`, `+`, `-`, `@`, a tab or a line break for a formula; such a cell gets an apostrophe in
//! front, which spreadsheets read as "this is text". A plain decimal number keeps its sign and gets none.

use crate::{Cell, Table};
use mateline_reports::printable;

pub(crate) fn table(table: &Table) -> String {
    let heads = table.columns.iter().map(|column| column.full_head()).collect::<Vec<_>>();
    let mut text = String::new();
    line(&mut text, heads.iter().map(String::as_str));
    for row in &table.rows {
        line(&mut text, row.iter().map(Cell::printed));
    }
    text
}

fn line<'a>(text: &mut String, cells: impl Iterator<Item = &'a str>) {
    for (index, cell) in cells.enumerate() {
        if index > 0 {
            text.push(',');
        }
        text.push_str(&quoted(&harmless(cell)));
    }
    text.push_str("\r\n");
}

/// The cell as text that no spreadsheet takes for a formula.
fn harmless(cell: &str) -> String {
    let cell = printable::block(cell);
    let begins = cell.starts_with(['=', '+', '-', '@', '\t', '\n', '\r', '＝', '＋', '－', '＠']);
    if begins && !is_number(&cell) { format!("'{cell}") } else { cell.into_owned() }
}

/// A decimal number with an optional minus sign.
fn is_number(cell: &str) -> bool {
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
        && digits.matches('.').count() <= 1
}

fn quoted(cell: &str) -> String {
    if cell.contains(['"', ',', '\n', '\r']) || cell.starts_with(' ') || cell.ends_with(' ') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_that_could_be_formulas_become_text() {
        for (cell, safe) in [
            ("=1+2", "'=1+2"),
            ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("-2+3", "'-2+3"),
            ("-0.38", "-0.38"),
            ("-", "'-"),
            ("-1.2.3", "'-1.2.3"),
            ("\t=1", "'\t=1"),
            ("44.00", "44.00"),
            ("a=b", "a=b"),
        ] {
            assert_eq!(harmless(cell), safe);
        }
    }

    #[test]
    fn commas_quotes_and_line_ends_are_quoted() {
        let rows = vec![vec![Cell::words("a,b"), Cell::words("say \"x\""), Cell::words("two\nlines")]];
        let written = table(&Table::plain("t", &["one", "two", "three"], rows));
        assert_eq!(written, "one,two,three\r\n\"a,b\",\"say \"\"x\"\"\",\"two\nlines\"\r\n");
    }
}
