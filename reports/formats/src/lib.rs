//! Reports: one function per format, each a pure function of the engine's `Report`.
//!
//! Chooses words, order and looks; computes no physics, judges nothing, prints nothing and reads no clock. The same
//! report gives the same bytes.

pub mod acts;
pub mod annotations;
pub mod badge;
mod comment;
pub mod comparison;
pub mod csv;
mod error;
pub mod figures;
mod finding;
#[cfg(test)]
mod fixture;
pub mod homes;
pub mod html;
pub mod json;
pub mod junit;
pub mod markdown;
mod nearest;
pub mod overrides;
pub mod printable;
pub mod sarif;
pub mod sheet;
pub mod shown;
pub mod since;
pub mod study;
pub mod templates;
pub mod text;
pub mod worked;

pub use comment::LONGEST_COMMENT;
pub use error::ReportError;
pub use homes::CheckedHome;

/// The version of mateline that writes the reports.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
