//! Worked calculations: sums that list their terms, up to a number a reader can follow.

use mateline_model::quantity::{Area, Length, Quantity, Units, Volume};
use mateline_model::{Basis, Step, Term};

/// No more terms of a sum are listed.
pub const TERMS: usize = 40;

/// A calculation from the geometry of the boxes.
pub fn geometry(method: &'static str) -> Basis {
    Basis::new(method, "geometry of the boxes")
}

/// A computed length (m).
pub fn length(symbol: impl Into<std::borrow::Cow<'static, str>>, meaning: impl Into<String>, metres: f64) -> Term {
    Term::new(symbol, meaning, Length::from_si(metres), Units::LENGTH)
}

/// A computed area (m²).
pub fn area(symbol: impl Into<std::borrow::Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Area::from_si(value), Units::AREA)
}

/// A computed volume (m³).
pub fn volume(symbol: impl Into<std::borrow::Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Volume::from_si(value), Units::VOLUME)
}

/// A sum: `A = A1 + … + A5`, at most [`TERMS`] terms by themselves and the others together.
///
/// The terms' symbols are replaced by the symbol of the result and a number.
pub fn sum(result: Term, mut terms: Vec<Term>) -> Step {
    let symbol = result.symbol.clone();
    let others = terms.len().saturating_sub(TERMS);
    if others > 0 {
        let rest: Vec<Quantity> = terms.drain(TERMS..).filter_map(|term| term.value.number()).collect();
        let total = rest.iter().map(|quantity| quantity.si).sum();
        if let Some(first) = rest.first() {
            let quantity = Quantity::new(total, first.dimension);
            terms.push(Term::new("", format!("{others} more together"), quantity, result.units.clone()));
        }
    }
    let equation = match terms.len() {
        0 => format!("{symbol} = 0"),
        1 => format!("{symbol} = {symbol}1"),
        2 => format!("{symbol} = {symbol}1 + {symbol}2"),
        3 => format!("{symbol} = {symbol}1 + {symbol}2 + {symbol}3"),
        count => format!("{symbol} = {symbol}1 + … + {symbol}{count}"),
    };
    for (position, term) in terms.iter_mut().enumerate() {
        term.symbol = format!("{symbol}{}", position + 1).into();
    }
    Step { terms, result: Some(result), ..Step::new(equation) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fifty terms of 1 m²: forty by themselves, ten together, and the terms still add up to the result.
    #[test]
    fn a_long_sum_says_how_many_more() {
        let step = sum(area("A", "all", 50.0), (0..50).map(|_| area("", "one", 1.0)).collect());
        assert_eq!(step.terms.len(), 41);
        assert_eq!(step.equation, "A = A1 + … + A41");
        let total: f64 = step.terms.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).sum();
        assert_eq!(total, 50.0);
        assert!(step.terms.last().is_some_and(|term| term.meaning == "10 more together"));
    }
}
