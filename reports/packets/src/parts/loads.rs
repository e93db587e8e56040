//! Loads of the home and of each room, as a schedule for the designer of the system.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use mateline_model::quantity::Units;

/// What is told of a room, in the order of the columns.
const FACTS: [&str; 4] =
    ["energy.heating_load", "energy.heating_load_per_area", "energy.cooling_load", "energy.cooling_hour"];

pub(crate) fn section(source: Source<'_>) -> Section {
    let home = &source.report.home;
    let mut rows = Vec::new();
    for (id, space) in &home.spaces {
        let subject = Subject::element("spaces", id);
        if source.report.facts.get(&subject, "energy.heating_load").is_none() {
            continue;
        }
        let area = source.given(format!("{subject}.floor_area"), Some(space.floor_area), &Units::AREA);
        let facts = FACTS.map(|fact| source.fact_or(&subject, fact, "–"));
        let air: Vec<String> = home
            .systems
            .ventilation
            .iter()
            .filter(|(_, unit)| unit.supplies.contains_key(id))
            .map(|(name, _)| name.to_string())
            .collect();
        let air = if air.is_empty() { "–".to_owned() } else { air.join(", ") };
        rows.push([Cell::words(id.to_string()), area].into_iter().chain(facts).chain([Cell::words(air)]).collect());
    }
    let whole = Subject::home();
    let facts = FACTS.map(|fact| source.fact_or(&whole, fact, "–"));
    let area = source.fact_or(&whole, "energy.treated_area", "–");
    rows.push([Cell::words("the whole home"), area].into_iter().chain(facts).chain([Cell::words("–")]).collect());
    let heads = ["Room", "Floor area", "Heating load", "By floor area", "Cooling load", "At", "Fresh air from"];
    let table = Table::schedule("room-loads", "", &heads, rows).note(
        "Heat for the coldest day without sun, and the most sensible heat of a hot, clear day. Rooms are shared out by a rule: a \
         room at a corner loses more. For the licensed designer of the system, who sizes it.",
    );
    Section { id: "room-loads", title: "Loads of the rooms", blocks: vec![Block::Table(table)] }
}
