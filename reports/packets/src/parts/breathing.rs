//! How the home will breathe, in sentences made of facts.

use crate::packet::{Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let mut pairs = Vec::new();
    let mut say = |name: &str, cell: Cell| {
        if cell.trace.is_some() {
            pairs.push(Pair { name: name.to_owned(), value: cell });
        }
    };
    let home = Subject::home();
    say("Fresh air that the fans bring in", source.fact(&home, "ventilation.delivered_flow"));
    say("Fresh air that a home of this size needs", source.fact(&home, "ventilation.required_flow"));
    say("Air changes through leaks at the test pressure of 50 Pa", source.fact(&home, "airtightness.best_ach50"));
    say("How that is known", source.fact(&home, "airtightness.best_from"));
    let mut blocks = vec![Block::Pairs { pairs }];
    let bedrooms: Vec<Vec<Cell>> = source
        .subjects("spaces")
        .filter(|space| source.report.facts.get(space, "ventilation.co2_peak").is_some())
        .map(|space| {
            vec![
                Cell::words(space.id()),
                source.fact(space, "ventilation.outdoor_air"),
                source.fact(space, "ventilation.co2_mean"),
                source.fact(space, "ventilation.co2_peak"),
                source.fact(space, "ventilation.co2_peak_unit_off"),
            ]
        })
        .collect();
    if !bedrooms.is_empty() {
        let heads = ["Bedroom", "Fresh air", "CO2 in the night", "CO2 at its highest", "The same with the fans off"];
        blocks.push(Block::Table(
            Table::schedule("bedroom-air", "Bedrooms at night, doors shut", &heads, bedrooms).note(
                "Outdoor air has some 420 ppm of carbon dioxide. A high figure is no poison, but says that the air is \
                 not renewed: keep the fans running.",
            ),
        ));
    }
    blocks.extend(super::figures(source, |figure| figure.key == super::AIR_PATHS)?);
    Ok(Section { id: "breathing", title: "How the home breathes", blocks })
}
