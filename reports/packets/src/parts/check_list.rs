//! What the verifier looks at with eyes and hands, seal by seal, and what has to be photographed before it is covered.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{EvidenceKind, Id};

/// Left free for a hand.
const BLANK: &str = "________";
/// How a seal is looked at. Common practice, no source.
const HOW: &str = "hand and lamp; smoke or a hand while the fan runs";

pub(crate) fn section(source: Source<'_>) -> Section {
    let blocks = vec![Block::Table(seals(source)), Block::Table(photographs(source))];
    Section { id: "check-list", title: "Check list and photographs", blocks }
}

/// One row for each seal of each mate line and for each kind of hole.
fn seals(source: Source<'_>) -> Table {
    let row = |boxes: Cell, what: String, criterion: &str| {
        vec![boxes, Cell::words(what), Cell::words(criterion), Cell::words(HOW), Cell::words(BLANK), Cell::words(BLANK)]
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for seam in source.subjects("seams") {
        let described = source.report.home.seam(seam.id());
        for seal in described.into_iter().flat_map(|(_, seam)| seam.sealed_by.iter()) {
            let what = format!("mate line, {}", words::of(seal));
            rows.push(row(Cell::words(seam.id()), what, super::seals::of_seam(*seal)));
        }
    }
    for (id, hole) in &source.report.home.penetrations {
        let criterion = hole.seal.map_or("how it is sealed is not given", super::seals::of_hole);
        let module = source.named(format!("penetrations.{id}.module"), Some(&hole.module));
        rows.push(row(module, format!("{id}, {} of them", hole.count).replace(", 1 of them", ""), criterion));
    }
    let heads = ["Box", "What", "Right when", "How to look", "Result", "Initials"];
    Table::schedule("check-list", "Seals and holes", &heads, rows)
        .note("What is right, and how to look, is common practice, no source; the detail that the schedule names comes first.")
}

/// What can be seen only before it is covered.
fn photographs(source: Source<'_>) -> Table {
    let home = &source.report.home;
    let record = |evidence: &[Id]| {
        let is_photograph =
            |id: &&Id| home.evidence.get(*id).is_some_and(|record| record.kind == EvidenceKind::Photograph);
        evidence.iter().find(is_photograph).map_or_else(|| BLANK.to_owned(), ToString::to_string)
    };
    let row = |what: String, when: &str, record: String| {
        vec![Cell::words(what), Cell::words(when), Cell::words(record), Cell::words(BLANK)]
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for seam in source.subjects("seams") {
        let named =
            source.report.home.seam(seam.id()).map_or_else(|| BLANK.to_owned(), |(_, seam)| record(&seam.evidence));
        rows.push(row(format!("seal of the mate line {}, whole length", seam.id()), "before it is covered", named));
    }
    for (id, assembly) in &home.assemblies {
        let what = format!("insulation of {id}, {}", words::of(&assembly.kind));
        rows.push(row(what, "before board or cladding", BLANK.to_owned()));
    }
    if let Some(foundation) = &home.foundation {
        let below = ["sheet and insulation below the floor", "water protection and drain along the wall"];
        rows.extend(below.map(|what| row(what.to_owned(), "before concrete or earth", BLANK.to_owned())));
        if foundation.radon.is_some() {
            rows.push(row("gas-permeable layer and vent pipe".to_owned(), "before concrete", BLANK.to_owned()));
        }
    }
    let heads = ["Photograph", "When", "Record in the home file", "Taken, number"];
    Table::schedule("photographs", "Photographs to take", &heads, rows)
}
