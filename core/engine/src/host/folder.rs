//! The empty folder that a child works in, named after the process that made it.
//!
//! A host that is ended by force leaves its folders behind. The next one takes them away: they are empty, since a child
//! can write nothing, and only an empty folder is ever removed.

use std::io::Result;
use std::path::Path;
use std::sync::Once;
use tempfile::TempDir;

/// What the name of such a folder begins with; the number of the process follows.
const PREFIX: &str = "mateline-child-";

/// Makes a folder, having cleared away those of processes that have gone.
///
/// # Errors
/// When the system refuses one.
pub fn new() -> Result<TempDir> {
    static CLEARED: Once = Once::new();
    let place = std::env::temp_dir();
    CLEARED.call_once(|| clear(&place, is_running));
    tempfile::Builder::new().prefix(&format!("{PREFIX}{}-", std::process::id())).tempdir_in(place)
}

/// Removes the empty folders of processes that no longer run. One that cannot be removed is somebody else's.
fn clear(place: &Path, is_running: impl Fn(u32) -> bool) {
    for entry in std::fs::read_dir(place).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let number = name.to_str().and_then(|name| name.strip_prefix(PREFIX)?.split_once('-')?.0.parse().ok());
        if number.is_some_and(|number| !is_running(number)) {
            let _ = std::fs::remove_dir(entry.path());
        }
    }
}

/// Whether a process of this number runs; yes where that cannot be told.
fn is_running(number: u32) -> bool {
    #[cfg(unix)]
    {
        let number = i32::try_from(number).ok().and_then(rustix::process::Pid::from_raw);
        number.is_none_or(|number| rustix::process::test_kill_process(number) != Err(rustix::io::Errno::SRCH))
    }
    #[cfg(not(unix))]
    {
        number != 0
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn what_a_killed_process_left_is_cleared_and_nothing_else() {
        let place = tempfile::tempdir().unwrap();
        for name in
            ["mateline-child-7-abc", "mateline-child-8-abc", "mateline-child-7-full/file", "mateline-child-x", "7"]
        {
            std::fs::create_dir_all(place.path().join(name)).unwrap();
        }
        clear(place.path(), |number| number == 8);
        let mut left: Vec<_> = place.path().read_dir().unwrap().map(|entry| entry.unwrap().file_name()).collect();
        left.sort();
        assert_eq!(left, ["7", "mateline-child-7-full", "mateline-child-8-abc", "mateline-child-x"]);
        assert!(is_running(std::process::id()));
    }
}
