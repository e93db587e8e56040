//! Whether a packet is still as it was written.

use crate::folder::inside;
use crate::manifest::{self, FileOf, Manifest, NAME, SCHEMA};
use crate::signature;
use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A signature beyond this length is none.
const LONGEST_SIGNATURE: u64 = 16 * 1024;
/// A manifest beyond this length is none.
const LONGEST_MANIFEST: u64 = 16 * 1024 * 1024;
/// Folders deeper than this hold no packet.
const DEEPEST: usize = 32;

/// What became of a packet.
#[derive(Clone, Debug, PartialEq)]
pub struct Verified {
    /// The manifest.
    pub manifest: Manifest,
    /// SHA-256 of the manifest itself, which nothing in the folder can vouch for.
    pub sha256: String,
    /// The manifest's bytes.
    pub bytes: Vec<u8>,
    /// The signature beside it, where there is one.
    pub signature: Option<String>,
    /// Files whose bytes are others now.
    pub altered: Vec<String>,
    /// Files that the manifest does not name.
    pub added: Vec<String>,
    /// Files that are gone.
    pub missing: Vec<String>,
}

impl Verified {
    /// Whether all is as it was written.
    pub fn is_whole(&self) -> bool {
        self.altered.is_empty() && self.added.is_empty() && self.missing.is_empty()
    }
}

/// Why a folder cannot be verified.
#[derive(Debug)]
pub enum VerifyError {
    /// It cannot be read.
    Io(PathBuf, io::Error),
    /// Its manifest is none.
    NoManifest(PathBuf, String),
}

impl fmt::Display for VerifyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            VerifyError::Io(path, error) => write!(f, "cannot read '{}': {error}", path.display()),
            VerifyError::NoManifest(path, why) => write!(f, "'{}' is no manifest of a packet: {why}", path.display()),
        }
    }
}

impl std::error::Error for VerifyError {}

/// Compares a folder with its manifest. Links are not followed: one is an altered or an added file.
///
/// # Errors
/// When the folder or its manifest cannot be read.
pub fn folder(folder: &Path) -> Result<Verified, VerifyError> {
    let path = folder.join(NAME);
    let bytes = read(&path, LONGEST_MANIFEST)?;
    let manifest = parse(&path, &bytes)?;
    let mut found = BTreeSet::new();
    walk(folder, "", 0, &mut found)?;
    let signature = folder.join(signature::NAME);
    let signature = if found.contains(signature::NAME) { Some(read(&signature, LONGEST_SIGNATURE)?) } else { None };
    found.retain(|path| !signature::vouches(path));
    let mut verified = Verified {
        manifest,
        sha256: manifest::sha256(&bytes),
        bytes,
        signature: signature.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()),
        altered: Vec::new(),
        added: Vec::new(),
        missing: Vec::new(),
    };
    for (path, expected) in &verified.manifest.files {
        match inside(path).map(|path| folder.join(path)) {
            Some(file) if found.contains(path) => {
                if !is_as(&file, expected)? {
                    verified.altered.push(path.clone());
                }
            }
            _ => verified.missing.push(path.clone()),
        }
    }
    verified.added = found.into_iter().filter(|path| !verified.manifest.files.contains_key(path)).collect();
    Ok(verified)
}

/// The bytes of a file that is no link, no pipe and no device, and not longer than it may be.
fn read(path: &Path, longest: u64) -> Result<Vec<u8>, VerifyError> {
    let io = |error| VerifyError::Io(path.to_owned(), error);
    if !fs::symlink_metadata(path).map_err(io)?.is_file() {
        return Err(io(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file")));
    }
    let mut bytes = Vec::new();
    fs::File::open(path).map_err(io)?.take(longest + 1).read_to_end(&mut bytes).map_err(io)?;
    if bytes.len() as u64 > longest {
        return Err(VerifyError::NoManifest(path.to_owned(), format!("it is longer than {longest} bytes")));
    }
    Ok(bytes)
}

fn parse(path: &Path, bytes: &[u8]) -> Result<Manifest, VerifyError> {
    let none = |why: String| VerifyError::NoManifest(path.to_owned(), why);
    let manifest: Manifest = serde_json::from_slice(bytes).map_err(|error| none(error.to_string()))?;
    let schema = manifest.mateline.schema;
    if schema != SCHEMA {
        return Err(none(format!("its form is version {schema}, and this mateline reads version {SCHEMA}")));
    }
    Ok(manifest)
}

/// Whether a file is what the manifest says of it. Only one of the right length is read, a piece at a time.
fn is_as(path: &Path, expected: &FileOf) -> Result<bool, VerifyError> {
    let io = |error| VerifyError::Io(path.to_owned(), error);
    let data = fs::symlink_metadata(path).map_err(io)?;
    if !data.is_file() || data.len() != expected.bytes {
        return Ok(false);
    }
    let file = fs::File::open(path).map_err(io)?.take(expected.bytes.saturating_add(1));
    manifest::sha256_of(file).map(|now| now == expected.sha256).map_err(io)
}

/// Every file below a folder, with `/` between the parts of its path.
fn walk(folder: &Path, above: &str, depth: usize, found: &mut BTreeSet<String>) -> Result<(), VerifyError> {
    let io = |error| VerifyError::Io(folder.to_owned(), error);
    for entry in fs::read_dir(folder).map_err(io)? {
        let entry = entry.map_err(io)?;
        let path = format!("{above}{}", entry.file_name().to_string_lossy());
        if entry.file_type().map_err(io)?.is_dir() && depth < DEEPEST {
            walk(&entry.path(), &format!("{path}/"), depth + 1, found)?;
        } else {
            found.insert(path);
        }
    }
    Ok(())
}
