//! The vocabulary of mateline: the home, quantities and units, facts with their bases, figures, verdicts and the report.
//!
//! Holds no limits, does no input or output, and knows no building science.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here"))]

mod comparison;
mod equation;
mod fact;
mod figure;
pub mod file_name;
pub mod home;
pub mod portable;
pub mod quantity;
mod read;
mod report;
mod study;
mod subject;
mod verdict;
mod wanted;

pub use comparison::*;
pub use equation::{Equation, EquationSymbol, Symbol, Worked};
pub use fact::*;
pub use figure::*;
pub use home::Home;
pub use read::{Misread, read};
pub use report::*;
pub use study::{StudyHead, StudyRow};
pub use subject::Subject;
pub use verdict::*;
