//! The plugin on a small invented home, and networks and nights solved elsewhere.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod bases;
mod figures;
mod reference;
mod rooms;
mod support;
mod systems;
mod ways;
