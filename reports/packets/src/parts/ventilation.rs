//! Ventilation as built: units, flows of each room, ducts.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, units};
use mateline_model::Subject;
use mateline_model::quantity::Units;

pub(crate) fn section(source: Source<'_>) -> Section {
    let blocks = [unit_schedule(source), terminals(source), ducts(source)];
    let blocks: Vec<Block> = blocks.into_iter().filter(|table| !table.rows.is_empty()).map(Block::Table).collect();
    let nothing = || vec![Block::paragraph("The home describes no ventilation.")];
    Section { id: "ventilation", title: "Ventilation", blocks: if blocks.is_empty() { nothing() } else { blocks } }
}

/// One row a unit.
pub(crate) fn unit_schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.systems.ventilation.iter().map(|(id, unit)| {
        let subject = Subject::from(format!("systems.ventilation.{id}").as_str());
        let path = |field: &str| format!("systems.ventilation.{id}.{field}");
        let dash = |cell: Cell| if cell.trace.is_none() { Cell::words("–") } else { cell };
        vec![
            Cell::words(id.to_string()),
            source.choice(path("kind"), &unit.kind),
            dash(source.given(path("supply"), unit.supply, &Units::FLOW)),
            dash(source.given(path("exhaust"), unit.exhaust, &Units::FLOW)),
            dash(source.given(path("boost"), unit.boost, &Units::FLOW)),
            source.fact(&subject, "ventilation.pressure_drop"),
            dash(source.given(path("power"), unit.power, &Units::POWER)),
            dash(source.given(path("sound"), unit.sound, &Units::LOUDNESS)),
            dash(source.named(path("filter_merv"), unit.filter_merv)),
            source.shown_by(&format!("systems.ventilation.{id}"), &[("product", unit.product.as_ref())]),
        ]
    });
    let heads = [
        "Unit",
        "Kind",
        "Supply",
        "Exhaust",
        "Boost",
        "Pressure of the ducts",
        "Power",
        "Loudness",
        "Filter (MERV)",
        "Product",
    ];
    Table::schedule("ventilation-units", "Schedule of ventilation units", &heads, rows.collect())
}

fn terminals(source: Source<'_>) -> Table {
    let mut rows = Vec::new();
    for (id, unit) in &source.report.home.systems.ventilation {
        for (way, section, flows) in [("supply", "supplies", &unit.supplies), ("exhaust", "exhausts", &unit.exhausts)] {
            for (room, flow) in flows {
                let path = format!("systems.ventilation.{id}.{section}.{room}");
                rows.push(vec![
                    Cell::words(room.to_string()),
                    Cell::words(id.to_string()),
                    Cell::words(way),
                    source.given(path, Some(*flow), &Units::FLOW),
                ]);
            }
        }
    }
    Table::schedule("ventilation-terminals", "Flow of each terminal", &["Room", "Unit", "Way", "Design flow"], rows)
}

fn ducts(source: Source<'_>) -> Table {
    let mut rows = Vec::new();
    for (unit_id, unit) in &source.report.home.systems.ventilation {
        for (id, duct) in &unit.ducts {
            let subject = Subject::element("ducts", format!("{unit_id}-{id}"));
            let path = |field: &str| format!("systems.ventilation.{unit_id}.ducts.{id}.{field}");
            let dash = |cell: Cell| if cell.trace.is_none() { Cell::words("–") } else { cell };
            let joined = duct.crosses_mate_line.map(|crosses| if crosses { "joined on site" } else { "no" });
            rows.push(vec![
                Cell::words(id.to_string()),
                Cell::words(unit_id.to_string()),
                dash(source.named(path("to"), duct.to.as_ref())),
                source.given(path("length"), Some(duct.length), &Units::LENGTH),
                source.given(path("diameter"), Some(duct.diameter), &units::SMALL),
                dash(source.given(path("flow"), duct.flow, &Units::FLOW)),
                source.fact(&subject, "ventilation.velocity"),
                source.named(path("crosses_mate_line"), joined),
            ]);
        }
    }
    let heads = ["Duct", "Unit", "To", "Length", "Diameter", "Flow", "Velocity", "Crosses a mate line"];
    Table::schedule("ducts", "Schedule of ducts", &heads, rows)
}
