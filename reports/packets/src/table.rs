//! Tables whose cells know where their text comes from.

use mateline_model::Subject;
use serde::Serialize;

/// Where a cell's text comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Trace {
    /// A fact.
    Fact {
        /// What it is about.
        subject: Subject,
        /// The quantity's full name.
        quantity: String,
    },
    /// A value that the calculation of a fact takes in.
    Term {
        /// What the fact is about.
        subject: Subject,
        /// The quantity's full name.
        quantity: String,
        /// The value's symbol.
        symbol: String,
    },
    /// A verdict.
    Verdict {
        /// The rule's full name.
        rule: String,
        /// What was judged.
        subject: Subject,
    },
    /// A value of the home, by its path.
    Home {
        /// The path.
        path: String,
    },
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// Its text, with the unit where it has one.
    pub text: String,
    /// The text without the unit that stands in the column's head.
    pub bare: Option<String>,
    /// Where it comes from; none for words of the packet itself.
    pub trace: Option<Trace>,
    /// Whether it is a number.
    pub number: bool,
    /// The verdict it states, for its mark: `short`, `unproven`, `waived`, `met`.
    pub mark: Option<&'static str>,
}

impl Cell {
    /// Words of the packet itself.
    pub fn words(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), bare: None, trace: None, number: false, mark: None }
    }

    /// Text from somewhere.
    pub fn traced(text: impl Into<String>, trace: Trace, number: bool) -> Cell {
        Cell { text: text.into(), bare: None, trace: Some(trace), number, mark: None }
    }

    /// What is printed in a table.
    pub fn printed(&self) -> &str {
        self.bare.as_deref().unwrap_or(&self.text)
    }
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// The unit of all its numbers, where they share one.
    pub unit: Option<String>,
    /// Whether it holds numbers.
    pub number: bool,
    /// Its share of the table's width, in thousandths.
    pub share: usize,
    /// The same as style sheets write it: `12.5%`.
    pub width: String,
}

impl Column {
    /// The head with the unit.
    pub fn full_head(&self) -> String {
        self.unit.as_ref().map_or_else(|| self.head.clone(), |unit| format!("{} ({unit})", self.head))
    }
}

/// A table. The first cell of a row names the row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Table {
    /// The name of its CSV file, without the ending; none for a table that is not a schedule.
    pub name: Option<String>,
    /// Title.
    pub title: String,
    /// How many columns, counted from the first, stand on a page as a line above the rows that agree in them. They have
    /// no share of the width; a CSV file has them as columns like all others.
    pub above: usize,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows, each with one cell a column.
    pub rows: Vec<Vec<Cell>>,
    /// What a reader has to bear in mind; empty where nothing.
    pub note: String,
}

impl Table {
    /// A schedule, which is written to a CSV file too.
    pub fn schedule(name: &str, title: &str, heads: &[&str], rows: Vec<Vec<Cell>>) -> Table {
        Table { name: Some(name.to_owned()), ..Table::plain(title, heads, rows) }
    }

    /// A table of the page only. A column that says nothing in any row is left out; a unit that all numbers of a column
    /// share goes to its head.
    pub fn plain(title: impl Into<String>, heads: &[&str], rows: Vec<Vec<Cell>>) -> Table {
        let silent = |index: usize| rows.iter().all(|row| row.get(index).is_none_or(|cell| cell.text.is_empty()));
        let kept: Vec<usize> = (0..heads.len()).filter(|index| rows.is_empty() || !silent(*index)).collect();
        let mut columns: Vec<Column> = Vec::new();
        let mut lifted: Vec<Vec<Cell>> = rows.iter().map(|_| Vec::new()).collect();
        for index in kept {
            let cells: Vec<Cell> =
                rows.iter().map(|row| row.get(index).cloned().unwrap_or_else(|| Cell::words(""))).collect();
            let unit = shared_unit(&cells);
            let number = cells.iter().any(|cell| cell.number);
            for (row, mut cell) in lifted.iter_mut().zip(cells) {
                if let (Some(unit), true) = (&unit, cell.number) {
                    cell.bare = cell.text.strip_suffix(unit.as_str()).map(|bare| bare.trim_end().to_owned());
                }
                row.push(cell);
            }
            let head = heads.get(index).copied().unwrap_or_default().to_owned();
            columns.push(Column { head, unit, number, share: 0, width: String::new() });
        }
        let mut table = Table { name: None, title: title.into(), above: 0, columns, rows: lifted, note: String::new() };
        table.share_width();
        table
    }

    /// The same with its first columns as a line above the rows that agree in them.
    #[must_use]
    pub fn above(mut self, columns: usize) -> Table {
        self.above = columns;
        for column in self.columns.iter_mut().take(columns) {
            (column.share, column.width) = (0, String::new());
        }
        self.share_width();
        self
    }

    /// Gives each column that stands beside others its share of the width.
    fn share_width(&mut self) {
        let rows = &self.rows;
        let needs = self.columns.iter().enumerate().skip(self.above).map(|(index, column)| {
            let cells = rows.iter().filter_map(|row| row.get(index)).map(Cell::printed);
            need(&column.full_head(), cells.collect::<Vec<_>>().as_slice())
        });
        let needs: Vec<(usize, usize)> = needs.collect();
        let (least, more) = needs.iter().fold((0, 0), |(least, more), need| (least + need.0, more + need.1));
        // Where a line does not hold it all, longer texts give way before a word is cut.
        let left = LINE.saturating_sub(least).min(more);
        let shares: Vec<usize> =
            needs.iter().map(|need| need.0 + (need.1 * left).checked_div(more).unwrap_or(0)).collect();
        let whole: usize = shares.iter().sum();
        for (column, share) in self.columns.iter_mut().skip(self.above).zip(shares) {
            column.share = (1000 * share).checked_div(whole).unwrap_or(0);
            column.width = format!("{}.{}%", column.share / 10, column.share % 10);
        }
    }

    /// With a note.
    #[must_use]
    pub fn note(mut self, note: impl Into<String>) -> Table {
        self.note = note.into();
        self
    }
}

/// Characters that a line of a wide table holds on paper.
const LINE: usize = 124;

/// How much room a column needs, in characters: its longest word whole, unless it is very long; and what more it
/// deserves: most of its texts on one line where they are short, and less than in proportion where they are long.
fn need(head: &str, cells: &[&str]) -> (usize, usize) {
    const PLENTY: usize = 24;
    let count = |text: &str| text.chars().count();
    // A line breaks after the dash of a name and not within a date.
    let parts =
        |word: &'_ str| word.split('-').filter(|_| !word.starts_with(|c: char| c.is_ascii_digit())).map(count).max();
    let words = cells.iter().flat_map(|text| text.split(' ')).map(|word| parts(word).unwrap_or_else(|| count(word)));
    let words = words.chain(head.split([' ', '/']).map(count));
    let word = words.max().unwrap_or(0).clamp(3, 14) + 2;
    let mut lengths: Vec<usize> = cells.iter().map(|text| count(text)).collect();
    lengths.sort_unstable();
    let text = lengths.get(lengths.len() * 9 / 10).copied().unwrap_or(0);
    let beyond = text.saturating_sub(PLENTY);
    (word, (text.min(PLENTY) + beyond.isqrt() * 2).saturating_sub(word))
}

/// The unit that every number of a column carries.
fn shared_unit(cells: &[Cell]) -> Option<String> {
    let mut shared: Option<&str> = None;
    for cell in cells.iter().filter(|cell| cell.number) {
        let (_, unit) = cell.text.split_once(' ')?;
        if shared.is_some_and(|known| known != unit) {
            return None;
        }
        shared = Some(unit);
    }
    shared.map(str::to_owned)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn number(text: &str) -> Cell {
        Cell::traced(text, Trace::Home { path: "x".to_owned() }, true)
    }

    #[test]
    fn a_unit_that_all_share_goes_to_the_head() {
        let rows = vec![
            vec![Cell::words("A"), number("44.00 ft"), number("3 lb")],
            vec![Cell::words("B"), Cell::words("not given"), number("3 kg")],
        ];
        let table = Table::plain("Boxes", &["Box", "Length", "Weight"], rows);
        let heads: Vec<String> = table.columns.iter().map(Column::full_head).collect();
        assert_eq!(heads, ["Box", "Length (ft)", "Weight"]);
        let printed: Vec<&str> = table.rows.iter().flatten().map(Cell::printed).collect();
        assert_eq!(printed, ["A", "44.00", "3 lb", "B", "not given", "3 kg"]);
    }

    #[test]
    fn a_column_that_says_nothing_is_left_out() {
        let rows = vec![vec![Cell::words("A"), Cell::words(""), Cell::words("x")]];
        let table = Table::plain("", &["a", "b", "c"], rows);
        assert_eq!(table.columns.len(), 2);
        assert_eq!(table.rows.first().unwrap().len(), 2);
        assert_eq!(Table::plain("", &["a", "b"], Vec::new()).columns.len(), 2);
    }

    #[test]
    fn columns_that_stand_above_their_rows_leave_the_width_to_the_others() {
        let rows = vec![vec![Cell::words("a rule of many words"), Cell::words("A"), Cell::words("B")]];
        let table = Table::plain("", &["Rule", "a", "b"], rows).above(1);
        let shares: Vec<usize> = table.columns.iter().map(|column| column.share).collect();
        assert_eq!(shares, [0, 500, 500]);
    }
}
