//! The host's side of a child process: start it, talk to it within the limits, and say how it ended.

use super::boundary::Boundary;
use super::folder;
use super::frame::{self, Tag};
use super::limits::{Limits, MIB};
use std::collections::VecDeque;
use std::ffi::OsString;
use std::io::Read;
use std::path::PathBuf;
use std::process::{Child, ChildStderr, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// How the child is started: a program and its first arguments. The limits follow.
#[derive(Clone, Debug)]
pub struct Start {
    /// The program.
    pub program: PathBuf,
    /// The hidden command.
    pub command: OsString,
}

/// Bytes of the error stream that are kept.
const TAIL: usize = 2_000;

/// A child process that holds a plugin.
pub struct Process {
    child: Child,
    limits: Limits,
    /// Frames to be written; the writer ends when this is dropped.
    requests: Sender<(Tag, Vec<u8>)>,
    events: Receiver<Event>,
    tail: Arc<Mutex<VecDeque<u8>>>,
    /// What the system lacks to confine it; empty where nothing.
    pub lacking: String,
    /// What holds it from outside.
    #[cfg(windows)]
    _job: super::job::Job,
    /// Its working folder, removed with it.
    _folder: tempfile::TempDir,
}

/// What comes from a child.
enum Event {
    Frame(Tag, Vec<u8>),
    /// The pipe of answers has ended; the reason, when that was no frame.
    Ended(Option<String>),
    /// It writes too much on the error stream.
    Chatter,
    /// The error stream has ended.
    Quiet,
}

impl Process {
    /// Starts a child with a library of these bytes.
    ///
    /// # Errors
    /// Why it cannot be started, or how it ended while the library was loaded.
    pub fn start(start: &Start, limits: &Limits, library: &[u8]) -> Result<Process, String> {
        let broken = |error: std::io::Error| format!("its process cannot be started: {error}");
        let folder = folder::new().map_err(broken)?;
        let mut child = Command::new(&start.program)
            .arg(&start.command)
            .args([limits.seconds, limits.memory, limits.answer].map(|limit| limit.to_string()))
            .env_clear()
            .current_dir(folder.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(broken)?;
        let (Some(mut stdin), Some(stdout), Some(stderr)) =
            (child.stdin.take(), child.stdout.take(), child.stderr.take())
        else {
            return Err("its process has no pipes".to_owned());
        };
        #[cfg(windows)]
        let job = super::job::Job::around(&child, limits).map_err(|error| {
            let _ = child.kill();
            format!("its process cannot be limited: {error}")
        })?;
        let (requests, to_write) = channel::<(Tag, Vec<u8>)>();
        // Whoever has something to tell waits until it is asked for: at most one frame is held for each pipe.
        let (events, received) = sync_channel(0);
        let tail = Arc::new(Mutex::new(VecDeque::new()));
        // A child that reads nothing must not hold the host up, nor one that writes while it is written to.
        std::thread::spawn(move || {
            for (tag, content) in to_write {
                if frame::write(&mut stdin, tag, &content).is_err() {
                    break;
                }
            }
        });
        let answers = events.clone();
        let most = limits.answer;
        std::thread::spawn(move || read_answers(stdout, most, &answers));
        let (kept, chatter) = (Arc::clone(&tail), limits.chatter);
        std::thread::spawn(move || drain(stderr, chatter, &kept, &events));
        let mut process = Process {
            child,
            limits: *limits,
            requests,
            events: received,
            tail,
            lacking: String::new(),
            #[cfg(windows)]
            _job: job,
            _folder: folder,
        };
        process.send(Tag::Library, library.to_vec());
        let lacking = process.receive(Tag::Confined)?;
        process.lacking = String::from_utf8_lossy(&lacking).into_owned();
        Ok(process)
    }

    fn send(&mut self, tag: Tag, content: Vec<u8>) {
        // A child that has gone is found out when its answer is waited for.
        let _ = self.requests.send((tag, content));
    }

    /// Waits for a frame.
    fn receive(&mut self, expected: Tag) -> Result<Vec<u8>, String> {
        match self.events.recv_timeout(Duration::from_secs(self.limits.seconds)) {
            Ok(Event::Frame(tag, content)) if tag == expected => Ok(content),
            Ok(Event::Frame(Tag::Failed, words)) => Err(in_its_words(&words)),
            Ok(Event::Frame(Tag::Broken, how)) => Err(format!("it {}", one_line(&String::from_utf8_lossy(&how), 400))),
            Ok(Event::Quiet) => self.receive(expected),
            Ok(Event::Frame(..)) => Err(self.stop("it answered what it was not asked")),
            Ok(Event::Ended(Some(why))) => Err(self.stop(&format!("it spoilt the pipe of answers: {why}"))),
            Ok(Event::Ended(None)) | Err(RecvTimeoutError::Disconnected) => Err(self.ended()),
            Ok(Event::Chatter) => {
                let most = self.limits.chatter / MIB;
                Err(self.stop(&format!("it wrote more than {most} MiB on its error stream and was stopped")))
            }
            Err(RecvTimeoutError::Timeout) => {
                let seconds = self.limits.seconds;
                let plural = if seconds == 1 { "" } else { "s" };
                Err(self.stop(&format!("it had not answered after {seconds} second{plural} and was stopped")))
            }
        }
    }

    /// Stops the child for a reason.
    fn stop(&mut self, why: &str) -> String {
        let _ = self.child.kill();
        let _ = self.child.wait();
        why.to_owned()
    }

    /// How a child that closed its pipe ended, with its last words.
    fn ended(&mut self) -> String {
        // It has gone or is going; one that closed its pipe and stayed is ended.
        let _ = self.child.kill();
        let how = self.child.wait().map_or_else(|error| format!("it has gone: {error}"), |status| self.ending(status));
        // The last words are complete once the error stream has ended, unless something else holds it open.
        while let Ok(event) = self.events.recv_timeout(Duration::from_secs(1)) {
            if matches!(event, Event::Quiet) {
                break;
            }
        }
        let tail: Vec<u8> = self.tail.lock().unwrap_or_else(PoisonError::into_inner).iter().copied().collect();
        let words = one_line(&String::from_utf8_lossy(&tail), 200);
        if words.is_empty() { how } else { format!("{how}; its last words: {words}") }
    }

    #[cfg(unix)]
    fn ending(&self, status: ExitStatus) -> String {
        use std::os::unix::process::ExitStatusExt;
        let memory = format!("a plugin may use {} MiB of memory", self.limits.memory / MIB);
        match status.signal() {
            Some(libc_signal::SYS) => {
                "it made a system call that is not a plugin's: it may open no file, socket, program or thread"
                    .to_owned()
            }
            Some(libc_signal::SEGV | libc_signal::BUS) => {
                format!("it crashed on memory that is not its own ({memory})")
            }
            Some(libc_signal::ABRT) => format!("it aborted ({memory})"),
            Some(libc_signal::XCPU) => "it used up its processor time".to_owned(),
            Some(signal) => format!("it was ended by signal {signal} ({memory})"),
            None => self.exited(status),
        }
    }

    #[cfg(not(unix))]
    fn ending(&self, status: ExitStatus) -> String {
        let memory = format!("a plugin may use {} MiB of memory", self.limits.memory / MIB);
        match status.code().map(i32::cast_unsigned) {
            Some(windows_status::ACCESS_VIOLATION) => {
                format!("it crashed on memory that is not its own ({memory})")
            }
            Some(windows_status::STACK_OVERFLOW) => "it has overflowed its stack".to_owned(),
            Some(windows_status::STACK_BUFFER_OVERRUN | windows_status::ABORT) => format!("it aborted ({memory})"),
            Some(windows_status::NOT_ENOUGH_QUOTA) => "it used up its processor time".to_owned(),
            _ => self.exited(status),
        }
    }

    fn exited(&self, status: ExitStatus) -> String {
        status.code().map_or_else(|| "it ended".to_owned(), |code| format!("it ended its process with code {code}"))
    }
}

/// The signals that say how a plugin ended, by number on Linux for x86-64 and AArch64.
#[cfg(unix)]
mod libc_signal {
    pub const ABRT: i32 = 6;
    pub const BUS: i32 = if cfg!(target_os = "linux") { 7 } else { 10 };
    pub const SEGV: i32 = 11;
    pub const XCPU: i32 = 24;
    pub const SYS: i32 = if cfg!(target_os = "linux") { 31 } else { 12 };
}

/// The exit codes that say how a plugin ended on Windows (from memory, high). The runtime library of C ends an aborted
/// process with 3; one that fails fast has the code of an overrun buffer.
#[cfg(not(unix))]
mod windows_status {
    pub const ABORT: u32 = 3;
    pub const NOT_ENOUGH_QUOTA: u32 = 1816;
    pub const ACCESS_VIOLATION: u32 = 0xC000_0005;
    pub const STACK_OVERFLOW: u32 = 0xC000_00FD;
    pub const STACK_BUFFER_OVERRUN: u32 = 0xC000_0409;
}

impl Boundary for Process {
    fn handshake(&mut self) -> Result<Vec<u8>, String> {
        self.send(Tag::Handshake, Vec::new());
        self.receive(Tag::Done)
    }

    fn run(&mut self, request: &[u8]) -> Result<Vec<u8>, String> {
        if let Ok(Event::Frame(..)) = self.events.try_recv() {
            return Err(self.stop("it answered what it was not asked"));
        }
        self.send(Tag::Run, request.to_vec());
        self.receive(Tag::Done)
    }
}

impl Drop for Process {
    /// The child keeps nothing that could be lost: it is ended, not asked to end.
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn read_answers(mut stdout: impl Read, most: u64, events: &SyncSender<Event>) {
    loop {
        let event = match frame::read(&mut stdout, most) {
            Ok(Some((tag, content))) => Event::Frame(tag, content),
            Ok(None) => Event::Ended(None),
            Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => Event::Ended(None),
            Err(error) => Event::Ended(Some(error.to_string())),
        };
        let over = matches!(event, Event::Ended(_));
        if events.send(event).is_err() || over {
            return;
        }
    }
}

/// Reads the error stream to its end, keeps the last of it, and tells when there is too much.
fn drain(mut stderr: ChildStderr, most: u64, tail: &Mutex<VecDeque<u8>>, events: &SyncSender<Event>) {
    let (mut buffer, mut total, mut told) = ([0; 8_192], 0, false);
    while let Ok(count @ 1..) = stderr.read(&mut buffer) {
        total += count as u64;
        let mut tail = tail.lock().unwrap_or_else(PoisonError::into_inner);
        tail.extend(buffer.iter().take(count));
        let surplus = tail.len().saturating_sub(TAIL);
        tail.drain(..surplus);
        if total > most && !told {
            told = true;
            let _ = events.send(Event::Chatter);
        }
    }
    let _ = events.send(Event::Quiet);
}

/// What a plugin says of its failure, on one line and of bounded length.
pub fn in_its_words(bytes: &[u8]) -> String {
    let said = one_line(&String::from_utf8_lossy(bytes), 400);
    if said.is_empty() { "it failed and did not say why".to_owned() } else { said }
}

/// Text of a plugin as one line: control characters become spaces, and only so many characters of its end stay.
pub fn one_line(text: &str, most: usize) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let count = plain.chars().count();
    if count <= most { plain } else { format!("…{}", plain.chars().skip(count - most).collect::<String>()) }
}

#[cfg(all(test, unix))]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn the_words_of_a_plugin_become_one_bounded_line() {
        assert_eq!(one_line("a\u{1b}[31m b\n\n c\t", 80), "a [31m b c");
        assert_eq!(one_line("0123456789", 4), "…6789");
        assert_eq!(one_line("", 4), "");
    }

    /// A child that is a few lines of shell.
    fn child(lines: &str, seconds: u64) -> Result<Process, String> {
        let folder = tempfile::tempdir().unwrap();
        let script = folder.path().join("child");
        std::fs::write(&script, lines).unwrap();
        let start = Start { program: "/bin/sh".into(), command: script.into() };
        Process::start(&start, &Limits { seconds, ..Limits::default() }, b"a library")
    }

    fn refused(lines: &str) -> String {
        child(lines, 20).err().unwrap_or_default()
    }

    const CONFINED: &str = r"printf 'c\010\000\000\000\000\000\000\000landlock'";

    #[test]
    fn a_child_says_what_its_system_lacks_and_answers() {
        let answer = r"printf 'd\005\000\000\000\000\000\000\000hello'; while read -r line; do :; done";
        let mut process = child(&format!("{CONFINED}\n{answer}"), 20).unwrap_or_else(|why| panic!("{why}"));
        assert_eq!(process.lacking, "landlock");
        assert_eq!(process.handshake(), Ok(b"hello".to_vec()));
    }

    /// Frames without end, of which it is known how many were taken.
    struct Endless(Arc<std::sync::atomic::AtomicUsize>);

    impl Read for Endless {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let mut frame = Vec::new();
            frame::write(&mut frame, Tag::Done, b"").unwrap();
            // The tag is read first, and by itself.
            let bytes = if into.len() == 1 { &frame[..1] } else { &frame[1..] };
            self.0.fetch_add(usize::from(into.len() == 1), std::sync::atomic::Ordering::SeqCst);
            into[..bytes.len()].copy_from_slice(bytes);
            Ok(bytes.len())
        }
    }

    #[test]
    fn only_one_frame_is_held_that_nobody_asked_for() {
        let taken = Arc::new(std::sync::atomic::AtomicUsize::new(0));
        let endless = Endless(Arc::clone(&taken));
        let (events, received) = sync_channel(0);
        let reader = std::thread::spawn(move || read_answers(endless, 64, &events));
        for _ in 0..3 {
            assert!(matches!(received.recv(), Ok(Event::Frame(Tag::Done, _))));
        }
        drop(received);
        reader.join().unwrap();
        let taken = taken.load(std::sync::atomic::Ordering::SeqCst);
        assert!((3..=4).contains(&taken), "{taken} frames were taken and three asked for");
    }

    #[test]
    fn a_child_that_ends_is_told_by_its_end() {
        assert_eq!(refused("exit 7"), "it ended its process with code 7");
        assert_eq!(
            refused("echo 'out of\nwords' >&2; exit 1"),
            "it ended its process with code 1; its last words: out of words"
        );
        assert!(refused("kill -SEGV $$").starts_with("it crashed on memory that is not its own"));
        assert!(refused("kill -TERM $$").starts_with("it was ended by signal 15"));
        assert_eq!(refused("printf 'nonsense'"), "it spoilt the pipe of answers: what came is no frame");
        assert_eq!(refused(r"printf 'b\004\000\000\000\000\000\000\000bent'; read -r line"), "it bent");
    }

    #[test]
    fn a_child_that_keeps_silent_is_stopped() {
        let why = child("while :; do :; done", 1).err().unwrap_or_default();
        assert_eq!(why, "it had not answered after 1 second and was stopped");
    }
}
