//! The packet as one HTML file that stands alone, with the look of the report: no script, no network, no outside font.

use crate::{Packet, Paper};
use mateline_reports::{ReportError, templates};
use serde::Serialize;
use std::collections::BTreeMap;

const TEMPLATES: &[(&str, &str)] = &[
    ("packet.html", include_str!("templates/packet.html")),
    ("packet_block.html", include_str!("templates/packet_block.html")),
    ("packet_table.html", include_str!("templates/packet_table.html")),
    ("packet_rows.html", include_str!("templates/packet_rows.html")),
    ("packet_sheet.html", include_str!("templates/packet_sheet.html")),
    ("packet.css", include_str!("templates/packet.css")),
];

#[derive(Serialize)]
struct Page<'a> {
    packet: &'a Packet,
    paper: &'static str,
}

/// The firm's style of packet.pdf, in the language of its typesetter.
pub const PDF_STYLE: &str = "firm.typ";

/// Names of the parts of packets that a firm may replace or, for packet.pdf, give.
pub fn parts() -> impl Iterator<Item = &'static str> {
    TEMPLATES.iter().map(|(name, _)| *name).chain([PDF_STYLE])
}

pub(crate) fn page(packet: &Packet, paper: Paper, own: &BTreeMap<String, String>) -> Result<String, ReportError> {
    templates::fill_with(TEMPLATES, own, "packet.html", &Page { packet, paper: paper.name() }, packet.size())
}
