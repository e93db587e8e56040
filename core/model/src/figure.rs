//! Figures as data: what is drawn. How it looks is the reports' business.

use crate::quantity::Units;
use crate::subject::Subject;
use std::borrow::Cow;

/// A figure of a report.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it belongs to.
    pub subject: Subject,
    /// Which figure of its plugin it is: `takeoff.plan`. What asks for a figure asks by this, never by its title.
    pub key: Cow<'static, str>,
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
        /// Openings in the walls of this level, each by its two ends.
        openings: Vec<ElevationPart>,
        /// What lies in the boxes and has no place of its own.
        within: Vec<PlanItem>,
        /// What a reader has to bear in mind; empty where nothing.
        note: String,
    },
    /// A side of the home as seen from outside, or the home cut by an upright plane, to scale. Lengths in metres, x to the
    /// right, y upwards.
    Elevation {
        /// What is seen or cut, far before near.
        parts: Vec<ElevationPart>,
        /// Heights told beside it, rising.
        heights: Vec<Mark>,
        /// What a reader has to bear in mind; empty where nothing.
        note: String,
    },
    /// An assembly's layers to scale, inside on the left (walls) or at the bottom.
    Section {
        /// Layers from inside to outside.
        layers: Vec<SectionLayer>,
        /// Whether the layers stand upright, as in a wall.
        upright: bool,
    },
    /// Amounts side by side as horizontal bars, in the order given.
    Bars {
        /// What the amounts measure and how they are shown.
        units: Units,
        /// One bar for each part.
        rows: Vec<Bar>,
        /// Amounts to compare with.
        targets: Vec<Mark>,
        /// The whole, below the parts.
        total: Option<Bar>,
    },
    /// Curves and points over two axes.
    Chart {
        /// The axis to the right.
        x: Axis,
        /// The axis upwards.
        y: Axis,
        /// Curves and rows of points.
        series: Vec<Series>,
        /// Values of `y` to compare with.
        levels: Vec<Mark>,
    },
    /// What flows from where to where, such as air from room to room.
    Paths {
        /// What the flows measure and how they are shown.
        units: Units,
        /// Where flows begin and end.
        nodes: Vec<PathNode>,
        /// The flows.
        links: Vec<PathLink>,
    },
    /// The boxes of one level in plan with each mate line's weight. Lengths in metres, x to the east, y to the north.
    SeamPlan {
        /// Boxes of this level.
        boxes: Vec<PlanBox>,
        /// Mate lines between boxes of this level.
        seams: Vec<WeighedSeam>,
    },
    /// Words and numbers side by side, already worded in the report's units.
    Table {
        /// Heads of the columns; the first column names the rows.
        columns: Vec<String>,
        /// Rows of cells.
        rows: Vec<Vec<String>>,
        /// What a reader has to bear in mind; empty where nothing.
        note: String,
    },
    /// Temperatures over a section through building parts. Lengths in metres, x to the right, y upwards.
    Field {
        /// Edges of the columns of cells, rising (m).
        x_edges: Vec<f64>,
        /// Edges of the rows of cells, rising (m).
        y_edges: Vec<f64>,
        /// Temperature of each cell (°C): row by row from the bottom, in a row from the left. NaN where nothing is.
        temperatures: Vec<f64>,
        /// Outlines of the materials.
        outlines: Vec<FieldOutline>,
        /// About how far apart the isotherms are (K); a report takes a round number of its own degrees.
        step: f64,
        /// The coldest point of the inner surface.
        lowest: Option<FieldPoint>,
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

/// What lies in a box of a plan and is named there, as the home gives it no place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanItem {
    /// What it is.
    pub kind: PlanItemKind,
    /// Its id, as schedules give it; empty for a terminal, which goes by its room.
    pub label: String,
    /// What it belongs to.
    pub subject: String,
    /// Its name and main facts, already worded.
    pub words: String,
    /// The label of the box that it lies in.
    pub of: String,
}

/// What is named in a box of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "each word says what it is")]
pub enum PlanItemKind {
    Room,
    /// A room that holds the stair.
    Stair,
    /// A ventilation unit or fan, in the room named before it.
    Unit,
    /// Where air is supplied to the room named before it.
    Supply,
    /// Where air is taken from the room named before it.
    Exhaust,
    Penetration,
}

/// A part of an elevation.
#[derive(Clone, Debug, PartialEq)]
pub struct ElevationPart {
    /// What it is.
    pub kind: ElevationKind,
    /// Its id, as schedules give it; empty where nothing is lettered.
    pub label: String,
    /// What it belongs to.
    pub subject: String,
    /// Its name and main facts, already worded.
    pub words: String,
    /// Corners of what is seen of it; the two ends of a line (m).
    pub outline: Vec<(f64, f64)>,
}

/// What a part of an elevation or a section is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "each word says what it is")]
pub enum ElevationKind {
    Module,
    Window,
    GlazedDoor,
    Door,
    Hatch,
    MateLine,
    Foundation,
    BelowGrade,
    Grade,
    Roof,
    /// A wall of a box, cut.
    Wall,
    /// The floor of a box, cut.
    Floor,
    /// The ceiling of a box, cut.
    Ceiling,
    /// Concrete or other masonry, cut.
    Concrete,
    /// Gravel, cut.
    Gravel,
    /// Insulation, cut.
    Insulation,
    /// Any other layer of a foundation, cut.
    Layer,
    /// A sheet too thin to be drawn as thick as it is: a line.
    Sheet,
    /// How deep the ground freezes: a line.
    Frost,
    /// A height between two ends, told beside the line.
    Clear,
}

/// A mate line in plan with its weight.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighedSeam {
    /// The mate line.
    pub seam: PlanSeam,
    /// Its share of the whole, from 0 to 1.
    pub share: f64,
    /// What it carries, already worded; empty where the share says enough.
    pub label: String,
}

/// A bar. Amounts in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What it stands for.
    pub label: String,
    /// The low end of its spread.
    pub low: Option<f64>,
    /// The amount.
    pub value: f64,
    /// The high end of its spread.
    pub high: Option<f64>,
    /// Which kind it is of, such as `factory` or `site`; empty where kinds do not matter.
    pub group: String,
}

/// A value to compare with. In SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub label: String,
    /// The value.
    pub value: f64,
}

/// An axis of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What runs along it, without a unit.
    pub label: String,
    /// What its values measure and how they are shown.
    pub units: Units,
    /// Whether equal ratios are equally far apart.
    pub logarithmic: bool,
}

/// A curve, or points, of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is.
    pub label: String,
    /// Pairs of x and y, in SI. A curve is broken where a value is NaN.
    pub points: Vec<(f64, f64)>,
    /// Whether the points stand alone instead of making a curve.
    pub marks: bool,
}

/// Where flows begin and end.
#[derive(Clone, Debug, PartialEq)]
pub struct PathNode {
    /// What it is, such as a room.
    pub label: String,
    /// A few words on it; may be empty.
    pub note: String,
    /// Whether it stands for the outdoors.
    pub outdoors: bool,
}

/// A flow. One below zero runs the other way.
#[derive(Clone, Debug, PartialEq)]
pub struct PathLink {
    /// Index of the node it leaves.
    pub from: usize,
    /// Index of the node it reaches.
    pub to: usize,
    /// How much, in SI.
    pub value: f64,
    /// The way it takes, such as `door undercut`; may be empty.
    pub label: String,
}

/// The outline of a material in a field.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldOutline {
    /// The material.
    pub label: String,
    /// Left, lower, right and upper edges (m).
    pub edges: [f64; 4],
}

/// A point of a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldPoint {
    /// Where, from the left (m).
    pub x: f64,
    /// Where, from the bottom (m).
    pub y: f64,
    /// Its temperature (°C).
    pub temperature: f64,
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
    Gravel,
    Metal,
    Membrane,
    Air,
    Plain,
}
