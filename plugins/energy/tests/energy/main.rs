//! Tests of the energy plugin: worked years, and what leaves them alone.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]

mod boxes;
mod cells;
mod reference;
mod touching;
mod worked;
