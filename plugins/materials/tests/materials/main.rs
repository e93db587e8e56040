//! Products, records and room air of whole homes, held against sums done elsewhere.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test may stop here")]

mod figures;
mod measured;
mod products;
mod records;
mod reference;
mod rooms;
mod support;
