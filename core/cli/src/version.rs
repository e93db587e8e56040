//! `mateline --version --verbose`: the program and everything that comes with it, by which two installations are told
//! apart.

use crate::exit::Exit;
use crate::output;
use mateline_engine::host::{LOCK_FILE, Lock, sha256};
use mateline_engine::pack::asked;
use mateline_reports::VERSION;
use std::ffi::OsString;
use std::fmt::Write;
use std::path::Path;

/// Whether just that was typed, in either order.
pub fn is_asked(typed: &[OsString]) -> bool {
    let [one, other] = typed else { return false };
    let is_version = |word: &OsString| word == "--version" || word == "-V";
    (is_version(one) && other == "--verbose") || (one == "--verbose" && is_version(other))
}

/// Tells it. The digest of the program differs by system and build; those of the texts do not.
pub fn tell() -> Exit {
    let program = std::env::current_exe().and_then(std::fs::read);
    let program = program.map_or_else(|error| format!("cannot be read: {error}"), |bytes| sha256(&bytes));
    let mut text = format!("mateline {VERSION}\nprogram {program}\n");
    for (id, pack) in mateline_rules::PACKS {
        let version = pack.lines().find_map(|line| line.strip_prefix("version: ")).unwrap_or("?");
        let _ = writeln!(text, "pack {}@{version} {}", asked(id).0, sha256(pack.as_bytes()));
    }
    for (name, table) in mateline_plugins::TABLES {
        let _ = writeln!(text, "table {name} {}", sha256(table.as_bytes()));
    }
    for plugin in mateline_plugins::built_in() {
        let declared = plugin.declaration();
        let _ = writeln!(text, "plugin {} {}", declared.name, declared.version);
    }
    match Lock::of(Path::new(".")) {
        Ok(lock) => {
            for approval in lock.approvals {
                for library in &approval.libraries {
                    let said = &approval.handshake;
                    let _ =
                        writeln!(text, "library {} {} {} {}", said.name, said.version, library.file, library.sha256);
                }
            }
        }
        Err(why) => output::note(&format!("{LOCK_FILE} of this folder is left out: {why}")),
    }
    output::print(&text)
}
