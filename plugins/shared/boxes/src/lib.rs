//! The boxes of a home, read once: where they stand, which of them touch, and what of them is open.
//!
//! 1. [`placed`]: where each box stands; the height of an upper box follows from those below it.
//! 2. [`contact`]: which boxes touch. Facing sides no farther apart than a marriage gap touch, where they face one
//!    another over more than a gap. Everything else asks this, pair by pair: boxes of a chain whose neighbours touch do
//!    not touch for that.
//! 3. [`faces`]: of each face the part that no other box covers, by differences of rectangles ([`region`]); triangles
//!    below sloped ceilings by their own method ([`wedge`]).
//! 4. [`edge`]: how far the edges of boxes and of contacts are open.
//! 5. [`quartet`]: lines along which four boxes meet, and which of their ends are open.
//! 6. [`outline`]: the outline of boxes in plan.
//!
//! There is one tolerance, [`coordinate::GAP`], and coordinates are whole nanometres, so that sums are exact. A library
//! for plugins and no plugin: it computes no fact and knows no limit. All results follow from geometry alone; there is
//! no outside source but the usual width of a marriage gap (common practice, no source).

pub mod contact;
pub mod coordinate;
pub mod edge;
pub mod faces;
pub mod near;
pub mod outline;
pub mod placed;
pub mod quartet;
pub mod region;
#[cfg(test)]
mod samples;
pub mod wedge;

use contact::Arrangement;
use coordinate::Nm;
use faces::{OpenFaces, open_faces};
use mateline_model::home::{Home, Id};
use placed::Placed;

/// The boxes of a home that can be placed, in the order of the file.
#[derive(Clone, Debug, Default)]
pub struct Boxes {
    /// Where they stand.
    pub placed: Vec<Placed>,
    /// How they lie to one another.
    pub arrangement: Arrangement,
    /// What of their faces is open.
    pub open: Vec<OpenFaces>,
}

impl Boxes {
    /// The boxes of a home.
    pub fn of(home: &Home) -> Boxes {
        Boxes::standing(placed::place(home))
    }

    /// The boxes of a home, with sloped ceilings taken as level at their low side.
    pub fn levelled(home: &Home) -> Boxes {
        Boxes::standing(placed::place(home).into_iter().map(Placed::levelled).collect())
    }

    fn standing(placed: Vec<Placed>) -> Boxes {
        let arrangement = Arrangement::of(&placed);
        let open = open_faces(&placed, &arrangement);
        Boxes { placed, arrangement, open }
    }

    /// A box by its id.
    pub fn find(&self, id: &Id) -> Option<&Placed> {
        self.placed.iter().find(|placed| placed.id == *id)
    }

    /// Height of the lowest underside.
    pub fn base(&self) -> Nm {
        self.placed.iter().map(|placed| placed.spans[2].lo).min().unwrap_or(0)
    }
}
