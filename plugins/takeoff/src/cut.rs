//! An upright plane through the home, and what it cuts.

use mateline_boxes::coordinate::{Nm, Span};
use mateline_boxes::placed::Placed;
use mateline_boxes::region::Region;

/// An upright plane.
#[derive(Clone, Copy)]
pub(crate) struct Plane {
    /// The axis it stands across: 0 x, 1 y.
    pub axis: usize,
    /// Where it stands on that axis.
    pub at: Nm,
}

impl Plane {
    /// Whether it cuts a box.
    pub fn cuts(self, placed: &Placed) -> bool {
        placed.spans.get(self.axis).is_some_and(|span| self.is_in(*span))
    }

    /// Whether it stands within a span of its axis.
    pub fn is_in(self, span: Span) -> bool {
        span.lo < self.at && self.at < span.hi
    }

    /// The axis along which the section is drawn.
    pub fn along(self) -> usize {
        1 - self.axis
    }

    /// What the plane cuts of a region of the plan.
    pub fn of(self, region: &Region) -> Vec<Span> {
        let turned = if self.axis == 0 { region.clone() } else { region.transposed() };
        turned.slabs().iter().find(|slab| self.is_in(slab.u)).map(|slab| slab.v.clone()).unwrap_or_default()
    }
}
