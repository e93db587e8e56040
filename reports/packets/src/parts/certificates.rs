//! Certificates, test reports, labels and photographs.

use crate::manifest::sha256;
use crate::packet::{Block, Section};
use crate::source::Source;
use crate::{Cell, Table};
use mateline_model::Subject;
use mateline_model::home::{Id, Name};

pub(crate) fn section(source: Source<'_>) -> Section {
    let blocks = match table(source) {
        Some(table) => vec![Block::Table(table), Block::Table(to_see(source)), Block::Table(files(source))],
        None => vec![Block::paragraph("The home names no record.")],
    };
    Section { id: "certificates", title: "Certificates and records", blocks }
}

/// One row a record; none where there are no records.
pub(crate) fn table(source: Source<'_>) -> Option<Table> {
    let records = &source.report.home.evidence;
    let rows = records.iter().map(|(id, record)| {
        let subject = Subject::element("evidence", id);
        let path = |field: &str| format!("evidence.{id}.{field}");
        let dash = |cell: Cell| if cell.trace.is_none() { Cell::words("–") } else { cell };
        vec![
            Cell::words(id.to_string()),
            source.choice(path("kind"), &record.kind),
            dash(source.named(path("product"), record.product.as_ref())),
            dash(source.named(path("lot"), record.lot.as_ref())),
            dash(source.named(path("method"), record.method.as_ref())),
            dash(source.named(path("issued"), record.issued.as_ref())),
            dash(source.named(path("expires"), record.expires.as_ref())),
            source.fact_or(&subject, "materials.evidence_state", "not judged"),
            source.fact(&subject, "materials.evidence_owed_by"),
            dash(source.named(path("file"), record.file.as_ref())),
        ]
    });
    let heads = ["Record", "Kind", "Product", "Lot", "Method", "Issued", "Expires", "State", "Owed by", "File"];
    let table = Table::schedule("records", "Schedule of certificates and records", &heads, rows.collect());
    let note = format!("The state is that on {}, the date of the revision.", source.report.revision().date);
    (!records.is_empty()).then(|| table.note(note))
}

/// What the home file does not hold of a certificate, and stands on the paper itself.
fn to_see(source: Source<'_>) -> Table {
    const BLANK: &str = "________";
    let rows = source.report.home.evidence.iter().map(|(id, record)| {
        let product = source.named(format!("evidence.{id}.product"), record.product.as_ref());
        let blanks = std::iter::repeat_n(Cell::words(BLANK), 3);
        [Cell::words(id.to_string()), product].into_iter().chain(blanks).collect()
    });
    let heads = ["Record", "Product", "Number on it", "Laboratory or issuer", "Seen by, date"];
    Table::schedule("records-to-see", "Certificates as seen", &heads, rows.collect())
}

/// The files that records name, each with its digest, or why it cannot be read.
fn files(source: Source<'_>) -> Table {
    let mut named: Vec<(&Name, Vec<&Id>)> = Vec::new();
    for (id, record) in &source.report.home.evidence {
        let Some(file) = &record.file else { continue };
        match named.iter_mut().find(|(known, _)| *known == file) {
            Some((_, records)) => records.push(id),
            None => named.push((file, vec![id])),
        }
    }
    let rows = named.into_iter().filter_map(|(file, records)| {
        let path = format!("evidence.{}.file", records.first()?);
        let records: Vec<String> = records.into_iter().map(Id::to_string).collect();
        let [bytes, digest] = match source.attached.get(file)? {
            Ok(bytes) => [Cell::words(bytes.len().to_string()), Cell::words(sha256(bytes))],
            Err(why) => {
                let mark = Some("unproven");
                [Cell { mark, ..Cell::words("missing") }, Cell { mark, ..Cell::words(why) }]
            }
        };
        Some(vec![source.named(path, Some(file)), Cell::words(records.join(", ")), bytes, digest])
    });
    Table::schedule("record-files", "Files of the records", &["File", "Records", "Bytes", "SHA-256"], rows.collect())
        .note("As the files were when this packet was written; the project record holds them.")
}
