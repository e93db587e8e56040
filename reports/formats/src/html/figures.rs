//! Figures by part of the house, the plans of the boxes, elevations and the section by themselves.

use super::anchors::Anchors;
use super::house::House;
use crate::error::ReportError;
use crate::figures;
use mateline_model::{Drawing, Figure, Report};
use serde::Serialize;
use std::collections::BTreeMap;

/// The figures of one part of the house.
#[derive(Serialize)]
pub(super) struct Group {
    id: String,
    /// The part.
    title: &'static str,
    figures: Vec<FigureView>,
}

/// The figures of a home.
pub(super) struct Views {
    /// The plans of the boxes.
    pub plans: Vec<FigureView>,
    /// The four sides and the section.
    pub elevations: Vec<FigureView>,
    /// The others by part of the house.
    pub groups: Vec<Group>,
}

/// A figure as the page shows it.
#[derive(Serialize)]
pub(super) struct FigureView {
    id: String,
    title: String,
    svg: Option<String>,
    table: Option<Table>,
}

#[derive(Serialize)]
struct Table {
    alternative: String,
    columns: Vec<String>,
    rows: Vec<Row>,
    note: String,
}

#[derive(Serialize)]
struct Row {
    name: String,
    cells: Vec<Cell>,
}

#[derive(Serialize)]
struct Cell {
    column: String,
    text: String,
}

/// How many cells of tables there are to print, and how many figures.
pub(super) fn cells(report: &Report) -> usize {
    let cells = |figure: &Figure| match &figure.drawing {
        Drawing::Table { columns, rows, .. } => {
            columns.len() + rows.iter().map(|row| row.len() + columns.len()).sum::<usize>()
        }
        _ => 1,
    };
    report.figures.iter().map(cells).sum()
}

pub(super) fn views(report: &Report, anchors: &mut Anchors) -> Result<Views, ReportError> {
    let (mut plans, mut elevations) = (Vec::new(), Vec::new());
    let mut groups: BTreeMap<House, Vec<FigureView>> = BTreeMap::new();
    for figure in &report.figures {
        let id = anchors.claim("figure", &[figure.subject.as_str(), &figure.title]);
        let svg = figures::svg(report, figure, &id)?;
        let view = FigureView { id, title: figure.title.clone(), svg, table: table(figure) };
        match figure.drawing {
            Drawing::Plan { .. } => plans.push(view),
            Drawing::Elevation { .. } => elevations.push(view),
            _ => groups.entry(House::of(report, &figure.subject, None)).or_default().push(view),
        }
    }
    let group = |(part, figures): (House, Vec<FigureView>)| Group {
        id: anchors.claim("figures", &[part.title()]),
        title: part.title(),
        figures,
    };
    Ok(Views { plans, elevations, groups: groups.into_iter().map(group).collect() })
}

/// A table with as many cells in each row as there are columns; what a row has beyond stands under no head.
fn table(figure: &Figure) -> Option<Table> {
    let Drawing::Table { columns, rows, note } = &figure.drawing else { return None };
    let width = rows.iter().map(Vec::len).chain([columns.len()]).max().unwrap_or(0);
    let text = |of: &[String], index: usize| of.get(index).cloned().unwrap_or_default();
    let row = |row: &Vec<String>| Row {
        name: text(row, 0),
        cells: (1..width).map(|index| Cell { column: text(columns, index), text: text(row, index) }).collect(),
    };
    Some(Table {
        alternative: figure.alternative.clone(),
        columns: (0..width).map(|index| text(columns, index)).collect(),
        rows: rows.iter().map(row).collect(),
        note: note.clone(),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    #[test]
    fn plans_stand_by_themselves_and_the_others_by_part() {
        let figures = views(&fixture::report(), &mut Anchors::default()).unwrap();
        assert_eq!((figures.plans.len(), figures.elevations.len()), (1, 2));
        let titles: Vec<&str> = figures.groups.iter().map(|group| group.title).collect();
        assert_eq!(titles, ["Walls, floors and roofs", "Foundation", "Air", "Rooms", "Systems", "Whole home"]);
    }

    #[test]
    fn rows_of_a_table_have_equally_many_cells() {
        let mut report = fixture::report();
        let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        let figure = report.figures.first_mut().unwrap();
        figure.drawing = Drawing::Table {
            columns: words(&["a", "b"]),
            rows: vec![words(&["1"]), words(&["2", "3", "4"]), Vec::new()],
            note: String::new(),
        };
        let table = table(figure).unwrap();
        assert_eq!(table.columns, ["a", "b", ""]);
        assert!(table.rows.iter().all(|row| row.cells.len() == 2));
    }
}
