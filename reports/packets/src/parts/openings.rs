//! Windows, doors, skylights and hatches.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, units};
use mateline_model::Subject;

pub(crate) fn section(source: Source<'_>) -> Section {
    Section { id: "openings", title: "Windows and doors", blocks: vec![Block::Table(schedule(source))] }
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.openings.iter().map(|(id, opening)| {
        let subject = Subject::element("openings", id);
        let path = |field: &str| format!("openings.{id}.{field}");
        let evidence = opening.evidence.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        vec![
            Cell::words(id.to_string()),
            source.choice(path("kind"), &opening.kind),
            Cell::words(format!("{}, {}", opening.module, opening.face)),
            source.count(path("count"), opening.count),
            source.given(path("width"), Some(opening.width), &units::SMALL),
            source.given(path("height"), Some(opening.height), &units::SMALL),
            optional(opening.sill.is_some(), || source.given(path("sill"), opening.sill, &units::SMALL)),
            optional(opening.operation.is_some(), || source.choice(path("operation"), &opening.operation)),
            source.fact(&subject, "envelope.u_factor"),
            source.fact(&subject, "envelope.shgc"),
            source.fact(&subject, "envelope.air_leakage"),
            optional(opening.space.is_some(), || source.named(path("space"), opening.space.as_ref())),
            source.shown_by(
                &format!("openings.{id}"),
                &[
                    ("product", opening.product.as_ref()),
                    ("detail", opening.detail.as_ref()),
                    ("drawing", opening.drawing.as_ref()),
                ],
            ),
            if evidence.is_empty() { Cell::words("none") } else { source.named(path("evidence"), Some(evidence)) },
        ]
    });
    let heads = [
        "Opening",
        "Kind",
        "Box, face",
        "Count",
        "Width",
        "Height",
        "Sill",
        "Opens",
        "U-factor",
        "SHGC",
        "Air leakage",
        "Room",
        "Product, detail, drawing",
        "Records",
    ];
    Table::schedule("openings", "Schedule of openings", &heads, rows.collect())
        .note("Rough sizes. U-factor and solar heat gain are those of the whole product, frame included.")
}

/// A dash where the home says nothing and need not.
fn optional(given: bool, cell: impl Fn() -> Cell) -> Cell {
    if given { cell() } else { Cell::words("–") }
}
