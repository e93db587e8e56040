//! The record of approved plugins: `plugins.lock.yaml` in the folder of a project or firm.
//!
//! An approval holds what the library said of itself, so that the facts it owes are known even when it cannot be used. It
//! may hold one library for each system: a home names any of them, and each system loads its own.

use super::trust::{everybody_writes, reason};
use crate::load::{BadInput, Project, parse, read};
use mateline_model::home::Date;
use mateline_sdk::message::{ABI, Handshake, OLDEST_ABI, QuantityDef};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::io::{ErrorKind, Write};
use std::path::Path;

/// The name of the record.
pub const LOCK_FILE: &str = "plugins.lock.yaml";

const HEAD: &str = "\
# The plugins that may be loaded here, each by the SHA-256 of its library. Written by `mateline plugins approve`; an
# entry taken out is an approval withdrawn.
";

/// One approved plugin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Approval {
    /// Its libraries, one for each system: first the one that was asked for its word.
    pub libraries: Vec<Listed>,
    /// Who approved it and when, as they say themselves.
    pub given: Given,
    /// What it said of itself when it was approved.
    pub handshake: Handshake,
}

/// Who approved a plugin and when, as far as it was said: mateline reads no clock and no user's name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Given {
    /// Who.
    pub by: Option<String>,
    /// When.
    pub on: Option<Date>,
}

/// A library on record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Listed {
    /// Its path inside the folder, with `/` between the parts.
    pub file: String,
    /// The SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

/// The approvals of one folder, in the order of their names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lock {
    /// The approvals.
    pub approvals: Vec<Approval>,
}

/// What a record says about a library.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing<'a> {
    /// These bytes are approved.
    Approved(&'a Approval),
    /// Other bytes were approved in this place, or else under this file name: these.
    Changed(&'a Approval, &'a Listed),
    /// Nothing is known.
    Unknown,
}

/// The file.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct LockFile {
    /// The approved plugins.
    plugins: Vec<Entry>,
}

/// An entry of the file.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    version: String,
    file: String,
    sha256: String,
    /// The same plugin for other systems.
    #[serde(default)]
    also: Vec<Listed>,
    /// Who approved it.
    #[serde(default)]
    by: Option<String>,
    /// When.
    #[serde(default)]
    on: Option<Date>,
    about: String,
    reads: Vec<String>,
    /// Left out of an approval for ABI 1, whose plugins are given the whole home.
    sections: Option<Vec<String>>,
    writes: Vec<QuantityDef>,
}

impl Lock {
    /// Reads the record of a folder; an empty one where there is none.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn of(folder: &Path) -> Result<Lock, String> {
        let path = folder.join(LOCK_FILE);
        match path.symlink_metadata() {
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Lock::default()),
            Err(error) => return Err(format!("{LOCK_FILE} cannot be read: {}", reason(&error))),
            Ok(about) if everybody_writes(&about) && !about.is_symlink() => {
                return Err(format!(
                    "everybody on this computer may write {LOCK_FILE}; take that right away (chmod o-w)"
                ));
            }
            Ok(_) => {}
        }
        let folder =
            folder.canonicalize().map_err(|error| format!("{LOCK_FILE} cannot be read: {}", reason(&error)))?;
        let mut project = Project::at(&folder);
        let number = project.read(LOCK_FILE)?;
        let text = project.files().get(number).map(|file| file.text.clone()).unwrap_or_default();
        let file: Result<LockFile, _> = parse(&text, number).and_then(|tree| read(&tree));
        let file = file.map_err(|problems| {
            let bad = BadInput::new(problems, project.into_files()).to_string();
            bad.lines().next().unwrap_or_default().to_owned()
        })?;
        Ok(Lock { approvals: file.plugins.into_iter().map(Approval::from).collect() })
    }

    /// What the record says about a library at a path with this SHA-256.
    pub fn standing(&self, file: &str, sha256: &str) -> Standing<'_> {
        let listed = || self.approvals.iter().flat_map(|one| one.libraries.iter().map(move |listed| (one, listed)));
        if let Some((approval, _)) = listed().find(|(_, listed)| listed.sha256 == sha256) {
            return Standing::Approved(approval);
        }
        let base = |path: &str| path.rsplit('/').next().map(str::to_owned);
        let exact = listed().find(|(_, listed)| listed.file == file);
        let by_place = exact.or_else(|| listed().find(|(_, listed)| base(&listed.file) == base(file)));
        by_place.map_or(Standing::Unknown, |(approval, listed)| Standing::Changed(approval, listed))
    }

    /// Adds an approval in place of those of the same name or of one of its files. The libraries of other systems stay
    /// where the plugin says the same of itself as then.
    pub fn approve(&mut self, mut approval: Approval) {
        let files = |approval: &Approval| approval.libraries.iter().map(|one| one.file.clone()).collect::<Vec<_>>();
        let own = files(&approval);
        let (same, others): (Vec<_>, Vec<_>) = std::mem::take(&mut self.approvals).into_iter().partition(|other| {
            other.handshake.name == approval.handshake.name || files(other).iter().any(|file| own.contains(file))
        });
        for listed in same.into_iter().filter(|other| other.handshake == approval.handshake).flat_map(|o| o.libraries) {
            if approval.libraries.iter().all(|one| ending(&one.file) != ending(&listed.file)) {
                approval.libraries.push(listed);
            }
        }
        self.approvals = others;
        self.approvals.push(approval);
        self.approvals.sort_by(|a, b| a.handshake.name.cmp(&b.handshake.name));
    }

    /// The record as it is written: YAML whose texts are quoted as in JSON, one line for each quantity.
    ///
    /// # Errors
    /// A text that cannot be written, which does not happen.
    pub fn to_yaml(&self) -> Result<String, serde_json::Error> {
        let mut text = HEAD.to_owned();
        text.push_str(if self.approvals.is_empty() { "plugins: []\n" } else { "plugins:\n" });
        for Approval { libraries, given, handshake } in &self.approvals {
            let Handshake { name, version, about, reads, sections, writes, .. } = handshake;
            let json = |value: &str| serde_json::to_string(value);
            text.push_str(&format!("  - name: {}\n", json(name)?));
            text.push_str(&format!("    version: {}\n", json(version)?));
            let mut others = libraries.iter();
            if let Some(Listed { file, sha256 }) = others.next() {
                text.push_str(&format!("    file: {}\n", json(file)?));
                text.push_str(&format!("    sha256: {}\n", json(sha256)?));
            }
            text.push_str(if libraries.len() > 1 { "    also:\n" } else { "" });
            for other in others {
                text.push_str(&format!("      - {}\n", serde_json::to_string(other)?));
            }
            if let Some(by) = &given.by {
                text.push_str(&format!("    by: {}\n", json(by)?));
            }
            if let Some(on) = given.on {
                text.push_str(&format!("    on: {on}\n"));
            }
            text.push_str(&format!("    about: {}\n", json(about)?));
            text.push_str(&format!("    reads: {}\n", serde_json::to_string(reads)?));
            if let Some(sections) = sections {
                text.push_str(&format!("    sections: {}\n", serde_json::to_string(sections)?));
            }
            text.push_str(if writes.is_empty() { "    writes: []\n" } else { "    writes:\n" });
            for quantity in writes {
                text.push_str(&format!("      - {}\n", serde_json::to_string(quantity)?));
            }
        }
        Ok(text)
    }

    /// Writes the record into a folder, whole or not at all.
    ///
    /// # Errors
    /// Why it cannot be written.
    pub fn write(&self, folder: &Path) -> Result<(), String> {
        let unwritten = |error: std::io::Error| format!("cannot write {LOCK_FILE}: {error}");
        let text = self.to_yaml().map_err(|error| unwritten(error.into()))?;
        let mut file = tempfile::NamedTempFile::new_in(folder).map_err(unwritten)?;
        file.write_all(text.as_bytes()).map_err(unwritten)?;
        file.as_file().sync_all().map_err(unwritten)?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            file.as_file().set_permissions(std::fs::Permissions::from_mode(0o644)).map_err(unwritten)?;
        }
        file.persist(folder.join(LOCK_FILE)).map_err(|error| unwritten(error.error))?;
        Ok(())
    }
}

impl From<Entry> for Approval {
    fn from(entry: Entry) -> Approval {
        let Entry { name, version, file, sha256, also, by, on, about, reads, sections, writes } = entry;
        let abi = if sections.is_some() { ABI } else { OLDEST_ABI };
        // Whoever writes an entry on Windows may write its own separator.
        let plain = |listed: Listed| Listed { file: listed.file.replace('\\', "/"), ..listed };
        let libraries = std::iter::once(Listed { file, sha256 }).chain(also).map(plain).collect();
        Approval {
            libraries,
            given: Given { by, on },
            handshake: Handshake { abi, name, version, about, reads, sections, writes },
        }
    }
}

/// What the names of libraries end with, on each system.
const ENDINGS: [&str; 3] = ["so", "dll", "dylib"];

/// The system that a library is for, by the ending of its name; none where that says nothing.
pub fn ending(file: &str) -> Option<&'static str> {
    let (_, written) = file.rsplit_once('.')?;
    ENDINGS.into_iter().find(|ending| written.eq_ignore_ascii_case(ending))
}

/// The library that this system loads where a home names one: the file beside it with this system's ending, where it is
/// named by another's.
pub fn for_this_system(file: &str) -> String {
    let own = std::env::consts::DLL_EXTENSION;
    match (ending(file), file.rsplit_once('.')) {
        (Some(other), Some((stem, _))) if other != own => format!("{stem}.{own}"),
        _ => file.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test may stop here")]
    use super::*;
    use mateline_sdk::message::{Units, ValueKind};

    fn approval(name: &str, file: &str, sha256: &str) -> Approval {
        let writes = vec![QuantityDef {
            name: format!("{name}.reduction"),
            kind: ValueKind::Number,
            units: Units { si: "m²·K/W".into(), si_digits: 3, ip: "h·ft²·°F/Btu".into(), ip_digits: 2 },
            meaning: "A value: with \"quotes\", a # and a colon".into(),
            words: Vec::new(),
        }];
        Approval {
            libraries: vec![Listed { file: file.into(), sha256: sha256.into() }],
            given: Given { by: Some("R. Alder: \"the\" librarian".into()), on: "2026-11-02".parse().ok() },
            handshake: Handshake {
                abi: ABI,
                name: name.into(),
                version: "0.1.0".into(),
                about: "yes".into(),
                reads: vec!["takeoff".into()],
                sections: Some(vec!["assemblies".into()]),
                writes,
            },
        }
    }

    #[test]
    fn a_record_comes_back_as_it_was_written() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(Lock::of(folder.path()), Ok(Lock::default()));
        let mut lock = Lock::default();
        lock.approve(approval("sound", "plugins/sound.so", "00"));
        lock.approve(approval("light", "plugins/light.so", "11"));
        lock.write(folder.path()).unwrap();
        assert_eq!(Lock::of(folder.path()), Ok(lock.clone()));
        lock.approve(approval("sound", "plugins/sound-2.so", "22"));
        let names: Vec<&str> = lock.approvals.iter().map(|approval| approval.libraries[0].file.as_str()).collect();
        assert_eq!(names, ["plugins/light.so", "plugins/sound-2.so"]);
        let mut older = approval("older", "plugins/older.so", "33");
        (older.handshake.abi, older.handshake.sections) = (1, None);
        lock.approve(older);
        lock.write(folder.path()).unwrap();
        assert_eq!(Lock::of(folder.path()), Ok(lock.clone()), "a record of ABI 1 names no sections");
        Lock::default().write(folder.path()).unwrap();
        assert_eq!(Lock::of(folder.path()), Ok(Lock::default()));
    }

    #[test]
    fn a_library_is_approved_by_its_bytes_and_changed_by_its_place() {
        let mut lock = Lock::default();
        lock.approve(approval("sound", "sound.so", "00"));
        let known = &lock.approvals[0];
        assert_eq!(lock.standing("elsewhere.so", "00"), Standing::Approved(known));
        let changed = Standing::Changed(known, &known.libraries[0]);
        assert_eq!(lock.standing("sound.so", "01"), changed);
        assert_eq!(lock.standing("plugins/sound.so", "01"), changed);
        assert_eq!(lock.standing("elsewhere.so", "01"), Standing::Unknown);
    }

    #[test]
    fn one_approval_holds_a_library_for_each_system() {
        let folder = tempfile::tempdir().unwrap();
        let mut lock = Lock::default();
        lock.approve(approval("sound", "plugins/sound.so", "00"));
        lock.approve(approval("sound", "plugins/sound.dll", "01"));
        lock.approve(approval("sound", "plugins/sound.so", "02"));
        let listed = |lock: &Lock| -> Vec<String> {
            let each = lock.approvals.iter().flat_map(|approval| &approval.libraries);
            each.map(|listed| format!("{} {}", listed.file, listed.sha256)).collect()
        };
        assert_eq!(listed(&lock), ["plugins/sound.so 02", "plugins/sound.dll 01"]);
        lock.write(folder.path()).unwrap();
        assert_eq!(Lock::of(folder.path()), Ok(lock.clone()));
        let known = &lock.approvals[0];
        assert_eq!(lock.standing("plugins/sound.dll", "01"), Standing::Approved(known));
        assert_eq!(lock.standing("plugins/sound.dll", "03"), Standing::Changed(known, &known.libraries[1]));
        // One that says something else of itself is another plugin for every system.
        let mut newer = approval("sound", "plugins/sound.so", "04");
        newer.handshake.version = "0.2.0".into();
        lock.approve(newer);
        assert_eq!(listed(&lock), ["plugins/sound.so 04"]);
    }

    #[test]
    fn a_record_of_windows_is_read_everywhere() {
        let folder = tempfile::tempdir().unwrap();
        let entry = r#"{name: sound, version: "1", file: "plugins\\sound.dll", sha256: "00", about: a, reads: [],
            sections: [], writes: []}"#;
        std::fs::write(folder.path().join(LOCK_FILE), format!("plugins:\n  - {entry}\n")).unwrap();
        let lock = Lock::of(folder.path()).unwrap();
        assert_eq!(lock.approvals[0].libraries[0].file, "plugins/sound.dll");
    }

    #[test]
    fn a_library_of_another_system_stands_for_the_one_beside_it() {
        let own = std::env::consts::DLL_EXTENSION;
        for named in ["a.b/sound.so", "a.b/sound.dll", "a.b/sound.dylib"] {
            assert_eq!(for_this_system(named), format!("a.b/sound.{own}"));
        }
        for named in ["a.b/sound", "sound.wasm", "sound"] {
            assert_eq!(for_this_system(named), named);
        }
    }

    #[test]
    fn a_record_that_cannot_be_read_says_where() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(LOCK_FILE), "plugins:\n  - nmae: sound\n").unwrap();
        let error = Lock::of(folder.path()).unwrap_err();
        assert!(error.starts_with("plugins.lock.yaml:2:5: unknown key 'nmae'"), "{error}");
    }
}
