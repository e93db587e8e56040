//! The factor of sparse matrices: against scipy (`tests/reference/cholesky.py`, which wrote `cholesky.json`), and against
//! what the product of matrix and solution must give back.

use mateline_conduction::cholesky::{Cholesky, Upper};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Case {
    starts: Vec<u32>,
    rows: Vec<u32>,
    values: Vec<f64>,
    sides: Vec<Vec<f64>>,
    found: Vec<Vec<f64>>,
}

/// Tolerance: the condition of these matrices is at most 1e9, doubles carry 1e-16, and neither solver improves its result.
#[test]
fn random_matrices_agree_with_scipy() {
    let cases: Vec<Case> = serde_json::from_str(include_str!("../../../../tests/reference/cholesky.json")).unwrap();
    assert_eq!(cases.len(), 11);
    for (number, case) in cases.iter().enumerate() {
        let matrix = Upper { starts: &case.starts, rows: &case.rows, values: &case.values };
        let found = Cholesky::of(matrix).expect("it is positive definite").solve(&case.sides);
        assert_eq!(found.len(), case.found.len());
        for (own, expected) in found.iter().zip(&case.found) {
            let size = expected.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
            for (own, expected) in own.iter().zip(expected) {
                assert!((own - expected).abs() <= 1e-8 * size, "matrix {number}: {own} against {expected}");
            }
        }
    }
}

/// One of two eigenvalues of [[1, 2], [2, 1]] is -1 (by hand); a matrix of nothing has no inverse.
#[test]
fn what_is_not_positive_definite_has_no_factor() {
    let values = [1.0, 2.0, 1.0];
    assert!(Cholesky::of(Upper { starts: &[0, 1, 3], rows: &[0, 0, 1], values: &values }).is_none());
    assert!(Cholesky::of(Upper { starts: &[0, 1], rows: &[0], values: &[0.0] }).is_none());
    assert!(Cholesky::of(Upper { starts: &[0, 1], rows: &[0], values: &[f64::NAN] }).is_none());
}

/// [[4, 2], [2, 3]] x = [8, 7] has x = [1.25, 1.5] (by hand).
#[test]
fn two_unknowns_by_hand() {
    let matrix = Upper { starts: &[0, 1, 3], rows: &[0, 0, 1], values: &[4.0, 2.0, 3.0] };
    let found = Cholesky::of(matrix).unwrap().solve(&[vec![8.0, 7.0]]);
    assert!((found[0][0] - 1.25).abs() < 1e-15 && (found[0][1] - 1.5).abs() < 1e-15, "{found:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A net of conductances, each node tied to zero: `A x` gives `b` back. First principles.
    #[test]
    fn the_product_gives_the_sides_back(
        size in 1_usize..120,
        links in prop::collection::vec((0_usize..120, 0_usize..120, 0.01..100.0_f64), 0..400),
        side in prop::collection::vec(-1.0..1.0_f64, 120),
    ) {
        let mut dense = vec![vec![0.0; size]; size];
        (0..size).for_each(|node| dense[node][node] = 0.5);
        for (one, other, conductance) in links {
            let (one, other) = (one % size, other % size);
            if one != other {
                dense[one][one] += conductance;
                dense[other][other] += conductance;
                dense[one][other] -= conductance;
                dense[other][one] -= conductance;
            }
        }
        let (mut starts, mut rows, mut values) = (vec![0_u32], Vec::new(), Vec::new());
        // The matrix is symmetric: its rows are its columns.
        for (column, entries) in dense.iter().enumerate() {
            for (row, value) in entries.iter().enumerate().take(column + 1).filter(|(_, value)| **value != 0.0) {
                rows.push(row as u32);
                values.push(*value);
            }
            starts.push(rows.len() as u32);
        }
        let sides = vec![side[..size].to_vec()];
        let matrix = Upper { starts: &starts, rows: &rows, values: &values };
        let found = Cholesky::of(matrix).unwrap().solve(&sides);
        for (row, b) in dense.iter().zip(&sides[0]) {
            let product: f64 = row.iter().zip(&found[0]).map(|(a, x)| a * x).sum();
            prop_assert!((product - b).abs() < 1e-10);
        }
    }
}
