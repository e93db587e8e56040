//! Tables of the firm: `tables/NAME.csv` of its folder, with a name and a unit at the head of each column.
//!
//! ```text
//! detail,psi limit [Btu/(h·ft·°F)],issued [date]
//! A-501,0.02,2026-01-15
//! ```
//!
//! A comma stands between cells; a cell with a comma or a quotation mark stands in quotation marks (RFC 4180). Behind a
//! column's name stands in brackets what its cells hold: a unit, `number`, `date` or `yes or no`; a text where nothing
//! does. Every cell is read when the table is.

use super::diagnosis::{Diagnosis, Span, cited};
use super::fields::Kind;
use super::files::Project;
use crate::expr::Item;
use indexmap::IndexMap;
use mateline_model::home::Date;
use mateline_model::quantity::{Dimension, Quantity, parse, unit};
use std::collections::BTreeMap;

/// How rules name them.
pub(crate) const TABLES: &str = "tables";
/// Rows that one may have.
const MOST_ROWS: usize = 10_000;
/// Columns that one may have.
const MOST_COLUMNS: usize = 64;

/// A table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FirmTable {
    /// What the cells of each column hold.
    pub columns: IndexMap<String, Kind>,
    /// The cells that are not empty, by column.
    pub rows: Vec<BTreeMap<String, Item>>,
}

/// The firm's tables, by name.
pub type Tables = BTreeMap<String, FirmTable>;

/// Reads the tables of a project's firm.
pub(super) fn read(project: &mut Project, problems: &mut Vec<Diagnosis>) -> Tables {
    let names = project.firm_files(TABLES, "csv").unwrap_or_else(|message| {
        problems.push(Diagnosis::new(Span::start(0), message));
        Vec::new()
    });
    let mut tables = Tables::new();
    for name in names {
        let number = match project.read_of_firm(&format!("{TABLES}/{name}.csv")) {
            Ok(number) => number,
            Err(message) => {
                problems.push(Diagnosis::new(Span::start(0), message));
                continue;
            }
        };
        if !is_name(&name) {
            let message =
                format!("'{name}' cannot be read in a rule; call the table by small letters, digits, - and _");
            problems.push(Diagnosis::new(Span::start(number), message));
            continue;
        }
        let text = project.files().get(number).map(|file| file.text.clone()).unwrap_or_default();
        match table(&text, number) {
            Ok(table) => {
                tables.insert(name, table);
            }
            Err(mut found) => problems.append(&mut found),
        }
    }
    tables
}

/// Whether a word can be part of a name in a rule.
fn is_name(word: &str) -> bool {
    let joins = |pair: &[u8]| pair[0] != b'-' || pair[1].is_ascii_alphabetic();
    word.starts_with(|c: char| c.is_ascii_lowercase())
        && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'-' | b'_'))
        && !word.ends_with('-')
        && word.as_bytes().windows(2).all(joins)
}

/// A table from its text.
fn table(text: &str, file: usize) -> Result<FirmTable, Vec<Diagnosis>> {
    let at = |line: usize| Span { line: u32::try_from(line).unwrap_or(u32::MAX), ..Span::start(file) };
    let mut lines = cells(text).map_err(|(line, message)| vec![Diagnosis::new(at(line), message)])?.into_iter();
    let Some((_, head)) = lines.next() else {
        return Err(vec![Diagnosis::new(at(1), "the table is empty; its first line names the columns")]);
    };
    let mut problems = Vec::new();
    let mut columns: IndexMap<String, (Kind, String)> = IndexMap::new();
    for cell in &head {
        match column(cell) {
            Ok((name, ..)) if columns.contains_key(&name) => {
                problems.push(Diagnosis::new(at(1), format!("two columns are called '{name}'")));
            }
            Ok((name, kind, unit)) => {
                columns.insert(name, (kind, unit));
            }
            Err(message) => problems.push(Diagnosis::new(at(1), message)),
        }
    }
    if head.len() > MOST_COLUMNS {
        problems.push(Diagnosis::new(at(1), format!("a table has at most {MOST_COLUMNS} columns")));
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut rows = Vec::new();
    for (line, row) in lines {
        if row.len() != columns.len() {
            let message = format!("the row has {} cells, and the head has {}", row.len(), columns.len());
            problems.push(Diagnosis::new(at(line), message));
            continue;
        }
        if rows.len() >= MOST_ROWS {
            problems.push(Diagnosis::new(at(line), format!("a table has at most {MOST_ROWS} rows")));
            break;
        }
        let mut items = BTreeMap::new();
        for (cell, (name, (kind, unit))) in row.iter().map(|cell| cell.trim()).zip(&columns) {
            match item(cell, kind, unit) {
                Ok(Some(item)) => {
                    items.insert(name.clone(), item);
                }
                Ok(None) => {}
                Err(message) => problems.push(Diagnosis::new(at(line), format!("'{name}': {message}"))),
            }
        }
        rows.push(items);
    }
    if problems.is_empty() {
        let columns = columns.into_iter().map(|(name, (kind, _))| (name, kind)).collect();
        Ok(FirmTable { columns, rows })
    } else {
        Err(problems)
    }
}

/// `psi limit [W/(m·K)]`: its name as a rule reads it, what it holds, and the unit.
fn column(head: &str) -> Result<(String, Kind, String), String> {
    let (name, said) = match head.trim().strip_suffix(']').and_then(|head| head.split_once('[')) {
        Some((name, said)) => (name.trim(), said.trim()),
        None => (head.trim(), ""),
    };
    let written = name.replace(' ', "_");
    if !is_name(&written) {
        return Err(format!(
            "the column '{}' cannot be read in a rule; call it by small letters, digits and _",
            cited(name)
        ));
    }
    let kind = match said {
        "" => Kind::Text(None),
        "number" => Kind::Number(Dimension::PLAIN),
        "date" => Kind::Date,
        "yes or no" => Kind::Flag,
        other => match unit(other) {
            Some(unit) => Kind::Number(unit.dimension),
            None => {
                return Err(format!(
                    "'[{}]' of the column '{name}' is no unit, nor number, date, or yes or no",
                    cited(other)
                ));
            }
        },
    };
    Ok((written, kind, said.to_owned()))
}

/// What a cell holds; nothing where it is empty.
fn item(cell: &str, kind: &Kind, unit: &str) -> Result<Option<Item>, String> {
    if cell.is_empty() {
        return Ok(None);
    }
    let number = |text: &str| parse(text).map_err(|error| error.to_string());
    Ok(Some(match kind {
        Kind::Number(_) if unit == "number" => match number(cell)? {
            quantity if quantity.dimension == Dimension::PLAIN => Item::Number(quantity),
            _ => return Err(format!("'{}' has a unit, and the column has none", cited(cell))),
        },
        Kind::Number(dimension) => match number(&format!("{cell} {unit}"))? {
            Quantity { si, dimension: found } if found == *dimension => Item::Number(Quantity::new(si, *dimension)),
            _ => return Err(format!("'{}' is no number of {unit}", cited(cell))),
        },
        Kind::Date => Item::Date(cell.parse::<Date>()?.to_string()),
        Kind::Flag => match cell {
            "yes" | "true" => Item::Flag(true),
            "no" | "false" => Item::Flag(false),
            _ => return Err(format!("'{}' is neither yes nor no", cited(cell))),
        },
        _ => Item::Text(cell.to_owned()),
    }))
}

/// The cells of every line that is not empty, with the line's number from 1.
#[allow(clippy::type_complexity, reason = "lines of cells, or a line with what is wrong there")]
fn cells(text: &str) -> Result<Vec<(usize, Vec<String>)>, (usize, String)> {
    let mut lines = Vec::new();
    let (mut row, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    let (mut line, mut began) = (1, 1);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' if quoted => quoted = false,
            '"' if cell.trim().is_empty() => {
                cell.clear();
                quoted = true;
            }
            '"' => {
                return Err((
                    line,
                    "a cell with a quotation mark stands in quotation marks, and the mark twice".to_owned(),
                ));
            }
            ',' if !quoted => row.push(std::mem::take(&mut cell)),
            '\r' if !quoted => {}
            '\n' if !quoted => {
                row.push(std::mem::take(&mut cell));
                let row = std::mem::take(&mut row);
                if row.iter().any(|cell| !cell.trim().is_empty()) {
                    lines.push((began, row));
                }
                line += 1;
                began = line;
            }
            other => {
                line += usize::from(other == '\n');
                cell.push(other);
            }
        }
    }
    if quoted {
        return Err((began, "a quotation mark is not closed".to_owned()));
    }
    row.push(cell);
    if row.iter().any(|cell| !cell.trim().is_empty()) {
        lines.push((began, row));
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn cells_are_read_with_the_unit_of_their_column() {
        let text = "detail,psi limit [W/(m·K)],issued [date],in use [yes or no],count [number]\r\n\
                    A-501,0.02,2026-01-15,yes,3\r\n\"A-502, rim\",\"1\",,no,\r\n\r\n";
        let table = table(text, 0).unwrap();
        assert_eq!(table.columns.keys().collect::<Vec<_>>(), ["detail", "psi_limit", "issued", "in_use", "count"]);
        assert_eq!(table.rows.len(), 2);
        assert_eq!(table.rows[0]["psi_limit"], Item::Number(parse("0.02 W/(m·K)").unwrap()));
        assert_eq!(table.rows[0]["issued"], Item::Date("2026-01-15".to_owned()));
        assert_eq!(table.rows[1]["detail"], Item::Text("A-502, rim".to_owned()));
        assert!(!table.rows[1].contains_key("issued") && !table.rows[1].contains_key("count"));
    }

    #[test]
    fn every_mistake_is_told_in_its_line() {
        let told = |text: &str| {
            let problems = table(text, 0).unwrap_err();
            problems.iter().map(|one| format!("{}: {}", one.at.line, one.message)).collect::<Vec<_>>().join("; ")
        };
        assert_eq!(told(""), "1: the table is empty; its first line names the columns");
        assert!(told("A [furlong]\nx\n").starts_with("1: the column 'A' cannot be read in a rule"));
        assert_eq!(
            told("a [furlongs]\nx\n"),
            "1: '[furlongs]' of the column 'a' is no unit, nor number, date, or yes or no"
        );
        assert_eq!(told("a,a\nx,y\n"), "1: two columns are called 'a'");
        assert_eq!(told("a,b\nx\n"), "2: the row has 1 cells, and the head has 2");
        assert_eq!(
            told("a [in],b [date]\n1 ft,soon\n"),
            "2: 'a': unknown unit 'ft in'; 2: 'b': 'soon' is not a date such as 2026-10-05"
        );
        assert_eq!(told("a\n\"x\n"), "2: a quotation mark is not closed");
    }
}
