//! Quantities: numbers that know what they measure.
//!
//! At the edges a value is a [`Quantity`] (an SI number and a [`Dimension`]), read from text by [`parse`] and shown in
//! the unit asked for by [`show`]. Inside a calculation it is one of the types of [`typed`], so that the compiler
//! refuses to add an R-value to a U-factor.

mod dimension;
mod parse;
mod show;
mod typed;
mod unit;

pub use dimension::Dimension;
pub use parse::{ParseError, parse};
pub use show::{UnitSystem, Units, number};
pub use typed::*;
pub use unit::{ATOMS, Unit, spellings, unit};

/// A value in SI with its dimension; temperatures on a scale are in °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The value in SI units (°C for a temperature on a scale).
    pub si: f64,
    /// What it measures.
    pub dimension: Dimension,
}

impl Quantity {
    /// A quantity of the given dimension.
    pub const fn new(si: f64, dimension: Dimension) -> Quantity {
        Quantity { si, dimension }
    }

    /// A plain number, ratio or count.
    pub const fn plain(number: f64) -> Quantity {
        Quantity::new(number, Dimension::PLAIN)
    }
}
