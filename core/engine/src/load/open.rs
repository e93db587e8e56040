//! Opening a file to read it: nothing else is ever read, and nothing that waits for a writer.

use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::path::Path;

/// Opens a file. A pipe, a socket, a device or a folder is refused, and never waited for.
///
/// # Errors
/// When it cannot be opened or is no file.
pub fn open_file(path: &Path) -> Result<File> {
    let mut options = File::options();
    options.read(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        // A pipe is opened at once, whether or not anybody writes to it; to a file this makes no difference.
        options.custom_flags(rustix::fs::OFlags::NONBLOCK.bits().cast_signed());
    }
    let file = options.open(path)?;
    if file.metadata()?.is_file() { Ok(file) } else { Err(Error::new(ErrorKind::InvalidInput, "it is not a file")) }
}

#[cfg(all(test, unix))]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use rustix::fs::{CWD, FileType, Mode, mknodat};

    #[test]
    fn only_a_file_is_opened_and_nothing_is_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let (pipe, file) = (folder.path().join("pipe"), folder.path().join("file"));
        mknodat(CWD, &pipe, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
        std::fs::write(&file, "text").unwrap();
        for other in [pipe.as_path(), Path::new("/dev/zero"), folder.path()] {
            assert_eq!(open_file(other).unwrap_err().to_string(), "it is not a file", "{}", other.display());
        }
        assert!(open_file(&file).is_ok());
    }
}
