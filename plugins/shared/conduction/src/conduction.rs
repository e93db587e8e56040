//! Steady conduction on a mesh: one factorisation, one solution for each environment.

use crate::arrangement::SectionError;
use crate::cholesky::{Cholesky, Upper};
use crate::mesh::Mesh;

/// What a mesh does when one environment after the other is one kelvin warmer than all others.
#[derive(Clone, Debug)]
pub struct Response {
    /// Temperature of each cell for each environment: environment first, then unknown. For each cell they add up to 1.
    pub weights: Vec<Vec<f64>>,
    /// Heat that leaves environment `i` when `j` alone is 1 K warmer (W/(m·K)); row `i`, column `j`.
    pub flows: Vec<Vec<f64>>,
    /// Largest difference between heat in and heat out, as a share of the heat in.
    pub balance_error: f64,
}

/// The equations of a mesh: `Σ G (T_j − T_i) + Σ G_e (T_e − T_i) = 0` for each cell `i`, as a symmetric positive
/// definite matrix of which the upper half is kept, column by column.
#[derive(Clone, Debug)]
pub struct Equations {
    starts: Vec<u32>,
    rows: Vec<u32>,
    values: Vec<f64>,
}

impl Equations {
    /// Writes them down.
    pub fn of(mesh: &Mesh) -> Equations {
        let cells = mesh.cells();
        let mut diagonal = vec![0.0; cells];
        let mut count = vec![1_u32; cells];
        for (low, high, conductance) in &mesh.links {
            diagonal[*low] += conductance;
            diagonal[*high] += conductance;
            count[*high] += 1;
        }
        for face in &mesh.faces {
            diagonal[face.unknown] += face.conductance;
        }
        let mut starts = Vec::with_capacity(cells + 1);
        starts.push(0_u32);
        for (column, count) in count.iter().enumerate() {
            starts.push(starts[column] + count);
        }
        let entries = starts[cells] as usize;
        let (mut rows, mut values) = (vec![0_u32; entries], vec![0.0; entries]);
        let mut next: Vec<usize> = starts.iter().map(|start| *start as usize).collect();
        let mut links = mesh.links.clone();
        links.sort_unstable_by_key(|(low, high, _)| (*high, *low));
        for (low, high, conductance) in links {
            rows[next[high]] = low as u32;
            values[next[high]] = -conductance;
            next[high] += 1;
        }
        for (column, value) in diagonal.into_iter().enumerate() {
            rows[next[column]] = column as u32;
            values[next[column]] = value;
        }
        Equations { starts, rows, values }
    }

    /// The upper half by columns: where each column starts, rows and values.
    pub fn parts(&self) -> (&[u32], &[u32], &[f64]) {
        (&self.starts, &self.rows, &self.values)
    }

    fn cells(&self) -> usize {
        self.starts.len() - 1
    }

    /// `b − A x`.
    pub fn residual(&self, x: &[f64], b: &[f64]) -> Vec<f64> {
        let mut rest = b.to_vec();
        for column in 0..self.cells() {
            for entry in self.starts[column] as usize..self.starts[column + 1] as usize {
                let row = self.rows[entry] as usize;
                rest[row] -= self.values[entry] * x[column];
                if row != column {
                    rest[column] -= self.values[entry] * x[row];
                }
            }
        }
        rest
    }

    /// Solves for several right-hand sides with one factor, each improved once by its residual.
    ///
    /// # Errors
    /// [`SectionError::Numbers`] when the matrix has no factor.
    pub fn solve(&self, sides: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, SectionError> {
        // The unknowns are numbered by nested dissection already.
        let matrix = Upper { starts: &self.starts, rows: &self.rows, values: &self.values };
        let factor = Cholesky::of(matrix).ok_or(SectionError::Numbers)?;
        let mut found = factor.solve(sides);
        let rest: Vec<Vec<f64>> = found.iter().zip(sides).map(|(x, b)| self.residual(x, b)).collect();
        for (x, correction) in found.iter_mut().zip(factor.solve(&rest)) {
            x.iter_mut().zip(correction).for_each(|(x, correction)| *x += correction);
        }
        if found.iter().flatten().all(|value| value.is_finite()) { Ok(found) } else { Err(SectionError::Numbers) }
    }
}

/// Temperatures and flows of a mesh for each of its environments.
///
/// # Errors
/// [`SectionError::Numbers`] when the equations cannot be solved.
pub fn respond(mesh: &Mesh, environments: usize) -> Result<Response, SectionError> {
    let mut sides = vec![vec![0.0; mesh.cells()]; environments];
    for face in &mesh.faces {
        sides[face.environment][face.unknown] += face.conductance;
    }
    let weights = Equations::of(mesh).solve(&sides)?;
    let mut flows = vec![vec![0.0; environments]; environments];
    for face in &mesh.faces {
        for (warm, weights) in weights.iter().enumerate() {
            let own = f64::from(u8::from(warm == face.environment));
            flows[face.environment][warm] += face.conductance * (own - weights[face.unknown]);
        }
    }
    let mut balance_error = 0.0_f64;
    for warm in 0..environments {
        let (heat_in, net) = flows.iter().enumerate().fold((0.0, 0.0), |(heat_in, net), (from, row)| {
            (if from == warm { row[warm] } else { heat_in }, net + row[warm])
        });
        if heat_in != 0.0 {
            balance_error = balance_error.max((net / heat_in).abs());
        }
    }
    Ok(Response { weights, flows, balance_error })
}
