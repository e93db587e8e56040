//! Heat through assemblies and openings: published cases, properties, and what a home gets.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]

mod assemblies;
mod heat_loss;
mod properties;
mod published;
mod support;
mod trade;
