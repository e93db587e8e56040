//! Everything the document can see: itself, the firm's style, its data and the fonts that come with mateline.

use mateline_packets::PDF_STYLE;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, WorldExt};

pub(crate) struct World {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    document: Source,
    style: Source,
    data: (FileId, Bytes),
}

/// The embedded fonts.
pub(crate) fn fonts() -> Vec<Font> {
    typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data))).collect()
}

impl World {
    pub(crate) fn new(fonts: Vec<Font>, style: &str, data: Vec<u8>) -> Result<World, String> {
        Ok(World {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            document: Source::new(file("packet.typ")?, include_str!("packet.typ").to_owned()),
            style: Source::new(file(PDF_STYLE)?, style.to_owned()),
            data: (file("packet.json")?, Bytes::new(data)),
        })
    }
}

impl World {
    /// Whether the firm has a style.
    pub(crate) fn is_styled(&self) -> bool {
        !self.style.text().is_empty()
    }

    /// The line of the firm's style that a fault points at, from 1; none where it lies elsewhere.
    pub(crate) fn line_of_style(&self, fault: &SourceDiagnostic) -> Option<usize> {
        if fault.span.id() != Some(self.style.id()) {
            return None;
        }
        let start = self.range(fault.span)?.start;
        Some(self.style.lines().byte_to_line(start)? + 1)
    }
}

fn file(name: &str) -> Result<FileId, String> {
    let path = VirtualPath::new(name).map_err(|error| format!("{name}: {error:?}"))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl typst::World for World {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.document.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let known = [&self.document, &self.style].into_iter().find(|source| source.id() == id);
        known.cloned().ok_or(FileError::AccessDenied)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 { Ok(self.data.1.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
