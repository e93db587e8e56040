//! A report to a packet, and a packet to the files of its folder.

use crate::packet::{Packet, Standing};
use crate::source::Source;
use crate::{Attached, Audience, Paper, acts, csv, html, reader, words};
use mateline_model::file_name::FileNames;
use mateline_model::{OpenCounts, Report, Severity, Verdict};
use mateline_reports::{ReportError, VERSION, shown};

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
        let packs = report.packs.iter().filter_map(|pack| {
            let text = library(&pack.id)?;
            Some(OutFile {
                path: format!("inputs/packs-of-mateline/{}.yaml", pack.id),
                bytes: text.as_bytes().to_vec(),
            })
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
    Ok(Packet {
        audience,
        letterhead: report.letterhead.iter().flat_map(|text| text.lines()).map(str::to_owned).collect(),
        title: audience.title().to_owned(),
        project: report.name().to_string(),
        revision: report.revision().id.to_string(),
        date: report.revision().date.to_string(),
        place: report.home.site.place.to_string(),
        file: report.file.clone(),
        version: VERSION,
        standing: standing(source),
        sections: reader::sections(source, audience)?,
    })
}

/// The files of a packet: the page, a CSV of each schedule and, for the record, the inputs. The manifest and the PDF come
/// on top.
///
/// # Errors
/// When the page cannot be written.
pub fn files(packet: &Packet, report: &Report, paper: Paper, inputs: Inputs<'_>) -> Result<Vec<OutFile>, ReportError> {
    let page = html::page(packet, paper, &report.partials)?;
    let mut files = vec![OutFile { path: "packet.html".to_owned(), bytes: page.into_bytes() }];
    let mut names = FileNames::default();
    for table in packet.tables() {
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

/// Requirements that the first page names one by one.
const MOST_NAMED: usize = 6;

/// The requirements that are open, each with where and who acts.
fn required(source: Source<'_>) -> Vec<String> {
    let mut named: Vec<(String, &Verdict, Vec<String>)> = Vec::new();
    let open = source.open().into_iter().map(|point| point.verdict);
    for verdict in open.filter(|verdict| verdict.severity == Severity::Required) {
        let who = acts::who(source, verdict).text;
        let key = format!("{} {who}", verdict.full_name());
        match named.iter_mut().find(|(known, ..)| *known == key) {
            Some((.., subjects)) => subjects.push(verdict.subject.to_string()),
            None => named.push((key, verdict, vec![verdict.subject.to_string()])),
        }
    }
    let more = named.len().saturating_sub(MOST_NAMED);
    let line = |(_, verdict, subjects): &(String, &Verdict, Vec<String>)| {
        let others = subjects.len().saturating_sub(3);
        let mut places: Vec<String> = subjects.iter().take(3).cloned().collect();
        places.extend((others > 0).then(|| format!("{others} more")));
        let (word, _) = words::outcome(verdict.outcome);
        let who = acts::who(source, verdict).text;
        format!(
            "{}: {}, {}; the {who} acts.",
            words::sentence(word).trim_end_matches('.'),
            verdict.title,
            words::joined(&places)
        )
    };
    let mut lines: Vec<String> = named.iter().take(MOST_NAMED).map(line).collect();
    lines.extend((more > 0).then(|| format!("{more} more stand under open points.")));
    lines
}

/// How the home stands, in words for the first page.
fn standing(source: Source<'_>) -> Standing {
    let Source { report, attached } = source;
    let OpenCounts { short, unproven, advice } = report.open_counts();
    let waived = report.summary().waived;
    let missing = attached.missing().count();
    let unmet = report.fails() || report.plugin_failed();
    let open = unmet || missing > 0;
    let head = match (unmet, open) {
        (true, _) => "Not final: requirements are open",
        (false, true) => "Not final: files are missing",
        (false, false) => "No requirement is open",
    };
    let requirements = |count| shown::counted(count, "requirement", "requirements");
    let is = |count: usize| if count == 1 { "is" } else { "are" };
    let mut sentences = Vec::new();
    if short > 0 {
        sentences.push(format!("{} {} short.", requirements(short), is(short)));
    }
    if unproven > 0 {
        sentences.push(format!(
            "{} cannot be shown to be met: an input, a certificate or a test is missing.",
            requirements(unproven)
        ));
    }
    sentences.extend(required(source));
    for plugin in report.plugins.iter().filter(|plugin| plugin.failure.is_some()) {
        sentences.push(format!("The calculation {} failed; its facts are missing.", plugin.name));
    }
    let failing = report.remarks.iter().filter(|remark| remark.fails);
    sentences.extend(failing.map(|remark| words::sentence(&remark.message)));
    if missing > 0 {
        let files = shown::counted(missing, "file that a record names", "files that records name");
        sentences.push(format!("{files} cannot be read; see certificates and records."));
    }
    if !open {
        sentences.push("Nothing required is short, and nothing required is unproven.".to_owned());
    }
    if advice > 0 {
        let pieces = shown::counted(advice, "piece of advice is", "pieces of advice are");
        sentences.push(format!("{pieces} open, which keeps no requirement from being met."));
    }
    if waived > 0 {
        sentences.push(format!("{} {} waived by agreement.", requirements(waived), is(waived)));
    }
    Standing { open, head: head.to_owned(), sentences }
}
