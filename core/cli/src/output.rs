//! The two streams and output files. Nothing else in mateline prints.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "this is the one place that prints")]

use crate::arguments::When;
use crate::exit::Exit;
use anstream::{AutoStream, ColorChoice};
use mateline_engine::BadInput;
use mateline_reports::ReportError;
use mateline_reports::text::{InputProblem, Style, problems};
use serde::Serialize;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// How text is to look on a stream.
fn style(when: When, choice: ColorChoice) -> Style {
    let colour = match when {
        When::Always => true,
        When::Never => false,
        When::Auto => !matches!(choice, ColorChoice::Never),
    };
    Style { colour, ..Style::PLAIN }
}

/// How text is to look on standard output.
pub fn stdout_style(when: When) -> Style {
    style(when, AutoStream::choice(&std::io::stdout()))
}

/// A value as JSON text, indented, with a line end.
pub fn json(value: &impl Serialize) -> Result<String, String> {
    serde_json::to_string_pretty(value).map(|text| text + "\n").map_err(|error| error.to_string())
}

/// Writes to standard output. A reader that has gone away ends the command quietly.
pub fn print(text: &str) -> Exit {
    match try_print(text) {
        Ok(()) => Exit::Done,
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Exit::Done,
        Err(error) => self::error(&format!("cannot write to standard output: {error}")),
    }
}

/// Writes to standard output.
///
/// # Errors
/// Also when the reader has gone away.
pub fn try_print(text: &str) -> std::io::Result<()> {
    // An older console of Windows has to be told that colours come.
    let mut stdout = AutoStream::always(std::io::stdout().lock());
    stdout.write_all(text.as_bytes())?;
    stdout.flush()
}

/// Says on the error stream why the command failed.
pub fn error(message: &str) -> Exit {
    eprintln!("error: {message}");
    Exit::Failed
}

/// Says on the error stream that what was typed cannot be used.
pub fn refuse(message: &str) -> Exit {
    eprintln!("error: {message}");
    Exit::BadInput
}

/// Says something on the error stream that is no part of the result.
pub fn note(message: &str) {
    eprintln!("note: {message}");
}

/// Says on the error stream why a page could not be written: a fault of mateline, or of a part of the firm's own.
pub fn page_fault(error: &ReportError) -> Exit {
    if error.is_of_firm() { refuse(&error.to_string()) } else { self::error(&error.to_string()) }
}

/// Shows every problem of an input on the error stream.
pub fn bad_input(bad: &BadInput, when: When) -> Exit {
    let text = problems_text(bad, style(when, AutoStream::choice(&std::io::stderr())));
    // A reader that has gone away needs no words.
    let _ = AutoStream::always(std::io::stderr().lock()).write_all(text.as_bytes());
    Exit::BadInput
}

/// Every problem of an input with its line.
pub fn problems_text(bad: &BadInput, style: Style) -> String {
    let sources = bad.files.iter().map(|file| (file.name.clone(), file.text.clone())).collect();
    problems(&input_problems(bad), &sources, style)
}

/// The problems of an input as reports take them.
pub fn input_problems(bad: &BadInput) -> Vec<InputProblem> {
    let shown = bad.problems.iter().map(|problem| InputProblem {
        at: bad.place(problem.at),
        message: problem.message.clone(),
        notes: problem.notes.iter().map(|(at, text)| (bad.place(*at), text.clone())).collect(),
        help: problem.help.clone(),
    });
    shown.collect()
}

/// Whether nobody wants to see how far a run is.
static QUIET: AtomicBool = AtomicBool::new(false);

/// Shows no progress from here on.
pub fn be_quiet() {
    QUIET.store(true, Ordering::Relaxed);
}

/// A line on what is being done, which goes when this does.
#[must_use]
pub struct Doing;

impl Drop for Doing {
    fn drop(&mut self) {
        progress("");
    }
}

/// Shows what is being done until the value that is given back goes.
pub fn doing(text: &str) -> Doing {
    progress(text);
    Doing
}

/// Shows how far a long run is, in one line of the error stream that the next one replaces; only on a terminal. Empty
/// text takes the line away.
pub fn progress(text: &str) {
    if std::io::stderr().is_terminal() && !QUIET.load(Ordering::Relaxed) {
        let mut stderr = AutoStream::always(std::io::stderr().lock());
        let text: String = text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
        // A line that cannot be shown is no reason to end a run.
        let _ = write!(stderr, "\r\u{1b}[2K{text}").and_then(|()| stderr.flush());
    }
}

/// Writes what was made to a file, or prints it where none is named; says why where it could not be made.
pub fn hand_over(made: Result<String, String>, out: Option<&Path>) -> Exit {
    match (made, out) {
        (Err(why), _) => error(&why),
        (Ok(text), Some(path)) => write_file(path, &text),
        (Ok(text), None) => print(&text),
    }
}

/// What the name of a temporary file begins with.
const TEMPORARY: &str = ".mateline-";

/// Writes a file whole or not at all: to a temporary name beside it, then renamed.
pub fn write_file(path: &Path, text: &str) -> Exit {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    mateline_packets::folder::clear_stale(folder, TEMPORARY);
    let temporary = tempfile::Builder::new().prefix(TEMPORARY).tempfile_in(folder);
    let written = temporary.and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.as_file().sync_all()?;
        let mode = std::fs::metadata(path).map(|data| data.permissions()).ok();
        let kept = file.persist(path).map_err(|error| error.error)?;
        set_mode(&kept, mode)
    });
    match written {
        Ok(()) => Exit::Done,
        Err(error) => {
            // Windows does not replace a file that another program shows.
            let held = cfg!(windows) && error.kind() == std::io::ErrorKind::PermissionDenied && path.exists();
            let held = if held { "; close it where it is open" } else { "" };
            self::error(&format!("cannot write '{}': {error}{held}", path.display()))
        }
    }
}

/// A temporary file is readable by its owner only; a report has the permissions of the file it replaces, or the usual
/// ones.
fn set_mode(file: &std::fs::File, mode: Option<std::fs::Permissions>) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        file.set_permissions(mode.unwrap_or_else(|| std::fs::Permissions::from_mode(0o644)))
    }
    #[cfg(not(unix))]
    mode.map_or(Ok(()), |mode| file.set_permissions(mode))
}
