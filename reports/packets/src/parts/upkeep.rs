//! What has to be looked after, how often. How often is common practice, no source; the papers of a machine come first.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::VentilationKind;

/// A piece of upkeep.
struct Task {
    what: String,
    how_often: &'static str,
}

pub(crate) fn section(source: Source<'_>) -> Section {
    let rows = tasks(source).into_iter().map(|Task { what, how_often }| {
        vec![Cell::words(what), Cell::words(how_often), Cell::words("________"), Cell::words("________")]
    });
    let heads = ["What", "How often", "Last done", "Next"];
    let table = Table::schedule("upkeep", "", &heads, rows.collect()).note(
        "How often is common practice, no source: the maker's papers come first. Electrical work, fuel and roofs are for \
         those who are trained for them.",
    );
    Section { id: "upkeep", title: "Looking after the home", blocks: vec![Block::Table(table)] }
}

fn tasks(source: Source<'_>) -> Vec<Task> {
    let home = &source.report.home;
    let mut tasks = Vec::new();
    let mut add = |what: String, how_often: &'static str| tasks.push(Task { what, how_often });
    for (id, unit) in &home.systems.ventilation {
        let name = words::plain(id.as_ref());
        if let Some(class) = unit.filter_merv {
            add(format!("filters of the {name}, MERV {class}: look, and change when grey"), "every 3 months");
        }
        match unit.kind {
            VentilationKind::HeatRecovery | VentilationKind::EnergyRecovery | VentilationKind::SpotRecovery => {
                add(format!("core and drain of the {name}: clean, see that water runs off"), "once a year");
            }
            VentilationKind::ExhaustFan | VentilationKind::SupplyFan => {
                add(format!("grille and blades of the {name}: dust off"), "once a year");
            }
        }
    }
    if home.systems.kitchen_hood.is_some() {
        add("grease filter of the kitchen hood: wash".to_owned(), "every month");
    }
    if home.systems.clothes_dryer.is_some() {
        add("lint filter of the clothes dryer: empty".to_owned(), "every time");
    }
    let alarms = home
        .safety
        .as_ref()
        .is_some_and(|safety| safety.smoke_alarms.is_some() || safety.carbon_monoxide_alarms == Some(true));
    if alarms {
        add("alarms for smoke and carbon monoxide: press the test button".to_owned(), "every month");
    }
    if let Some(foundation) = &home.foundation {
        if foundation.sump.is_some() {
            add("sump: pour in water, see that the pump starts and the lid is tight".to_owned(), "every 6 months");
        }
        if foundation.drainage.is_some() {
            add("end of the footing drain: see that it is free".to_owned(), "spring and autumn");
        }
        if foundation.radon.is_some() {
            add(
                "radon: measure in the lowest rooms; a fan on the pipe is for a radon specialist".to_owned(),
                "every 2 years",
            );
        }
    }
    add("outdoor intakes and outlets of air: free of leaves, snow and nests".to_owned(), "every season");
    add("gutters, grade and seams of the outside: water runs off, nothing is torn".to_owned(), "spring and autumn");
    tasks
}
