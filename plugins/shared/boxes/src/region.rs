//! Regions of a plane bounded by lines along its axes: unions, differences, outlines.
//!
//! A region is cut into slabs along u; each slab holds its spans along v. A sweep over the sorted edges builds it, so
//! that the work grows with the number of edges times the number of spans a slab holds, and not with the number of
//! pairs of rectangles.

use crate::coordinate::{Nm, Rect, Span};
use mateline_model::home::Side;

/// A set of points of a plane, cut into slabs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Region {
    slabs: Vec<Slab>,
}

/// A stretch along u over which the spans along v stay the same. The spans are sorted and do not touch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slab {
    /// The stretch along u.
    pub u: Span,
    /// The spans along v.
    pub v: Vec<Span>,
}

/// A piece of a region's outline, seen as a plan: u to the east, v to the north.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// The side of the region it is on.
    pub side: Side,
    /// Where it stands: u of an east or west edge, v of a north or south edge.
    pub at: Nm,
    /// Its stretch along the other axis.
    pub along: Span,
}

impl From<Rect> for Region {
    fn from(rect: Rect) -> Region {
        if rect.u.length() <= 0 || rect.v.length() <= 0 {
            return Region::default();
        }
        Region { slabs: vec![Slab { u: rect.u, v: vec![rect.v] }] }
    }
}

impl Region {
    /// Everything that lies in at least one of the rectangles.
    pub fn union_of(mut rects: Vec<Rect>) -> Region {
        rects.retain(|rect| rect.u.length() > 0 && rect.v.length() > 0);
        rects.sort_unstable();
        let mut cuts: Vec<Nm> = rects.iter().flat_map(|rect| [rect.u.lo, rect.u.hi]).collect();
        cuts.sort_unstable();
        cuts.dedup();
        let mut waiting = rects.into_iter().peekable();
        let mut active: Vec<Rect> = Vec::new();
        let mut region = Region::default();
        for (&lo, &hi) in cuts.iter().zip(cuts.iter().skip(1)) {
            active.retain(|rect| rect.u.hi > lo);
            while let Some(rect) = waiting.next_if(|rect| rect.u.lo <= lo) {
                active.insert(active.partition_point(|other| other.v.lo < rect.v.lo), rect);
            }
            region.push(Span::new(lo, hi), merged(active.iter().map(|rect| rect.v), 0));
        }
        region
    }

    /// The slabs, from low to high u.
    pub fn slabs(&self) -> &[Slab] {
        &self.slabs
    }

    /// Rectangles that make up the region and do not overlap.
    pub fn rects(&self) -> impl Iterator<Item = Rect> {
        self.slabs.iter().flat_map(|slab| slab.v.iter().map(|v| Rect::new(slab.u, *v)))
    }

    /// Area in nm².
    pub fn area(&self) -> i128 {
        self.rects().map(Rect::area).sum()
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.slabs.is_empty()
    }

    /// What is in this region and not in the other.
    pub fn minus(&self, other: &Region) -> Region {
        self.combined(other, difference)
    }

    /// What is in both.
    pub fn and(&self, other: &Region) -> Region {
        self.combined(other, intersection)
    }

    /// With the axes exchanged.
    pub fn transposed(&self) -> Region {
        Region::union_of(self.rects().map(Rect::transposed).collect())
    }

    /// With slots no wider than `width` filled, in both directions.
    pub fn closed(&self, width: Nm) -> Region {
        let close = |region: &Region| region.each(|spans| merged(spans.iter().copied(), width));
        close(&close(&self.transposed()).transposed())
    }

    /// Without strips no wider than `width`, in both directions.
    pub fn opened(&self, width: Nm) -> Region {
        let narrow = |rect: Rect| rect.u.length() <= width || rect.v.length() <= width;
        if !self.rects().any(narrow) {
            return self.clone();
        }
        let open =
            |region: &Region| region.each(|spans| spans.iter().copied().filter(|v| v.length() > width).collect());
        open(&open(&self.transposed()).transposed())
    }

    /// The outline, in pieces.
    pub fn outline(&self) -> Vec<Edge> {
        let mut edges = Vec::new();
        let mut before: Option<&Slab> = None;
        for slab in &self.slabs {
            for v in &slab.v {
                edges.push(Edge { side: Side::South, at: v.lo, along: slab.u });
                edges.push(Edge { side: Side::North, at: v.hi, along: slab.u });
            }
            let joined = before.filter(|before| before.u.hi == slab.u.lo);
            let left = joined.map_or(&[][..], |before| &before.v);
            edges.extend(upright(Side::West, slab.u.lo, difference(&slab.v, left)));
            match (before, joined) {
                (_, Some(_)) => edges.extend(upright(Side::East, slab.u.lo, difference(left, &slab.v))),
                (Some(before), None) => edges.extend(upright(Side::East, before.u.hi, before.v.clone())),
                (None, None) => {}
            }
            before = Some(slab);
        }
        if let Some(last) = before {
            edges.extend(upright(Side::East, last.u.hi, last.v.clone()));
        }
        edges
    }

    /// Corners of the outline that point outwards, and those that point inwards.
    pub fn corners(&self) -> (usize, usize) {
        let mut points: Vec<(Nm, Nm)> = self
            .rects()
            .flat_map(|rect| [rect.u.lo, rect.u.hi].map(|u| [(u, rect.v.lo), (u, rect.v.hi)]))
            .flatten()
            .collect();
        points.sort_unstable();
        points.dedup();
        let corners = points.into_iter().map(|(u, v)| self.corners_at(u, v));
        corners.fold((0, 0), |all, here| (all.0 + here.0, all.1 + here.1))
    }

    fn corners_at(&self, u: Nm, v: Nm) -> (usize, usize) {
        let end = self.slabs.partition_point(|slab| slab.u.hi < u);
        let beside = |left: bool| {
            self.slabs
                .iter()
                .skip(end)
                .take(2)
                .find(|slab| if left { slab.u.lo < u && u <= slab.u.hi } else { slab.u.lo <= u && u < slab.u.hi })
        };
        let filled = |slab: Option<&Slab>, below: bool| {
            slab.is_some_and(|slab| {
                slab.v.iter().any(|span| if below { span.lo < v && v <= span.hi } else { span.lo <= v && v < span.hi })
            })
        };
        let (left, right) = (beside(true), beside(false));
        match [filled(left, true), filled(left, false), filled(right, true), filled(right, false)] {
            [true, false, false, true] | [false, true, true, false] => (2, 0),
            quadrants => match quadrants.iter().filter(|filled| **filled).count() {
                1 => (1, 0),
                3 => (0, 1),
                _ => (0, 0),
            },
        }
    }

    /// Stretches along v where the region reaches up to `u` from one side.
    pub fn along_u(&self, u: Nm) -> Vec<Span> {
        let reach = |slab: &&Slab| slab.u.lo == u || slab.u.hi == u;
        self.slabs.iter().find(reach).map_or_else(Vec::new, |slab| slab.v.clone())
    }

    /// Stretches along u where the region reaches up to `v` from one side.
    pub fn along_v(&self, v: Nm) -> Vec<Span> {
        let reach = |slab: &&Slab| slab.v.iter().any(|span| span.lo == v || span.hi == v);
        merged(self.slabs.iter().filter(reach).map(|slab| slab.u), 0)
    }

    fn push(&mut self, u: Span, v: Vec<Span>) {
        if v.is_empty() || u.length() <= 0 {
            return;
        }
        match self.slabs.last_mut() {
            Some(last) if last.u.hi == u.lo && last.v == v => last.u.hi = u.hi,
            _ => self.slabs.push(Slab { u, v }),
        }
    }

    fn each(&self, change: impl Fn(&[Span]) -> Vec<Span>) -> Region {
        let mut region = Region::default();
        for slab in &self.slabs {
            region.push(slab.u, change(&slab.v));
        }
        region
    }

    fn combined(&self, other: &Region, join: fn(&[Span], &[Span]) -> Vec<Span>) -> Region {
        let mut cuts: Vec<Nm> = [self, other]
            .into_iter()
            .flat_map(|region| region.slabs.iter().flat_map(|slab| [slab.u.lo, slab.u.hi]))
            .collect();
        cuts.sort_unstable();
        cuts.dedup();
        let (mut mine, mut theirs) = (self.slabs.iter().peekable(), other.slabs.iter().peekable());
        let mut region = Region::default();
        for (&lo, &hi) in cuts.iter().zip(cuts.iter().skip(1)) {
            let here = [&mut mine, &mut theirs].map(|slabs| {
                while slabs.next_if(|slab| slab.u.hi <= lo).is_some() {}
                slabs.peek().filter(|slab| slab.u.lo <= lo).map_or(&[][..], |slab| &slab.v)
            });
            let [a, b] = here;
            region.push(Span::new(lo, hi), join(a, b));
        }
        region
    }
}

fn upright(side: Side, at: Nm, spans: Vec<Span>) -> impl Iterator<Item = Edge> {
    spans.into_iter().map(move |along| Edge { side, at, along })
}

/// Joins spans sorted by their lower ends where they lie no farther apart than `gap`.
pub fn merged(spans: impl Iterator<Item = Span>, gap: Nm) -> Vec<Span> {
    let mut joined: Vec<Span> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.lo <= last.hi + gap => last.hi = last.hi.max(span.hi),
            _ => joined.push(span),
        }
    }
    joined
}

/// What is in `a` and not in `b`; both sorted and without overlap.
pub fn difference(a: &[Span], b: &[Span]) -> Vec<Span> {
    let mut rest = Vec::with_capacity(a.len());
    let mut covers = b.iter().peekable();
    for span in a {
        let mut lo = span.lo;
        while covers.next_if(|cover| cover.hi <= lo).is_some() {}
        for cover in covers.clone().take_while(|cover| cover.lo < span.hi) {
            if cover.lo > lo {
                rest.push(Span::new(lo, cover.lo));
            }
            lo = lo.max(cover.hi);
        }
        if lo < span.hi {
            rest.push(Span::new(lo, span.hi));
        }
    }
    rest
}

/// What is in both; both sorted and without overlap.
pub fn intersection(a: &[Span], b: &[Span]) -> Vec<Span> {
    let mut common = Vec::new();
    let mut others = b.iter().peekable();
    for span in a {
        while others.next_if(|other| other.hi <= span.lo).is_some() {}
        common.extend(others.clone().take_while(|other| other.lo < span.hi).filter_map(|other| span.common(*other)));
    }
    common
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rect(u0: Nm, u1: Nm, v0: Nm, v1: Nm) -> Rect {
        Rect::new(Span::new(u0, u1), Span::new(v0, v1))
    }

    /// A cross of slots one wide between four squares: closing by one fills all of it, its centre included.
    #[test]
    fn a_cross_of_slots_closes() {
        let four = vec![rect(0, 10, 0, 10), rect(11, 21, 0, 10), rect(0, 10, 11, 21), rect(11, 21, 11, 21)];
        let region = Region::union_of(four);
        assert_eq!(region.area(), 400);
        assert_eq!(region.closed(1), Region::from(rect(0, 21, 0, 21)));
    }

    /// An L of a 4 by 2 and a 2 by 3 rectangle: perimeter 2 · (4 + 5), five outward corners and one inward.
    #[test]
    fn the_outline_of_an_l() {
        let region = Region::union_of(vec![rect(0, 4, 0, 2), rect(0, 2, 2, 5)]);
        let outline = region.outline();
        assert_eq!(outline.iter().map(|edge| edge.along.length()).sum::<Nm>(), 18);
        let north: Nm = outline.iter().filter(|edge| edge.side == Side::North).map(|edge| edge.along.length()).sum();
        assert_eq!(north, 4);
        assert_eq!(region.corners(), (5, 1));
    }

    #[test]
    fn a_strip_is_opened_away_and_a_thin_slab_of_a_large_region_is_not() {
        let strip = Region::union_of(vec![rect(0, 100, 0, 1)]);
        assert!(strip.opened(1).is_empty());
        let notched = Region::union_of(vec![rect(0, 100, 0, 50), rect(40, 41, 50, 99), rect(41, 100, 50, 100)]);
        assert_eq!(notched.opened(1), notched);
    }

    const SIDE: Nm = 12;

    fn rects() -> impl Strategy<Value = Vec<Rect>> {
        let one = (0..SIDE - 1, 1..5 as Nm, 0..SIDE - 1, 1..5 as Nm);
        prop::collection::vec(one.prop_map(|(u, du, v, dv)| rect(u, u + du, v, v + dv)), 0..9)
    }

    fn holds(rects: &[Rect], u: Nm, v: Nm) -> bool {
        let cell = rect(u, u + 1, v, v + 1);
        rects.iter().any(|rect| rect.contains(cell))
    }

    fn cells() -> impl Iterator<Item = (Nm, Nm)> {
        (-1..=SIDE + 5).flat_map(|u| (-1..=SIDE + 5).map(move |v| (u, v)))
    }

    proptest! {
        /// Against counting unit squares.
        #[test]
        fn unions_differences_and_outlines_agree_with_counting(a in rects(), b in rects()) {
            let (mine, theirs) = (Region::union_of(a.clone()), Region::union_of(b.clone()));
            let count = |test: &dyn Fn(Nm, Nm) -> bool| cells().filter(|(u, v)| test(*u, *v)).count() as i128;
            prop_assert_eq!(mine.area(), count(&|u, v| holds(&a, u, v)));
            prop_assert_eq!(mine.minus(&theirs).area(), count(&|u, v| holds(&a, u, v) && !holds(&b, u, v)));
            prop_assert_eq!(mine.and(&theirs).area(), count(&|u, v| holds(&a, u, v) && holds(&b, u, v)));
            prop_assert_eq!(mine.transposed().transposed(), mine.clone());
            for (side, du, dv) in [(Side::West, -1, 0), (Side::East, 1, 0), (Side::South, 0, -1), (Side::North, 0, 1)] {
                let outline: Nm =
                    mine.outline().iter().filter(|edge| edge.side == side).map(|edge| edge.along.length()).sum();
                let counted = count(&|u, v| holds(&a, u, v) && !holds(&a, u + du, v + dv));
                prop_assert_eq!(i128::from(outline), counted);
            }
        }
    }
}
