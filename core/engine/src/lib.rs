//! Loading, scheduling, judging. The engine knows no building science: it moves values, names and verdicts.
//!
//! - [`load`]: files to a typed home in which every value's place is known.
//! - [`schedule`]: plugins in the order of what they read, in parallel, each contained.
//! - [`host`]: third-party plugins, which may be loaded and where they run.
//! - [`pack`]: rule packs, their names and units checked when they are loaded.
//! - [`expr`]: the expression language of rules.
//! - [`judge`]: facts against rules.
//! - [`check`]: all of it in a row.
//! - [`session`]: one home again and again, in which only what an edit touched is redone.
//! - [`compare`]: two revisions side by side.
//! - [`remedies`]: the changes that turn an open verdict or meet a pack.
//! - [`study`]: many variants of homes.

pub mod check;
pub mod compare;
mod digest;
pub mod expr;
mod found;
pub mod host;
pub mod judge;
pub mod load;
mod memory;
mod only;
pub mod pack;
mod pattern;
pub mod remedies;
pub mod schedule;
pub mod schemas;
pub mod session;
mod settings;
pub mod study;
pub mod worker;

pub use check::{Engine, Options};
pub use load::BadInput;
pub use session::Session;
