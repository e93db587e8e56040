//! What home this is: project, revision, editions it was judged by, climate and design criteria.

use crate::packet::{Block, Pair, Section};
use crate::source::Source;
use crate::{Cell, Table, manifest, units};
use mateline_model::quantity::Units;
use mateline_reports::VERSION;

pub(crate) fn section(source: Source<'_>) -> Section {
    let packs = source.report.packs.iter().map(|pack| {
        let version = pack.version.map_or_else(|| "none given".to_owned(), |version| version.to_string());
        vec![
            Cell::words(&pack.title),
            Cell::words(&pack.source),
            Cell::words(version),
            Cell::words(pack.caution.clone().unwrap_or_default()),
        ]
    });
    let heads = ["Code or programme", "Edition and source", "Version of the pack", "To bear in mind"];
    let packs = Table::plain("Judged by", &heads, packs.collect());
    let texts = source.report.packs.iter().flat_map(|pack| &pack.texts).chain(&source.report.tables);
    let texts = texts.map(|text| vec![Cell::words(&text.name), Cell::words(&text.sha256)]);
    let texts = Table::plain("Rule packs, materials and tables", &["Text", "SHA-256"], texts.collect())
        .note(format!("Judged by mateline {VERSION}."));
    Section {
        id: "project",
        title: "Project",
        blocks: vec![
            Block::Pairs { pairs: project(source) },
            Block::Table(packs),
            Block::Table(criteria(source)),
            Block::Table(texts),
        ],
    }
}

/// The same without what judged, which a reader has from elsewhere.
pub(crate) fn brief(source: Source<'_>) -> Section {
    let blocks = vec![Block::Pairs { pairs: project(source) }, Block::Table(criteria(source))];
    Section { id: "project", title: "Project", blocks }
}

/// Project and revision.
fn project(source: Source<'_>) -> Vec<Pair> {
    let home = &source.report.home;
    let revision = &home.revision;
    let codes = home.site.codes.clone().unwrap_or_default();
    let pair = |name: &str, value: Cell| Pair { name: name.to_owned(), value };
    vec![
        pair("Project", source.named("home", Some(&home.home))),
        pair("Revision", source.named("revision.id", Some(&revision.id))),
        pair("Date of the revision", source.named("revision.date", Some(&revision.date))),
        pair("Changed since the last revision", source.named("revision.note", revision.note.as_ref())),
        pair("Place", source.named("site.place", Some(&home.site.place))),
        pair("Climate zone", source.named("site.climate_zone", Some(&home.site.climate_zone))),
        pair("Energy code in force, edition", source.named("site.codes.energy", codes.energy.as_ref())),
        pair("Residential code in force, edition", source.named("site.codes.residential", codes.residential.as_ref())),
        pair("Boxes", source.fact(&mateline_model::Subject::home(), "takeoff.module_count")),
        pair("Described in", Cell::words(&source.report.file)),
        pair(
            "SHA-256 of its inputs",
            Cell::words(manifest::of_inputs(&manifest::inputs(source.report, source.attached))),
        ),
    ]
}

/// Climate and the design values the authority gives.
fn criteria(source: Source<'_>) -> Table {
    let site = &source.report.home.site;
    let row = |name: &str, cell: Cell| vec![Cell::words(name), cell];
    let rows = vec![
        row(
            "Outdoor temperature for heating (99 %)",
            source.given("site.design_heating", site.design_heating, &units::TEMPERATURE),
        ),
        row(
            "Outdoor temperature for cooling (1 %)",
            source.given("site.design_cooling", site.design_cooling, &units::TEMPERATURE),
        ),
        row(
            "Indoor temperature in winter",
            source.given("site.indoor_heating", site.indoor_heating, &units::TEMPERATURE),
        ),
        row(
            "Heating degree-days",
            source.given("site.heating_degree_days", site.heating_degree_days, &units::DEGREE_DAYS),
        ),
        row("Height above the sea", source.given("site.elevation", site.elevation, &Units::new("m", 0, "ft", 0))),
        row("Frost depth", source.given("site.frost_depth", site.frost_depth, &units::SMALL)),
        row("Ground snow load", source.given("site.ground_snow", site.ground_snow, &Units::LOAD)),
        row("Soil at the footing", source.choice("site.soil", &site.soil)),
        row("Bearing value of the soil", source.given("site.soil_bearing", site.soil_bearing, &Units::LOAD)),
        row("Water table below grade", source.given("site.water_table", site.water_table, &Units::LENGTH)),
        row("Radon zone", source.named("site.radon_zone", site.radon_zone)),
        row("Shelter from wind", source.choice("site.shielding", &site.shielding)),
    ];
    Table::schedule("design-criteria", "Climate and design criteria", &["Criterion", "Value"], rows)
        .note("As the home file gives them; the values adopted where the home stands decide.")
}
