//! Junctions: what each adds to the heat loss, how cold its surface gets, how it was solved, and its picture.

use crate::packet::{Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Drawing, Figure, Subject};
use mateline_reports::{ReportError, shown};

/// Every junction, and the loss of all of them with the ground.
pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let rows: Vec<Vec<Cell>> = source.subjects("junctions").map(|subject| row(source, subject)).collect();
    let home = Subject::home();
    let totals = [
        ("Envelope, junctions and ground together", "junctions.ua_with_junctions"),
        ("Junctions together", "junctions.loss_total"),
        ("Share of the junctions", "junctions.share"),
        ("Ground, in place of what the envelope counts below grade", "junctions.ground_loss"),
    ];
    let pairs =
        totals.map(|(name, quantity)| Pair { name: name.to_owned(), value: source.fact(&home, quantity) }).to_vec();
    let heads = [
        "Junction",
        "Kind",
        "Length",
        "ψ, exterior dimensions",
        "Heat loss",
        "fRsi",
        "Coldest at design temperature",
        "Cells",
        "Last change of the heat flow",
        "ψ is",
    ];
    let table = Table::schedule("junctions", "Schedule of junctions", &heads, rows).note(shown::wording(
        "Solved by finite volumes in steady state; the grid was refined until its last halving changed little, as the \
         table says. fRsi and the coldest surface hold for a surface resistance of 0.25 m²·K/W inside.",
        source.report.units,
    ));
    let mut blocks = vec![Block::Pairs { pairs }, Block::Table(table)];
    blocks.extend(super::figures(source, is_field)?);
    Ok(Section { id: "junctions", title: "Junctions and ground", blocks })
}

/// Sections through the places where boxes meet, as they were solved.
pub(crate) fn of_mate_lines(source: Source<'_>) -> Result<Section, ReportError> {
    const BETWEEN_BOXES: [&str; 4] = ["mate-wall", "mate-floor", "mate-roof", "stacked-rim"];
    let kind =
        |subject: &Subject| source.report.facts.get(subject, "junctions.kind").and_then(|fact| fact.value.text());
    let mut blocks = vec![Block::paragraph(
        "What was taken to be built where boxes meet, with the temperatures that follow from it; each mate line has to \
         be built as drawn for its verdicts to hold.",
    )];
    let between = |figure: &Figure| kind(&figure.subject).is_some_and(|kind| BETWEEN_BOXES.contains(&kind));
    blocks.extend(super::figures(source, |figure| is_field(figure) && between(figure))?);
    if blocks.len() == 1 {
        blocks = vec![Block::paragraph("No section through a mate line was solved.")];
    }
    Ok(Section { id: "mate-line-sections", title: "Sections through mate lines", blocks })
}

fn is_field(figure: &Figure) -> bool {
    matches!(figure.drawing, Drawing::Field { .. })
}

fn row(source: Source<'_>, subject: &Subject) -> Vec<Cell> {
    let fact = |name: &str| source.fact(subject, &format!("junctions.{name}"));
    let mut row = vec![Cell::words(subject.id())];
    row.extend(
        [
            "kind",
            "length",
            "psi",
            "loss",
            "surface_factor",
            "lowest_temperature",
            "cells",
            "refinement_change",
            "source",
        ]
        .map(fact),
    );
    row
}
