//! The leakage budget of whole homes.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod figures;
mod forecast;
mod home;
mod support;
