//! Moisture through a year: published cases, sums done elsewhere, properties, and what a home gets.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test may stop here")]

mod home;
mod properties;
mod published;
mod reference;
mod support;
mod ways;
