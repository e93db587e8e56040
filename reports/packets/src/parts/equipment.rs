//! The machines of the home, with room for what is on their labels and papers.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};

/// Left free for a hand.
const BLANK: &str = "________";

pub(crate) fn section(source: Source<'_>) -> Section {
    let heads = ["Machine", "What it is", "Make and model", "Serial number", "Warranty until", "Who to call"];
    let rows = machines(source).into_iter().map(|machine| {
        let blanks = std::iter::repeat_n(Cell::words(BLANK), 3);
        let known = [Cell::words(machine.name), Cell::words(machine.kind), machine.make];
        known.into_iter().chain(blanks).collect()
    });
    let table = Table::schedule("equipment", "", &heads, rows.collect()).note(
        "What is blank stands on the label or in the papers of the machine: have it filled in before you move in.",
    );
    Section { id: "equipment", title: "Equipment and warranties", blocks: vec![Block::Table(table)] }
}

/// A machine as the home file has it.
struct Machine {
    name: String,
    kind: String,
    /// Make and model; blank where the file names none.
    make: Cell,
}

/// The machines that the home file names.
fn machines(source: Source<'_>) -> Vec<Machine> {
    let systems = &source.report.home.systems;
    let units = systems.ventilation.iter().map(|(id, unit)| {
        let named =
            [("maker", unit.maker.as_ref()), ("product", unit.product.as_ref()), ("model", unit.model.as_ref())];
        let given: Vec<String> = named.iter().filter_map(|(_, text)| Some(text.as_ref()?.to_string())).collect();
        let first = named.iter().find(|(_, text)| text.is_some());
        let make = first.map_or_else(
            || Cell::words(BLANK),
            |(field, _)| source.named(format!("systems.ventilation.{id}.{field}"), Some(given.join(", "))),
        );
        let name = format!("ventilation: {}", words::plain(id.as_ref()));
        Machine { name, kind: words::of(&unit.kind), make }
    });
    let mut machines: Vec<Machine> = units.collect();
    let mut add = |name: &str, kind: Option<String>| {
        let machine = |kind| Machine { name: name.to_owned(), kind, make: Cell::words(BLANK) };
        machines.extend(kind.map(machine));
    };
    add("heating", systems.heating.as_ref().map(|heating| heating.kind.to_string()));
    add("hot water", systems.hot_water.as_ref().map(|water| water.kind.to_string()));
    let hood = |vented| if vented { "blows outdoors" } else { "filters the air of the room" };
    add("kitchen hood", systems.kitchen_hood.as_ref().map(|kitchen| hood(kitchen.vented).to_owned()));
    let dryer = systems.clothes_dryer.as_ref().map(|dryer| words::of(&dryer.kind));
    add("clothes dryer", dryer.filter(|kind| kind != "none"));
    let foundation = source.report.home.foundation.as_ref();
    let pump = foundation.and_then(|foundation| foundation.sump.as_ref()).filter(|sump| sump.pump == Some(true));
    add("sump", pump.map(|_| "pump".to_owned()));
    let ejector = foundation.and_then(|foundation| foundation.ejector);
    add("sewage", ejector.filter(|has| *has).map(|_| "ejector pump".to_owned()));
    machines
}
