//! Terms of worked calculations.

use crate::facts::{EARTH, LINE};
use mateline_model::quantity::{Area, Length, LineLoad, Money, Pressure, Quantity, Ratio, Units, Volume};
use mateline_model::{Basis, Origin, QuantityDef, Step, Subject, Term};
use std::borrow::Cow;

/// No more terms of a sum are listed one by one.
const LISTED: usize = 40;

/// Every result here is for planning.
pub const PRELIMINARY: &str = "preliminary, for the licensed designer, who decides on loads, soil and structure";

/// A calculation from geometry.
pub fn geometry(method: &'static str) -> Basis {
    Basis::new(method, "geometry")
}

/// A calculation that practice backs and no source.
pub fn practice(method: &'static str) -> Basis {
    Basis::new(method, "common practice, no source")
}

/// A value as the home gives it.
pub fn given(term: Term) -> Basis {
    let equation = format!("{0} = {0}", term.symbol);
    let result = Term { origin: Origin::Computed, ..term.clone() };
    Basis::new("given", "the home").step(Step::new(equation).term(term).result(result))
}

/// A length (m).
pub fn length(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, metres: f64) -> Term {
    Term::new(symbol, meaning, Length::from_si(metres), Units::LENGTH)
}

/// An area (m²).
pub fn area(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Area::from_si(value), Units::AREA)
}

/// A volume of earth or concrete (m³).
pub fn earth(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Volume::from_si(value), EARTH)
}

/// A load along a line (N/m).
pub fn line(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, LineLoad::from_si(value), LINE)
}

/// A load per area (Pa).
pub fn load(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Pressure::from_si(value), Units::LOAD)
}

/// A share or a ratio, as a percentage.
pub fn share(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Ratio::from_si(value), Units::PERCENT)
}

/// A plain number.
pub fn plain(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64, digits: u8) -> Term {
    Term::new(symbol, meaning, value, Units::plain(digits))
}

/// Money.
pub fn money(symbol: impl Into<Cow<'static, str>>, meaning: impl Into<String>, value: f64) -> Term {
    Term::new(symbol, meaning, Money::from_si(value), Units::MONEY)
}

/// A term that is a fact of this plugin.
pub fn own(term: Term, subject: &Subject, definition: &QuantityDef) -> Term {
    term.fact(subject, definition.name.clone())
}

/// A sum with its terms, numbered; beyond [`LISTED`] the rest is one term.
pub fn sum(result: Term, mut terms: Vec<Term>) -> Step {
    if terms.len() > LISTED {
        let rest: Vec<Term> = terms.drain(LISTED..).collect();
        let numbers: Vec<_> = rest.iter().filter_map(|term| term.value.number()).collect();
        if let Some(first) = numbers.first() {
            let total = numbers.iter().map(|quantity| quantity.si).sum();
            let quantity = Quantity::new(total, first.dimension);
            let meaning = format!("{} more together", rest.len());
            terms.push(Term::new("", meaning, quantity, result.units.clone()));
        }
    }
    let symbol = result.symbol.clone();
    for (index, term) in terms.iter_mut().enumerate() {
        term.symbol = format!("{symbol}{}", index + 1).into();
    }
    let equation = match terms.len() {
        0 => format!("{symbol} = 0"),
        1 => format!("{symbol} = {symbol}1"),
        2 => format!("{symbol} = {symbol}1 + {symbol}2"),
        count => format!("{symbol} = {symbol}1 + … + {symbol}{count}"),
    };
    Step { terms, result: Some(result), ..Step::new(equation) }
}
