//! Which items of two lists belong together, so that one inserted layer is one edit and not a cascade.

use std::ops::Range;

/// Cells of the table beyond which items are paired by their position.
const LARGEST_TABLE: usize = 250_000;

/// How well two items go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Likeness {
    /// They say the same.
    Same,
    /// They are known by the same word: one may have become the other.
    Kin,
    /// Neither.
    Strange,
}

impl Likeness {
    /// Two kindred pairs weigh less than one pair of equals, so that an insertion is not read as two changes.
    fn weight(self) -> u32 {
        match self {
            Likeness::Same => 5,
            Likeness::Kin => 2,
            Likeness::Strange => 0,
        }
    }
}

/// Pairs of items, in order: both indices for what stayed or changed, one for what came or went. No pair crosses
/// another.
pub(super) fn align(
    old: usize,
    new: usize,
    likeness: impl Fn(usize, usize) -> Likeness,
) -> Vec<(Option<usize>, Option<usize>)> {
    let same = |a: usize, b: usize| likeness(a, b) == Likeness::Same;
    let shorter = old.min(new);
    let head = (0..shorter).take_while(|index| same(*index, *index)).count();
    let tail = (0..shorter - head).take_while(|back| same(old - 1 - back, new - 1 - back)).count();
    let (before, after) = (head..old - tail, head..new - tail);
    let mut pairs: Vec<_> = (0..head).map(|index| (Some(index), Some(index))).collect();
    if before.len().saturating_mul(after.len()) > LARGEST_TABLE {
        gap(before, after, &mut pairs);
    } else {
        heaviest(before, after, &likeness, &mut pairs);
    }
    pairs.extend((0..tail).rev().map(|back| (Some(old - 1 - back), Some(new - 1 - back))));
    pairs
}

/// The heaviest set of pairs that do not cross (longest common subsequence, weighted), with the gaps between them.
fn heaviest(
    before: Range<usize>,
    after: Range<usize>,
    likeness: &impl Fn(usize, usize) -> Likeness,
    pairs: &mut Vec<(Option<usize>, Option<usize>)>,
) {
    // best[i][j]: the weight of the items from the i-th and the j-th on.
    let mut best = vec![vec![0u32; after.len() + 1]; before.len() + 1];
    let at = |best: &[Vec<u32>], i: usize, j: usize| best.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0);
    let weight = |i: usize, j: usize| likeness(before.start + i, after.start + j).weight();
    for i in (0..before.len()).rev() {
        for j in (0..after.len()).rev() {
            let pair = weight(i, j);
            let paired = if pair > 0 { pair + at(&best, i + 1, j + 1) } else { 0 };
            let heaviest = paired.max(at(&best, i + 1, j)).max(at(&best, i, j + 1));
            if let Some(cell) = best.get_mut(i).and_then(|row| row.get_mut(j)) {
                *cell = heaviest;
            }
        }
    }
    let (mut i, mut j) = (0, 0);
    let (mut from_i, mut from_j) = (0, 0);
    while i < before.len() && j < after.len() {
        let pair = weight(i, j);
        let here = at(&best, i, j);
        if pair > 0 && here == pair + at(&best, i + 1, j + 1) {
            gap(before.start + from_i..before.start + i, after.start + from_j..after.start + j, pairs);
            pairs.push((Some(before.start + i), Some(after.start + j)));
            (i, j) = (i + 1, j + 1);
            (from_i, from_j) = (i, j);
        } else if here == at(&best, i + 1, j) {
            i += 1;
        } else {
            j += 1;
        }
    }
    gap(before.start + from_i..before.end, after.start + from_j..after.end, pairs);
}

/// What stands between two pairs: one replaced another as long as there are both, the rest came or went.
fn gap(before: Range<usize>, after: Range<usize>, pairs: &mut Vec<(Option<usize>, Option<usize>)>) {
    for step in 0..before.len().max(after.len()) {
        let of = |range: &Range<usize>| (step < range.len()).then_some(range.start + step);
        pairs.push((of(&before), of(&after)));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::indexing_slicing, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    /// Words are the same, or kindred when they begin alike.
    fn pairs(old: &[&str], new: &[&str]) -> Vec<(Option<usize>, Option<usize>)> {
        align(old.len(), new.len(), |a, b| match (old[a], new[b]) {
            (a, b) if a == b => Likeness::Same,
            (a, b) if a.chars().next() == b.chars().next() => Likeness::Kin,
            _ => Likeness::Strange,
        })
    }

    #[test]
    fn one_item_put_in_is_one_that_came() {
        let found = pairs(&["paint", "board", "studs"], &["paint", "sheet", "board", "studs"]);
        assert_eq!(found, [(Some(0), Some(0)), (None, Some(1)), (Some(1), Some(2)), (Some(2), Some(3))]);
        let found = pairs(&["foam", "foam"], &["foam", "foam", "foam"]);
        assert_eq!(found.iter().filter(|(old, _)| old.is_none()).count(), 1);
    }

    #[test]
    fn kindred_items_are_one_that_changed_and_strangers_replace_each_other() {
        let found = pairs(&["a", "foam 2", "z"], &["a", "new", "foam 3", "z"]);
        assert_eq!(found, [(Some(0), Some(0)), (None, Some(1)), (Some(1), Some(2)), (Some(2), Some(3))]);
        assert_eq!(pairs(&["x", "m"], &["y", "m"]), [(Some(0), Some(0)), (Some(1), Some(1))]);
    }

    #[test]
    fn an_equal_item_is_not_given_up_for_two_kindred_ones() {
        let found = pairs(&["f1", "f2"], &["f0", "f1"]);
        assert_eq!(found, [(None, Some(0)), (Some(0), Some(1)), (Some(1), None)]);
    }

    proptest! {
        #[test]
        fn every_item_stands_once_and_in_order(old in prop::collection::vec(0u8..5, 0..12), new in prop::collection::vec(0u8..5, 0..12)) {
            let found = align(old.len(), new.len(), |a, b| {
                if old[a] == new[b] { Likeness::Same } else if old[a] % 2 == new[b] % 2 { Likeness::Kin } else { Likeness::Strange }
            });
            let olds: Vec<usize> = found.iter().filter_map(|(old, _)| *old).collect();
            let news: Vec<usize> = found.iter().filter_map(|(_, new)| *new).collect();
            prop_assert_eq!(olds, (0..old.len()).collect::<Vec<_>>());
            prop_assert_eq!(news, (0..new.len()).collect::<Vec<_>>());
        }

        #[test]
        fn a_list_beside_itself_has_nothing_new(list in prop::collection::vec(0u8..3, 0..20)) {
            let found = align(list.len(), list.len(), |a, b| if list[a] == list[b] { Likeness::Same } else { Likeness::Strange });
            prop_assert!(found.iter().all(|(old, new)| old == new));
        }
    }
}
