//! Packets: the papers that go to the factory, the verifier, the owner, plan review and the record.
//!
//! A [`Packet`] is built from a `Report`: sections of paragraphs, schedules, figures, calculation sheets, forms and
//! sign-off lines, all worded, sorted and counted. Each number is the text of a fact, of a verdict or of a value of the
//! home, and its cell says which. Nothing is computed here and nothing is judged; the same report gives the same bytes.
//!
//! - [`build()`]: a report to a packet; what each reader gets is decided in `reader.rs`, one file a section in `parts/`.
//! - [`files()`]: a packet to the files of its folder, beside the PDF, which `mateline-pdf` writes from the same value.
//! - [`folder`]: the files to a folder, whole or not at all, with a [`manifest`].
//! - [`verify`]: whether a folder is still as it was written.
//! - [`signature`]: by whose key the manifest was signed.

mod attached;
mod audience;
mod build;
mod csv;
pub mod folder;
mod html;
pub mod manifest;
mod packet;
mod paper;
mod parts;
mod reader;
pub mod signature;
mod source;
mod standing;
mod table;
mod units;
pub mod verify;
mod words;

pub use attached::Attached;
pub use audience::Audience;
pub use build::{Inputs, OutFile, build, files};
pub use html::{PDF_STYLE, parts};
pub use packet::{Block, Figure, Form, Line, Packet, Pair, Section, Standing};
pub use paper::Paper;
pub use table::{Cell, Column, Table, Trace};
