//! Grid lines: fine at the edges of materials, coarse away from them, and never across an edge.

/// How a grid is graded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grading {
    /// Widest cell beside an edge (m).
    pub first: f64,
    /// How much wider each next cell is at most.
    pub growth: f64,
    /// Most of an interval that one cell may take up.
    pub share: f64,
}

/// The grid that refinement starts from.
pub const COARSE: Grading = Grading { first: 0.003, growth: 2.0, share: 0.5 };

/// Grid lines through all `edges` (rising), graded in the intervals between them, each cell then halved `halvings`
/// times.
pub fn lines(edges: &[f64], grading: &Grading, halvings: u32) -> Vec<f64> {
    let widths: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let starts = starts(&widths, grading);
    let mut lines: Vec<f64> = edges.first().copied().into_iter().collect();
    for (number, width) in widths.iter().enumerate() {
        let cells = interval(*width, starts[number], starts[number + 1], grading);
        let mut at = edges[number];
        for cell in cells {
            let pieces = 1_u32 << halvings;
            for piece in 1..=pieces {
                lines.push(at + cell * f64::from(piece) / f64::from(pieces));
            }
            at += cell;
        }
        if let Some(last) = lines.last_mut() {
            *last = edges[number + 1];
        }
    }
    lines
}

/// Width of the first cell at each edge: no more than half of the narrower interval beside it, and growing no faster
/// from edge to edge than inside an interval.
fn starts(widths: &[f64], grading: &Grading) -> Vec<f64> {
    let half = |number: Option<usize>| number.and_then(|n| widths.get(n)).map_or(f64::INFINITY, |width| width / 2.0);
    let mut starts: Vec<f64> =
        (0..=widths.len()).map(|edge| grading.first.min(half(edge.checked_sub(1))).min(half(Some(edge)))).collect();
    let slope = grading.growth - 1.0;
    for edge in 1..starts.len() {
        starts[edge] = starts[edge].min(starts[edge - 1] + slope * widths[edge - 1]);
    }
    for edge in (1..starts.len()).rev() {
        starts[edge - 1] = starts[edge - 1].min(starts[edge] + slope * widths[edge - 1]);
    }
    starts
}

/// Cells of one interval, growing from both ends towards the middle and scaled to fit.
fn interval(width: f64, left: f64, right: f64, grading: &Grading) -> Vec<f64> {
    let widest = width * grading.share;
    let (mut from_left, mut from_right) = (Vec::new(), Vec::new());
    let (mut next_left, mut next_right) = (left, right);
    let mut taken = 0.0;
    while taken + next_left.min(next_right) <= width * (1.0 + 1e-9) {
        if next_left <= next_right {
            from_left.push(next_left);
            taken += next_left;
            next_left = (next_left * grading.growth).min(widest.max(left));
        } else {
            from_right.push(next_right);
            taken += next_right;
            next_right = (next_right * grading.growth).min(widest.max(right));
        }
    }
    from_left.extend(from_right.into_iter().rev());
    if from_left.is_empty() {
        return vec![width];
    }
    let scale = width / taken;
    from_left.iter_mut().for_each(|cell| *cell *= scale);
    from_left
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn lines_rise_keep_every_edge_and_halve_every_cell(widths in prop::collection::vec(1e-4..20.0_f64, 1..12)) {
            let mut edges = vec![0.0];
            for width in &widths {
                edges.push(edges.last().copied().unwrap_or_default() + width);
            }
            let coarse = lines(&edges, &COARSE, 0);
            let fine = lines(&edges, &COARSE, 1);
            prop_assert!(coarse.windows(2).all(|pair| pair[1] > pair[0]));
            prop_assert!(edges.iter().all(|edge| coarse.contains(edge)));
            prop_assert_eq!(fine.len() - 1, 2 * (coarse.len() - 1));
            for (number, line) in coarse.iter().enumerate() {
                prop_assert!((fine[2 * number] - line).abs() < 1e-12);
            }
        }

        #[test]
        fn neighbours_differ_by_no_more_than_a_few_times(a in 1e-3..1.0_f64, b in 1e-3..1.0_f64) {
            let lines = lines(&[0.0, a, a + b], &COARSE, 0);
            let cells: Vec<f64> = lines.windows(2).map(|pair| pair[1] - pair[0]).collect();
            for pair in cells.windows(2) {
                prop_assert!(pair[0] / pair[1] < 4.0 && pair[1] / pair[0] < 4.0, "{cells:?}");
            }
        }
    }
}
