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

/// `xⁿ` by repeated squaring.
pub fn powi(x: f64, n: i32) -> f64 {
    let (mut power, mut square, mut rest) = (1.0, x, n.unsigned_abs());
    while rest > 0 {
        if rest & 1 == 1 {
            power *= square;
        }
        square *= square;
        rest >>= 1;
    }
    if n < 0 { 1.0 / power } else { power }
}

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
