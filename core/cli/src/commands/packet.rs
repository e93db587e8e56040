//! `mateline packet`

use crate::arguments::{Packet as Arguments, PacketCommand, PacketToWrite, Reader, When};
use crate::exit::Exit;
use crate::homes::{self, Formers};
use crate::output;
use mateline_engine::Engine;
use mateline_engine::load::{Project, open_file};
use mateline_model::Report;
use mateline_packets::verify::Verified;
use mateline_packets::{Attached, Inputs, OutFile, Packet, Paper, folder, manifest, signature, verify};
use std::io::Read;
use std::path::Path;

/// How to get the PDF, said where mateline was built without it.
const WITHOUT_PDF: &str = "packet.pdf is not among them: this mateline was built without it; for the PDF run\n  \
                           cargo run --release --features pdf -- packet ...\n";

/// What the files of a folder cannot say of themselves.
const UNSIGNED: &str = "whether manifest.json itself was exchanged shows when its SHA-256 is held against the one that \
                        was told when the packet was written\n";
/// The same where there is a signature.
const SIGNED_UNCHECKED: &str = "it is signed, which was not checked: name the public key with --by; or hold the SHA-256 \
                                of manifest.json against the one that was told when the packet was written\n";

/// Writes a packet, or verifies one.
pub fn run(engine: &Engine, packet: &Arguments, colour: When) -> Exit {
    match (&packet.command, &packet.write) {
        (Some(PacketCommand::Verify { folder, by }), _) => verified(folder, by.as_deref()),
        (None, Some(wanted)) => write(engine, wanted, packet, colour),
        (None, None) => output::refuse("name a home file, or 'verify' and a folder"),
    }
}

fn write(engine: &Engine, wanted: &PacketToWrite, typed: &Arguments, colour: When) -> Exit {
    let options = super::options(&typed.judging);
    // The cheapest reasons come first: a check of a large home takes a while.
    if let Err(error) = folder::is_free(&wanted.out) {
        return output::refuse(&error.to_string());
    }
    let key = match wanted.sign.as_deref().map(text_of).transpose() {
        Ok(key) => key,
        Err(why) => return output::refuse(&why),
    };
    let former = match Formers::of_one(&typed.before) {
        Ok(former) => former,
        Err(why) => return output::refuse(&why),
    };
    let checking = output::doing(&format!("checking {}", wanted.home.display()));
    let checked = homes::check_one(engine, &wanted.home, former.as_ref(), &options);
    drop(checking);
    let mut report = match checked {
        Ok(report) => report,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    if wanted.choices && wanted.reader != Reader::Owner {
        return output::refuse("choices are for the owner alone: other papers hold what is decided");
    }
    if wanted.choices {
        let found = super::remedies::choices(engine, &wanted.home, options);
        report.figures.extend(found);
    }
    let attached = attached(&wanted.home, &report);
    let packet = match mateline_packets::build(&report, &attached, wanted.reader.into()) {
        Ok(packet) => packet,
        Err(error) => return output::page_fault(&error),
    };
    let is_open = packet.standing.open;
    if wanted.is_final && is_open {
        let ended = if report.plugin_failed() { Exit::Failed } else { Exit::Short };
        let standing = &packet.standing;
        let what = standing.lines.first().map(|line| format!("Open: {}", line.text));
        let why: Vec<&str> = what.iter().chain(&standing.sentences).map(String::as_str).collect();
        let why = why.join(" ");
        output::error(&format!("nothing was written, for --final asks that nothing is open. {why} See mateline check"));
        return ended;
    }
    let paper: Paper = wanted.paper.into();
    let made = || -> Result<(Vec<OutFile>, String), Exit> {
        let inputs = Inputs { library: engine.library(), attached: &attached };
        let files = mateline_packets::files(&packet, &report, paper, inputs);
        let files = files.map_err(|error| output::page_fault(&error))?;
        let mut files = with_pdf(&packet, &report, paper, files)?;
        let manifest = manifest::of(&packet, &report, &attached, paper, &files);
        let text = manifest.text().map_err(|error| output::error(&error.to_string()))?;
        let digest = manifest::sha256(text.as_bytes());
        if let Some(key) = &key {
            let signed = signature::sign(key, &manifest, text.as_bytes());
            let signed = signed.map_err(|why| output::refuse(&format!("the packet is not signed: {why}")))?;
            files.push(signature::file(signed));
        }
        files.push(OutFile { path: manifest::NAME.to_owned(), bytes: text.into_bytes() });
        Ok((files, digest))
    };
    let setting = output::doing("setting the packet");
    let made = made();
    drop(setting);
    let (files, digest) = match made {
        Ok(made) => made,
        Err(ended) => return ended,
    };
    if let Err(error) = folder::write(&wanted.out, &files) {
        return output::error(&error.to_string());
    }
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
        let read = open_file(&path).and_then(|file| file.take(LONGEST_RECORD + 1).read_to_end(&mut bytes));
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
    let papers = [Some(packet), packet.annex.as_deref()].into_iter().flatten();
    for (index, (papers, path)) in papers.zip(["packet.pdf", "annex.pdf"]).enumerate() {
        let bytes = mateline_pdf::pdf(papers, paper, style).map_err(|error| {
            let message = error.to_string();
            if error.is_of_firm() { output::refuse(&message) } else { output::error(&message) }
        })?;
        files.insert(2 * index + 1, OutFile { path: path.to_owned(), bytes });
    }
    Ok(files)
}

/// The files as they are: this mateline was built without the PDF.
#[cfg(not(feature = "pdf"))]
fn with_pdf(_: &Packet, _: &Report, _: Paper, files: Vec<OutFile>) -> Result<Vec<OutFile>, Exit> {
    Ok(files)
}

/// A key or such, which is short.
const LONGEST_KEY: u64 = 16 * 1024;

/// The text of a small file that was typed.
fn text_of(path: &Path) -> Result<String, String> {
    let mut text = String::new();
    let read = open_file(path).and_then(|file| file.take(LONGEST_KEY).read_to_string(&mut text));
    read.map(|_| text).map_err(|error| format!("cannot read '{}': {error}", path.display()))
}

/// Whether a packet is signed by a key, in a line.
fn signed(found: &Verified, by: &Path) -> Result<(bool, String), String> {
    let key = text_of(by)?;
    signature::public(&key).map_err(|why| format!("'{}': {why}", by.display()))?;
    let Some(signature) = &found.signature else { return Ok((false, "it is not signed".to_owned())) };
    Ok(match signature::check(&key, signature, &found.bytes) {
        Ok(words) => (true, format!("manifest.json is signed by '{}': {words}", by.display())),
        Err(why) => (false, format!("manifest.json is not signed by '{}': {why}", by.display())),
    })
}

fn verified(folder: &Path, by: Option<&Path>) -> Exit {
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
    text.push_str(&format!(
        "its inputs have SHA-256 {}, as its first page says\n",
        manifest::of_inputs(&manifest.inputs)
    ));
    let is_signed = match by.map(|by| signed(&found, by)) {
        Some(Err(why)) => return output::refuse(&why),
        Some(Ok((is_signed, words))) => {
            text.push_str(&format!("{words}\n"));
            is_signed
        }
        None => {
            text.push_str(if found.signature.is_some() { SIGNED_UNCHECKED } else { UNSIGNED });
            true
        }
    };
    text.push_str(&format!("manifest.json has SHA-256 {}\n", found.sha256));
    let printed = output::print(&mateline_reports::printable::block(&text));
    if found.is_whole() && is_signed { printed } else { printed.max(Exit::Short) }
}
