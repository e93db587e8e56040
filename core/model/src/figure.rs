//! Figures as data: what is drawn. How it looks is the reports' business.

use crate::subject::Subject;

/// A figure of a report.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it belongs to.
    pub subject: Subject,
    /// Title above it.
    pub title: String,
    /// What it shows, in words, for a reader who cannot see it.
    pub alternative: String,
    /// What is drawn.
    pub drawing: Drawing,
}

/// The kinds of figure.
#[derive(Clone, Debug, PartialEq)]
pub enum Drawing {
    /// The boxes of one level in plan. Lengths in metres, x to the east, y to the north.
    Plan {
        /// Boxes of this level.
        boxes: Vec<PlanBox>,
        /// Outlines of the boxes of the level below, drawn faintly.
        below: Vec<PlanBox>,
        /// Mate lines between boxes of this level.
        seams: Vec<PlanSeam>,
    },
    /// An assembly's layers to scale, inside on the left (walls) or at the bottom.
    Section {
        /// Layers from inside to outside.
        layers: Vec<SectionLayer>,
        /// Whether the layers stand upright, as in a wall.
        upright: bool,
    },
}

/// A box in plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanBox {
    /// The box's id.
    pub label: String,
    /// West, south, east and north edges (m).
    pub edges: [f64; 4],
}

/// A mate line in plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanSeam {
    /// The seam's id.
    pub label: String,
    /// From x, y to x, y (m).
    pub line: [f64; 4],
}

/// A layer of a section.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionLayer {
    /// What it is.
    pub label: String,
    /// How thick (m).
    pub thickness: f64,
    /// Its share of the whole resistance, surface films included, from 0 to 1.
    pub share: f64,
    /// Which hatching it gets.
    pub hatch: Hatch,
    /// Framing members in it: width and spacing (m).
    pub members: Option<(f64, f64)>,
    /// Marks such as `air barrier`.
    pub roles: Vec<String>,
}

/// Hatching by kind of material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "names of material kinds")]
pub enum Hatch {
    Board,
    Wood,
    Foam,
    Fibre,
    Masonry,
    Metal,
    Membrane,
    Air,
    Plain,
}
