//! Nested dissection: the order in which the cells of a rectangular grid are eliminated.

/// Blocks up to this many cells are not cut any further.
const SMALL: usize = 12;

/// An order of all cells of a grid that keeps the factor sparse: each block is cut in two by a line of cells across its
/// longer side, and the line comes after both halves. Cells are numbered row by row.
pub fn order(columns: usize, rows: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(columns * rows);
    dissect(columns, [0, columns], [0, rows], &mut order);
    order
}

fn dissect(columns: usize, [left, right]: [usize; 2], [low, high]: [usize; 2], order: &mut Vec<usize>) {
    let (width, height) = (right - left, high - low);
    if width * height <= SMALL || width.max(height) < 3 {
        order.extend((low..high).flat_map(|row| (left..right).map(move |column| row * columns + column)));
    } else if width >= height {
        let middle = left + width / 2;
        dissect(columns, [left, middle], [low, high], order);
        dissect(columns, [middle + 1, right], [low, high], order);
        order.extend((low..high).map(|row| row * columns + middle));
    } else {
        let middle = low + height / 2;
        dissect(columns, [left, right], [low, middle], order);
        dissect(columns, [left, right], [middle + 1, high], order);
        order.extend((left..right).map(|column| middle * columns + column));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_comes_once() {
        for (columns, rows) in [(1, 1), (1, 90), (7, 5), (64, 3), (33, 57)] {
            let mut order = order(columns, rows);
            order.sort_unstable();
            assert_eq!(order, (0..columns * rows).collect::<Vec<_>>(), "{columns} by {rows}");
        }
    }
}
