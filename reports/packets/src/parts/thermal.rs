//! R-values and U-factors of what lies between inside and outside.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use mateline_model::home::AssemblyKind;

pub(crate) fn section(source: Source<'_>) -> Section {
    let blocks = vec![Block::Table(assemblies(source)), Block::Table(openings(source))];
    Section { id: "thermal", title: "R-values and U-factors", blocks }
}

fn assemblies(source: Source<'_>) -> Table {
    let outer = source.report.home.assemblies.iter().filter(|(_, assembly)| assembly.kind != AssemblyKind::Interior);
    let rows = outer.map(|(id, assembly)| {
        let subject = Subject::element("assemblies", id);
        let facts = ["takeoff.net_area", "envelope.r_cavity", "envelope.r_continuous", "envelope.u_parallel_path"];
        let names = [Cell::words(id.to_string()), source.choice(format!("assemblies.{id}.kind"), &assembly.kind)];
        let cells = facts.map(|quantity| source.fact(&subject, quantity));
        names.into_iter().chain(cells).chain([source.fact(&subject, "envelope.u_factor")]).collect()
    });
    let heads = [
        "Assembly",
        "Kind",
        "Net area",
        "R of the cavity",
        "R continuous",
        "U-factor, parallel paths",
        "U-factor, combined method",
    ];
    Table::schedule("r-values", "Assemblies", &heads, rows.collect()).note(
        "R-values are those of the insulation alone. The energy code's U-factors of frame walls are by parallel paths; the \
         combined method is that of ISO 6946.",
    )
}

fn openings(source: Source<'_>) -> Table {
    let rows = source.report.home.openings.iter().map(|(id, opening)| {
        let subject = Subject::element("openings", id);
        let path = |field: &str| format!("openings.{id}.{field}");
        let facts = ["takeoff.area", "envelope.u_factor", "envelope.shgc", "envelope.air_leakage"];
        let names = [
            Cell::words(id.to_string()),
            source.choice(path("kind"), &opening.kind),
            Cell::words(format!("{}, {}", opening.module, opening.face)),
            source.count(path("count"), opening.count),
        ];
        names.into_iter().chain(facts.map(|quantity| source.fact(&subject, quantity))).collect()
    });
    let heads = ["Opening", "Kind", "Box, face", "Count", "Area", "U-factor", "SHGC", "Air leakage"];
    Table::schedule("u-factors", "Windows and doors", &heads, rows.collect())
        .note("U-factor and solar heat gain are those of the whole product, frame included.")
}
