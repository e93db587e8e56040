//! The temperature field of a solved junction, as it is drawn.

use crate::mesh::Mesh;
use crate::plan::{Planned, word};
use crate::psi::SolvedJunction;
use crate::section::Rect;
use mateline_model::quantity::Temperature;
use mateline_model::{Drawing, FieldOutline, FieldPoint, Figure, Subject};
use mateline_sdk::Request;

/// A section larger than this (m) is shown around its coldest place only.
const LARGEST: f64 = 6.0;
/// How much of it is shown then (m).
const AROUND: f64 = 2.0;

/// Temperatures at the design temperatures, with the surface resistances that mould is judged by.
pub(crate) fn field(
    request: &Request<'_>,
    subject: &Subject,
    planned: &Planned<'_>,
    solved: &SolvedJunction,
) -> Figure {
    let site = &request.home.site;
    let indoors = site.indoor_heating.map_or(20.0, Temperature::si);
    let outdoors = site.design_heating.map_or(0.0, Temperature::si);
    let solution = &solved.solutions.sharp;
    let lowest = solved.solutions.lowest;
    let view = view(&solution.mesh, lowest.x, lowest.y);
    // The grid before it was refined: few enough cells to draw.
    let step = 1_usize << (solution.series.len() - 1);
    let columns = kept(&solution.mesh.x, step, view.left, view.right);
    let rows = kept(&solution.mesh.y, step, view.low, view.high);
    let mut temperatures = Vec::new();
    for row in rows.windows(2) {
        for column in columns.windows(2) {
            let cells = (row[0]..row[1]).flat_map(|r| (column[0]..column[1]).map(move |c| (c, r)));
            let known: Vec<f64> = cells
                .filter_map(|(c, r)| solution.mesh.at(c, r))
                .map(|unknown| solution.temperature(unknown, &[indoors, outdoors]))
                .collect();
            let mean = known.iter().sum::<f64>() / known.len() as f64;
            temperatures.push(if known.is_empty() { f64::NAN } else { mean });
        }
    }
    let edges = |lines: &[f64], kept: &[usize]| kept.iter().map(|index| lines[*index]).collect::<Vec<f64>>();
    let (x_edges, y_edges) = (edges(&solution.mesh.x, &columns), edges(&solution.mesh.y, &rows));
    let shown = |lines: &[f64]| (lines.first().copied().unwrap_or(0.0), lines.last().copied().unwrap_or(0.0));
    let ((left, right), (low, high)) = (shown(&x_edges), shown(&y_edges));
    let outlines = solved
        .drawn
        .section
        .parts
        .iter()
        .map(|part| FieldOutline {
            label: part.name.clone(),
            edges: [
                part.rect.left.max(left),
                part.rect.low.max(low),
                part.rect.right.min(right),
                part.rect.high.min(high),
            ],
        })
        .filter(|outline| outline.edges[0] < outline.edges[2] && outline.edges[1] < outline.edges[3])
        .collect();
    let coldest = outdoors + lowest.factor * (indoors - outdoors);
    let design = if site.design_heating.is_some() { "" } else { ", which the site does not give" };
    Figure {
        subject: subject.clone(),
        title: format!("Temperatures at {}, {}", planned.id, word(planned.kind)),
        alternative: format!(
            "Section with {indoors:.1} °C inside and {outdoors:.1} °C outside{design}. The coldest inner surface has \
             {coldest:.1} °C, at x = {:.2} m and y = {:.2} m.",
            lowest.x, lowest.y
        ),
        drawing: Drawing::Field {
            x_edges,
            y_edges,
            temperatures,
            outlines,
            step: 2.0,
            lowest: Some(FieldPoint { x: lowest.x, y: lowest.y, temperature: coldest }),
        },
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
fn kept(lines: &[f64], step: usize, low: f64, high: f64) -> Vec<usize> {
    (0..lines.len()).step_by(step).filter(|index| lines[*index] >= low - 1e-9 && lines[*index] <= high + 1e-9).collect()
}
