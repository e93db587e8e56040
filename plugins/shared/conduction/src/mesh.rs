//! The cells of a section: which material each holds, how they are numbered, and what couples them.

use crate::arrangement::{Arrangement, SIDES, SectionError, Side};
use crate::dissection;
use crate::grid::{self, Grading};
use crate::section::{Rect, Section};

/// Cells at most, empty ones among them.
const MOST_CELLS: usize = 4_000_000;

/// A section on a grid.
#[derive(Clone, Debug)]
pub struct Mesh {
    /// Edges of the columns, rising (m).
    pub x: Vec<f64>,
    /// Edges of the rows, rising (m).
    pub y: Vec<f64>,
    /// Place of each cell among the unknowns, row by row from below; `None` where nothing is.
    pub unknown: Vec<Option<usize>>,
    /// Part of each unknown.
    pub part: Vec<usize>,
    /// Conductivity of each unknown (W/(m·K)).
    pub conductivity: Vec<f64>,
    /// Cells that touch, and the conductance between them (W/(m·K)), the lower unknown first.
    pub links: Vec<(usize, usize, f64)>,
    /// Cells that touch an environment.
    pub faces: Vec<Face>,
}

/// The part of a surface that one cell has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// The cell.
    pub unknown: usize,
    /// The surface, by its place in the section.
    pub surface: usize,
    /// The environment.
    pub environment: usize,
    /// From the centre of the cell to the environment (W/(m·K)).
    pub conductance: f64,
    /// Share of that path's resistance that is the surface resistance.
    pub film_share: f64,
    /// The edge.
    pub edge: Rect,
}

/// Conductance between two neighbouring cells, per metre along the junction.
///
/// `G = w / (d₁/(2 λ₁) + d₂/(2 λ₂))`, with `w` the length of the common edge (m), `d` the cells' sizes across it (m) and
/// `λ` their conductivities (W/(m·K)).
///
/// Source: finite volumes with the flow through half of each cell in series (common practice, no source).
pub fn between(width: f64, first: (f64, f64), second: (f64, f64)) -> f64 {
    width / (first.0 / (2.0 * first.1) + second.0 / (2.0 * second.1))
}

impl Mesh {
    /// Lays a grid over a section.
    ///
    /// # Errors
    /// [`SectionError::TooLarge`] when the grid would have more cells than any section needs.
    pub fn new(
        section: &Section,
        arrangement: &Arrangement,
        grading: &Grading,
        halvings: u32,
    ) -> Result<Mesh, SectionError> {
        Mesh::through(section, arrangement, (&arrangement.x, &arrangement.y), grading, halvings)
    }

    /// The same through these of the arrangement's lines.
    ///
    /// # Errors
    /// [`SectionError::TooLarge`].
    pub fn through(
        section: &Section,
        arrangement: &Arrangement,
        (x, y): (&[f64], &[f64]),
        grading: &Grading,
        halvings: u32,
    ) -> Result<Mesh, SectionError> {
        let (x, y) = (grid::lines(x, grading, halvings), grid::lines(y, grading, halvings));
        let (columns, rows) = (x.len() - 1, y.len() - 1);
        if columns * rows > MOST_CELLS {
            return Err(SectionError::TooLarge(columns * rows));
        }
        let (column_of, row_of) = (fields(&arrangement.x, &x), fields(&arrangement.y, &y));
        let mut mesh = Mesh {
            unknown: vec![None; columns * rows],
            part: Vec::new(),
            conductivity: Vec::new(),
            links: Vec::new(),
            faces: Vec::new(),
            x,
            y,
        };
        for cell in dissection::order(columns, rows) {
            if let Some(part) = arrangement.part(column_of[cell % columns], row_of[cell / columns]) {
                mesh.unknown[cell] = Some(mesh.part.len());
                mesh.part.push(part);
                mesh.conductivity.push(section.parts[part].conductivity);
            }
        }
        for row in 0..rows {
            for column in 0..columns {
                let Some(unknown) = mesh.unknown[row * columns + column] else { continue };
                mesh.link(unknown, column, row, Side::Right);
                mesh.link(unknown, column, row, Side::High);
                for side in SIDES {
                    let border = match side {
                        Side::Left => column == 0 || column_of[column - 1] != column_of[column],
                        Side::Right => column + 1 == columns || column_of[column + 1] != column_of[column],
                        Side::Low => row == 0 || row_of[row - 1] != row_of[row],
                        Side::High => row + 1 == rows || row_of[row + 1] != row_of[row],
                    };
                    if let Some(surface) = arrangement.surface(column_of[column], row_of[row], side).filter(|_| border)
                    {
                        mesh.face(section, unknown, column, row, side, surface);
                    }
                }
            }
        }
        Ok(mesh)
    }

    /// How many columns.
    pub fn columns(&self) -> usize {
        self.x.len() - 1
    }

    /// How many rows.
    pub fn rows(&self) -> usize {
        self.y.len() - 1
    }

    /// How many cells hold material.
    pub fn cells(&self) -> usize {
        self.part.len()
    }

    /// Width and height of a cell (m).
    pub fn size(&self, column: usize, row: usize) -> (f64, f64) {
        (self.x[column + 1] - self.x[column], self.y[row + 1] - self.y[row])
    }

    /// The unknown of a cell; `None` where nothing is, and outside the grid.
    pub fn at(&self, column: usize, row: usize) -> Option<usize> {
        if column >= self.columns() || row >= self.rows() {
            return None;
        }
        self.unknown.get(row * self.columns() + column).copied().flatten()
    }

    fn link(&mut self, unknown: usize, column: usize, row: usize, side: Side) {
        let (c, r) = if side == Side::Right { (column + 1, row) } else { (column, row + 1) };
        if c >= self.columns() || r >= self.rows() {
            return;
        }
        let Some(other) = self.unknown[r * self.columns() + c] else { return };
        let ((w, h), (w2, h2)) = (self.size(column, row), self.size(c, r));
        let (k, k2) = (self.conductivity[unknown], self.conductivity[other]);
        let conductance = if side == Side::Right { between(h, (w, k), (w2, k2)) } else { between(w, (h, k), (h2, k2)) };
        self.links.push((unknown.min(other), unknown.max(other), conductance));
    }

    fn face(&mut self, section: &Section, unknown: usize, column: usize, row: usize, side: Side, surface: usize) {
        let (w, h) = self.size(column, row);
        let (across, along) = if matches!(side, Side::Left | Side::Right) { (w, h) } else { (h, w) };
        let film = section.surfaces[surface].resistance;
        let whole = across / (2.0 * self.conductivity[unknown]) + film;
        let (x, y) = ((self.x[column], self.x[column + 1]), (self.y[row], self.y[row + 1]));
        let edge = match side {
            Side::Left => Rect::new(x.0, y.0, x.0, y.1),
            Side::Right => Rect::new(x.1, y.0, x.1, y.1),
            Side::Low => Rect::new(x.0, y.0, x.1, y.0),
            Side::High => Rect::new(x.0, y.1, x.1, y.1),
        };
        self.faces.push(Face {
            unknown,
            surface,
            environment: section.surfaces[surface].environment,
            conductance: along / whole,
            film_share: film / whole,
            edge,
        });
    }
}

/// For each cell of fine lines the interval of the coarse lines that it lies in.
fn fields(coarse: &[f64], fine: &[f64]) -> Vec<usize> {
    let last = coarse.len().saturating_sub(2);
    fine.windows(2)
        .map(|pair| coarse.partition_point(|line| *line <= (pair[0] + pair[1]) / 2.0).saturating_sub(1).min(last))
        .collect()
}
