//! Air flows to be measured at each terminal, with the tolerance the rules give, and what was measured so far.

use crate::packet::{Block, Form, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Id, MeasurementKind, VentilationUnit};
use mateline_model::quantity::Units;
use mateline_model::{Subject, Verdict};

/// The rule that holds a measured flow against the planned one, whichever pack it stands in; names of rules are stable.
const RULE: &str = "measured-flow";

pub(crate) fn section(source: Source<'_>) -> Section {
    let mut blocks = vec![Block::Table(table(source)), Block::Form(instrument())];
    let made = super::plant_tests::tests_made(source, "other-tests-made", "Other tests made", |test| {
        test.kind != MeasurementKind::BlowerDoor
    });
    if !made.rows.is_empty() {
        blocks.push(Block::Table(made));
    }
    blocks.extend(super::measured_air::table(source).map(Block::Table));
    Section { id: "flows", title: "Air flows to be measured", blocks }
}

/// Which instrument, and the totals.
fn instrument() -> Form {
    let rows = [
        "Instrument: make, model, serial number, calibrated on",
        "Operating point of the unit while measured",
        "Supply of all terminals together",
        "Exhaust of all terminals together",
        "Difference, and its share of the larger",
    ];
    Form::of_names("Instrument and totals", "Filled in on the day.", &["What", "Reading"], rows)
}

fn table(source: Source<'_>) -> Table {
    let mut rows = Vec::new();
    for (id, unit) in &source.report.home.systems.ventilation {
        for (way, section, flows) in [("supply", "supplies", &unit.supplies), ("exhaust", "exhausts", &unit.exhausts)] {
            for (room, flow) in flows {
                let space = Subject::element("spaces", room);
                let path = format!("systems.ventilation.{id}.{section}.{room}");
                let is_measured = runs_always(unit) && always_running(source, room) == 1;
                let judged = source.judged().find(|verdict| is_about_measuring(verdict, &space));
                let (tolerance, difference, state) = match judged.map(|verdict| (source.numbers(verdict), verdict)) {
                    Some(([value, limit, _], verdict)) if is_measured => (limit, value, source.outcome(verdict)),
                    Some(([_, limit, _], _)) => (limit, Cell::words("–"), Cell::words("–")),
                    None => (Cell::words("no rule"), Cell::words("–"), Cell::words("–")),
                };
                let blank = "________";
                let measured = if is_measured {
                    source.fact_or(&space, "ventilation.measured_flow", blank)
                } else {
                    Cell::words(blank)
                };
                rows.push(vec![
                    Cell::words(room.to_string()),
                    Cell::words(id.to_string()),
                    Cell::words(way),
                    source.given(path, Some(*flow), &Units::FLOW),
                    tolerance,
                    measured,
                    difference,
                    state,
                ]);
            }
        }
    }
    let heads = ["Room", "Unit", "Way", "Design flow", "Tolerance", "Measured", "Difference", "Verdict"];
    let note = source.judged().find(|verdict| verdict.rule == RULE);
    let note = note.map(|verdict| words::sentence(&format!("{}: {}", verdict.title, source.cited(verdict).text)));
    let several = "A record gives one flow for a room: it is that of its one terminal that runs all the time. Where a room has \
                   several, each is left blank.";
    Table::schedule("flows-to-measure", "", &heads, rows).note(format!("{} {several}", note.unwrap_or_default()).trim())
}

/// Whether a unit is no fan that somebody switches on.
fn runs_always(unit: &VentilationUnit) -> bool {
    unit.run_time.is_none_or(|share| share.si() >= 1.0)
}

/// The terminals of a room whose unit runs all the time.
fn always_running(source: Source<'_>, room: &Id) -> usize {
    let units = source.report.home.systems.ventilation.values().filter(|unit| runs_always(unit));
    units
        .map(|unit| usize::from(unit.supplies.contains_key(room)) + usize::from(unit.exhausts.contains_key(room)))
        .sum()
}

/// Whether a verdict holds the measured flow of this room against its design.
fn is_about_measuring(verdict: &Verdict, space: &Subject) -> bool {
    verdict.subject == *space && verdict.rule == RULE
}
