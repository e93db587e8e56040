//! Coordinates in whole nanometres: faces drawn in one plane are in one plane, and areas add up exactly.
//!
//! Every multiple of 1/64 in and of 1 µm is a whole number of nanometres.

/// A coordinate or length in nanometres.
pub type Nm = i64;

/// Facing sides no farther apart than this touch, and sides set back from one another by no more end together: the
/// marriage gap, 1 in (common practice, no source).
pub const GAP: Nm = 25_400_000;

/// Boxes no deeper in one another than this touch, and a strip of a face no wider than this has no area: 1 mm.
pub const TOUCH: Nm = 1_000_000;

/// Metres to the nearest nanometre.
pub fn nanometres(metres: f64) -> Nm {
    (metres * 1e9).round() as Nm
}

/// Nanometres to metres.
pub fn metres(nanometres: Nm) -> f64 {
    nanometres as f64 / 1e9
}

/// Square nanometres to square metres.
pub fn square_metres(square_nanometres: i128) -> f64 {
    square_nanometres as f64 / 1e18
}

/// A stretch of one axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// Lower end.
    pub lo: Nm,
    /// Upper end.
    pub hi: Nm,
}

impl Span {
    /// From `lo` to `hi`.
    pub const fn new(lo: Nm, hi: Nm) -> Span {
        Span { lo, hi }
    }

    /// `hi - lo`.
    pub const fn length(self) -> Nm {
        self.hi - self.lo
    }

    /// How far two spans lie in one another; negative: how far apart they are.
    pub fn depth(self, other: Span) -> Nm {
        self.hi.min(other.hi) - self.lo.max(other.lo)
    }

    /// The common part, if it has a length.
    pub fn common(self, other: Span) -> Option<Span> {
        let common = Span::new(self.lo.max(other.lo), self.hi.min(other.hi));
        (common.length() > 0).then_some(common)
    }

    /// Longer by `by` at both ends.
    pub const fn grown(self, by: Nm) -> Span {
        Span::new(self.lo - by, self.hi + by)
    }

    /// The same length, beginning at `lo`.
    pub const fn moved(self, lo: Nm) -> Span {
        Span::new(lo, lo + self.length())
    }

    /// Whether `other` lies inside.
    pub const fn contains(self, other: Span) -> bool {
        self.lo <= other.lo && other.hi <= self.hi
    }
}

/// A rectangle in a plane with the axes u and v.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rect {
    /// Along u.
    pub u: Span,
    /// Along v.
    pub v: Span,
}

impl Rect {
    /// A rectangle.
    pub const fn new(u: Span, v: Span) -> Rect {
        Rect { u, v }
    }

    /// Area in nm².
    pub fn area(self) -> i128 {
        i128::from(self.u.length()) * i128::from(self.v.length())
    }

    /// The common part, if it has an area.
    pub fn common(self, other: Rect) -> Option<Rect> {
        Some(Rect::new(self.u.common(other.u)?, self.v.common(other.v)?))
    }

    /// Larger by `by` on all sides.
    pub const fn grown(self, by: Nm) -> Rect {
        Rect::new(self.u.grown(by), self.v.grown(by))
    }

    /// Whether `other` lies inside.
    pub const fn contains(self, other: Rect) -> bool {
        self.u.contains(other.u) && self.v.contains(other.v)
    }

    /// With the axes exchanged.
    pub const fn transposed(self) -> Rect {
        Rect::new(self.v, self.u)
    }
}
