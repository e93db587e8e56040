//! What the home will be like to live in: air, noise, warmth and running, in figures that were computed.

use crate::packet::{Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::quantity::Units;
use mateline_model::{Subject, Value};
use mateline_reports::ReportError;

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let home = Subject::home();
    let mut pairs = Vec::new();
    let mut say = |name: &str, cell: Cell| {
        if cell.trace.is_some() {
            pairs.push(Pair { name: name.to_owned(), value: cell });
        }
    };
    say("Fresh air that the fans bring in", source.fact(&home, "ventilation.delivered_flow"));
    say("Fresh air that a home of this size needs", source.fact(&home, "ventilation.required_flow"));
    say(
        "Air changes an hour through leaks, at the test pressure of 50 Pa",
        source.fact(&home, "airtightness.best_ach50"),
    );
    say("How the leakage is known", known_from(source));
    say(
        "Warmth that the shell loses for each degree of cold outdoors",
        source.fact(&home, "junctions.ua_with_junctions"),
    );
    if let Some((id, unit)) = source.report.home.systems.ventilation.iter().find(|(_, unit)| unit.supply.is_some()) {
        let path = |field: &str| format!("systems.ventilation.{id}.{field}");
        say("Loudness of the ventilation, as rated", source.given(path("sound"), unit.sound, &Units::LOUDNESS));
        say("Power of its fans while it runs", source.given(path("power"), unit.power, &Units::POWER));
    }
    let mut blocks = vec![Block::Pairs { pairs }];
    blocks.extend(bedrooms(source).map(Block::Table));
    blocks.extend(super::figures(source, |figure| figure.key == super::AIR_PATHS)?);
    Ok(Section { id: "living", title: "What the home will be like", blocks })
}

fn known_from(source: Source<'_>) -> Cell {
    let fact = source.report.facts.get(&Subject::home(), "airtightness.best_from");
    let told = fact.and_then(|fact| match &fact.value {
        Value::Text(from) if from == "test" => Some("the final test"),
        Value::Text(from) if from == "prediction" => Some("a forecast from the latest test; the final test is owed"),
        Value::Text(_) => Some("a forecast from the drawings; no test has been made"),
        _ => None,
    });
    match (fact, told) {
        (Some(fact), Some(told)) => Cell { text: told.to_owned(), ..source.of(fact) },
        _ => Cell::words(""),
    }
}

fn bedrooms(source: Source<'_>) -> Option<Table> {
    let sleeps = |space: &&Subject| source.report.facts.get(space, "ventilation.co2_peak").is_some();
    let quantities = ["outdoor_air", "co2_mean", "co2_peak", "co2_peak_unit_off"];
    let rows = source.subjects("spaces").filter(sleeps).map(|space| {
        let cells = quantities.map(|name| source.fact(space, &format!("ventilation.{name}")));
        std::iter::once(Cell::words(words::plain(space.id()))).chain(cells).collect()
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    let heads = ["Bedroom", "Fresh air", "CO2 in the night", "CO2 at its highest", "The same with the fans off"];
    (!rows.is_empty()).then(|| {
        Table::schedule("bedroom-air", "Bedrooms at night, doors shut", &heads, rows).note(
            "Outdoor air has some 420 ppm of carbon dioxide. A high figure is no poison, but says that the air is not \
             renewed: keep the fans running.",
        )
    })
}
