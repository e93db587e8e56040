//! Packets as PDF: set by typst in this very process, from the same typed value as the page.
//!
//! The document is one constant text, `packet.typ`; the packet reaches it as JSON data and never as markup, so nothing
//! in a home, a pack or a plugin can be taken for an instruction. The document sees two files, itself and the data: no
//! disk, no network, no clock. Written as PDF/A-2a with PDF/UA-1: tagged, bookmarked, fonts embedded, figures as vectors
//! with their words. The only date is the revision's.
//!
//! The typesetter takes minutes to build: without the feature `typeset` this crate is empty.
#![cfg(feature = "typeset")]

mod data;
mod glyphs;
mod world;

use mateline_packets::{Packet, Paper};
use std::fmt;
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use world::World;

/// Why there is no PDF: a fault of mateline.
#[derive(Debug)]
pub struct PdfError(String);

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "packet.pdf cannot be set: {}", self.0)
    }
}

impl std::error::Error for PdfError {}

/// The packet as the bytes of a PDF.
///
/// # Errors
/// When the typesetter finds a fault.
pub fn pdf(packet: &Packet, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let fonts = world::fonts();
    let data = data::json(packet, paper, &glyphs::Glyphs::of(&fonts)).map_err(|error| PdfError(error.to_string()))?;
    let world = World::new(fonts, data).map_err(PdfError)?;
    let document: PagedDocument = typst::compile(&world).output.map_err(|faults| words(&faults))?;
    let standards = [PdfStandard::A_2a, PdfStandard::Ua_1];
    let options = PdfOptions {
        ident: Smart::Custom(format!("mateline {} {} {}", packet.audience.word(), packet.project, packet.revision)),
        creator: Smart::Custom(Some(format!("mateline {}", packet.version))),
        standards: PdfStandards::new(&standards).map_err(|error| PdfError(error.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|faults| words(&faults))
}

fn words(faults: &[SourceDiagnostic]) -> PdfError {
    let mut messages: Vec<String> = faults.iter().map(|fault| fault.message.to_string()).collect();
    messages.dedup();
    messages.truncate(5);
    PdfError(messages.join("; "))
}
