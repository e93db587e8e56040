//! Reports: one function per format, each a pure function of the engine's `Report`.
//!
//! Chooses words, order and looks; computes no physics, judges nothing, prints nothing and reads no clock. The same
//! report gives the same bytes.

pub mod comparison;
mod error;
pub mod figures;
#[cfg(test)]
mod fixture;
pub mod html;
pub mod json;
mod nearest;
mod printable;
mod shown;
mod templates;
pub mod text;

pub use error::ReportError;

/// The version of mateline that writes the reports.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
