//! What a number measures: dimensions, the table of units, and quantities read from text.
//!
//! Depends on nothing, so that `equation!` knows it while it compiles; everybody else takes it from
//! `mateline_model::quantity`.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here"))]

mod dimension;
mod parse;
mod types;
mod unit;

pub use dimension::Dimension;
pub use parse::{ParseError, parse};
pub use types::TYPES;
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

impl From<f64> for Quantity {
    fn from(number: f64) -> Quantity {
        Quantity::plain(number)
    }
}
