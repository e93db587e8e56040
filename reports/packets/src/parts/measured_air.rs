//! What was found in the air: samples and radon, with the level each is held against.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, Trace, words};
use mateline_model::Subject;
use mateline_model::home::MeasurementKind;

pub(crate) fn section(source: Source<'_>) -> Section {
    let none = || Block::paragraph("No sample of the air and no test for radon is recorded.");
    let block = in_plain_words(source).map_or_else(none, Block::Table);
    Section { id: "measured-air", title: "What was found in the air", blocks: vec![block] }
}

/// The samples without the names of tests and rooms in the home file.
fn in_plain_words(source: Source<'_>) -> Option<Table> {
    let table = table(source)?;
    let rows = table.rows.iter().map(|row| {
        let cells = row.iter().skip(1).map(|cell| match &cell.trace {
            Some(Trace::Home { path }) if path.ends_with(".space") => {
                Cell { text: words::plain(&cell.text), bare: None, ..cell.clone() }
            }
            _ => Cell { bare: None, ..cell.clone() },
        });
        cells.collect::<Vec<Cell>>()
    });
    let heads = ["Date", "Room", "Of what", "Found", "Level", "Verdict"];
    let plain = Table::plain(&table.title, &heads, rows.collect());
    Some(plain.note(table.note))
}

/// The samples and radon tests, where there are any.
pub(crate) fn table(source: Source<'_>) -> Option<Table> {
    let tests = source.report.home.measurements.iter();
    let of_air = tests.filter(|(_, test)| matches!(test.kind, MeasurementKind::AirSample | MeasurementKind::Radon));
    let rows: Vec<Vec<Cell>> = of_air
        .map(|(id, test)| {
            let subject = Subject::element("measurements", id);
            let path = |field: &str| format!("measurements.{id}.{field}");
            let (what, found) = match test.kind {
                MeasurementKind::Radon => (Cell::words("radon"), "materials.measured_radon"),
                _ => (source.fact(&subject, "materials.measured_compound"), "materials.measured_concentration"),
            };
            let judged =
                source.judged().find(|verdict| verdict.subject == subject && verdict.rule.starts_with("measured-"));
            let (level, state) = match judged {
                Some(verdict) => {
                    let [_, limit, _] = source.numbers(verdict);
                    (limit, source.outcome(verdict))
                }
                None => (Cell::words("no rule"), Cell::words("–")),
            };
            vec![
                Cell::words(id.to_string()),
                source.named(path("date"), test.date.as_ref()),
                source.named(path("space"), test.space.as_ref()),
                what,
                source.fact(&subject, found),
                level,
                state,
            ]
        })
        .collect();
    let heads = ["Test", "Date", "Room", "Of what", "Found", "Level", "Verdict"];
    (!rows.is_empty()).then(|| {
        Table::schedule("measured-air", "Samples of the air and radon", &heads, rows)
            .note("A sample is one day of the year; the levels of compounds are for the mean of a year.")
    })
}
