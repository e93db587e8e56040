//! What would it take: the single changes that turn an open verdict, each tried by a whole check.
//!
//! What may be changed, and in which steps, levers say ([`levers`]). A lever is taken to be monotone: what its farthest
//! step does not turn, no step before does.

mod levers;
mod search;

pub use levers::{Lever, Levers, Towards};
pub use search::{Remedy, Search, Turned};
