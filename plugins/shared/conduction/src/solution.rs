//! Solving a section until the grid no longer matters, and what is read off the solution.

use crate::arrangement::{Arrangement, SectionError, Unsettled};
use crate::conduction::{Response, respond};
use crate::grid::{self, COARSE, Grading};
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
    /// What a heat flow may still be off, as a share, on the last grid that can be solved.
    pub flow_at_most: f64,
    /// Greatest change of the difference between the heat flows of two sections (W/(m·K)).
    pub difference: f64,
    /// Cells at most.
    pub most_cells: usize,
    /// The grid that refinement starts from.
    pub grading: Grading,
}

impl Accuracy {
    /// Heat flow within 1 %, surface temperature factor within 0.005.
    ///
    /// Source: ISO 10211:2017, convergence of numerical methods (from memory).
    pub const STANDARD: Accuracy = Accuracy {
        flow: 0.01,
        factor: 0.005,
        flow_at_most: 0.01,
        difference: 0.001,
        most_cells: 600_000,
        grading: COARSE,
    };

    /// For surface temperatures: where the heat flow does not settle, they count when they do.
    pub const SURFACES: Accuracy = Accuracy { flow_at_most: f64::INFINITY, ..Accuracy::STANDARD };

    /// Heat flow within 0.1 %, for ψ-values that are small beside it, and 1 % where no finer grid can be solved; surface
    /// temperatures are not looked at.
    pub const FINE: Accuracy = Accuracy { flow: 0.001, factor: f64::INFINITY, ..Accuracy::STANDARD };

    /// Heat flow within 1 %, for wide sections through the ground of which two are compared; surface temperatures are not
    /// looked at.
    pub const GROUND: Accuracy = Accuracy { factor: f64::INFINITY, ..Accuracy::STANDARD };

    /// The first grid alone, with no statement on how far it can be trusted: to find out which sections are worth solving
    /// as they should be.
    #[must_use]
    pub fn roughly(self) -> Accuracy {
        let any = f64::INFINITY;
        Accuracy { flow: any, factor: any, flow_at_most: any, difference: any, ..self }
    }
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
    /// What finer grids would still add to the heat flow, as a share, by the way in which the changes fall.
    pub left: Option<f64>,
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

/// Solves a section: grids of half the cell size follow one another until the results settle. Where they do not, as where
/// materials that conduct very differently meet in a point, grids that are much finer beside the edges are tried.
///
/// # Errors
/// [`SectionError`] when the section cannot be solved or does not settle; then with what the last grids gave.
pub fn solve(section: &Section, accuracy: &Accuracy) -> Result<Solution, SectionError> {
    match solve_graded(section, accuracy) {
        Err(SectionError::Unsettled(first)) => {
            let grading = Grading { first: accuracy.grading.first / FINER, ..accuracy.grading };
            match solve_graded(section, &Accuracy { grading, ..*accuracy }) {
                Err(SectionError::Unsettled(finer)) if finer.left.is_none() => Err(SectionError::Unsettled(first)),
                outcome => outcome,
            }
        }
        outcome => outcome,
    }
}

/// How much finer the first cells are beside the edges of a section that does not settle.
const FINER: f64 = 64.0;

fn solve_graded(section: &Section, accuracy: &Accuracy) -> Result<Solution, SectionError> {
    let grids = Grids::of(section, Arrangement::of(section)?, accuracy)?;
    let mut before: Option<Solution> = None;
    for halvings in 0.. {
        let now = grids.solved(halvings, before.as_ref())?;
        if now.is_within(accuracy) {
            return Ok(now);
        }
        if 4 * now.mesh.cells() > accuracy.most_cells {
            return now.accepted(accuracy);
        }
        before = Some(now);
    }
    Err(SectionError::Numbers)
}

/// Solves two sections of which the difference counts, on one series of grids, until both and their difference settle.
/// Also by how much that changed in the last step (W/(m·K)).
///
/// # Errors
/// [`SectionError`] when one of them cannot be solved or does not settle.
pub fn solve_both(
    section: &Section,
    other: &Section,
    accuracy: &Accuracy,
) -> Result<(Solution, Solution, f64), SectionError> {
    let grids = [
        Grids::of(section, Arrangement::along(section, other)?, accuracy)?,
        Grids::of(other, Arrangement::along(other, section)?, accuracy)?,
    ];
    let mut before: Option<(Solution, Solution)> = None;
    for halvings in 0.. {
        let (earlier, earlier_other) = before.as_ref().map_or((None, None), |(one, other)| (Some(one), Some(other)));
        let (one, two) = (grids[0].solved(halvings, earlier)?, grids[1].solved(halvings, earlier_other)?);
        let change = before
            .as_ref()
            .map_or(f64::INFINITY, |(first, second)| ((one.l2d() - two.l2d()) - (first.l2d() - second.l2d())).abs());
        if one.is_within(accuracy) && two.is_within(accuracy) && change <= accuracy.difference {
            return Ok((one, two, change));
        }
        if 4 * one.mesh.cells().max(two.mesh.cells()) > accuracy.most_cells {
            return Ok((one.accepted(accuracy)?, two.accepted(accuracy)?, change));
        }
        before = Some((one, two));
    }
    Err(SectionError::Numbers)
}

/// Grids of one section, each of half the cell size of the one before.
struct Grids<'a> {
    section: &'a Section,
    arrangement: Arrangement,
    lines: (Vec<f64>, Vec<f64>),
    grading: Grading,
}

impl<'a> Grids<'a> {
    /// The grid to begin with. Where it would leave no room for two finer ones, it keeps only to lines along which something
    /// changes, and is coarser beside them.
    fn of(section: &'a Section, arrangement: Arrangement, accuracy: &Accuracy) -> Result<Grids<'a>, SectionError> {
        let lines = (arrangement.x.clone(), arrangement.y.clone());
        let mut grids = Grids { section, arrangement, lines, grading: accuracy.grading };
        let is_large = |grids: &Grids<'_>| {
            let along = |edges: &[f64]| grid::lines(edges, &grids.grading, 0).len();
            16 * along(&grids.lines.0) * along(&grids.lines.1) > accuracy.most_cells
        };
        if is_large(&grids) {
            grids.lines = grids.arrangement.telling(section);
        }
        for _ in 0..COARSENED {
            if is_large(&grids) {
                grids.grading.first *= 2.0;
            }
        }
        Ok(grids)
    }

    fn solved(&self, halvings: u32, before: Option<&Solution>) -> Result<Solution, SectionError> {
        let lines = (&*self.lines.0, &*self.lines.1);
        let mesh = Mesh::through(self.section, &self.arrangement, lines, &self.grading, halvings)?;
        let mut now = at_level(self.section, mesh)?;
        if let Some(before) = before {
            now.refinement_change = now.change_from(before);
            now.factor_change = now.factor_change_from(before);
            now.series = before.series.iter().copied().chain(now.series).collect();
            let ratio = now.refinement_change / before.refinement_change;
            now.left = (ratio < 1.0).then_some(now.refinement_change * ratio / (1.0 - ratio)).filter(|_| ratio > 0.0);
        }
        Ok(now)
    }
}

/// How often the first cell beside an edge may be doubled.
const COARSENED: u32 = 4;

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
        left: None,
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

    fn is_within(&self, accuracy: &Accuracy) -> bool {
        self.refinement_change <= accuracy.flow && self.factor_change <= accuracy.factor
    }

    /// The last solution that can be had, where it is good enough: the heat flow by what is left of its changes, which fall
    /// from grid to grid like a geometric series.
    fn accepted(self, accuracy: &Accuracy) -> Result<Solution, SectionError> {
        let is_near = accuracy.flow_at_most.is_infinite() || self.off() <= accuracy.flow_at_most;
        if is_near && self.factor_change <= accuracy.factor {
            return Ok(self);
        }
        let known = |change: f64| change.is_finite().then_some(change);
        Err(SectionError::Unsettled(Unsettled {
            cells: self.mesh.cells(),
            change: known(self.refinement_change),
            left: self.left,
            factor_change: known(self.factor_change),
            l2d: self.l2d(),
            factor: self.lowest().map(|lowest| lowest.factor),
        }))
    }

    /// What the heat flow may be off by, as a share: what is left of its changes, or the last one where that is not known.
    pub fn off(&self) -> f64 {
        self.left.unwrap_or(self.refinement_change)
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
