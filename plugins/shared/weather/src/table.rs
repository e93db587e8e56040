//! A table of weather: its columns, its rows, and what may be wrong with it.

use crate::year::Hour;

/// Something wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line of the file, counted from 1; none where the whole file is meant.
    pub line: Option<u64>,
    /// The column's name, where one is meant.
    pub column: Option<String>,
    /// What is wrong.
    pub message: String,
}

impl Fault {
    pub(crate) fn whole(message: impl Into<String>) -> Fault {
        Fault { line: None, column: None, message: message.into() }
    }

    pub(crate) fn at(line: u64, column: &str, message: impl Into<String>) -> Fault {
        Fault { line: Some(line), column: Some(column.to_owned()), message: message.into() }
    }
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.line, &self.column) {
            (Some(line), Some(column)) => write!(f, "row {line}, {column}: {}", self.message),
            (Some(line), None) => write!(f, "row {line}: {}", self.message),
            _ => f.write_str(&self.message),
        }
    }
}

/// A column that is read.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    /// Where it stands in a row.
    pub place: usize,
    pub name: String,
    /// From its unit to SI: factor, and what is added before.
    pub factor: f64,
    pub before: f64,
}

/// Columns of values.
pub(crate) struct Columns {
    pub temperature: Column,
    pub humidity: Option<Column>,
    pub wind: Option<Column>,
    pub global: Column,
    pub direct: Column,
    pub diffuse: Column,
}

/// A row, with the line it stands on.
pub(crate) struct Row {
    pub line: u64,
    pub hour: Hour,
}
