//! Tables among the figures, for the terminal: one column per alternative, long cells wrapped.

use super::Style;
use crate::printable;
use mateline_model::{Drawing, Report};

/// Every table of the report with its title and note; `None` when there is none.
pub fn tables(report: &Report, style: Style) -> Option<String> {
    let mut text = String::new();
    for figure in &report.figures {
        let Drawing::Table { columns, rows, note } = &figure.drawing else { continue };
        text.push_str(&format!("{}\n\n", printable::line(&figure.title)));
        text.push_str(&set(columns, rows, style.width));
        if !note.is_empty() {
            text.push('\n');
            wrapped(&printable::line(note), style.width).iter().for_each(|line| text.push_str(&format!("{line}\n")));
        }
        text.push('\n');
    }
    (!text.is_empty()).then_some(text)
}

/// The table, no wider than `width` where words allow it. Columns share the room that the first one leaves.
fn set(columns: &[String], rows: &[Vec<String>], width: usize) -> String {
    let clean = |cells: &[String]| cells.iter().map(|cell| printable::line(cell).into_owned()).collect::<Vec<_>>();
    let rows: Vec<Vec<String>> = std::iter::once(columns).chain(rows.iter().map(Vec::as_slice)).map(clean).collect();
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widest = |index: usize| {
        let cells = rows.iter().filter_map(|row| row.get(index));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let first = widest(0).min(34);
    let room = width.saturating_sub(first) / count.saturating_sub(1).max(1);
    let widths: Vec<usize> = (0..count)
        .map(|index| if index == 0 { first } else { widest(index).min(room.saturating_sub(2)).max(8) })
        .collect();
    let mut text = String::new();
    for (number, row) in rows.iter().enumerate() {
        let cells: Vec<Vec<String>> = row.iter().zip(&widths).map(|(cell, width)| wrapped(cell, *width)).collect();
        for line in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
            let mut printed = String::new();
            for (cell, width) in cells.iter().zip(&widths) {
                let part = cell.get(line).map_or("", String::as_str);
                printed.push_str(part);
                printed.extend(std::iter::repeat_n(' ', width.saturating_sub(part.chars().count()) + 2));
            }
            text.push_str(printed.trim_end());
            text.push('\n');
        }
        if number == 0 {
            let rule = widths.iter().map(|width| "-".repeat(*width)).collect::<Vec<_>>().join("  ");
            text.push_str(&format!("{rule}\n"));
        }
    }
    text
}

/// A text in lines of at most `width` characters, broken between words; a longer word stands by itself.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_cells_are_wrapped_and_columns_line_up() {
        let columns = ["".to_owned(), "basement".to_owned(), "piers".to_owned()];
        let rows = [vec!["Cost".to_owned(), "92400 $".to_owned(), "a word or two that will not fit".to_owned()]];
        let text = set(&columns, &rows, 30);
        assert_eq!(
            text,
            "      basement  piers\n----  --------  -----------\nCost  92400 $   a word or\n                two that\n                will not\n                fit\n"
        );
    }
}
