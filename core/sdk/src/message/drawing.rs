//! What is drawn in a figure: the model's drawings, field by field. Numbers are in SI, lengths in metres.

use super::cross::{Cross, choice, part, words};
use super::{Real, Refused, Units};
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

choice! {
    /// The kinds of figure.
    Drawing {
        /// The boxes of one level in plan, x to the east, y to the north.
        Plan {
            /// Boxes of this level.
            boxes: Vec<PlanBox>,
            /// Outlines of the boxes of the level below.
            below: Vec<PlanBox>,
            /// Mate lines between boxes of this level.
            seams: Vec<PlanSeam>,
            /// Openings in the walls of this level, each by its two ends.
            #[serde(default)]
            openings: Vec<ElevationPart>,
            /// What lies in the boxes and has no place of its own.
            #[serde(default)]
            within: Vec<PlanItem>,
            /// What a reader has to bear in mind.
            #[serde(default)]
            note: String,
        }
        /// A side of the home as seen from outside, or the home cut by an upright plane, x to the right, y upwards.
        Elevation {
            /// What is seen or cut, far before near.
            parts: Vec<ElevationPart>,
            /// Heights told beside it, rising.
            heights: Vec<Mark>,
            /// What a reader has to bear in mind.
            note: String,
        }
        /// An assembly's layers to scale.
        Section {
            /// Layers from inside to outside.
            layers: Vec<SectionLayer>,
            /// Whether the layers stand upright, as in a wall.
            upright: bool,
        }
        /// Amounts side by side as bars.
        Bars {
            /// What the amounts measure and how they are shown.
            units: Units,
            /// One bar for each part.
            rows: Vec<Bar>,
            /// Amounts to compare with.
            targets: Vec<Mark>,
            /// The whole, below the parts.
            total: Option<Bar>,
        }
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
        }
        /// What flows from where to where.
        Paths {
            /// What the flows measure and how they are shown.
            units: Units,
            /// Where flows begin and end.
            nodes: Vec<PathNode>,
            /// The flows.
            links: Vec<PathLink>,
        }
        /// The boxes of one level in plan with each mate line's weight.
        SeamPlan {
            /// Boxes of this level.
            boxes: Vec<PlanBox>,
            /// Mate lines between boxes of this level.
            seams: Vec<WeighedSeam>,
        }
        /// Words and numbers side by side.
        Table {
            /// Heads of the columns.
            columns: Vec<String>,
            /// Rows of cells.
            rows: Vec<Vec<String>>,
            /// What a reader has to bear in mind.
            note: String,
        }
        /// Temperatures over a section through building parts.
        Field {
            /// Edges of the columns of cells, rising.
            x_edges: Vec<Real>,
            /// Edges of the rows of cells, rising.
            y_edges: Vec<Real>,
            /// Temperature of each cell (°C), row by row from the bottom; null where nothing is.
            temperatures: Vec<Real>,
            /// Outlines of the materials.
            outlines: Vec<FieldOutline>,
            /// About how far apart the isotherms are (K).
            step: Real,
            /// The coldest point of the inner surface.
            lowest: Option<FieldPoint>,
        }
    }
}

part! {
    /// A box in plan.
    PlanBox {
        /// The box's id.
        label: String,
        /// West, south, east and north edges.
        edges: [Real; 4],
    }
}

part! {
    /// A mate line in plan.
    PlanSeam {
        /// The seam's id.
        label: String,
        /// From x, y to x, y.
        line: [Real; 4],
    }
}

part! {
    /// What lies in a box of a plan and is named there.
    PlanItem {
        /// What it is.
        kind: PlanItemKind,
        /// Its id.
        label: String,
        /// What it belongs to.
        subject: String,
        /// Its name and main facts.
        words: String,
        /// The label of the box that it lies in.
        of: String,
    }
}

words! {
    /// What is named in a box of a plan.
    PlanItemKind { Room, Stair, Unit, Supply, Exhaust, Penetration }
}

part! {
    /// A part of an elevation.
    ElevationPart {
        /// What it is.
        kind: ElevationKind,
        /// Its id; empty where nothing is lettered.
        label: String,
        /// What it belongs to.
        subject: String,
        /// Its name and main facts.
        words: String,
        /// Corners of what is seen of it; the two ends of a line.
        outline: Vec<(Real, Real)>,
    }
}

words! {
    /// What a part of an elevation or a section is.
    ElevationKind {
        Module, Window, GlazedDoor, Door, Hatch, MateLine, Foundation, BelowGrade, Grade, Roof, Wall, Floor, Ceiling,
        Concrete, Gravel, Insulation, Layer, Sheet, Frost, Clear
    }
}

part! {
    /// A mate line in plan with its weight.
    WeighedSeam {
        /// The mate line.
        seam: PlanSeam,
        /// Its share of the whole, from 0 to 1.
        share: Real,
        /// What it carries, already worded.
        label: String,
    }
}

part! {
    /// A bar.
    Bar {
        /// What it stands for.
        label: String,
        /// The low end of its spread.
        low: Option<Real>,
        /// The amount.
        value: Real,
        /// The high end of its spread.
        high: Option<Real>,
        /// Which kind it is of; empty where kinds do not matter.
        group: String,
    }
}

part! {
    /// A value to compare with.
    Mark {
        /// What it is.
        label: String,
        /// The value.
        value: Real,
    }
}

part! {
    /// An axis of a chart.
    Axis {
        /// What runs along it, without a unit.
        label: String,
        /// What its values measure and how they are shown.
        units: Units,
        /// Whether equal ratios are equally far apart.
        logarithmic: bool,
    }
}

part! {
    /// A curve, or points, of a chart.
    Series {
        /// What it is.
        label: String,
        /// Pairs of x and y. A curve is broken where a value is null.
        points: Vec<(Real, Real)>,
        /// Whether the points stand alone instead of making a curve.
        marks: bool,
    }
}

part! {
    /// Where flows begin and end.
    PathNode {
        /// What it is, such as a room.
        label: String,
        /// A few words on it; may be empty.
        note: String,
        /// Whether it stands for the outdoors.
        outdoors: bool,
    }
}

part! {
    /// A flow. One below zero runs the other way.
    PathLink {
        /// Index of the node it leaves.
        from: usize,
        /// Index of the node it reaches.
        to: usize,
        /// How much.
        value: Real,
        /// The way it takes; may be empty.
        label: String,
    }
}

part! {
    /// The outline of a material in a field.
    FieldOutline {
        /// The material.
        label: String,
        /// Left, lower, right and upper edges.
        edges: [Real; 4],
    }
}

part! {
    /// A point of a field.
    FieldPoint {
        /// Where, from the left.
        x: Real,
        /// Where, from the bottom.
        y: Real,
        /// Its temperature (°C).
        temperature: Real,
    }
}

part! {
    /// A layer of a section.
    SectionLayer {
        /// What it is.
        label: String,
        /// How thick.
        thickness: Real,
        /// Its share of the whole resistance, from 0 to 1.
        share: Real,
        /// Which hatching it gets.
        hatch: Hatch,
        /// Framing members in it: width and spacing.
        members: Option<(Real, Real)>,
        /// Marks such as `air barrier`.
        roles: Vec<String>,
    }
}

words! {
    /// Hatching by kind of material.
    Hatch { Board, Wood, Foam, Fibre, Masonry, Gravel, Metal, Membrane, Air, Plain }
}
