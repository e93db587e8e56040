//! Heat through junctions: cases of the standard, other solvers, properties, and what a home gets.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod cholesky;
mod details;
mod hard_sections;
mod homes;
mod iso_10211;
mod properties;
mod reference;
mod sections_that_cannot_be;
mod studs_and_ground;
mod support;
