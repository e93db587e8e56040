//! A report to a packet, and a packet to the files of its folder.

use crate::packet::{Packet, Section};
use crate::source::Source;
use crate::standing::standing;
use crate::{Attached, Audience, Paper, csv, html, reader};
use mateline_model::Report;
use mateline_model::file_name::FileNames;
use mateline_reports::{ReportError, VERSION};

/// A file of a packet's folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutFile {
    /// Path inside the folder, with `/` between its parts.
    pub path: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// The folder of a firm that lies outside of the project, among the inputs.
const FIRM: &str = "folder-of-the-firm/";

/// What the result can be reproduced from.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// The packs that come with mateline: id and text.
    pub library: &'a [(&'a str, &'a str)],
    /// The files that records name.
    pub attached: &'a Attached,
}

impl Inputs<'_> {
    /// The files: those of the project and of the firm as they were read, those that records name, then the packs of the
    /// library that judged. None may leave the folder they are copied to.
    pub(crate) fn files(&self, report: &Report) -> Vec<OutFile> {
        let is_inside = |path: &str| path.split('/').all(|part| !matches!(part, "" | "." | ".."));
        let library = |id: &str| self.library.iter().find(|(known, _)| *known == id).map(|(_, text)| *text);
        // Packs that come with mateline stand below, under a name that every system takes.
        let of_mateline = |name: &str| name.starts_with("<mateline>/");
        let project = report.sources.iter().filter(|(name, _)| !of_mateline(name) && is_inside(name));
        let project = project.map(|(name, text)| (name.as_str(), text.as_bytes()));
        let records = self.attached.found().filter(|(name, _)| is_inside(name) && !report.sources.contains_key(*name));
        let project = project.chain(records).map(|(name, bytes)| OutFile {
            path: format!("inputs/{}", name.replacen("<firm>/", FIRM, 1)),
            bytes: bytes.to_vec(),
        });
        // Those that another pack extends, and former versions, among them.
        let shipped = report.sources.keys().filter_map(|name| name.strip_prefix("<mateline>/")?.strip_suffix(".yaml"));
        let packs = shipped.filter_map(|id| {
            let path = format!("inputs/packs-of-mateline/{id}.yaml");
            Some(OutFile { path, bytes: library(id)?.as_bytes().to_vec() })
        });
        project.chain(packs).collect()
    }
}

/// Builds the packet for a reader.
///
/// # Errors
/// When a figure cannot be drawn.
pub fn build(report: &Report, attached: &Attached, audience: Audience) -> Result<Packet, ReportError> {
    let source = Source { report, attached };
    let of = |title: String, sections: Vec<Section>| Packet {
        audience,
        letterhead: report.letterhead.iter().flat_map(|text| text.lines()).map(str::to_owned).collect(),
        title,
        project: report.name().to_string(),
        revision: report.revision().id.to_string(),
        date: report.revision().date.to_string(),
        place: report.home.site.place.to_string(),
        file: report.file.clone(),
        version: VERSION,
        standing: standing(source, audience),
        sections,
        annex: None,
    };
    let annex = reader::annex(source, audience)?;
    let annex = (!annex.is_empty()).then(|| Box::new(of(format!("{}, annex", audience.title()), annex)));
    Ok(Packet { annex, ..of(audience.title().to_owned(), reader::sections(source, audience)?) })
}

/// The files of a packet: the page, a CSV of each schedule and, for the record, the inputs. The manifest and the PDF come
/// on top.
///
/// # Errors
/// When the page cannot be written.
pub fn files(packet: &Packet, report: &Report, paper: Paper, inputs: Inputs<'_>) -> Result<Vec<OutFile>, ReportError> {
    let page = html::page(packet, paper, &report.partials)?;
    let mut files = vec![OutFile { path: "packet.html".to_owned(), bytes: page.into_bytes() }];
    if let Some(annex) = &packet.annex {
        let page = html::page(annex, paper, &report.partials)?;
        files.push(OutFile { path: "annex.html".to_owned(), bytes: page.into_bytes() });
    }
    let mut names = FileNames::default();
    for table in packet.tables().chain(packet.annex.iter().flat_map(|annex| annex.tables())) {
        if let Some(name) = &table.name {
            let path = format!("schedules/{}.csv", names.take(name));
            files.push(OutFile { path, bytes: csv::table(table).into_bytes() });
        }
    }
    if packet.audience == Audience::Record {
        files.extend(inputs.files(report));
    }
    Ok(files)
}
