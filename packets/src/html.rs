//! The packet as one HTML file that stands alone, with the look of the report: no script, no network, no outside font.

use crate::{Packet, Paper};
use mateline_reports::{ReportError, templates};
use serde::Serialize;

const TEMPLATES: &[(&str, &str)] = &[
    ("packet.html", include_str!("templates/packet.html")),
    ("packet_block.html", include_str!("templates/packet_block.html")),
    ("packet_table.html", include_str!("templates/packet_table.html")),
    ("packet_sheet.html", include_str!("templates/packet_sheet.html")),
    ("packet.css", include_str!("templates/packet.css")),
];

#[derive(Serialize)]
struct Page<'a> {
    packet: &'a Packet,
    paper: &'static str,
}

pub(crate) fn page(packet: &Packet, paper: Paper) -> Result<String, ReportError> {
    templates::fill_with(TEMPLATES, "packet.html", &Page { packet, paper: paper.name() }, packet.size())
}
