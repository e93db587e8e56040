//! The boxes: key plan of each level, the four sides, the section, and a schedule with sizes for the road and weights.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units};
use mateline_model::{Drawing, Subject};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut blocks =
        super::figures(source, |figure| matches!(figure.drawing, Drawing::Plan { .. } | Drawing::Elevation { .. }))?;
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
            weight(source, &subject),
            Cell::words(if module.weight.is_some() { "the home file" } else { ENVELOPE_ONLY }),
            Cell::words("________"),
            source.shown_by(&format!("modules.{id}"), &[("drawing", module.drawing.as_ref())]),
            module.note.as_ref().map_or_else(|| Cell::words(""), |note| source.named(path("note"), Some(note))),
        ]
    });
    let heads = [
        "Box",
        "Level",
        "Length",
        "Width",
        "Height",
        "Floor area",
        "Weight",
        "Weight from",
        "Weighed",
        "Drawing",
        "Note",
    ];
    Table::schedule("boxes", "Schedule of boxes", &heads, rows.collect()).note(
        "Sizes over framing and sheathing, as the box leaves the plant; wrapping, the carrier and lifting gear come on \
         top. Lifting points, rigging and the order of setting are the plant's and its engineer's to give.",
    )
}

/// What a weight summed from layers holds: no fittings, stairs, baths or machines.
pub(crate) const ENVELOPE_ONLY: &str = "envelope layers only, not for lifting";

/// The weight of a box: as given, else rounded from its layers, which tell it no better.
pub(crate) fn weight(source: Source<'_>, subject: &Subject) -> Cell {
    let given = source.report.home.modules.get(subject.id()).is_some_and(|module| module.weight.is_some());
    let fact = source.report.facts.get(subject, "takeoff.weight");
    match fact.filter(|_| !given).and_then(|fact| fact.value.number()) {
        Some(mass) => Cell::words(format!("about {}", rounded(mass.si, source.report.units))),
        None => source.fact(subject, "takeoff.weight"),
    }
}

/// A mass (kg) to the nearest 500 lb or 200 kg.
fn rounded(mass: f64, system: UnitSystem) -> String {
    const POUND: f64 = 0.453_592_37;
    let step = match system {
        UnitSystem::Ip => 500.0 * POUND,
        UnitSystem::Si => 200.0,
    };
    Units::MASS.show(Quantity::new((mass / step).round() * step, Dimension::MASS), system)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_from_layers_is_no_more_exact_than_it_is() {
        // 1 lb is 0.45359237 kg by definition.
        assert_eq!(rounded(6394.0, UnitSystem::Ip), "14000 lb");
        assert_eq!(rounded(6394.0, UnitSystem::Si), "6400 kg");
    }
}
