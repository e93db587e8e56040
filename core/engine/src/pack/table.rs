//! Tables of limits, and how a value finds its row.

use super::key::Key;
use mateline_model::quantity::Dimension;

/// A table: the row is chosen by the value of a name.
#[derive(Clone, Debug)]
pub struct Table<T> {
    /// The name whose value chooses the row.
    pub by: String,
    /// What kind of value that is.
    pub measure: Measure,
    rows: Vec<TableRow<T>>,
}

#[derive(Clone, Debug)]
struct TableRow<T> {
    written: String,
    keys: Vec<Key>,
    value: Option<T>,
}

/// What a table's rows are chosen by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Words and numbered classes.
    Words,
    /// Words that a plugin finds, which nobody can list in full: one without a row is no fault of the table.
    FreeWords,
    /// Values of one dimension.
    Values(Dimension),
    /// The same, with what lies between two rows interpolated.
    Interpolated(Dimension),
}

impl Measure {
    /// What the values measure, where rows are chosen by values.
    pub fn dimension(self) -> Option<Dimension> {
        match self {
            Measure::Words | Measure::FreeWords => None,
            Measure::Values(dimension) | Measure::Interpolated(dimension) => Some(dimension),
        }
    }
}

/// What chooses a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Probe {
    /// A word.
    Word(String),
    /// A value in SI.
    Value(f64),
}

/// What a table says of a value.
#[derive(Clone, Debug, PartialEq)]
pub enum Row<'a, T> {
    /// The row of this number says this.
    Found(usize, &'a T),
    /// So far on the way from this row to the next; the number is that of the first.
    Between(usize, &'a T, &'a T, f64),
    /// The row of this number says that there is no limit.
    NoLimit(usize),
    /// No row stands for the value.
    Gap,
    /// Two rows stand for the value, and neither more narrowly than the other.
    Overlap(&'a str, &'a str),
}

impl<T> Table<T> {
    /// A table from its keys and values; `None` for a value says that there is no limit.
    ///
    /// # Errors
    /// Every key that cannot be read or stands twice: the row's number and what is wrong.
    pub fn new(by: &str, measure: Measure, rows: Vec<(String, Option<T>)>) -> Result<Table<T>, Vec<(usize, String)>> {
        let mut errors = Vec::new();
        let mut read: Vec<TableRow<T>> = Vec::new();
        for (number, (written, value)) in rows.into_iter().enumerate() {
            let mut keys = Vec::new();
            for part in written.split(',') {
                let key = match measure {
                    Measure::Words | Measure::FreeWords => Ok(Key::of_words(part)),
                    Measure::Values(dimension) => Key::of_values(part, dimension),
                    Measure::Interpolated(dimension) => match Key::of_values(part, dimension) {
                        Ok(key @ Key::Exactly(_)) => Ok(key),
                        Ok(_) => Err(format!("'{}' is no single value to interpolate from", part.trim())),
                        Err(message) => Err(message),
                    },
                };
                match key {
                    Ok(key) if read.iter().flat_map(|row| &row.keys).chain(&keys).any(|earlier| *earlier == key) => {
                        errors.push((number, format!("the key '{}' stands twice in the table", part.trim())));
                    }
                    Ok(key) => keys.push(key),
                    Err(message) => errors.push((number, message)),
                }
            }
            if value.is_none() && matches!(measure, Measure::Interpolated(_)) {
                errors.push((number, format!("'{written}' has no limit to interpolate from")));
            }
            read.push(TableRow { written, keys, value });
        }
        if let Measure::Interpolated(_) = measure {
            if read.len() < 2 {
                errors.push((0, "a table to interpolate in has two rows or more".to_owned()));
            }
            read.sort_by(|a, b| place(a).total_cmp(&place(b)));
        }
        if errors.is_empty() { Ok(Table { by: by.to_owned(), measure, rows: read }) } else { Err(errors) }
    }

    /// Numbers and keys of the rows that stand for none of these words.
    pub fn idle<'a>(&'a self, words: &'a [String]) -> impl Iterator<Item = (usize, &'a str)> {
        let fits =
            |row: &TableRow<T>| words.iter().any(|word| row.keys.iter().any(|key| key.fits_word(word).is_some()));
        self.rows
            .iter()
            .enumerate()
            .filter(move |(_, row)| !fits(row))
            .map(|(number, row)| (number, row.written.as_str()))
    }

    /// The row for a value: the one whose key fits most narrowly.
    pub fn row(&self, probe: &Probe) -> Row<'_, T> {
        if let (Measure::Interpolated(_), Probe::Value(value)) = (self.measure, probe) {
            return self.interpolated(*value);
        }
        let mut best: Option<(u8, usize, &TableRow<T>)> = None;
        let mut rival: Option<&TableRow<T>> = None;
        for (number, row) in self.rows.iter().enumerate() {
            let fit = row.keys.iter().filter_map(|key| match probe {
                Probe::Word(word) => key.fits_word(word),
                Probe::Value(value) => key.fits_value(*value),
            });
            let Some(fit) = fit.max() else { continue };
            match best {
                Some((narrowest, ..)) if fit < narrowest => {}
                Some((narrowest, ..)) if fit == narrowest => rival = Some(row),
                _ => (best, rival) = (Some((fit, number, row)), None),
            }
        }
        match (best, rival) {
            (Some((_, _, row)), Some(rival)) => Row::Overlap(&row.written, &rival.written),
            (Some((_, number, row)), None) => match &row.value {
                Some(value) => Row::Found(number, value),
                None => Row::NoLimit(number),
            },
            (None, _) => Row::Gap,
        }
    }

    /// The rows are in order of their keys.
    fn interpolated(&self, value: f64) -> Row<'_, T> {
        for (number, pair) in self.rows.windows(2).enumerate() {
            let [low, high] = pair else { continue };
            let (from, to) = (place(low), place(high));
            let (Some(first), Some(second)) = (&low.value, &high.value) else { continue };
            if value == from {
                return Row::Found(number, first);
            }
            if value == to {
                return Row::Found(number + 1, second);
            }
            if from < value && value < to {
                return Row::Between(number, first, second, (value - from) / (to - from));
            }
        }
        Row::Gap
    }

    /// Every value in the table.
    pub fn values(&self) -> impl Iterator<Item = &T> {
        self.rows.iter().filter_map(|row| row.value.as_ref())
    }

    /// Keys and values as the file writes them.
    pub fn shown(&self) -> impl Iterator<Item = (&str, Option<&T>)> {
        self.rows.iter().map(|row| (row.written.as_str(), row.value.as_ref()))
    }

    /// Values that together try every row, every end of a range and what lies beyond.
    pub fn probes(&self) -> Vec<Probe> {
        let keys = || self.rows.iter().flat_map(|row| &row.keys);
        if self.measure.dimension().is_some() {
            let mut ends: Vec<f64> = keys()
                .flat_map(|key| match key {
                    Key::Exactly(value) => [Some(*value), None],
                    Key::Within(from, to) => [from.value(), to.value()],
                    _ => [None, None],
                })
                .flatten()
                .collect();
            ends.sort_by(f64::total_cmp);
            let middles: Vec<f64> = ends.windows(2).map(|pair| pair.iter().sum::<f64>() / 2.0).collect();
            let beyond =
                [ends.first().map(|low| low - low.abs() - 1.0), ends.last().map(|high| high + high.abs() + 1.0)];
            return ends.into_iter().chain(middles).chain(beyond.into_iter().flatten()).map(Probe::Value).collect();
        }
        let classes = |number: u32| ["", "A", "B", "C"].map(|letter| Probe::Word(format!("{number}{letter}")));
        let mut probes = vec![Probe::Word("\u{1}".to_owned())];
        for key in keys() {
            match key {
                Key::Word(word) => probes.push(Probe::Word(word.clone())),
                Key::Number(number) => probes.extend(classes(*number)),
                Key::Range(from, to) => probes.extend((*from..=*to).take(100).flat_map(classes)),
                _ => {}
            }
        }
        probes
    }
}

/// The value a row of an interpolated table stands for.
fn place<T>(row: &TableRow<T>) -> f64 {
    row.keys.iter().find_map(|key| if let Key::Exactly(value) = key { Some(*value) } else { None }).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    type Made = Result<Table<i32>, Vec<(usize, String)>>;

    fn made(measure: Measure, rows: &[(&str, Option<i32>)]) -> Made {
        let rows = rows.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect();
        Table::new("site.climate_zone", measure, rows)
    }

    fn word(word: &str) -> Probe {
        Probe::Word(word.to_owned())
    }

    #[test]
    fn the_narrowest_key_wins() {
        let rows = [("0-2", Some(1)), ("3", Some(2)), ("4", Some(3)), ("4C, 5", Some(4)), ("6-8", None)];
        let table = made(Measure::Words, &rows).unwrap();
        for (zone, row) in [("1A", 1), ("0B", 1), ("3C", 2), ("4A", 3), ("4C", 4), ("4c", 4), ("5B", 4)] {
            assert!(matches!(table.row(&word(zone)), Row::Found(_, value) if *value == row), "{zone}");
        }
        assert_eq!(table.row(&word("7")), Row::NoLimit(4));
        assert_eq!(table.row(&word("wall")), Row::Gap);
    }

    #[test]
    fn words_and_the_fallback() {
        let table = made(Measure::Words, &[("wall", Some(1)), ("else", Some(2))]).unwrap();
        assert_eq!(table.row(&word("wall")), Row::Found(0, &1));
        assert_eq!(table.row(&word("roof")), Row::Found(1, &2));
    }

    #[test]
    fn two_rows_for_one_value_are_told() {
        let table = made(Measure::Words, &[("0-3", Some(1)), ("3-8", Some(2))]).unwrap();
        assert_eq!(table.row(&word("3A")), Row::Overlap("0-3", "3-8"));
        assert_eq!(table.row(&word("4A")), Row::Found(1, &2));
        let table =
            made(Measure::Values(Dimension::PLAIN), &[("0-3", Some(1)), ("3-8", Some(2)), ("5", Some(9))]).unwrap();
        assert_eq!(table.row(&Probe::Value(3.0)), Row::Overlap("0-3", "3-8"));
        assert_eq!(table.row(&Probe::Value(5.0)), Row::Found(2, &9));
        assert_eq!(table.row(&Probe::Value(8.5)), Row::Gap);
    }

    #[test]
    fn between_two_rows_a_share_of_the_way() {
        let rows = [("10 ft", Some(5)), ("0 ft", Some(1)), ("20 ft", Some(7))];
        let table = made(Measure::Interpolated(Dimension::LENGTH), &rows).unwrap();
        let feet = |value: f64| Probe::Value(value * 0.3048);
        assert_eq!(table.row(&feet(0.0)), Row::Found(0, &1));
        assert_eq!(table.row(&feet(10.0)), Row::Found(1, &5));
        assert_eq!(table.row(&feet(20.0)), Row::Found(2, &7));
        assert!(matches!(table.row(&feet(2.5)), Row::Between(0, 1, 5, share) if (share - 0.25).abs() < 1e-12));
        assert_eq!(table.row(&feet(20.1)), Row::Gap);
        assert_eq!(table.row(&feet(-0.1)), Row::Gap);
    }

    #[test]
    fn a_key_that_stands_twice_is_an_error() {
        let twice = made(Measure::Words, &[("3", Some(1)), ("4, 3", Some(2))]).err();
        assert_eq!(twice, Some(vec![(1, "the key '3' stands twice in the table".to_owned())]));
    }

    #[test]
    fn what_cannot_be_interpolated_is_an_error() {
        let told = made(Measure::Interpolated(Dimension::PLAIN), &[("0-2", Some(1)), ("3", None)]).err().unwrap();
        assert_eq!(told[0].1, "'0-2' is no single value to interpolate from");
        assert_eq!(told[1].1, "'3' has no limit to interpolate from");
        assert!(made(Measure::Interpolated(Dimension::PLAIN), &[("3", Some(1))]).is_err());
    }
}
