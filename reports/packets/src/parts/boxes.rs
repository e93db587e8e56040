//! The boxes: key plan of each level, and a schedule with sizes for the road and weights.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::{Drawing, Subject};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks = super::figures(source, |figure| matches!(figure.drawing, Drawing::Plan { .. }))?;
    blocks.push(Block::Table(schedule(source)));
    Ok(Section { id: "boxes", title: "Boxes", blocks })
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.modules.iter().map(|(id, module)| {
        let subject = Subject::element("modules", id);
        let path = |field: &str| format!("modules.{id}.{field}");
        vec![
            Cell::words(id.to_string()),
            source.count(path("level"), module.level),
            source.fact(&subject, "takeoff.travel_length"),
            source.fact(&subject, "takeoff.travel_width"),
            source.fact(&subject, "takeoff.travel_height"),
            source.fact(&subject, "takeoff.floor_area"),
            source.fact(&subject, "takeoff.weight"),
            Cell::words(weighed(source, &subject)),
            module.note.as_ref().map_or_else(|| Cell::words(""), |note| source.named(path("note"), Some(note))),
        ]
    });
    let heads = ["Box", "Level", "Length", "Width", "Height", "Floor area", "Weight", "Weight from", "Note"];
    Table::schedule("boxes", "Schedule of boxes", &heads, rows.collect()).note(
        "Sizes over framing and sheathing, as the box leaves the plant; wrapping, the carrier and lifting gear come on \
         top. Lifting points, rigging and the order of setting are the plant's and its engineer's to give.",
    )
}

/// How the weight is known.
fn weighed(source: Source<'_>, subject: &Subject) -> String {
    source.report.facts.get(subject, "takeoff.weight").map(|fact| fact.basis.method.to_string()).unwrap_or_default()
}
