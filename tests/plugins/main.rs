//! Third-party plugins as a person runs them: approval, the same facts on either side of the boundary, and every way a
//! plugin may misbehave.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop here, and says what it left out"
)]

mod examples;
mod header;
mod libraries;
mod misbehaving;
mod neighbours;
mod other_language;
mod project;
mod same_report;
mod trust;
