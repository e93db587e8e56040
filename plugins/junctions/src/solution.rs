//! Solving a section until the grid no longer matters, and what is read off the solution.

use crate::arrangement::{Arrangement, SectionError};
use crate::conduction::{Response, respond};
use crate::grid::{COARSE, Grading};
use crate::mesh::{Face, Mesh};
use crate::section::Section;
use serde::{Deserialize, Serialize};

/// How far a grid is refined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Greatest change of any environment's heat flow when every cell is cut in four, as a share.
    pub flow: f64,
    /// Greatest change of a lowest surface temperature factor in the same step.
    pub factor: f64,
    /// Cells at most.
    pub most_cells: usize,
    /// The grid that refinement starts from.
    pub grading: Grading,
}

impl Accuracy {
    /// Heat flow within 1 %, surface temperature factor within 0.005.
    ///
    /// Source: ISO 10211:2017, convergence of numerical methods (from memory).
    pub const STANDARD: Accuracy = Accuracy { flow: 0.01, factor: 0.005, most_cells: 600_000, grading: COARSE };

    /// Heat flow within 0.1 %, for ψ-values that are small beside it; surface temperatures are not looked at.
    pub const FINE: Accuracy = Accuracy { flow: 0.001, factor: f64::INFINITY, ..Accuracy::STANDARD };

    /// Heat flow within 1 %, for wide sections through the ground of which two are compared; surface temperatures are not
    /// looked at.
    pub const GROUND: Accuracy = Accuracy { factor: f64::INFINITY, ..Accuracy::STANDARD };
}

/// A solved section.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The last mesh.
    pub mesh: Mesh,
    /// What it does.
    pub response: Response,
    /// Change of the heat flow in the last step, as a share.
    pub refinement_change: f64,
    /// Change of the lowest surface temperature factor in the last step.
    pub factor_change: f64,
    /// Cells of the meshes solved, coarse to fine.
    pub series: Vec<usize>,
    /// Whether each environment is inside.
    inside: Vec<bool>,
    /// Whether each surface is watched.
    watched: Vec<bool>,
}

/// The coldest place of an environment's surface.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Coldest {
    /// Temperature factor `fRsi` (-).
    pub factor: f64,
    /// Where (m).
    pub x: f64,
    /// Where (m).
    pub y: f64,
}

/// Solves a section: grids of half the cell size follow one another until the results settle.
///
/// # Errors
/// [`SectionError`] when the section cannot be solved or does not settle.
pub fn solve(section: &Section, accuracy: &Accuracy) -> Result<Solution, SectionError> {
    let arrangement = Arrangement::of(section)?;
    let mut before: Option<Solution> = None;
    for halvings in 0.. {
        let mesh = Mesh::new(section, &arrangement, &accuracy.grading, halvings)?;
        let mut now = at_level(section, mesh)?;
        if let Some(before) = before {
            now.refinement_change = now.change_from(&before);
            now.factor_change = now.factor_change_from(&before);
            now.series = before.series.iter().copied().chain(now.series).collect();
            if now.refinement_change <= accuracy.flow && now.factor_change <= accuracy.factor {
                return Ok(now);
            }
        }
        let cells = now.mesh.cells();
        if 4 * cells > accuracy.most_cells {
            return Err(SectionError::Unrefined(now.refinement_change.max(now.factor_change), cells));
        }
        before = Some(now);
    }
    Err(SectionError::Numbers)
}

/// Solves a section on one grid, with no statement on how far that grid can be trusted.
///
/// # Errors
/// [`SectionError`] when the section cannot be solved.
pub fn solve_once(section: &Section, grading: &Grading, halvings: u32) -> Result<Solution, SectionError> {
    let arrangement = Arrangement::of(section)?;
    at_level(section, Mesh::new(section, &arrangement, grading, halvings)?)
}

fn at_level(section: &Section, mesh: Mesh) -> Result<Solution, SectionError> {
    let response = respond(&mesh, section.environments.len())?;
    Ok(Solution {
        series: vec![mesh.cells()],
        mesh,
        response,
        refinement_change: f64::INFINITY,
        factor_change: f64::INFINITY,
        inside: section.environments.iter().map(|environment| environment.is_inside).collect(),
        watched: section.surfaces.iter().map(|surface| surface.watched).collect(),
    })
}

impl Solution {
    /// Thermal coupling coefficient between two environments (W/(m·K)).
    pub fn coupling(&self, from: usize, to: usize) -> f64 {
        self.response.flows.get(from).and_then(|row| row.get(to)).map_or(0.0, |flow| -flow)
    }

    /// `L2D`: thermal coupling coefficient between all that is inside and all that is not (W/(m·K)).
    ///
    /// Source: ISO 10211:2017, 3.2 (from memory): heat flow per length and per temperature difference.
    pub fn l2d(&self) -> f64 {
        let pairs = |from: usize| (0..self.inside.len()).filter(move |to| !self.inside[*to]).map(move |to| (from, to));
        let inside = (0..self.inside.len()).filter(|from| self.inside[*from]);
        inside.flat_map(pairs).map(|(from, to)| self.coupling(from, to)).sum()
    }

    /// Heat that leaves an environment into the section (W/m), for the environments' temperatures (°C).
    pub fn heat_from(&self, environment: usize, temperatures: &[f64]) -> f64 {
        let row = self.response.flows.get(environment).map_or(&[][..], Vec::as_slice);
        row.iter().zip(temperatures).map(|(flow, temperature)| flow * temperature).sum()
    }

    /// Temperature of a cell (°C), for the environments' temperatures.
    pub fn temperature(&self, unknown: usize, temperatures: &[f64]) -> f64 {
        self.response.weights.iter().zip(temperatures).map(|(weights, t)| weights[unknown] * t).sum()
    }

    /// Temperature factor of a cell: outdoors 0, inside 1.
    pub fn factor(&self, unknown: usize) -> f64 {
        let inside = self.response.weights.iter().zip(&self.inside).filter(|(_, inside)| **inside);
        inside.map(|(weights, _)| weights[unknown]).sum()
    }

    /// Temperature of the surface on a face (°C): `θs = θe − f (θe − θ)`, with `f` the film's share of the resistance
    /// from the environment (°C `θe`) to the centre of the cell (°C `θ`).
    pub fn surface_temperature(&self, face: &Face, temperatures: &[f64]) -> f64 {
        let environment = temperatures.get(face.environment).copied().unwrap_or(f64::NAN);
        environment - face.film_share * (environment - self.temperature(face.unknown, temperatures))
    }

    /// The coldest place of each inner environment's watched surfaces, outdoors 0 and inside 1.
    pub fn coldest(&self) -> Vec<Option<Coldest>> {
        let scale: Vec<f64> = self.inside.iter().map(|inside| f64::from(u8::from(*inside))).collect();
        let mut coldest: Vec<Option<Coldest>> = vec![None; self.inside.len()];
        for face in self.mesh.faces.iter().filter(|face| self.inside[face.environment] && self.watched[face.surface]) {
            let factor = self.surface_temperature(face, &scale);
            let (x, y) = ((face.edge.left + face.edge.right) / 2.0, (face.edge.low + face.edge.high) / 2.0);
            let best = &mut coldest[face.environment];
            if best.is_none_or(|best| factor < best.factor) {
                *best = Some(Coldest { factor, x, y });
            }
        }
        coldest
    }

    /// The coldest place of all inner surfaces.
    pub fn lowest(&self) -> Option<Coldest> {
        self.coldest().into_iter().flatten().reduce(|a, b| if b.factor < a.factor { b } else { a })
    }

    fn change_from(&self, before: &Solution) -> f64 {
        let own = |solution: &Solution, number: usize| solution.response.flows[number][number];
        (0..self.inside.len())
            .map(|number| {
                let (old, new) = (own(before, number), own(self, number));
                if new == 0.0 { 0.0 } else { ((new - old) / new).abs() }
            })
            .fold(0.0, f64::max)
    }

    fn factor_change_from(&self, before: &Solution) -> f64 {
        self.coldest()
            .into_iter()
            .zip(before.coldest())
            .filter_map(|(new, old)| Some((new?.factor - old?.factor).abs()))
            .fold(0.0, f64::max)
    }
}
