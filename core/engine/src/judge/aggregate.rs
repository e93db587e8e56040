//! Working out a figure over the elements of a section.

use super::scope::RuleScope;
use crate::expr::{Evaluation, Expression, Item};
use crate::pack::{Aggregate, Figure};
use mateline_model::Subject;
use mateline_model::quantity::{Dimension, Quantity};

/// The figure, what is missing for it, or why it cannot be worked out.
///
/// A sum and a count over no element are zero; the least, the greatest and the mean of nothing cannot be worked out. An
/// element of which it is unknown whether it counts makes the figure unknown.
pub(super) fn evaluate(aggregate: &Aggregate, scope: &RuleScope<'_>) -> Evaluation {
    match values(aggregate, scope) {
        Ok(values) => match figure(aggregate.figure, aggregate.dimension, &values) {
            Ok(quantity) => Evaluation::Known(Item::Number(quantity)),
            Err(why) => Evaluation::Failed(format!("{aggregate}: {why}")),
        },
        Err(lack) => lack,
    }
}

/// Value and weight of every element that counts.
fn values(aggregate: &Aggregate, scope: &RuleScope<'_>) -> Result<Vec<(Quantity, f64)>, Evaluation> {
    let (mut values, mut missing) = (Vec::new(), Vec::new());
    for subject in scope.evidence.subjects(&aggregate.over).iter() {
        let inner = RuleScope { subject, section: &aggregate.over, ..*scope };
        let mut needs = |expression: &Expression| match expression.evaluate(&inner) {
            Evaluation::Known(item) => Ok(Some(item)),
            Evaluation::Unknown(lacks) => {
                missing.extend(lacks.into_iter().map(|lack| named(subject, lack)));
                Ok(None)
            }
            Evaluation::Failed(why) => Err(Evaluation::Failed(named(subject, why))),
        };
        match aggregate.filter.as_ref().map(&mut needs).transpose()? {
            None | Some(Some(Item::Flag(true))) => {}
            Some(Some(Item::Flag(false)) | None) => continue,
            Some(Some(_)) => return Err(Evaluation::Failed(format!("{subject}: 'where' is no statement"))),
        }
        let value = aggregate.of.as_ref().map(&mut needs).transpose()?;
        let weight = aggregate.weight.as_ref().map(&mut needs).transpose()?;
        let number = |item: Option<Option<Item>>| match item {
            None => Ok(Some(Quantity::plain(1.0))),
            Some(Some(Item::Number(quantity))) => Ok(Some(quantity)),
            Some(None) => Ok(None),
            Some(Some(_)) => Err(Evaluation::Failed(format!("{subject}: not a number"))),
        };
        if let (Some(value), Some(weight)) = (number(value)?, number(weight)?) {
            values.push((value, weight.si));
        }
    }
    if missing.is_empty() { Ok(values) } else { Err(Evaluation::Unknown(missing)) }
}

fn named(subject: &Subject, what: String) -> String {
    if what.contains(subject.as_str()) { what } else { format!("{subject}: {what}") }
}

fn figure(figure: Figure, dimension: Dimension, values: &[(Quantity, f64)]) -> Result<Quantity, String> {
    let numbers = || values.iter().map(|(value, _)| value.si);
    let si = match figure {
        Figure::Min | Figure::Max | Figure::Mean if values.is_empty() => return Err("no element fits".to_owned()),
        Figure::Count => return Ok(Quantity::plain(values.len() as f64)),
        Figure::Sum => numbers().sum(),
        Figure::Min => numbers().fold(f64::INFINITY, f64::min),
        Figure::Max => numbers().fold(f64::NEG_INFINITY, f64::max),
        Figure::Mean => {
            let weights: f64 = values.iter().map(|(_, weight)| weight).sum();
            if weights <= 0.0 {
                return Err("its weights sum up to nothing".to_owned());
            }
            values.iter().map(|(value, weight)| value.si * weight).sum::<f64>() / weights
        }
    };
    if si.is_finite() {
        Ok(Quantity::new(si, dimension))
    } else {
        Err("the result is too large to reckon with".to_owned())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn of(kind: Figure, values: &[(f64, f64)]) -> Result<f64, String> {
        let values: Vec<(Quantity, f64)> = values.iter().map(|(v, w)| (Quantity::plain(*v), *w)).collect();
        figure(kind, Dimension::PLAIN, &values).map(|quantity| quantity.si)
    }

    #[test]
    fn figures_by_hand() {
        let values = [(1.0, 1.0), (4.0, 3.0)];
        assert_eq!(of(Figure::Sum, &values), Ok(5.0));
        assert_eq!(of(Figure::Min, &values), Ok(1.0));
        assert_eq!(of(Figure::Max, &values), Ok(4.0));
        assert_eq!(of(Figure::Mean, &values), Ok(3.25));
        assert_eq!(of(Figure::Mean, &[(1.0, 1.0), (4.0, 1.0)]), Ok(2.5));
        assert_eq!(of(Figure::Count, &values), Ok(2.0));
        assert_eq!((of(Figure::Count, &[]), of(Figure::Sum, &[])), (Ok(0.0), Ok(0.0)));
        assert!(of(Figure::Mean, &[]).is_err() && of(Figure::Min, &[]).is_err());
        assert!(of(Figure::Mean, &[(1.0, 0.0)]).is_err());
    }
}
