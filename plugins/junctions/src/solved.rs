//! What is read off a solved section: its heat flow, and its surface temperatures with a field to draw. Little enough to
//! be kept from run to run.

use crate::films::MOULD;
use crate::store::{Store, kept};
use mateline_conduction::arrangement::SectionError;
use mateline_conduction::mesh::Mesh;
use mateline_conduction::section::{Rect, Section, content_hash};
use mateline_conduction::solution::{Accuracy, Coldest, Solution, solve, solve_both};
use serde::{Deserialize, Serialize};

/// A section larger than this (m) is shown around its coldest place only.
const LARGEST: f64 = 6.0;
/// How much of it is shown then (m).
const AROUND: f64 = 2.0;
/// What a result may be off by of which one grid has told nothing.
const ALL: f64 = 1.0;
/// Cells of a field at most, against what is kept and is not what it says.
const MOST_CELLS: usize = 1_000_000;

/// Heat through a section.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct HeatFlow {
    /// Coupling coefficient (W/(m·K)).
    pub l2d: f64,
    /// Cells of the grids solved, coarse to fine.
    pub series: Vec<usize>,
    /// Change of the heat flow in the last step, as a share.
    pub refinement_change: f64,
    /// What the heat flow may be off by, as a share.
    pub off: f64,
    /// Heat in less heat out, as a share.
    pub balance_error: f64,
}

/// Heat through a section and through the same without the junction.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Difference {
    pub section: HeatFlow,
    pub without: HeatFlow,
    /// Change of the difference in the last step (W/(m·K)).
    pub change: f64,
}

impl Difference {
    /// Solves both on the same grids, or takes what was kept.
    pub(crate) fn of(
        section: &Section,
        without: &Section,
        accuracy: &Accuracy,
        store: &dyn Store,
    ) -> Result<Difference, SectionError> {
        let asked = format!("difference to {}", content_hash(without));
        let is_sound =
            |found: &Difference| found.section.is_sound() && found.without.is_sound() && found.change.is_finite();
        kept(store, (section, accuracy, &asked), is_sound, |accuracy| {
            let (section, without, change) = solve_both(section, without, accuracy)?;
            Ok(Difference { section: HeatFlow::read(section), without: HeatFlow::read(without), change })
        })
    }
}

/// Inner surfaces of a section with 0.25 m²·K/W on them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Surfaces {
    pub lowest: Coldest,
    /// Cells of the last grid.
    pub cells: usize,
    /// Change of the lowest factor in the last step.
    pub factor_change: f64,
    /// Heat in less heat out, as a share.
    pub balance_error: f64,
    pub field: Field,
}

/// Temperature factors over a section, on the grid before it was refined: few enough cells to draw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Field {
    /// Edges of the columns, rising (m).
    pub x: Vec<f64>,
    /// Edges of the rows, rising (m).
    pub y: Vec<f64>,
    /// Row by row from the bottom; none where nothing is.
    pub factors: Vec<Option<f64>>,
}

impl HeatFlow {
    /// Solves a section for its heat flow, or takes what was kept.
    pub(crate) fn of(section: &Section, accuracy: &Accuracy, store: &dyn Store) -> Result<HeatFlow, SectionError> {
        kept(store, (section, accuracy, "heat flow"), HeatFlow::is_sound, |accuracy| {
            solve(section, accuracy).map(HeatFlow::read)
        })
    }

    fn read(solution: Solution) -> HeatFlow {
        HeatFlow {
            l2d: solution.l2d(),
            refinement_change: solution.refinement_change.min(ALL),
            off: solution.off().min(ALL),
            balance_error: solution.response.balance_error,
            series: solution.series,
        }
    }

    fn is_sound(&self) -> bool {
        let numbers = [self.l2d, self.refinement_change, self.off, self.balance_error];
        numbers.iter().all(|number| number.is_finite()) && !self.series.is_empty()
    }

    /// Cells of the last grid.
    pub(crate) fn cells(&self) -> usize {
        self.series.last().copied().unwrap_or_default()
    }
}

impl Surfaces {
    /// Solves a section for its lowest surface temperature, or takes what was kept.
    pub(crate) fn of(section: &Section, store: &dyn Store) -> Result<Surfaces, SectionError> {
        let section = section.with_inner_resistance(MOULD);
        let accuracy = Accuracy::SURFACES;
        kept(store, (&section, &accuracy, "surfaces"), Surfaces::is_sound, |accuracy| {
            let solution = solve(&section, accuracy)?;
            let lowest = solution.lowest().ok_or(SectionError::OneEnvironment)?;
            Ok(Surfaces {
                lowest,
                cells: solution.mesh.cells(),
                factor_change: solution.factor_change.min(ALL),
                balance_error: solution.response.balance_error,
                field: Field::of(&solution, lowest),
            })
        })
    }

    fn is_sound(&self) -> bool {
        let numbers = [self.lowest.factor, self.lowest.x, self.lowest.y, self.factor_change, self.balance_error];
        let (columns, rows) = (self.field.x.len().saturating_sub(1), self.field.y.len().saturating_sub(1));
        let rising = |edges: &[f64]| edges.windows(2).all(|pair| pair[0] < pair[1]);
        numbers.iter().all(|number| number.is_finite())
            && columns.checked_mul(rows).is_some_and(|cells| cells == self.field.factors.len() && cells <= MOST_CELLS)
            && columns > 0
            && rows > 0
            && rising(&self.field.x)
            && rising(&self.field.y)
    }
}

/// Lowest surface temperature factor of a section, for trials of which nothing else is looked at.
pub(crate) fn lowest_factor(section: &Section, store: &dyn Store) -> Result<f64, SectionError> {
    let section = section.with_inner_resistance(MOULD);
    let accuracy = Accuracy::SURFACES;
    kept(
        store,
        (&section, &accuracy, "lowest factor"),
        |found: &f64| found.is_finite(),
        |accuracy| solve(&section, accuracy)?.lowest().map(|lowest| lowest.factor).ok_or(SectionError::OneEnvironment),
    )
}

impl Field {
    fn of(solution: &Solution, lowest: Coldest) -> Field {
        let mesh = &solution.mesh;
        let view = view(mesh, lowest.x, lowest.y);
        let step = 1_usize << (solution.series.len() - 1);
        let (columns, rows) =
            (chosen(&mesh.x, step, view.left, view.right), chosen(&mesh.y, step, view.low, view.high));
        let mut factors = Vec::new();
        for row in rows.windows(2) {
            for column in columns.windows(2) {
                let cells = (row[0]..row[1]).flat_map(|r| (column[0]..column[1]).map(move |c| (c, r)));
                let known: Vec<f64> =
                    cells.filter_map(|(c, r)| mesh.at(c, r)).map(|unknown| solution.factor(unknown)).collect();
                let mean = known.iter().sum::<f64>() / known.len() as f64;
                factors.push(if known.is_empty() { None } else { Some(mean) });
            }
        }
        let edges = |lines: &[f64], chosen: &[usize]| chosen.iter().map(|index| lines[*index]).collect::<Vec<f64>>();
        Field { x: edges(&mesh.x, &columns), y: edges(&mesh.y, &rows), factors }
    }
}

fn view(mesh: &Mesh, x: f64, y: f64) -> Rect {
    let ends = |lines: &[f64], at: f64| {
        let (low, high) = (lines.first().copied().unwrap_or(0.0), lines.last().copied().unwrap_or(0.0));
        if high - low > LARGEST { (low.max(at - AROUND), high.min(at + AROUND)) } else { (low, high) }
    };
    let ((left, right), (low, high)) = (ends(&mesh.x, x), ends(&mesh.y, y));
    Rect::new(left, low, right, high)
}

/// Every `step`-th line between two limits, by its place.
fn chosen(lines: &[f64], step: usize, low: f64, high: f64) -> Vec<usize> {
    (0..lines.len()).step_by(step).filter(|index| lines[*index] >= low - 1e-9 && lines[*index] <= high + 1e-9).collect()
}
