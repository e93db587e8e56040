//! Agreed exceptions.

use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};

pub(crate) fn section(source: Source<'_>) -> Section {
    let rows = source.report.home.waivers.iter().enumerate().map(|(index, waiver)| {
        let path = |field: &str| format!("waivers.{index}.{field}");
        let until = [
            waiver.until.as_ref().map(|revision| format!("revision {revision}")),
            waiver.until_date.map(|date| date.to_string()),
        ];
        let until: Vec<String> = until.into_iter().flatten().collect();
        vec![
            source.named(path("subject"), Some(&waiver.subject)),
            source.named(path("rule"), Some(&waiver.rule)),
            source.named(path("reason"), Some(&waiver.reason)),
            source.named(path("agreed_with"), Some(&waiver.agreed_with)),
            if until.is_empty() {
                Cell::words("no end given")
            } else {
                source.named(path("until"), Some(until.join(", ")))
            },
        ]
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    let blocks = if rows.is_empty() {
        vec![Block::paragraph("No requirement is waived.")]
    } else {
        let heads = ["Concerns", "Rule", "Reason", "Agreed with", "Holds until"];
        vec![Block::Table(Table::schedule("waivers", "", &heads, rows))]
    };
    Section { id: "waivers", title: "Waivers", blocks }
}
