//! Linear systems: dense elimination for the few dozen zones of a home, conjugate gradients for anything large.

/// Above this many unknowns a system is solved by repetition.
pub const DENSE: usize = 300;

/// Solves `A x = b` by elimination with row exchanges. `None` when the matrix has no inverse.
pub fn eliminate(rows: Vec<Vec<f64>>, right: &[f64]) -> Option<Vec<f64>> {
    eliminate_all(rows, &[right.to_vec()])?.pop()
}

/// The same for several right sides at once.
pub fn eliminate_all(mut rows: Vec<Vec<f64>>, rights: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = rows.len();
    for (k, row) in rows.iter_mut().enumerate() {
        row.extend(rights.iter().map(|right| at(right, k)));
    }
    for k in 0..n {
        let size = |row: &Vec<f64>| row.get(k).map_or(0.0, |value| value.abs());
        let pivot = (k..n).max_by(|a, b| {
            let of = |index: &usize| rows.get(*index).map_or(0.0, size);
            of(a).total_cmp(&of(b))
        })?;
        rows.swap(k, pivot);
        let (top, below) = rows.split_at_mut(k + 1);
        let pivot_row = top.last()?;
        let head = *pivot_row.get(k)?;
        if head.abs() < f64::MIN_POSITIVE {
            return None;
        }
        for row in below {
            let factor = row.get(k)? / head;
            if factor != 0.0 {
                for (value, above) in row.iter_mut().zip(pivot_row).skip(k) {
                    *value -= factor * above;
                }
            }
        }
    }
    let mut solved = Vec::with_capacity(rights.len());
    for side in 0..rights.len() {
        let mut x = vec![0.0; n];
        for (k, row) in rows.iter().enumerate().rev() {
            let known: f64 = row.iter().zip(&x).skip(k + 1).map(|(a, x)| a * x).sum();
            *x.get_mut(k)? = (row.get(n + side)? - known) / row.get(k)?;
        }
        if !x.iter().all(|value| value.is_finite()) {
            return None;
        }
        solved.push(x);
    }
    Some(solved)
}

/// A symmetric matrix of conductances: a diagonal, and links that take a conductance from both of their ends.
#[derive(Debug, Default)]
pub struct Symmetric {
    /// The diagonal.
    pub diagonal: Vec<f64>,
    /// From, to, conductance.
    pub links: Vec<(usize, usize, f64)>,
}

impl Symmetric {
    /// Solves `A x = b` for a positive definite matrix.
    pub fn solve(&self, right: &[f64]) -> Option<Vec<f64>> {
        if self.diagonal.len() <= DENSE { self.solve_dense(right) } else { self.solve_by_gradients(right) }
    }

    fn solve_dense(&self, right: &[f64]) -> Option<Vec<f64>> {
        let n = self.diagonal.len();
        let mut rows = vec![vec![0.0; n]; n];
        for (k, (row, value)) in rows.iter_mut().zip(&self.diagonal).enumerate() {
            *row.get_mut(k)? += value;
        }
        for (a, b, conductance) in &self.links {
            *rows.get_mut(*a)?.get_mut(*b)? -= conductance;
            *rows.get_mut(*b)?.get_mut(*a)? -= conductance;
        }
        eliminate(rows, right)
    }

    fn product(&self, x: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = self.diagonal.iter().zip(x).map(|(d, x)| d * x).collect();
        for (a, b, conductance) in &self.links {
            add(&mut y, *a, -conductance * at(x, *b));
            add(&mut y, *b, -conductance * at(x, *a));
        }
        y
    }

    /// Conjugate gradients with the diagonal as preconditioner, to 1e-13 of the right-hand side.
    fn solve_by_gradients(&self, right: &[f64]) -> Option<Vec<f64>> {
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let scaled = |r: &[f64]| -> Vec<f64> { r.iter().zip(&self.diagonal).map(|(r, d)| r / d).collect() };
        let mut x = vec![0.0; right.len()];
        let mut r = right.to_vec();
        let mut z = scaled(&r);
        let mut p = z.clone();
        let mut rz = dot(&r, &z);
        let goal = 1e-26 * dot(right, right);
        for _ in 0..20 * right.len() {
            if dot(&r, &r) <= goal {
                return Some(x);
            }
            let q = self.product(&p);
            let step = rz / dot(&p, &q);
            if !step.is_finite() {
                return None;
            }
            x.iter_mut().zip(&p).for_each(|(x, p)| *x += step * p);
            r.iter_mut().zip(&q).for_each(|(r, q)| *r -= step * q);
            z = scaled(&r);
            let next = dot(&r, &z);
            let keep = next / rz;
            rz = next;
            p.iter_mut().zip(&z).for_each(|(p, z)| *p = z + keep * *p);
        }
        (dot(&r, &r) <= 1e-16 * dot(right, right)).then_some(x)
    }
}

/// An entry, zero where there is none.
pub fn at(values: &[f64], index: usize) -> f64 {
    values.get(index).copied().unwrap_or(0.0)
}

/// Adds to an entry, where there is one.
pub fn add(values: &mut [f64], index: usize, more: f64) {
    if let Some(value) = values.get_mut(index) {
        *value += more;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn elimination_with_row_exchange() {
        let x = eliminate(vec![vec![0.0, 2.0], vec![4.0, 1.0]], &[6.0, 11.0]).unwrap();
        assert_eq!(x, vec![2.0, 3.0]);
        assert_eq!(eliminate(vec![vec![1.0, 1.0], vec![1.0, 1.0]], &[1.0, 2.0]), None);
    }

    #[test]
    fn both_ways_agree() {
        let n = 40;
        let links: Vec<(usize, usize, f64)> =
            (1..n).map(|k| (k - 1, k, 1.0 + k as f64)).chain([(0, n - 1, 0.3)]).collect();
        let mut matrix = Symmetric { diagonal: vec![1e-3; n], links };
        for (a, b, conductance) in matrix.links.clone() {
            add(&mut matrix.diagonal, a, conductance);
            add(&mut matrix.diagonal, b, conductance);
        }
        let right: Vec<f64> = (0..n).map(|k| (k as f64).sin()).collect();
        let (dense, repeated) = (matrix.solve_dense(&right).unwrap(), matrix.solve_by_gradients(&right).unwrap());
        for (a, b) in dense.iter().zip(&repeated) {
            assert!((a - b).abs() < 1e-7 * (1.0 + a.abs()), "{a} against {b}");
        }
    }
}
