//! Third-party plugins: which may be loaded, where they run, and how much they may use.
//!
//! A home names libraries of its project folder. Nothing of a library runs before its SHA-256 stands in the record of
//! the project or the firm ([`lock`]); the bytes that are checked are the bytes that are loaded ([`trust`],
//! [`library`]). It then runs in a confined child process ([`process`], [`child`], [`confine`]), or in this process
//! where the caller asks for it and the firm itself has approved it. A library that cannot be used fails alone.

mod boundary;
mod child;
mod confine;
mod conflicts;
mod count;
mod folder;
mod frame;
mod invite;
#[cfg(windows)]
mod job;
mod library;
mod limits;
mod lock;
mod process;
#[cfg(windows)]
mod token;
mod trust;

pub use child::serve;
pub use conflicts::conflicts;
pub use invite::{Invited, invite};
pub use limits::{Limits, MIB};
pub use lock::{Approval, Given, LOCK_FILE, Listed, Lock, Standing};
pub use process::Start;
pub(crate) use trust::hexadecimal;
pub use trust::sha256;

use crate::load::{Project, without_dots};
use crate::worker::{Lost, Worker};
use boundary::{Boundary, Foreign, declared, keeps_to};
use count::bounded;
use library::Shared;
use mateline_sdk::message::Handshake;
use process::Process;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use trust::Candidate;

/// Where and how third-party plugins run.
#[derive(Clone, Debug)]
pub struct Host {
    /// How a child process is started.
    pub start: Start,
    /// How much a plugin may use.
    pub limits: Limits,
    /// The folder whose record holds for every project of a firm.
    pub firm: Option<PathBuf>,
    /// Whether a project's own record is no approval: whoever brings a library can bring the record with it.
    pub strict: bool,
    /// SHA-256 digests, in hexadecimal, of libraries that the person who runs mateline approves.
    pub approved: Vec<String>,
    /// Whether plugins the firm has approved run in this process, with no limit and no confinement.
    pub in_process: bool,
}

/// A third-party plugin as it was found.
pub struct Guest {
    /// What the schedule runs; none when nothing is known of it.
    pub worker: Option<Arc<dyn Worker>>,
    /// Why it cannot be used.
    pub refused: Option<String>,
    /// What the system lacks to confine it.
    pub lacking: Option<String>,
}

/// What an approval came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Approved {
    /// The approval as it stands in the record.
    pub approval: Approval,
    /// What the system lacks to confine the plugin; empty where nothing.
    pub lacking: String,
}

impl Host {
    /// Opens the plugin at a path inside a project, or else inside its firm's folder, so that not every home needs a copy.
    pub fn open(&self, project: &Project, name: &str) -> Guest {
        let records = Lock::of(project.folder()).and_then(|own| {
            let firm = self.firm.as_deref().map(Lock::of).transpose().map_err(|why| format!("of the firm: {why}"))?;
            Ok((own, firm.unwrap_or_default()))
        });
        let (own, firm) = match records {
            Ok(records) => records,
            Err(why) => return Guest::refused(Standing::Unknown, why),
        };
        let file = lock::for_this_system(&without_dots(name));
        let candidate = match project.locate_or_of_firm(&file).and_then(|path| Candidate::read(&path)) {
            Ok(candidate) => candidate,
            Err(why) => return Guest::refused(own.standing(&file, ""), why),
        };
        let given = self.approved.iter().any(|digest| digest.eq_ignore_ascii_case(&candidate.sha256));
        let (by_firm, by_project) = (firm.standing(&file, &candidate.sha256), own.standing(&file, &candidate.sha256));
        let (approval, of_firm) = match (by_firm, by_project) {
            (Standing::Approved(approval), _) => (Some(approval), true),
            (_, Standing::Approved(approval)) if given || !self.strict => (Some(approval), false),
            (_, standing @ Standing::Approved(_)) => return Guest::refused(standing, of_itself(&candidate.sha256)),
            _ if given => (None, false),
            (_, standing @ Standing::Changed(..)) | (standing, Standing::Unknown) => {
                return Guest::refused(standing, unapproved(standing, &file, &candidate.sha256));
            }
        };
        let opened = self.load(&candidate, of_firm && self.in_process).and_then(|(boundary, lacking)| {
            let (handshake, foreign) = Foreign::greet(boundary, &candidate.sha256)?;
            approval.map_or(Ok(()), |approval| keeps_to(approval, &handshake))?;
            Ok((foreign, lacking))
        });
        match opened {
            Ok((foreign, lacking)) => Guest { worker: Some(Arc::new(foreign)), refused: None, lacking },
            Err(why) => Guest::refused(approval.map_or(Standing::Unknown, Standing::Approved), why),
        }
    }

    /// Loads a library that may be loaded.
    fn load(&self, candidate: &Candidate, in_process: bool) -> Result<(Box<dyn Boundary>, Option<String>), String> {
        if in_process {
            let library = Shared::load(&candidate.sha256, &candidate.bytes, self.limits.answer);
            return Ok((Box::new(library.map_err(|how| format!("it {how}"))?), None));
        }
        let process = Process::start(&self.start, &self.limits, &candidate.bytes)?;
        let lacking = Some(process.lacking.clone()).filter(|lacking| !lacking.is_empty());
        Ok((Box::new(process), lacking))
    }

    /// Approves a plugin for a folder: shakes hands with its library in a confined child, and records what it is. Its
    /// libraries for other systems are recorded by their digests, and have to say the same of themselves once they are
    /// loaded there. A name that is `taken` already is refused.
    ///
    /// # Errors
    /// Why it cannot be approved.
    pub fn approve(
        &self,
        library: &Path,
        others: &[PathBuf],
        folder: &Path,
        taken: &[&str],
        given: Given,
    ) -> Result<Approved, String> {
        let root =
            folder.canonicalize().map_err(|error| format!("its folder cannot be read: {}", trust::reason(&error)))?;
        let mut lock = Lock::of(&root)?;
        let (candidate, listed) = listed(library, &root)?;
        let mut libraries = vec![listed];
        for other in others {
            let (_, listed) = self::listed(other, &root).map_err(|why| format!("'{}': {why}", other.display()))?;
            if libraries.iter().any(|one| lock::ending(&one.file) == lock::ending(&listed.file)) {
                return Err(format!("'{}' is no library for another system", other.display()));
            }
            libraries.push(listed);
        }
        let mut process = Process::start(&self.start, &self.limits, &candidate.bytes)?;
        let answer = process.handshake()?;
        let handshake = bounded(&answer).and_then(|()| Handshake::read(&answer)).map_err(|why| format!("it {why}"))?;
        if taken.contains(&handshake.name.as_str()) {
            return Err(format!("it calls itself '{}', which is the name of something else", handshake.name));
        }
        let approval = Approval { libraries, given, handshake };
        lock.approve(approval.clone());
        lock.write(&root)?;
        Ok(Approved { approval, lacking: process.lacking.clone() })
    }
}

/// A library as it is put on record for a folder: by its path inside, or its name where it lies elsewhere.
fn listed(path: &Path, root: &Path) -> Result<(Candidate, Listed), String> {
    let path = path.canonicalize().map_err(|error| format!("it cannot be read: {}", trust::reason(&error)))?;
    let candidate = Candidate::read(&path)?;
    let inside = path.strip_prefix(root).ok().or_else(|| path.file_name().map(Path::new)).unwrap_or(&path);
    let parts: Vec<_> = inside.iter().map(|part| part.to_string_lossy()).collect();
    let sha256 = candidate.sha256.clone();
    Ok((candidate, Listed { file: parts.join("/"), sha256 }))
}

/// The plugins on record for a folder, by their word alone: they cannot be run.
///
/// # Errors
/// Why the record cannot be used.
pub fn recorded(folder: &Path) -> Result<Vec<Arc<dyn Worker>>, String> {
    let folder =
        folder.canonicalize().map_err(|error| format!("its folder cannot be read: {}", trust::reason(&error)))?;
    let Some(folder) = folder.ancestors().find(|folder| folder.join(LOCK_FILE).exists()) else { return Ok(Vec::new()) };
    let word = |approval: &Approval| -> Result<Arc<dyn Worker>, String> {
        let declared = declared(&approval.handshake).map_err(|wrong| format!("in {LOCK_FILE}, {wrong}"))?;
        Ok(Arc::new(Lost { declared, why: "it is not loaded".to_owned() }))
    };
    Lock::of(folder)?.approvals.iter().map(word).collect()
}

/// Why an approval by the project alone is none.
fn of_itself(sha256: &str) -> String {
    format!(
        "only its own project has approved it, and --strict asks for somebody else: its SHA-256 is {sha256}; where you \
         trust its author, approve it for the firm (--firm) or give its digest (--approve-plugin)"
    )
}

/// Why bytes that are not approved are refused.
fn unapproved(standing: Standing<'_>, file: &str, sha256: &str) -> String {
    match standing {
        Standing::Changed(_, then) => format!(
            "it has changed since it was approved: its SHA-256 is {sha256}, and {} was approved; find out what changed, \
             then run `mateline plugins approve {file}`",
            then.sha256
        ),
        _ => format!(
            "nobody has approved it: its SHA-256 is {sha256}; where you trust its author, run `mateline plugins \
             approve {file}`"
        ),
    }
}

impl Guest {
    /// A plugin that nobody here runs.
    fn nowhere() -> Guest {
        Guest { worker: None, refused: Some("third-party plugins are not run here".to_owned()), lacking: None }
    }

    /// A plugin that cannot be used, with the word it gave when it was approved.
    fn refused(standing: Standing<'_>, why: String) -> Guest {
        let approval = match standing {
            Standing::Approved(approval) | Standing::Changed(approval, _) => approval,
            Standing::Unknown => return Guest { worker: None, refused: Some(why), lacking: None },
        };
        match declared(&approval.handshake) {
            Ok(declared) => {
                let worker = Lost { declared, why: why.clone() };
                Guest { worker: Some(Arc::new(worker)), refused: Some(why), lacking: None }
            }
            Err(wrong) => {
                let refused = Some(format!("{why}; in {LOCK_FILE}, {wrong}"));
                Guest { worker: None, refused, lacking: None }
            }
        }
    }
}
