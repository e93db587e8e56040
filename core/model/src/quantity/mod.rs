//! Quantities: numbers that know what they measure.
//!
//! At the edges a value is a [`Quantity`] (an SI number and a [`Dimension`]), read from text by [`parse`] and shown in
//! the unit asked for by [`show`]. Inside a calculation it is one of the types of [`typed`], so that the compiler
//! refuses to add an R-value to a U-factor.

mod show;
mod tape;
mod typed;
mod usual;

pub use mateline_units::{ATOMS, Dimension, ParseError, Quantity, TYPES, Unit, parse, spellings, unit};
pub use show::{UnitSystem, Units, number};
pub use tape::by_tape;
pub use typed::*;
