//! Air in brief: how tight, how much fresh air, which units, and what leaves each kitchen and bath.

use crate::packet::{Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;

const OF_HOME: [(&str, &str); 8] = [
    ("Leakage at 50 Pa that rules judge", "airtightness.shown_ach50"),
    ("Known from", "airtightness.best_from"),
    ("System", "ventilation.system_kind"),
    ("Outdoor air that the ventilation standard asks for", "ventilation.required_flow"),
    ("Outdoor air that the residential code asks for", "ventilation.required_flow_code"),
    ("Outdoor air delivered", "ventilation.delivered_flow"),
    ("Of it with recovery of heat", "ventilation.recovered_flow"),
    ("Difference of supply and exhaust", "ventilation.imbalance"),
];

pub(crate) fn section(source: Source<'_>) -> Section {
    let home = Subject::home();
    let pairs = OF_HOME
        .map(|(name, quantity)| Pair { name: name.to_owned(), value: source.fact_or(&home, quantity, "not known") });
    let blocks = vec![
        Block::Pairs { pairs: pairs.to_vec() },
        Block::Table(super::ventilation::unit_schedule(source)),
        Block::Table(exhausts(source)),
    ];
    Section { id: "air", title: "Air and ventilation", blocks }
}

fn exhausts(source: Source<'_>) -> Table {
    let has_exhaust = |space: &&Subject| {
        let required = source.report.facts.get(space, "ventilation.local_exhaust_required");
        required.is_some()
    };
    let rows = source.subjects("spaces").filter(has_exhaust).map(|space| {
        let facts = ["local_exhaust", "local_exhaust_required", "local_exhaust_required_code", "local_exhaust_mode"];
        let cells = facts.map(|name| source.fact(space, &format!("ventilation.{name}")));
        std::iter::once(Cell::words(space.id())).chain(cells).collect()
    });
    let heads = ["Room", "Exhaust", "Ventilation standard asks for", "Residential code asks for", "Runs"];
    Table::schedule("local-exhaust", "Kitchens and baths", &heads, rows.collect())
}
