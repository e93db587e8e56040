//! A figure over the elements of a section, such as the area of all surfaces to the outdoors.

use super::value_file::AggregateFile;
use crate::expr::Expression;
use mateline_model::quantity::Dimension;
use std::fmt;

/// How the values of the elements become one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Their sum.
    Sum,
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// Their mean, weighted where a weight is given.
    Mean,
    /// How many there are.
    Count,
}

impl Figure {
    /// As a pack writes it.
    pub fn name(self) -> &'static str {
        match self {
            Figure::Sum => "sum",
            Figure::Min => "min",
            Figure::Max => "max",
            Figure::Mean => "mean",
            Figure::Count => "count",
        }
    }
}

/// A figure over the elements of a section.
#[derive(Clone, Debug)]
pub struct Aggregate {
    /// How the values become one.
    pub figure: Figure,
    /// The value of one element; none for a count.
    pub of: Option<Expression>,
    /// The section.
    pub over: Vec<String>,
    /// Which of its elements.
    pub filter: Option<Expression>,
    /// What a mean is weighted by.
    pub weight: Option<Expression>,
    /// What the figure measures.
    pub dimension: Dimension,
}

impl fmt::Display for Aggregate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let over = self.over.join(".");
        match &self.of {
            Some(of) => write!(f, "{} of {} over {over}", self.figure.name(), of.text())?,
            None => write!(f, "{} of {over}", self.figure.name())?,
        }
        if let Some(filter) = &self.filter {
            write!(f, " where {}", filter.text())?;
        }
        if let Some(weight) = &self.weight {
            write!(f, ", weighted by {}", weight.text())?;
        }
        Ok(())
    }
}

/// What a file's figure is and what it is of.
///
/// # Errors
/// What is said twice, or not at all.
pub(super) fn figure(file: &AggregateFile) -> Result<(Figure, &str), String> {
    let given: Vec<(Figure, &str)> = [
        (Figure::Sum, &file.sum),
        (Figure::Min, &file.min),
        (Figure::Max, &file.max),
        (Figure::Mean, &file.mean),
        (Figure::Count, &file.count),
    ]
    .into_iter()
    .filter_map(|(figure, text)| Some((figure, text.as_deref()?)))
    .collect();
    let [(figure, of)] = given.as_slice() else {
        return Err(format!("the value has {} figures; give one of sum, min, max, mean and count", given.len()));
    };
    match (figure, &file.over) {
        (Figure::Count, Some(_)) => Err("'count' names its section itself; drop 'over'".to_owned()),
        (Figure::Count, None) => Ok((*figure, of)),
        (_, None) => Err(format!("'{}' needs a section: 'over'", figure.name())),
        _ if file.weighted_by.is_some() && *figure != Figure::Mean => {
            Err(format!("'{}' takes no weights; only 'mean' does", figure.name()))
        }
        _ => Ok((*figure, of)),
    }
}
