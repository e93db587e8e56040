//! Every hole through the air barrier: what goes through, how large it is, how it is sealed and by whom.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, units};
use mateline_model::Subject;
use mateline_model::home::{Id, Penetration};
use mateline_model::quantity::Units;

pub(crate) fn section(source: Source<'_>) -> Section {
    Section { id: "penetrations", title: "Penetrations", blocks: vec![Block::Table(schedule(source))] }
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.penetrations.iter().map(|(id, hole)| {
        let subject = Subject::element("penetrations", id);
        let path = |field: &str| format!("penetrations.{id}.{field}");
        vec![
            Cell::words(id.to_string()),
            source.choice(path("kind"), &hole.kind),
            source.count(path("count"), hole.count),
            size(source, id, hole),
            source.named(path("module"), Some(&hole.module)),
            source.choice(path("seal"), &hole.seal),
            source.choice(path("by"), &hole.by),
            source.choice(path("trade"), &hole.trade),
            source.shown_by(
                &format!("penetrations.{id}"),
                &[
                    ("product", hole.product.as_ref()),
                    ("detail", hole.detail.as_ref()),
                    ("drawing", hole.drawing.as_ref()),
                ],
            ),
            source.fact(&subject, "airtightness.q50"),
        ]
    });
    let heads = [
        "Hole",
        "What",
        "Count",
        "Size of each",
        "In",
        "Seal",
        "Sealed by",
        "Trade",
        "Product, detail, drawing",
        "Leakage budget at 50 Pa",
    ];
    Table::schedule("penetrations", "Schedule of penetrations", &heads, rows.collect())
        .note("A hole that is not listed here may not be made in the air barrier without a revision.")
}

fn size(source: Source<'_>, id: &Id, hole: &Penetration) -> Cell {
    match (hole.diameter, hole.area) {
        (Some(diameter), _) => {
            let cell = source.given(format!("penetrations.{id}.diameter"), Some(diameter), &units::SMALL);
            Cell { text: format!("{} diameter", cell.text), number: false, ..cell }
        }
        (None, area) => {
            let cell = source.given(format!("penetrations.{id}.area"), area, &Units::SMALL_AREA);
            Cell { number: false, ..cell }
        }
    }
}
