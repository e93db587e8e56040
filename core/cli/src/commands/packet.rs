//! `mateline packet`

use crate::arguments::{Judging, Packet, PacketCommand, PacketToWrite, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_packets::{Inputs, OutFile, Paper, folder, manifest, verify};
use std::path::Path;

/// How to get the PDF, said where mateline was built without it.
const WITHOUT_PDF: &str = "packet.pdf is not among them: this mateline was built without it; for the PDF run\n  \
                           cargo run --release --features pdf -- packet ...\n";

/// Writes a packet, or verifies one.
pub fn run(engine: &Engine, packet: &Packet, colour: When) -> Exit {
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
    let is_open = report.fails() || report.plugin_failed();
    if wanted.is_final && is_open {
        let ended = if report.plugin_failed() { Exit::Failed } else { Exit::Short };
        output::error("nothing was written: requirements are open, and --final asks for none; see mateline check");
        return ended;
    }
    let paper: Paper = wanted.paper.into();
    let made = || -> Result<Vec<OutFile>, String> {
        let packet = mateline_packets::build(&report, wanted.reader.into()).map_err(|error| error.to_string())?;
        let inputs = Inputs { library: engine.library() };
        let files = mateline_packets::files(&packet, &report, paper, inputs).map_err(|error| error.to_string())?;
        let mut files = with_pdf(&packet, paper, files)?;
        let manifest = manifest::of(&packet, &report, paper, &files).text().map_err(|error| error.to_string())?;
        files.push(OutFile { path: manifest::NAME.to_owned(), bytes: manifest.into_bytes() });
        Ok(files)
    };
    let files = match made() {
        Ok(files) => files,
        Err(message) => return output::error(&message),
    };
    if let Err(error) = folder::write(&wanted.out, &files) {
        return output::error(&error.to_string());
    }
    let digest = files.last().map(|file| manifest::sha256(&file.bytes)).unwrap_or_default();
    let state = if is_open { "not final: requirements are open\n" } else { "" };
    let pdf = if cfg!(feature = "pdf") { "" } else { WITHOUT_PDF };
    output::print(&format!(
        "wrote {} files to {}\n{state}{pdf}manifest.json has SHA-256 {digest}\n",
        files.len(),
        wanted.out.display()
    ))
}

/// The files with the PDF, which stands beside the page.
#[cfg(feature = "pdf")]
fn with_pdf(packet: &mateline_packets::Packet, paper: Paper, mut files: Vec<OutFile>) -> Result<Vec<OutFile>, String> {
    let bytes = mateline_pdf::pdf(packet, paper).map_err(|error| error.to_string())?;
    files.insert(1, OutFile { path: "packet.pdf".to_owned(), bytes });
    Ok(files)
}

/// The files as they are: this mateline was built without the PDF.
#[cfg(not(feature = "pdf"))]
fn with_pdf(_: &mateline_packets::Packet, _: Paper, files: Vec<OutFile>) -> Result<Vec<OutFile>, String> {
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
