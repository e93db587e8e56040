//! The revision log: what this revision says of itself, with room for the earlier ones.

use crate::packet::{Block, Form, Section};
use crate::source::Source;

pub(crate) fn section(source: Source<'_>) -> Section {
    let revision = source.report.revision();
    let note = revision.note.clone().unwrap_or_else(|| "no note was written".to_owned());
    let mut rows = vec![vec![revision.id.to_string(), revision.date.to_string(), note, String::new()]];
    rows.extend(std::iter::repeat_n(vec![String::new(); 4], 2));
    let form = Form {
        title: "Revision log".to_owned(),
        note: "Papers of an earlier revision are to be struck out or taken away; write here which were replaced."
            .to_owned(),
        columns: ["Revision", "Date", "What changed", "Replaces, taken away by"].map(str::to_owned).to_vec(),
        rows,
    };
    Section { id: "revisions", title: "Revisions", blocks: vec![Block::Form(form)] }
}
