//! Pairs of boxes near one another, found through a grid of cells so that far boxes are never compared.

use crate::coordinate::{Nm, Span};
use std::ops::ControlFlow;

/// Calls `visit` once for each pair whose boxes, grown by `reach`, share a point; the smaller index comes first.
///
/// Each box is entered in every cell it reaches into; cells are about as large as the mean box, and there are at most
/// about eight per box, so that the work grows like the number of boxes as long as they do not crowd in one place.
pub fn near_pairs(
    boxes: &[[Span; 3]],
    reach: Nm,
    mut visit: impl FnMut(usize, usize) -> ControlFlow<()>,
) -> ControlFlow<()> {
    let cells = Cells::over(boxes, reach);
    let entries = cells.entries(boxes, reach);
    let mut start = 0;
    while let Some((cell, _)) = entries.get(start).copied() {
        let end = start + entries.iter().skip(start).take_while(|(other, _)| *other == cell).count();
        let members = entries.get(start..end).unwrap_or_default();
        for (position, (_, i)) in members.iter().enumerate() {
            for (_, j) in members.iter().skip(position + 1) {
                let (Some(a), Some(b)) = (boxes.get(*i), boxes.get(*j)) else { continue };
                let near = a.iter().zip(b).all(|(a, b)| a.depth(*b) >= -reach);
                if near && cells.first_common(a, b, reach) == cell {
                    visit(*i, *j)?;
                }
            }
        }
        start = end;
    }
    ControlFlow::Continue(())
}

/// A grid over all boxes.
struct Cells {
    origin: [Nm; 3],
    size: [Nm; 3],
    count: [usize; 3],
}

impl Cells {
    fn over(boxes: &[[Span; 3]], reach: Nm) -> Cells {
        let number = boxes.len().max(1);
        let mut origin = [0; 3];
        let mut extent = [1; 3];
        let mut count = [1; 3];
        for axis in 0..3 {
            let spans = || boxes.iter().map(|spans| spans[axis].grown(reach));
            let lowest = spans().map(|span| span.lo).min().unwrap_or(0);
            let highest = spans().map(|span| span.hi).max().unwrap_or(1);
            let mean = spans().map(|span| i128::from(span.length())).sum::<i128>() / number as i128;
            origin[axis] = lowest;
            extent[axis] = (highest - lowest).max(1);
            count[axis] = (i128::from(extent[axis]) / mean.max(1)).clamp(1, 1_000_000) as usize;
        }
        while count.iter().product::<usize>() > 8 * number + 8 {
            let largest = count.iter().copied().max().unwrap_or(1);
            for cells in count.iter_mut().filter(|cells| **cells == largest) {
                *cells = (*cells * 4 / 5).max(1);
            }
        }
        let mut size = [1; 3];
        for axis in 0..3 {
            size[axis] = extent[axis] / count[axis] as Nm + 1;
        }
        Cells { origin, size, count }
    }

    fn index(&self, axis: usize, at: Nm) -> usize {
        ((at - self.origin[axis]) / self.size[axis]).clamp(0, self.count[axis] as Nm - 1) as usize
    }

    fn key(&self, index: [usize; 3]) -> usize {
        (index[2] * self.count[1] + index[1]) * self.count[0] + index[0]
    }

    /// The cell with the lowest indices that both boxes reach into: the one place where their pair is reported.
    fn first_common(&self, a: &[Span; 3], b: &[Span; 3], reach: Nm) -> usize {
        let lowest = |axis: usize| self.index(axis, a[axis].lo.max(b[axis].lo) - reach);
        self.key([lowest(0), lowest(1), lowest(2)])
    }

    /// (cell, box) for each cell a box reaches into, sorted.
    fn entries(&self, boxes: &[[Span; 3]], reach: Nm) -> Vec<(usize, usize)> {
        let mut entries = Vec::with_capacity(boxes.len() * 8);
        for (number, spans) in boxes.iter().enumerate() {
            let range = |axis: usize| {
                let grown = spans[axis].grown(reach);
                self.index(axis, grown.lo)..=self.index(axis, grown.hi)
            };
            for z in range(2) {
                for y in range(1) {
                    entries.extend(range(0).map(|x| (self.key([x, y, z]), number)));
                }
            }
        }
        entries.sort_unstable();
        entries
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn boxes() -> impl Strategy<Value = Vec<[Span; 3]>> {
        let span = || (0..60 as Nm, 1..9 as Nm).prop_map(|(lo, length)| Span::new(lo, lo + length));
        prop::collection::vec((span(), span(), span()).prop_map(|(x, y, z)| [x, y, z]), 0..60)
    }

    proptest! {
        /// Against comparing every box with every other.
        #[test]
        fn every_near_pair_is_visited_once(boxes in boxes(), reach in 0..4 as Nm) {
            let mut found = Vec::new();
            let _ = near_pairs(&boxes, reach, |i, j| {
                found.push((i, j));
                ControlFlow::Continue(())
            });
            found.sort_unstable();
            let mut wanted = Vec::new();
            for (i, a) in boxes.iter().enumerate() {
                for (j, b) in boxes.iter().enumerate().skip(i + 1) {
                    if a.iter().zip(b).all(|(a, b)| a.depth(*b) >= -reach) {
                        wanted.push((i, j));
                    }
                }
            }
            prop_assert_eq!(found, wanted);
        }
    }
}
