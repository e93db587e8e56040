//! `mateline packet`

use crate::arguments::{Judging, Packet as Arguments, PacketCommand, PacketToWrite, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_engine::load::Project;
use mateline_model::Report;
use mateline_packets::{Attached, Inputs, OutFile, Packet, Paper, folder, manifest, verify};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// How to get the PDF, said where mateline was built without it.
const WITHOUT_PDF: &str = "packet.pdf is not among them: this mateline was built without it; for the PDF run\n  \
                           cargo run --release --features pdf -- packet ...\n";

/// Writes a packet, or verifies one.
pub fn run(engine: &Engine, packet: &Arguments, colour: When) -> Exit {
    match (&packet.command, &packet.write) {
        (Some(PacketCommand::Verify { folder }), _) => verified(folder),
        (None, Some(wanted)) => write(engine, wanted, &packet.judging, colour),
        (None, None) => output::refuse("name a home file, or 'verify' and a folder"),
    }
}

fn write(engine: &Engine, wanted: &PacketToWrite, judging: &Judging, colour: When) -> Exit {
    // The cheapest reasons come first: a check of a large home takes a while.
    if let Err(error) = folder::is_free(&wanted.out) {
        return output::refuse(&error.to_string());
    }
    let report = match engine.check(&wanted.home, &super::options(judging)) {
        Ok(report) => report,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    let attached = attached(&wanted.home, &report);
    let packet = match mateline_packets::build(&report, &attached, wanted.reader.into()) {
        Ok(packet) => packet,
        Err(error) => return output::page_fault(&error),
    };
    let is_open = packet.standing.open;
    if wanted.is_final && is_open {
        let ended = if report.plugin_failed() { Exit::Failed } else { Exit::Short };
        let why = packet.standing.sentences.join(" ");
        output::error(&format!("nothing was written, for --final asks that nothing is open. {why} See mateline check"));
        return ended;
    }
    let paper: Paper = wanted.paper.into();
    let made = || -> Result<Vec<OutFile>, Exit> {
        let inputs = Inputs { library: engine.library(), attached: &attached };
        let files = mateline_packets::files(&packet, &report, paper, inputs);
        let files = files.map_err(|error| output::page_fault(&error))?;
        let mut files = with_pdf(&packet, &report, paper, files)?;
        let manifest = manifest::of(&packet, &report, &attached, paper, &files).text();
        let manifest = manifest.map_err(|error| output::error(&error.to_string()))?;
        files.push(OutFile { path: manifest::NAME.to_owned(), bytes: manifest.into_bytes() });
        Ok(files)
    };
    let files = match made() {
        Ok(files) => files,
        Err(ended) => return ended,
    };
    if let Err(error) = folder::write(&wanted.out, &files) {
        return output::error(&error.to_string());
    }
    let digest = files.last().map(|file| manifest::sha256(&file.bytes)).unwrap_or_default();
    let state = if is_open { format!("{}\n", packet.standing.head.replacen("Not", "not", 1)) } else { String::new() };
    let pdf = if cfg!(feature = "pdf") { "" } else { WITHOUT_PDF };
    output::print(&format!(
        "wrote {} files to {}\n{state}{pdf}manifest.json has SHA-256 {digest}\n",
        files.len(),
        wanted.out.display()
    ))
}

/// A file of a record beyond this length is no certificate.
const LONGEST_RECORD: u64 = 64 * 1024 * 1024;

/// The files that the home's records name, from the folder of the home; nothing leads out of it.
fn attached(home: &Path, report: &Report) -> Attached {
    let project = home.canonicalize().ok().and_then(|path| path.parent().map(Project::at));
    Attached::read(report, |name| {
        let Some(project) = &project else { return Err(format!("cannot read '{name}'")) };
        let path = project.locate(name)?;
        let mut bytes = Vec::new();
        let read = File::open(path).and_then(|file| file.take(LONGEST_RECORD + 1).read_to_end(&mut bytes));
        read.map_err(|error| format!("cannot read '{name}': {error}"))?;
        if bytes.len() as u64 > LONGEST_RECORD {
            return Err(format!("'{name}' is longer than {} MiB", LONGEST_RECORD / 1024 / 1024));
        }
        Ok(bytes)
    })
}

/// The files with the PDF, which stands beside the page.
#[cfg(feature = "pdf")]
fn with_pdf(packet: &Packet, report: &Report, paper: Paper, mut files: Vec<OutFile>) -> Result<Vec<OutFile>, Exit> {
    let style = report.partials.get(mateline_packets::PDF_STYLE).map(String::as_str);
    let bytes = mateline_pdf::pdf(packet, paper, style).map_err(|error| {
        let message = error.to_string();
        if error.is_of_firm() { output::refuse(&message) } else { output::error(&message) }
    })?;
    files.insert(1, OutFile { path: "packet.pdf".to_owned(), bytes });
    Ok(files)
}

/// The files as they are: this mateline was built without the PDF.
#[cfg(not(feature = "pdf"))]
fn with_pdf(_: &Packet, _: &Report, _: Paper, files: Vec<OutFile>) -> Result<Vec<OutFile>, Exit> {
    Ok(files)
}

fn verified(folder: &Path) -> Exit {
    let found = match verify::folder(folder) {
        Ok(found) => found,
        Err(error) => return output::refuse(&error.to_string()),
    };
    let manifest = &found.manifest;
    let mut text = format!(
        "{} packet of {}, revision {} of {}, {} files\n",
        manifest.packet,
        manifest.home,
        manifest.revision.id,
        manifest.revision.date,
        manifest.files.len()
    );
    for (word, paths) in [("altered", &found.altered), ("added", &found.added), ("missing", &found.missing)] {
        for path in paths {
            text.push_str(&format!("{word}: {path}\n"));
        }
    }
    text.push_str(if found.is_whole() {
        "nothing was altered, added or taken away\n"
    } else {
        "the packet is not as it was written\n"
    });
    text.push_str(&format!("manifest.json has SHA-256 {}\n", found.sha256));
    let printed = output::print(&mateline_reports::printable::block(&text));
    if found.is_whole() { printed } else { printed.max(Exit::Short) }
}
