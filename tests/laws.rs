//! Laws that hold for every home, tried on the examples and on random homes.

mod conservation;
mod deletions;
mod homes;
mod limits;
mod monotony;
mod silence;
mod symmetry;
mod unproven;
