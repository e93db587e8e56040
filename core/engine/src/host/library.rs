//! The C boundary, mateline's side: loading a library from bytes that were checked, and calling it.
//!
//! This is one of the two modules of mateline that may hold `unsafe` code; the other is the plugin's side.
#![allow(
    unsafe_code,
    reason = "loading and calling a library cannot be checked by the compiler; each block says who upholds what"
)]

use super::boundary::Boundary;
use super::process::in_its_words;
use mateline_sdk::abi::{DONE, FAILED, FREE, FreeFunction, HANDSHAKE, HandshakeFunction, RUN, RunFunction};
use std::collections::BTreeMap;
use std::io::Write;
use std::mem::ManuallyDrop;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// A loaded library with its three functions. It stays loaded until the process ends: the loader knows a library by the
/// path it was loaded from, so that path must never come to mean another one.
pub struct Library {
    handshake: HandshakeFunction,
    run: RunFunction,
    free: FreeFunction,
    /// Bytes one answer may have.
    limit: u64,
}

/// A library of this process, which serves every home that names it.
#[derive(Clone)]
pub struct Shared(Arc<Mutex<Library>>);

/// The libraries of this process by SHA-256, with those that could not be loaded.
static LOADED: Mutex<BTreeMap<String, Result<Shared, String>>> = Mutex::new(BTreeMap::new());

impl Shared {
    /// The library with this SHA-256, loaded from these bytes when it is not yet there.
    ///
    /// # Errors
    /// Why it cannot be loaded: a sentence that follows "it".
    pub fn load(sha256: &str, bytes: &[u8], limit: u64) -> Result<Shared, String> {
        let mut loaded = LOADED.lock().unwrap_or_else(PoisonError::into_inner);
        let of_bytes = || {
            let sealed =
                Sealed::new(bytes, &std::env::temp_dir()).map_err(|error| format!("cannot be sealed: {error}"))?;
            Library::load(sealed, limit).map(|library| Shared(Arc::new(Mutex::new(library))))
        };
        loaded.entry(sha256.to_owned()).or_insert_with(of_bytes).clone()
    }
}

impl Boundary for Shared {
    fn handshake(&mut self) -> Result<Vec<u8>, String> {
        let mut library = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        answer(library.ask_handshake())
    }

    fn run(&mut self, request: &[u8]) -> Result<Vec<u8>, String> {
        let mut library = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        answer(library.ask_run(request))
    }
}

/// What a call came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Called {
    /// The answer.
    Done(Vec<u8>),
    /// Why the plugin could not do its work, in its own words.
    Failed(Vec<u8>),
    /// How the plugin broke the boundary: a sentence that follows "it".
    Broken(String),
}

impl Library {
    /// Loads a library from sealed bytes. An answer may have `limit` bytes.
    ///
    /// # Errors
    /// Why it cannot be loaded, or which function it lacks: a sentence that follows "it".
    pub fn load(source: Sealed, limit: u64) -> Result<Library, String> {
        // SAFETY: loading runs the library's initialisers. They are the plugin author's responsibility: the library has
        // been approved by its SHA-256, and unless the firm trusts it, this process is a confined child that holds
        // nothing but the request.
        let library = unsafe { libloading::Library::new(source.path()) };
        let library = library.map_err(|error| format!("cannot be loaded: {}", reason(&error)))?;
        // Neither is ever given back, not even when a function is lacking.
        let (library, _source) = (ManuallyDrop::new(library), ManuallyDrop::new(source));
        let lacks = |name: &str| format!("does not export {name}");
        // SAFETY: the three functions have these types by the header, which is the plugin author's to keep to; the
        // pointers stay good because the library is never unloaded.
        let (handshake, run, free) = unsafe {
            let handshake = library.get::<HandshakeFunction>(HANDSHAKE).map_err(|_| lacks(HANDSHAKE))?;
            let run = library.get::<RunFunction>(RUN).map_err(|_| lacks(RUN))?;
            let free = library.get::<FreeFunction>(FREE).map_err(|_| lacks(FREE))?;
            (*handshake, *run, *free)
        };
        Ok(Library { handshake, run, free, limit })
    }

    /// Asks for the handshake.
    pub fn ask_handshake(&mut self) -> Called {
        let (mut answer, mut length) = (std::ptr::null_mut(), 0);
        // SAFETY: both pointers are to locals that may be written through; that the function only does so is the
        // plugin author's to uphold.
        let status = unsafe { (self.handshake)(&raw mut answer, &raw mut length) };
        self.take(status, answer, length)
    }

    /// Asks for an answer to a request.
    pub fn ask_run(&mut self, request: &[u8]) -> Called {
        let (mut answer, mut length) = (std::ptr::null_mut(), 0);
        // SAFETY: the request may be read over its length until the call returns, and both answer pointers are to
        // locals that may be written through; that the function does no more is the plugin author's to uphold.
        let status = unsafe { (self.run)(request.as_ptr(), request.len(), &raw mut answer, &raw mut length) };
        self.take(status, answer, length)
    }

    /// Copies an answer and hands its buffer back.
    fn take(&mut self, status: i32, answer: *mut u8, length: usize) -> Called {
        if length as u64 > self.limit {
            return Called::Broken(format!("answered with {length} bytes; {} are the most", self.limit));
        }
        if answer.is_null() && length > 0 {
            return Called::Broken(format!("answered with {length} bytes at no address"));
        }
        let copy = if answer.is_null() {
            Vec::new()
        } else {
            // SAFETY: the plugin author upholds that the answer may be read over the length given with it, and that
            // the buffer is taken back by the library's own function, which is called once.
            unsafe {
                let copy = std::slice::from_raw_parts(answer, length).to_vec();
                (self.free)(answer, length);
                copy
            }
        };
        match status {
            DONE => Called::Done(copy),
            FAILED => Called::Failed(copy),
            other => Called::Broken(format!("returned the status {other}, which has no meaning")),
        }
    }
}

fn answer(called: Called) -> Result<Vec<u8>, String> {
    match called {
        Called::Done(bytes) => Ok(bytes),
        Called::Failed(words) => Err(in_its_words(&words)),
        Called::Broken(how) => Err(format!("it {how}")),
    }
}

/// The reason of a loading error, which stands one level down.
fn reason(error: &libloading::Error) -> String {
    use std::error::Error;
    let text = error.source().map_or_else(|| error.to_string(), ToString::to_string);
    // The path is one of our own making and says nothing to a reader.
    match text.split_once(": ") {
        Some((path, rest)) if path.starts_with("/proc/") => rest.to_owned(),
        _ => text,
    }
}

/// The bytes of a library where no other program can change them, with a path the loader can open.
pub struct Sealed {
    #[cfg(target_os = "linux")]
    memory: std::fs::File,
    #[cfg(not(target_os = "linux"))]
    file: std::path::PathBuf,
}

#[cfg(target_os = "linux")]
impl Sealed {
    /// A file in memory that nobody, this process included, can change any more.
    ///
    /// # Errors
    /// When the system has no room for it.
    pub fn new(bytes: &[u8], _folder: &Path) -> std::io::Result<Sealed> {
        use rustix::fs::{MemfdFlags, SealFlags, fcntl_add_seals, memfd_create};
        let memory = memfd_create("plugin", MemfdFlags::CLOEXEC | MemfdFlags::ALLOW_SEALING)?;
        let mut memory = std::fs::File::from(memory);
        memory.write_all(bytes)?;
        fcntl_add_seals(&memory, SealFlags::WRITE | SealFlags::GROW | SealFlags::SHRINK | SealFlags::SEAL)?;
        Ok(Sealed { memory })
    }

    fn path(&self) -> std::path::PathBuf {
        use std::os::fd::AsRawFd;
        format!("/proc/self/fd/{}", self.memory.as_raw_fd()).into()
    }
}

#[cfg(not(target_os = "linux"))]
impl Sealed {
    /// A file of a folder that only this user can read. It goes with the folder, for a library that is loaded cannot be
    /// removed on every system.
    ///
    /// # Errors
    /// When the system has no room for it.
    pub fn new(bytes: &[u8], folder: &Path) -> std::io::Result<Sealed> {
        let folder = std::path::absolute(folder)?;
        let mut file = tempfile::Builder::new().suffix(std::env::consts::DLL_SUFFIX).tempfile_in(folder)?;
        file.write_all(bytes)?;
        file.flush()?;
        let (_, file) = file.keep().map_err(|error| error.error)?;
        Ok(Sealed { file })
    }

    fn path(&self) -> std::path::PathBuf {
        self.file.clone()
    }
}

/// Closes every handle a child was left with beside its three streams.
#[cfg(unix)]
pub fn close_other_handles() {
    let folder = if cfg!(target_os = "linux") { "/proc/self/fd" } else { "/dev/fd" };
    let listed = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let handles: Vec<i32> = listed.filter_map(|entry| entry.file_name().to_str()?.parse().ok()).collect();
    for handle in handles.into_iter().filter(|handle| *handle > 2) {
        // The listing's own handle is closed by now.
        if std::fs::symlink_metadata(format!("{folder}/{handle}")).is_ok() {
            // SAFETY: called once, at the start of the child and before it opens anything, so that no value of this
            // program owns the handle.
            unsafe { rustix::io::close(handle) };
        }
    }
}
