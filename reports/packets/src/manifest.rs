//! The manifest: every file of a packet with its length and SHA-256, and what the packet is of.

use crate::{Attached, OutFile, Packet, Paper};
use mateline_model::quantity::UnitSystem;
use mateline_model::{Report, Summary};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::{ErrorKind, Read};

/// The manifest's name in a packet's folder.
pub const NAME: &str = "manifest.json";
/// The version of the manifest's form.
pub const SCHEMA: u32 = 1;

/// A manifest as it is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// The program.
    pub mateline: Program,
    /// Who the packet is for.
    pub packet: String,
    /// The project's name.
    pub home: String,
    /// The revision.
    pub revision: RevisionOf,
    /// The file the home was loaded from.
    pub file: String,
    /// Units of the packet.
    pub units: String,
    /// Paper.
    pub paper: String,
    /// Whether anything required was open when it was written.
    pub open: bool,
    /// Counts of verdicts.
    pub verdicts: BTreeMap<String, usize>,
    /// The packs that judged, by id.
    pub packs: Vec<String>,
    /// SHA-256 of every input: files of the project as they were read and files that records name, by name.
    pub inputs: BTreeMap<String, String>,
    /// Every file of the packet but the manifest.
    pub files: BTreeMap<String, FileOf>,
}

/// The program that wrote a packet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Program {
    /// Its version.
    pub version: String,
    /// The version of the manifest's form.
    pub schema: u32,
}

/// The revision a packet is of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RevisionOf {
    /// Its letter or number.
    pub id: String,
    /// Its date.
    pub date: String,
    /// What changed.
    pub note: Option<String>,
}

/// A file of a packet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileOf {
    /// Length in bytes.
    pub bytes: u64,
    /// SHA-256 in hexadecimal digits.
    pub sha256: String,
}

/// The manifest of a packet.
pub fn of(packet: &Packet, report: &Report, attached: &Attached, paper: Paper, files: &[OutFile]) -> Manifest {
    let units = match report.units {
        UnitSystem::Ip => "ip",
        UnitSystem::Si => "si",
    };
    Manifest {
        mateline: Program { version: packet.version.to_owned(), schema: SCHEMA },
        packet: packet.audience.word().to_owned(),
        home: packet.project.clone(),
        revision: RevisionOf {
            id: packet.revision.clone(),
            date: packet.date.clone(),
            note: report.revision().note.clone(),
        },
        file: packet.file.clone(),
        units: units.to_owned(),
        paper: paper.name().to_owned(),
        open: packet.standing.open,
        verdicts: counts(report.summary()),
        packs: report.packs.iter().map(|pack| pack.id.clone()).collect(),
        inputs: inputs(report, attached),
        files: files.iter().map(|file| (file.path.clone(), FileOf::of(&file.bytes))).collect(),
    }
}

/// SHA-256 of every input: files of the project as they were read and files that records name, by name.
pub(crate) fn inputs(report: &Report, attached: &Attached) -> BTreeMap<String, String> {
    let sources = report.sources.iter().map(|(name, text)| (name.as_str(), text.as_bytes()));
    let read = sources.chain(attached.found()).map(|(name, bytes)| (name.to_owned(), sha256(bytes)));
    // Of a pack that comes with mateline the whole text counts, its examples among it.
    let traced = report.packs.iter().flat_map(|pack| &pack.texts).chain(&report.tables);
    read.chain(traced.map(|text| (text.name.clone(), text.sha256.clone()))).collect()
}

/// One digest for all inputs: of the lines `DIGEST  NAME` in the order of the names, as `sha256sum` writes them.
pub fn of_inputs(inputs: &BTreeMap<String, String>) -> String {
    let lines: String = inputs.iter().map(|(name, digest)| format!("{digest}  {name}\n")).collect();
    sha256(lines.as_bytes())
}

impl FileOf {
    /// The entry for these bytes.
    pub fn of(bytes: &[u8]) -> FileOf {
        FileOf { bytes: bytes.len() as u64, sha256: sha256(bytes) }
    }
}

impl Manifest {
    /// As it is written.
    ///
    /// # Errors
    /// When it cannot be serialised.
    pub fn text(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self).map(|text| text + "\n")
    }
}

/// SHA-256 in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// SHA-256 of all that can be read, a piece at a time.
///
/// # Errors
/// When it cannot be read to its end.
pub(crate) fn sha256_of(mut from: impl Read) -> std::io::Result<String> {
    let (mut digest, mut piece) = (Sha256::new(), vec![0; 128 * 1024]);
    loop {
        match from.read(&mut piece) {
            Ok(0) => return Ok(hexadecimal(&digest.finalize())),
            Ok(count) => digest.update(piece.get(..count).unwrap_or_default()),
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn counts(summary: Summary) -> BTreeMap<String, usize> {
    let Summary { met, short, unproven, waived, not_applicable, advice } = summary;
    [
        ("met", met),
        ("short", short),
        ("unproven", unproven),
        ("waived", waived),
        ("not_applicable", not_applicable),
        ("advice", advice),
    ]
    .map(|(word, count)| (word.to_owned(), count))
    .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digest_is_that_of_the_standard() {
        // FIPS 180-4, example "abc" (from memory, high).
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        let long = vec![b'a'; 1_000_000];
        assert_eq!(sha256_of(long.as_slice()).ok(), Some(sha256(&long)));
    }
}
