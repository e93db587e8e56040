//! Footings, soil and concrete of whole homes, and published cases.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]

mod facts;
mod published;
mod standing;
mod support;
mod unsaid;
