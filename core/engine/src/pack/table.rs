//! Rows of a limit table and how a value finds its row.

/// A table: the row is chosen by the value of a name.
#[derive(Clone, Debug)]
pub struct Table<T> {
    /// The name whose value chooses the row.
    pub by: String,
    rows: Vec<(Vec<Key>, Option<T>)>,
}

/// What a row stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Key {
    /// Exactly this text.
    Word(String),
    /// A whole number, with or without one letter after it in the value: `6` is for `6A` and `6B`.
    Number(u32),
    /// Whole numbers from one to another, in the same way.
    Range(u32, u32),
    /// Whatever no other row stands for.
    Otherwise,
}

/// What a table says of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Row<'a, T> {
    /// This.
    Found(&'a T),
    /// That there is no limit.
    NoLimit,
    /// Nothing: no row stands for the value.
    NoRow,
}

impl<T> Table<T> {
    /// A table from its keys and values; `None` for a value says that there is no limit.
    ///
    /// # Errors
    /// Every key that stands twice.
    pub fn new(by: &str, rows: Vec<(String, Option<T>)>) -> Result<Table<T>, Vec<String>> {
        let rows: Vec<(Vec<Key>, Option<T>)> =
            rows.into_iter().map(|(keys, value)| (keys.split(',').map(Key::read).collect(), value)).collect();
        let keys: Vec<&Key> = rows.iter().flat_map(|(keys, _)| keys).collect();
        let twice =
            keys.iter().enumerate().filter(|(index, key)| keys.iter().take(*index).any(|earlier| earlier == *key));
        let errors: Vec<String> =
            twice.map(|(_, key)| format!("the key '{}' stands twice in the table", key.show())).collect();
        if errors.is_empty() { Ok(Table { by: by.to_owned(), rows }) } else { Err(errors) }
    }

    /// The row for a value: the one whose key fits most narrowly, the first of equals.
    pub fn row(&self, value: &str) -> Row<'_, T> {
        let mut best: Option<(u8, &Option<T>)> = None;
        for (keys, row) in &self.rows {
            let fit = keys.iter().filter_map(|key| key.fits(value)).max();
            if let Some(fit) = fit.filter(|fit| best.is_none_or(|(best, _)| *fit > best)) {
                best = Some((fit, row));
            }
        }
        match best {
            Some((_, Some(row))) => Row::Found(row),
            Some((_, None)) => Row::NoLimit,
            None => Row::NoRow,
        }
    }

    /// Every value in the table.
    pub fn values(&self) -> impl Iterator<Item = &T> {
        self.rows.iter().filter_map(|(_, value)| value.as_ref())
    }

    /// Keys and values as a person reads them.
    pub fn shown(&self) -> impl Iterator<Item = (String, Option<&T>)> {
        self.rows.iter().map(|(keys, value)| {
            let keys: Vec<String> = keys.iter().map(Key::show).collect();
            (keys.join(", "), value.as_ref())
        })
    }
}

impl Key {
    fn read(text: &str) -> Key {
        let text = text.trim();
        if text == "else" {
            return Key::Otherwise;
        }
        if let Some((from, to)) = text.split_once('-')
            && let (Ok(from), Ok(to)) = (from.trim().parse(), to.trim().parse())
        {
            return Key::Range(from, to);
        }
        text.parse().map_or_else(|_| Key::Word(text.to_owned()), Key::Number)
    }

    /// How narrowly the key fits a value; `None` when it does not.
    fn fits(&self, value: &str) -> Option<u8> {
        let number = number_before_letter(value);
        match self {
            Key::Word(word) => word.eq_ignore_ascii_case(value).then_some(3),
            Key::Number(wanted) => (number == Some(*wanted)).then_some(2),
            Key::Range(from, to) => number.is_some_and(|number| (*from..=*to).contains(&number)).then_some(1),
            Key::Otherwise => Some(0),
        }
    }

    fn show(&self) -> String {
        match self {
            Key::Word(word) => word.clone(),
            Key::Number(number) => number.to_string(),
            Key::Range(from, to) => format!("{from}-{to}"),
            Key::Otherwise => "else".to_owned(),
        }
    }
}

/// The whole number of `6`, `6A` or `12b`.
fn number_before_letter(value: &str) -> Option<u32> {
    let digits = value.strip_suffix(|c: char| c.is_ascii_alphabetic()).unwrap_or(value);
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(rows: &[(&str, Option<i32>)]) -> Result<Table<i32>, Vec<String>> {
        Table::new("site.climate_zone", rows.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect())
    }

    #[test]
    fn the_narrowest_key_wins() -> Result<(), Vec<String>> {
        let table = table(&[("0-2", Some(1)), ("3", Some(2)), ("4", Some(3)), ("4C, 5", Some(4)), ("6-8", None)])?;
        for (zone, row) in [("1A", 1), ("0B", 1), ("3C", 2), ("4A", 3), ("4C", 4), ("4c", 4), ("5B", 4)] {
            assert_eq!(table.row(zone), Row::Found(&row), "{zone}");
        }
        assert_eq!(table.row("7"), Row::NoLimit);
        assert_eq!(table.row("wall"), Row::NoRow);
        Ok(())
    }

    #[test]
    fn words_and_the_fallback() -> Result<(), Vec<String>> {
        let table = table(&[("wall", Some(1)), ("else", Some(2))])?;
        assert_eq!(table.row("wall"), Row::Found(&1));
        assert_eq!(table.row("roof"), Row::Found(&2));
        Ok(())
    }

    #[test]
    fn a_key_that_stands_twice_is_an_error() {
        assert_eq!(
            table(&[("3", Some(1)), ("4, 3", Some(2))]).err(),
            Some(vec!["the key '3' stands twice in the table".to_owned()])
        );
    }
}
