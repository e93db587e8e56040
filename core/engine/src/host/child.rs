//! The child: mateline started again to hold one plugin, with nothing of its own.
//!
//! Over its standard input come the library and the requests, over its standard output go the answers ([`frame`]).
//! Before the library is loaded, both are moved to where the plugin does not look for them: what it reads is empty,
//! and what it prints goes to the error stream.

use super::confine::{confine, limit, seal};
use super::frame::{self, Tag};
use super::library::{Called, Library, Sealed};
use super::limits::Limits;
use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::path::Path;

/// Serves one host until it closes the pipe.
///
/// # Errors
/// When the host has gone, or the system refuses what the child needs before it loads anything.
pub fn serve(limits: &Limits) -> Result<()> {
    // A session of its own: what is sent to mateline's group of processes does not reach the child, nor the reverse.
    #[cfg(unix)]
    let _ = rustix::process::setsid();
    let (mut from, mut to) = streams()?;
    let Some((Tag::Library, bytes)) = frame::read(&mut from, u64::MAX)? else {
        return Err(Error::new(ErrorKind::InvalidData, "no library came"));
    };
    // The folder is the host's, which takes it away; without variables no other is known for such files.
    let sealed = Sealed::new(&bytes, Path::new("."))?;
    drop(bytes);
    limit(limits);
    let lacking = confine();
    frame::write(&mut to, Tag::Confined, lacking.join(" and ").as_bytes())?;
    let mut library = match Library::load(sealed, limits.answer) {
        Ok(library) => library,
        Err(how) => return frame::write(&mut to, Tag::Broken, how.as_bytes()),
    };
    if !seal() && !lacking.contains(&"seccomp") && cfg!(target_os = "linux") {
        return frame::write(&mut to, Tag::Broken, b"cannot be confined once it is loaded");
    }
    while let Some((tag, request)) = frame::read(&mut from, u64::MAX)? {
        let called = if tag == Tag::Run { library.ask_run(&request) } else { library.ask_handshake() };
        match called {
            Called::Done(answer) => frame::write(&mut to, Tag::Done, &answer)?,
            Called::Failed(words) => frame::write(&mut to, Tag::Failed, &words)?,
            Called::Broken(how) => frame::write(&mut to, Tag::Broken, how.as_bytes())?,
        }
    }
    Ok(())
}

/// The two pipes, moved away from the numbers a plugin knows, and no other handle.
#[cfg(unix)]
fn streams() -> Result<(File, File)> {
    use rustix::io::fcntl_dupfd_cloexec;
    use rustix::stdio::{dup2_stdin, dup2_stdout};
    super::library::close_other_handles();
    let from = fcntl_dupfd_cloexec(std::io::stdin(), 3)?;
    let to = fcntl_dupfd_cloexec(std::io::stdout(), 3)?;
    dup2_stdin(File::open("/dev/null")?)?;
    dup2_stdout(std::io::stderr())?;
    Ok((from.into(), to.into()))
}

/// The two pipes. A plugin that prints spoils them, and is found out by that.
#[cfg(windows)]
fn streams() -> Result<(File, File)> {
    use std::os::windows::io::AsHandle;
    let from = std::io::stdin().as_handle().try_clone_to_owned()?;
    let to = std::io::stdout().as_handle().try_clone_to_owned()?;
    Ok((from.into(), to.into()))
}
