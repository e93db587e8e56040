//! Studies: many variants of homes, each judged by what is asked of it and no more.
//!
//! A study file names homes, what is varied, climates, and what is asked. [`plan`] reads it and numbers the variants;
//! [`run`] checks them, in any number of threads to the same bytes; [`parts`] puts the rows of several machines together.

mod parts;
mod plan;
mod run;
mod sample;

pub use parts::{Kept, Merged, PartFault, head, merged};
pub use plan::{Column, Plan, Shard, Varied, judging};
pub use sample::Sample;
