//! Finishes, boards, adhesives, sealants and coatings: limits, classes and records.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table, words};
use mateline_model::home::{Finish, Id};
use mateline_model::{Outcome, Subject, Verdict};

pub(crate) fn section(source: Source<'_>) -> Section {
    let mut blocks = vec![Block::Table(schedule(source)), Block::Table(limits(source))];
    blocks.extend(super::certificates::table(source).map(Block::Table));
    Section { id: "materials", title: "Materials", blocks }
}

fn schedule(source: Source<'_>) -> Table {
    let rows = source.report.home.finishes.iter().map(|(id, finish)| row(source, id, finish));
    let heads = [
        "Material",
        "Use",
        "Product",
        "Lot",
        "Where",
        "Area",
        "VOC content",
        "Composite wood",
        "Emission record",
        "Applied by",
        "Records",
    ];
    Table::schedule("materials", "Schedule of materials", &heads, rows.collect())
        .note("Only what is listed may be used indoors; another product or lot needs its records first.")
}

fn row(source: Source<'_>, id: &Id, finish: &Finish) -> Vec<Cell> {
    let subject = Subject::element("finishes", id);
    let path = |field: &str| format!("finishes.{id}.{field}");
    let list = |names: Vec<String>| words::joined(&names);
    let rooms = list(finish.within.iter().map(ToString::to_string).collect());
    let evidence = finish.evidence.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    vec![
        Cell::words(id.to_string()),
        source.named(path("category"), Some(finish.category.replace('-', " "))),
        source.named(path("product"), finish.product.as_ref()),
        finish.lot.as_ref().map_or_else(|| Cell::words("–"), |lot| source.named(path("lot"), Some(lot))),
        if rooms.is_empty() { Cell::words("whole home") } else { source.named(path("in"), Some(rooms)) },
        source.fact(&subject, "materials.area"),
        source.fact(&subject, "materials.voc_content"),
        source.fact(&subject, "materials.composite_wood"),
        source.fact(&subject, "materials.emission_certificate"),
        source.choice(path("by"), &finish.by),
        if evidence.is_empty() { Cell::words("none") } else { source.named(path("evidence"), Some(evidence)) },
    ]
}

/// What the rules ask of each material, with the limit.
fn limits(source: Source<'_>) -> Table {
    let about = |verdict: &&Verdict| {
        verdict.subject.section() == "finishes" && (verdict.limit.is_some() || verdict.outcome != Outcome::Met)
    };
    let rows = source.judged().filter(about).map(|verdict| {
        let [value, limit, _] = source.numbers(verdict);
        vec![
            Cell::words(verdict.subject.id()),
            Cell::words(&verdict.title),
            value,
            limit,
            source.outcome(verdict),
            source.cited(verdict),
        ]
    });
    let mut rows: Vec<Vec<Cell>> = rows.collect();
    rows.sort_by(|a, b| a.first().map(|cell| &cell.text).cmp(&b.first().map(|cell| &cell.text)));
    let heads = ["Material", "Requirement", "Value", "Limit", "Verdict", "Source"];
    Table::schedule("material-limits", "Limits and classes of the materials", &heads, rows)
}
