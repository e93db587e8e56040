//! Lines of CSV: RFC 4180, ended by CR LF.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line break for a formula; such a cell gets an
//! apostrophe in front, which spreadsheets read as "this is text". A plain decimal number keeps its sign and gets none.

use crate::printable;

/// Adds a line of cells.
pub fn line<'a>(text: &mut String, cells: impl Iterator<Item = &'a str>) {
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
}
