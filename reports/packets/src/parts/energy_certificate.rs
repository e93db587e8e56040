//! The certificate of the energy code that is posted in the home, as a draft: what it has to say, with the values of the
//! home file. Who builds or answers for the design fills in the rest, signs and dates it.
//!
//! What it lists: R401.3 of the 2021 energy code (from memory, medium).

use crate::packet::{Block, Form, Section};
use crate::source::Source;
use crate::{Cell, Table, units, words};
use mateline_model::home::AssemblyKind;
use mateline_model::quantity::Units;
use mateline_model::{Subject, Value};

/// Left free for a hand.
const BLANK: &str = "________";
/// What stands until the test is made.
const TEST_OWED: &str = "________ (test owed)";

pub(crate) fn section(source: Source<'_>) -> Section {
    let lead = "DRAFT, no certificate. It becomes one only when the builder or the design professional in responsible \
                charge has checked each value against what was built, filled in what is blank, and signed it.";
    let blocks = vec![Block::paragraph(lead), Block::Table(table(source)), Block::Form(form())];
    Section { id: "energy-certificate", title: "Energy certificate, draft", blocks }
}

fn table(source: Source<'_>) -> Table {
    let mut rows = insulation(source);
    let home = Subject::home();
    let row = |what: &str, where_: &str, value: Cell| vec![Cell::words(what), Cell::words(where_), value];
    let fact = |quantity: &str| source.fact_or(&home, quantity, BLANK);
    rows.push(row("U-factor", "windows and glazed doors, mean by area", fact("envelope.window_u_average")));
    rows.push(row("SHGC", "windows and glazed doors, mean by area", fact("envelope.window_shgc_average")));
    rows.push(row("Air leakage at 50 Pa", "whole home, as tested", leakage(source)));
    rows.extend(systems(source).into_iter().map(|(what, place, value)| row(what, place, value)));
    let packs = source.report.packs.iter().filter(|pack| pack.id.starts_with("energy-code"));
    let editions: Vec<String> = packs.map(|pack| pack.source.clone()).collect();
    let edition = if editions.is_empty() { BLANK.to_owned() } else { words::joined(&editions) };
    rows.push(row("Edition of the energy code", "", Cell::words(edition)));
    let path = source.report.home.site.codes.clone().unwrap_or_default().energy_path;
    let path = path.map_or_else(|| Cell::words(BLANK), |path| source.choice("site.codes.energy_path", &path));
    rows.push(row("Path of compliance", "", path));
    Table::schedule("energy-certificate", "", &["What", "Where", "Value"], rows).note(
        "Of insulation, the part with the largest area comes first within its kind. What the list asks for follows R401.3 \
         of the 2021 energy code, from memory: read it up before this is posted.",
    )
}

/// R-values of the insulation of each part, by kind and within it by area.
fn insulation(source: Source<'_>) -> Vec<Vec<Cell>> {
    let area = |id: &str| {
        let fact = source.report.facts.get(&Subject::element("assemblies", id), "takeoff.net_area");
        fact.and_then(|fact| fact.value.number()).map_or(0.0, |area| area.si)
    };
    let mut parts: Vec<_> = source.report.home.assemblies.iter().collect();
    parts.retain(|(_, assembly)| assembly.kind != AssemblyKind::Interior);
    parts.sort_by(|(one, a), (other, b)| {
        let by_kind = order(a.kind).cmp(&order(b.kind));
        by_kind.then(area(other.as_ref()).total_cmp(&area(one.as_ref())))
    });
    let row = |(id, assembly): (&mateline_model::home::Id, &mateline_model::home::Assembly)| {
        let subject = Subject::element("assemblies", id);
        let r = source.fact_or(&subject, "envelope.r_nominal", BLANK);
        let area = source.fact(&subject, "takeoff.net_area");
        vec![
            Cell::words("R-value of the insulation"),
            Cell::words(format!("{}: {id}, {}", words::of(&assembly.kind), area.text)),
            r,
        ]
    };
    parts.into_iter().map(row).collect()
}

/// In the order in which the certificate lists them.
fn order(kind: AssemblyKind) -> u8 {
    match kind {
        AssemblyKind::Ceiling | AssemblyKind::Roof => 0,
        AssemblyKind::Wall | AssemblyKind::MassWall => 1,
        AssemblyKind::BasementWall | AssemblyKind::CrawlWall => 2,
        AssemblyKind::Floor | AssemblyKind::ExposedFloor => 3,
        AssemblyKind::Slab => 4,
        AssemblyKind::Interior => 5,
    }
}

/// The leakage of the final test; blank before it.
fn leakage(source: Source<'_>) -> Cell {
    let home = Subject::home();
    let from = source.report.facts.get(&home, "airtightness.best_from").map(|fact| &fact.value);
    let is_tested = matches!(from, Some(Value::Text(from)) if from == "test");
    if is_tested { source.fact(&home, "airtightness.best_ach50") } else { Cell::words(TEST_OWED) }
}

fn systems(source: Source<'_>) -> Vec<(&'static str, &'static str, Cell)> {
    let systems = &source.report.home.systems;
    let blank = || Cell::words(BLANK);
    let given = |cell: Cell| if cell.trace.is_none() { Cell::words(BLANK) } else { cell };
    let heating = systems.heating.as_ref();
    let ducts = systems.air_ducts.as_ref();
    let inside = heating.is_some_and(|heating| heating.ducts_inside == Some(true));
    let insulation = ducts.and_then(|ducts| ducts.insulation);
    let outside = match inside {
        true => source.named("systems.heating.ducts_inside", Some("all ducts inside the envelope")),
        false => given(source.given("systems.air_ducts.insulation", insulation, &Units::RESISTANCE)),
    };
    let tested = ducts.is_some_and(|ducts| ducts.tested == Some(true));
    let leakage = ducts.and_then(|ducts| ducts.leakage);
    let leakage = match tested {
        true => given(source.given("systems.air_ducts.leakage", leakage, &Units::FLOW)),
        false => Cell::words(TEST_OWED),
    };
    let kind = |path: &str, kind: Option<String>| given(source.named(path, kind));
    let output = heating.and_then(|heating| heating.output);
    vec![
        ("R-value of ducts", "outside of conditioned space", outside),
        ("Leakage of the ducts at 25 Pa", "as tested", leakage),
        ("Heating", "kind", kind("systems.heating.kind", heating.map(|heating| heating.kind.to_string()))),
        ("Heating", "output", given(source.given("systems.heating.output", output, &units::HEAT_OUTPUT))),
        ("Heating", "efficiency, by its label", blank()),
        ("Cooling", "kind, size, efficiency", blank()),
        (
            "Hot water",
            "kind",
            kind("systems.hot_water.kind", systems.hot_water.as_ref().map(|water| water.kind.to_string())),
        ),
        ("Hot water", "size and efficiency, by its label", blank()),
        ("Solar electricity", "size of the array, tilt, direction", blank()),
    ]
}

fn form() -> Form {
    let names = ["Name and firm", "Signature", "Date"];
    Form::of_names("Signed by the builder or design professional", "Blank until then.", &["What", "By hand"], names)
}
