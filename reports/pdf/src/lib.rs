//! Packets as PDF: set by typst in this very process, from the same typed value as the page.
//!
//! The document is one constant text, `packet.typ`; the packet reaches it as JSON data and never as markup, so nothing
//! in a home, a pack or a plugin can be taken for an instruction. A firm's own style, `firm.typ`, is an instruction: it
//! sets anew what the first lines of the document name. The document sees these three files and no more: no disk, no
//! network, no clock. Written as PDF/A-2a with PDF/UA-1: tagged, bookmarked, fonts embedded, figures as vectors
//! with their words. The only date is the revision's.
//!
//! The typesetter takes minutes to build: without the feature `typeset` this crate is empty.
#![cfg(feature = "typeset")]

mod data;
mod glyphs;
mod world;

use mateline_packets::{PDF_STYLE, Packet, Paper};
use std::fmt;
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use world::World;

/// Why there is no PDF: a fault of mateline, or of the firm's own style.
#[derive(Debug)]
pub struct PdfError {
    message: String,
    /// The firm's style, with the line where it is known.
    style: Option<String>,
}

impl PdfError {
    fn own(message: impl Into<String>) -> PdfError {
        PdfError { message: message.into(), style: None }
    }

    fn of(world: &World, faults: &[SourceDiagnostic]) -> PdfError {
        let mut messages: Vec<String> = faults.iter().map(|fault| fault.message.to_string()).collect();
        messages.dedup();
        messages.truncate(5);
        // The document alone is known to be sound.
        let style = world.is_styled().then(|| match faults.iter().find_map(|fault| world.line_of_style(fault)) {
            Some(line) => format!("{PDF_STYLE}:{line}"),
            None => PDF_STYLE.to_owned(),
        });
        PdfError { message: messages.join("; "), style }
    }

    /// Whether the firm's own style is to blame, and not mateline.
    pub fn is_of_firm(&self) -> bool {
        self.style.is_some()
    }
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(style) = &self.style {
            write!(f, "the firm's reports/{style}: ")?;
        }
        write!(f, "packet.pdf cannot be set: {}", self.message)
    }
}

impl std::error::Error for PdfError {}

/// The packet as the bytes of a PDF, in the firm's style where it has one.
///
/// # Errors
/// When the typesetter finds a fault.
pub fn pdf(packet: &Packet, paper: Paper, style: Option<&str>) -> Result<Vec<u8>, PdfError> {
    let fonts = world::fonts();
    let data =
        data::json(packet, paper, &glyphs::Glyphs::of(&fonts)).map_err(|error| PdfError::own(error.to_string()))?;
    let world = World::new(fonts, style.unwrap_or_default(), data).map_err(PdfError::own)?;
    let document: PagedDocument = typst::compile(&world).output.map_err(|faults| PdfError::of(&world, &faults))?;
    let standards = [PdfStandard::A_2a, PdfStandard::Ua_1];
    let options = PdfOptions {
        ident: Smart::Custom(format!("mateline {} {} {}", packet.audience.word(), packet.project, packet.revision)),
        creator: Smart::Custom(Some(format!("mateline {}", packet.version))),
        standards: PdfStandards::new(&standards).map_err(|error| PdfError::own(error.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|faults| PdfError::of(&world, &faults))
}
