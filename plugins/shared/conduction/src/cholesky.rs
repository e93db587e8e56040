//! The factor `A = L Lᵀ` of a sparse symmetric positive definite matrix, the same bits on every processor.
//!
//! Columns that share a structure are eliminated together in a dense front, and what is left of a front is added to that
//! of its parent (a multifrontal factorisation). Every number comes from the same operations in the same order wherever
//! this runs: no sum runs along a vector, nothing depends on what the processor offers, and multiplication and
//! subtraction are never fused. The order of the unknowns decides how full the factor gets; it is the caller's.
//!
//! Sources: elimination tree and fronts as in T. A. Davis, Direct Methods for Sparse Linear Systems, chapters 4 and 6
//! (from memory).

use crate::elimination::{Node, Tree};

/// Columns of a front that are eliminated together before the rest of it is touched.
const PANEL: usize = 4;

/// Right-hand sides that are carried together.
const SIDES: usize = 4;

/// The upper half of a symmetric matrix by columns: where each column starts, rows (rising) and values.
#[derive(Clone, Copy, Debug)]
pub struct Upper<'a> {
    /// Where each column starts, and the end.
    pub starts: &'a [u32],
    /// Rows of the entries.
    pub rows: &'a [u32],
    /// Their values.
    pub values: &'a [f64],
}

/// A factor.
#[derive(Clone, Debug)]
pub struct Cholesky {
    tree: Tree,
    /// Columns of the factor, front by front, column by column; the inverse of the diagonal in its place.
    values: Vec<f64>,
}

impl Cholesky {
    /// Factors a matrix; `None` when it is not positive definite.
    pub fn of(matrix: Upper<'_>) -> Option<Cholesky> {
        let tree = Tree::of(matrix.starts, matrix.rows);
        let lower = Lower::of(&tree, matrix);
        let mut values = vec![0.0; tree.nodes.last().map_or(0, |node| node.values + node.rows.len() * node.columns())];
        let mut left: Vec<Vec<f64>> = vec![Vec::new(); tree.nodes.len()];
        let mut position = vec![0_usize; tree.size()];
        let mut front: Vec<f64> = Vec::new();
        let mut places: Vec<usize> = Vec::new();
        for (number, node) in tree.nodes.iter().enumerate() {
            let order = node.rows.len();
            front.clear();
            front.resize(order * order, 0.0);
            for (place, row) in node.rows.iter().enumerate() {
                position[*row as usize] = place;
            }
            for (place, column) in (node.first..node.end).enumerate() {
                for (row, value) in lower.column(column) {
                    front[place * order + position[row]] += value;
                }
            }
            for child in &node.children {
                let (rows, rest) = (tree.nodes[*child].below(), std::mem::take(&mut left[*child]));
                places.clear();
                places.extend(rows.iter().map(|row| position[*row as usize]));
                for (number, column) in places.iter().enumerate() {
                    let target = &mut front[column * order..(column + 1) * order];
                    let source = &rest[number * rows.len()..(number + 1) * rows.len()];
                    for (place, value) in places.iter().zip(source).skip(number) {
                        target[*place] += value;
                    }
                }
            }
            eliminate(&mut front, order, node.columns())?;
            values[node.values..node.values + order * node.columns()].copy_from_slice(&front[..order * node.columns()]);
            left[number] = rest_of(&front, order, node.columns());
        }
        Some(Cholesky { tree, values })
    }

    /// Solves `A x = b` for several right-hand sides.
    pub fn solve(&self, sides: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let mut found = Vec::with_capacity(sides.len());
        for some in sides.chunks(SIDES) {
            let mut x = vec![[0.0; SIDES]; self.tree.size()];
            for (side, b) in some.iter().enumerate() {
                self.tree.order.iter().zip(&mut x).for_each(|(own, x)| x[side] = b[*own as usize]);
            }
            self.forward(&mut x);
            self.backward(&mut x);
            for side in 0..some.len() {
                let mut own = vec![0.0; x.len()];
                self.tree.order.iter().zip(&x).for_each(|(to, x)| own[*to as usize] = x[side]);
                found.push(own);
            }
        }
        found
    }

    /// `L y = b`.
    fn forward(&self, x: &mut [[f64; SIDES]]) {
        for node in &self.tree.nodes {
            for place in 0..node.columns() {
                let column = self.column(node, place);
                let own = &mut x[node.first + place];
                own.iter_mut().for_each(|x| *x *= column[place]);
                let own = *own;
                for (row, entry) in node.rows.iter().zip(column).skip(place + 1) {
                    let target = &mut x[*row as usize];
                    for side in 0..SIDES {
                        target[side] -= entry * own[side];
                    }
                }
            }
        }
    }

    /// `Lᵀ x = y`.
    fn backward(&self, x: &mut [[f64; SIDES]]) {
        for node in self.tree.nodes.iter().rev() {
            for place in (0..node.columns()).rev() {
                let column = self.column(node, place);
                let mut own = x[node.first + place];
                for (row, entry) in node.rows.iter().zip(column).skip(place + 1) {
                    let from = x[*row as usize];
                    for side in 0..SIDES {
                        own[side] -= entry * from[side];
                    }
                }
                own.iter_mut().for_each(|x| *x *= column[place]);
                x[node.first + place] = own;
            }
        }
    }

    /// One column of a front, from the front's first row on.
    fn column(&self, node: &Node, place: usize) -> &[f64] {
        let start = node.values + place * node.rows.len();
        &self.values[start..start + node.rows.len()]
    }
}

/// The lower half by columns, in the order of elimination.
struct Lower {
    starts: Vec<usize>,
    entries: Vec<(u32, f64)>,
}

impl Lower {
    fn of(tree: &Tree, matrix: Upper<'_>) -> Lower {
        // An entry's column comes after its row in the order of elimination, too.
        let mut starts = vec![0; tree.size() + 1];
        for row in matrix.rows {
            starts[tree.place[*row as usize] as usize + 1] += 1;
        }
        for column in 0..tree.size() {
            starts[column + 1] += starts[column];
        }
        let mut next = starts.clone();
        let mut entries = vec![(0, 0.0); matrix.rows.len()];
        for (column, place) in tree.place.iter().enumerate() {
            for entry in matrix.starts[column] as usize..matrix.starts[column + 1] as usize {
                let next = &mut next[tree.place[matrix.rows[entry] as usize] as usize];
                entries[*next] = (*place, matrix.values[entry]);
                *next += 1;
            }
        }
        Lower { starts, entries }
    }

    fn column(&self, column: usize) -> impl Iterator<Item = (usize, f64)> {
        let entries = &self.entries[self.starts[column]..self.starts[column + 1]];
        entries.iter().map(|(row, value)| (*row as usize, *value))
    }
}

/// Eliminates the first `columns` of a dense front of this order, of which the lower half is read, column by column.
/// `None` when a pivot is not positive.
fn eliminate(front: &mut [f64], order: usize, columns: usize) -> Option<()> {
    let mut from = 0;
    while from < columns {
        let to = (from + PANEL).min(columns);
        for column in from..to {
            let (before, own) = front.split_at_mut(column * order);
            let own = &mut own[..order];
            for earlier in before[from * order..].chunks_exact(order) {
                let factor = earlier[column];
                own[column..].iter_mut().zip(&earlier[column..]).for_each(|(own, earlier)| *own -= earlier * factor);
            }
            let pivot = own[column];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            let inverse = 1.0 / pivot.sqrt();
            own[column + 1..].iter_mut().for_each(|entry| *entry *= inverse);
            own[column] = inverse;
        }
        let (done, rest) = front.split_at_mut(to * order);
        let panel = &done[from * order..];
        if to - from == PANEL {
            take_off_four(panel, rest, order, to);
        } else {
            take_off(panel, rest, order, to);
        }
        from = to;
    }
    Some(())
}

/// Takes the products of a panel of four columns off the columns behind it, two at a time.
fn take_off_four(panel: &[f64], rest: &mut [f64], order: usize, first: usize) {
    let (a0, others) = panel.split_at(order);
    let (a1, others) = others.split_at(order);
    let (a2, a3) = others.split_at(order);
    let mut column = first;
    let mut pairs = rest.chunks_exact_mut(2 * order);
    for pair in &mut pairs {
        let (one, two) = pair.split_at_mut(order);
        let v = [a0[column], a1[column], a2[column], a3[column]];
        let w = [a0[column + 1], a1[column + 1], a2[column + 1], a3[column + 1]];
        let below = column..order;
        let a = a0[below.clone()].iter().zip(&a1[below.clone()]).zip(&a2[below.clone()]).zip(&a3[below.clone()]);
        for ((one, two), (((a0, a1), a2), a3)) in one[below.clone()].iter_mut().zip(&mut two[below]).zip(a) {
            *one = (((*one - a0 * v[0]) - a1 * v[1]) - a2 * v[2]) - a3 * v[3];
            *two = (((*two - a0 * w[0]) - a1 * w[1]) - a2 * w[2]) - a3 * w[3];
        }
        column += 2;
    }
    take_off(panel, pairs.into_remainder(), order, column);
}

/// Takes the products of a panel off the columns behind it.
fn take_off(panel: &[f64], rest: &mut [f64], order: usize, first: usize) {
    for (number, own) in rest.chunks_exact_mut(order).enumerate() {
        let column = first + number;
        for earlier in panel.chunks_exact(order) {
            let factor = earlier[column];
            own[column..].iter_mut().zip(&earlier[column..]).for_each(|(own, earlier)| *own -= earlier * factor);
        }
    }
}

/// What is left of a front for its parent: the square behind the columns that are done.
fn rest_of(front: &[f64], order: usize, columns: usize) -> Vec<f64> {
    let mut rest = Vec::with_capacity((order - columns) * (order - columns));
    for column in front[columns * order..].chunks_exact(order) {
        rest.extend_from_slice(&column[columns..]);
    }
    rest
}
