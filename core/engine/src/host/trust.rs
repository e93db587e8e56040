//! Reading a library: once, so that the bytes that are checked are the bytes that are loaded.

use crate::load::open_file;
use sha2::{Digest, Sha256};
use std::fs::Metadata;
use std::io::{ErrorKind, Read};
use std::path::Path;

/// Bytes a library may have.
const MAX_BYTES: u64 = 256 * 1024 * 1024;

/// A library as it was read.
pub struct Candidate {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Their SHA-256, in hexadecimal.
    pub sha256: String,
}

impl Candidate {
    /// Reads a library.
    ///
    /// # Errors
    /// Why it is refused: it cannot be read, or everybody may write it.
    pub fn read(path: &Path) -> Result<Candidate, String> {
        let unreadable = |error: std::io::Error| format!("it cannot be read: {}", reason(&error));
        if !path.metadata().map_err(unreadable)?.is_file() {
            return Err("it is not a file".to_owned());
        }
        let file = open_file(path).map_err(unreadable)?;
        let about = file.metadata().map_err(unreadable)?;
        if about.len() > MAX_BYTES {
            return Err(format!("it has more than {} MiB", MAX_BYTES / 1024 / 1024));
        }
        if everybody_writes(&about) {
            return Err("everybody on this computer may write it; take that right away (chmod o-w)".to_owned());
        }
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if everybody_replaces(&folder.metadata().map_err(unreadable)?) {
            return Err("everybody on this computer may write its folder; take that right away (chmod o-w)".to_owned());
        }
        let mut bytes = Vec::new();
        file.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
        let sha256 = sha256(&bytes);
        Ok(Candidate { bytes, sha256 })
    }
}

/// Why the system refuses a file, in words that are the same on every system.
pub fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "permission is denied".to_owned(),
        other => other.to_string(),
    }
}

/// SHA-256 in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// Bytes as hexadecimal digits.
pub fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Whether everybody may write a file.
#[cfg(unix)]
pub fn everybody_writes(about: &Metadata) -> bool {
    use std::os::unix::fs::PermissionsExt;
    about.permissions().mode() & 0o002 != 0
}

/// Whether everybody may replace the files of a folder, which a sticky folder does not let them.
#[cfg(unix)]
fn everybody_replaces(about: &Metadata) -> bool {
    use std::os::unix::fs::PermissionsExt;
    about.permissions().mode() & 0o1002 == 0o002
}

/// Whether everybody may write a file; not known on this system.
#[cfg(not(unix))]
pub fn everybody_writes(_: &Metadata) -> bool {
    false
}

#[cfg(not(unix))]
fn everybody_replaces(_: &Metadata) -> bool {
    false
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    /// The examples of FIPS 180-4 as NIST publishes them with the standard, and the digest of nothing (from memory,
    /// high; each agrees with an independent program).
    #[test]
    fn published_digests() {
        let cases: [(&[u8], &str); 4] = [
            (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (
                b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
            (&[b'a'; 1_000_000], "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
        ];
        for (message, digest) in cases {
            assert_eq!(sha256(message), digest);
        }
    }

    #[cfg(unix)]
    #[test]
    fn what_everybody_may_write_is_refused() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library");
        std::fs::write(&path, "bytes").unwrap();
        let set = |path: &Path, mode| std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
        let refused = || Candidate::read(&path).err().unwrap_or_default();
        set(&path, 0o644);
        assert_eq!(refused(), "");
        set(&path, 0o646);
        assert!(refused().contains("may write it"), "{}", refused());
        set(&path, 0o644);
        set(folder.path(), 0o777);
        assert!(refused().contains("may write its folder"), "{}", refused());
        set(folder.path(), 0o1777);
        assert_eq!(refused(), "");
        set(folder.path(), 0o700);
        assert_eq!(Candidate::read(folder.path()).err().unwrap_or_default(), "it is not a file");
    }
}
