//! Figures over the elements of a section: which there are, and how the values of the elements become one.

use super::Item;
use mateline_model::quantity::Quantity;

/// How the elements of a section become one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Whether there is one of them.
    Any,
    /// Whether something is so of each of them.
    All,
    /// Whether there is none of them.
    None,
    /// How many there are.
    Count,
    /// The sum of their values.
    Sum,
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// The mean, weighted where a weight is given.
    Mean,
}

impl Figure {
    /// All of them, as a page tells of them.
    pub const ALL: [Figure; 8] =
        [Figure::Any, Figure::All, Figure::None, Figure::Count, Figure::Sum, Figure::Min, Figure::Max, Figure::Mean];

    /// As it is written.
    pub fn name(self) -> &'static str {
        match self {
            Figure::Any => "any",
            Figure::All => "all",
            Figure::None => "none",
            Figure::Count => "count",
            Figure::Sum => "sum",
            Figure::Min => "min",
            Figure::Max => "max",
            Figure::Mean => "mean",
        }
    }

    /// What it says.
    pub fn says(self) -> &'static str {
        match self {
            Figure::Any => "Whether one of the elements fits.",
            Figure::All => "Whether the first condition is so of each element that fits.",
            Figure::None => "Whether none of the elements fits.",
            Figure::Count => "How many elements fit.",
            Figure::Sum => "The sum of the values of those that fit; nought where none does.",
            Figure::Min => "The least of their values, or the first of dates.",
            Figure::Max => "The greatest of their values, or the last of dates.",
            Figure::Mean => "The mean of their values, by their weights where these are given.",
        }
    }

    /// Whether it is of something about each element, and not of the elements themselves.
    pub(crate) fn has_value(self) -> bool {
        !matches!(self, Figure::Any | Figure::None | Figure::Count)
    }

    /// How it is written in full.
    pub fn form(self) -> String {
        let name = self.name();
        match self {
            _ if !self.has_value() => format!("{name}(SECTION where CONDITION)"),
            Figure::All => format!("{name}(CONDITION over SECTION where CONDITION)"),
            Figure::Mean => format!("{name}(VALUE over SECTION where CONDITION weighted_by VALUE)"),
            _ => format!("{name}(VALUE over SECTION where CONDITION)"),
        }
    }
}

/// The figure of values with their weights: of quantities, or the first and the last of dates.
///
/// # Errors
/// Why there is none.
pub(super) fn of(figure: Figure, values: &[(Item, f64)]) -> Result<Item, String> {
    if values.is_empty() && matches!(figure, Figure::Min | Figure::Max | Figure::Mean) {
        return Err("no element fits".to_owned());
    }
    let dates: Vec<&str> = values.iter().filter_map(|(value, _)| value.as_date()).collect();
    if !dates.is_empty() && dates.len() == values.len() {
        let end = if figure == Figure::Min { dates.iter().min() } else { dates.iter().max() };
        return end.map(|date| Item::Date((*date).to_owned())).ok_or_else(|| "no element fits".to_owned());
    }
    let numbers: Vec<(Quantity, f64)> =
        values.iter().filter_map(|(v, weight)| Some((v.as_number()?, *weight))).collect();
    if numbers.len() != values.len() {
        return Err("numbers are needed".to_owned());
    }
    let dimension = numbers.first().map_or(mateline_model::quantity::Dimension::PLAIN, |(first, _)| first.dimension);
    let si = || numbers.iter().map(|(value, _)| value.si);
    let si = match figure {
        Figure::Min => si().fold(f64::INFINITY, f64::min),
        Figure::Max => si().fold(f64::NEG_INFINITY, f64::max),
        Figure::Mean => {
            let weights: f64 = numbers.iter().map(|(_, weight)| weight).sum();
            if weights <= 0.0 {
                return Err("its weights sum up to nothing".to_owned());
            }
            numbers.iter().map(|(value, weight)| value.si * weight).sum::<f64>() / weights
        }
        _ => si().sum(),
    };
    if si.is_finite() {
        Ok(Item::Number(Quantity::new(si, dimension)))
    } else {
        Err("the result is too large to reckon with".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn by(figure: Figure, values: &[(f64, f64)]) -> Result<f64, String> {
        let values: Vec<(Item, f64)> = values.iter().map(|(v, w)| (Item::Number(Quantity::plain(*v)), *w)).collect();
        of(figure, &values).map(|item| item.as_number().map_or(f64::NAN, |quantity| quantity.si))
    }

    #[test]
    fn figures_by_hand() {
        let values = [(1.0, 1.0), (4.0, 3.0)];
        assert_eq!(by(Figure::Sum, &values), Ok(5.0));
        assert_eq!(by(Figure::Min, &values), Ok(1.0));
        assert_eq!(by(Figure::Max, &values), Ok(4.0));
        assert_eq!(by(Figure::Mean, &values), Ok(3.25));
        assert_eq!(by(Figure::Mean, &[(1.0, 1.0), (4.0, 1.0)]), Ok(2.5));
        assert_eq!(by(Figure::Sum, &[]), Ok(0.0));
        assert!(by(Figure::Mean, &[]).is_err() && by(Figure::Min, &[]).is_err());
        assert!(by(Figure::Mean, &[(1.0, 0.0)]).is_err());
        let dates = ["2026-03-01", "2026-02-28"].map(|date| (Item::Date(date.to_owned()), 1.0));
        assert_eq!(of(Figure::Max, &dates), Ok(Item::Date("2026-03-01".to_owned())));
        assert_eq!(of(Figure::Min, &dates), Ok(Item::Date("2026-02-28".to_owned())));
    }
}
