//! The plugin on a small invented home.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod bases;
mod figures;
mod rooms;
mod support;
mod systems;
