//! The files that records of evidence name: whether each is there, and the SHA-256 of its bytes.

use super::files::{Project, unreadable};
use super::open::open_file;
use crate::host::hexadecimal;
use mateline_model::home::Home;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::Read;

/// Bytes that the files of all records may hold together.
const MAX_BYTES: u64 = 256 * 1024 * 1024;

/// What was found of every record that names a file: `{"evidence_files": {ID: {"sha256": …} or {"lacks": …}}}`.
///
/// Only files inside the project folder are opened, and a file that several records name is read once.
pub(crate) fn found(home: &Home, project: &Project) -> Value {
    let mut left = MAX_BYTES;
    let mut read: BTreeMap<&str, Value> = BTreeMap::new();
    let mut all = serde_json::Map::new();
    for (id, record) in &home.evidence {
        let Some(name) = &record.file else { continue };
        let one = read.entry(name.as_ref()).or_insert_with(|| match hash(project, name.as_ref(), &mut left) {
            Ok(sha256) => json!({ "sha256": sha256 }),
            Err(why) => json!({ "lacks": why }),
        });
        all.insert(id.to_string(), one.clone());
    }
    json!({ "evidence_files": all })
}

/// SHA-256 of a file of the project in hexadecimal, or why there is none.
fn hash(project: &Project, name: &str, left: &mut u64) -> Result<String, String> {
    let path = project.locate(name)?;
    let mut file = open_file(&path).map_err(|error| unreadable(name, &error))?.take(*left + 1);
    let mut digest = Sha256::new();
    let mut buffer = vec![0; 64 * 1024];
    loop {
        let count = file.read(&mut buffer).map_err(|error| unreadable(name, &error))?;
        let Some(bytes) = buffer.get(..count).filter(|bytes| !bytes.is_empty()) else { break };
        digest.update(bytes);
        *left = left.checked_sub(count as u64).ok_or_else(|| {
            format!("'{name}' was not read: the files of the records hold more than {} MiB", MAX_BYTES / 1024 / 1024)
        })?;
    }
    Ok(hexadecimal(&digest.finalize()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop here")]
    use super::*;
    use std::path::Path;

    fn home(evidence: Value) -> Home {
        let home = json!({"home": "X", "revision": {"id": "A", "date": "2026-01-01"},
            "site": {"place": "invented", "climate_zone": "6A"}, "modules": {}, "evidence": evidence});
        serde_json::from_value(home).unwrap()
    }

    /// `SHA-256("abc")`, the one-block message of FIPS 180-4's published examples (from memory).
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn a_file_is_hashed_and_one_that_cannot_be_read_says_why() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().canonicalize().unwrap();
        std::fs::write(root.join("abc.txt"), "abc").unwrap();
        std::fs::create_dir(root.join("folder")).unwrap();
        let home = home(json!({
            "here": {"kind": "test-report", "file": "abc.txt"},
            "again": {"kind": "test-report", "file": "./abc.txt"},
            "gone": {"kind": "test-report", "file": "gone.pdf"},
            "outside": {"kind": "test-report", "file": "../abc.txt"},
            "folder": {"kind": "test-report", "file": "folder"},
            "none": {"kind": "test-report"},
        }));
        let found = found(&home, &Project::at(Path::new(&root)));
        let files = &found["evidence_files"];
        assert_eq!(files["here"]["sha256"], ABC);
        assert_eq!(files["again"]["sha256"], ABC);
        assert_eq!(files["gone"]["lacks"], "cannot read 'gone.pdf': there is no such file");
        assert_eq!(files["outside"]["lacks"], "'../abc.txt' is not a path inside the project folder");
        assert_eq!(files["folder"]["lacks"], "'folder' is a folder");
        assert!(files.get("none").is_none());
    }
}
