//! What would it take: the changes that turn an open verdict, tried on the home itself.
//!
//! What may be changed, in which steps and at what price, levers say ([`levers`]). While searching, only what the verdict
//! looks at is run and judged, roughly where the engine has a way and the limit is far ([`trials`]); what is suggested has been checked as a whole. Along a lever to one side a
//! verdict is taken to be monotone: what its farthest step does not turn, no step before does.

mod combinations;
mod dials;
mod follows;
mod levers;
mod search;
mod towards;
mod trials;
mod turned;

pub(crate) use dials::Dial;
pub use dials::{Change, Price};
pub use levers::Levers;
pub(crate) use levers::{Handle, is_of, values};
pub use search::{Remedy, Search};
pub use towards::{Bought, Reached, Target, Way};
pub(crate) use trials::Trials;
pub use turned::Turned;
