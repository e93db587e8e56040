//! What is forecast in the air of each room, all finishes together: rooms by compounds in one table.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use std::collections::BTreeMap;

/// Compounds that a table has room for side by side.
const MOST_BESIDE: usize = 7;

pub(crate) fn section(source: Source<'_>) -> Section {
    let text = |subject: &Subject, quantity: &str| {
        source.report.facts.get(subject, quantity).and_then(|fact| fact.value.text()).map(str::to_owned)
    };
    let mut rooms: Vec<String> = Vec::new();
    let mut compounds: Vec<String> = Vec::new();
    let mut found: BTreeMap<(String, String), &Subject> = BTreeMap::new();
    for subject in source.subjects("air") {
        let room = text(subject, "materials.space").unwrap_or_else(|| "whole home".to_owned());
        let Some(compound) = text(subject, "materials.compound") else { continue };
        for (list, name) in [(&mut rooms, &room), (&mut compounds, &compound)] {
            if !list.contains(name) {
                list.push(name.clone());
            }
        }
        found.insert((room, compound), subject);
    }
    let cell = |room: &String, compound: &String| {
        let subject = found.get(&(room.clone(), compound.clone()));
        subject.map_or_else(|| Cell::words("–"), |subject| source.fact(subject, "materials.concentration"))
    };
    let tables = compounds.chunks(MOST_BESIDE).enumerate().map(|(index, beside)| {
        let heads: Vec<&str> = std::iter::once("Room").chain(beside.iter().map(String::as_str)).collect();
        let row = |room: &String| {
            std::iter::once(Cell::words(room)).chain(beside.iter().map(|compound| cell(room, compound))).collect()
        };
        let name = if index == 0 { "pollutants".to_owned() } else { format!("pollutants-{}", index + 1) };
        Table::schedule(&name, "", &heads, rooms.iter().map(row).collect())
    });
    let mut blocks: Vec<Block> = tables.map(Block::Table).collect();
    if blocks.is_empty() {
        blocks.push(Block::paragraph("Nothing is forecast: the home file names no emissions."));
    }
    Section { id: "pollutants", title: "Compounds forecast in the air of each room", blocks }
}
