//! Heat through a plane section in steady state, by finite volumes.
//!
//! In order: a section of rectangles ([`section`], [`arrangement`]) is laid on a graded grid that keeps to the edges of
//! materials ([`grid`], [`mesh`]) and solved ([`conduction`], [`cholesky`]), on finer and finer grids until the result settles
//! ([`solution`]). It knows no home: a crate of its own, so that it alone is optimised where tests are built.
//!
//! Source: ISO 10211:2017 (cases 1 and 2 of its annex C are reproduced), from memory.

pub mod arrangement;
pub mod cholesky;
pub mod conduction;
mod dissection;
mod elimination;
pub mod grid;
pub mod mesh;
mod probe;
pub mod section;
pub mod solution;
pub mod unsolved;
