//! `mateline compare` of a report that was kept, or that another program writes, with the home as this one judges it.

use crate::arguments::{Compare, CompareFormat, When};
use crate::exit::Exit;
use crate::output;
use crate::revision::side;
use mateline_engine::host::Host;
use mateline_engine::{Engine, Options};
use mateline_reports::since::{Kept, since, text};
use mateline_reports::{VERSION, json};
use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};

/// Bytes of a report that are read.
const LONGEST: u64 = 256 * 1024 * 1024;

/// Compares the two and writes what turned.
pub fn run(engine: &Engine, host: &Host, compare: &Compare, colour: When) -> Exit {
    if matches!(compare.format, CompareFormat::Markdown | CompareFormat::Html) {
        return output::refuse("what turned since a report is written as text or json");
    }
    let old = match &compare.program {
        Some(program) => of_program(program, host, compare),
        None => read(&compare.old),
    };
    let new = compare.new.as_ref().unwrap_or(&compare.old);
    let (old, new) = match old.and_then(|old| Ok((old, side(new)?))) {
        Ok(both) => both,
        Err(message) => return output::refuse(&message),
    };
    let options = Options { units: compare.units.map(Into::into), on: None };
    let report = match engine.check(&new.home, &options) {
        Ok(report) => report,
        Err(bad) => return output::bad_input(&new.named(bad), colour),
    };
    let found = since(&old, &Kept::of(json::report(&report, VERSION)), VERSION);
    let written = match compare.format {
        CompareFormat::Json => output::json(&found),
        _ => Ok(text(&found)),
    };
    let exit = output::hand_over(written, compare.out.as_deref());
    let is_worse = found.verdicts.iter().any(|turned| turned.is_worse());
    match exit {
        Exit::Done if !found.failures.is_empty() => Exit::Failed,
        Exit::Done if is_worse || (!compare.only_new && found.failing > 0) => Exit::Short,
        other => other,
    }
}

/// A report that was kept.
fn read(path: &Path) -> Result<Kept, String> {
    let file = std::fs::File::open(path).map_err(|error| format!("cannot read '{}': {error}", path.display()))?;
    parsed(file).map_err(|why| format!("'{}' cannot be compared with: {why}", path.display()))
}

fn parsed(from: impl Read) -> Result<Kept, String> {
    let mut text = String::new();
    from.take(LONGEST).read_to_string(&mut text).map_err(|error| error.to_string())?;
    Kept::read(&text)
}

/// The report that another program writes of the earlier home, told the same as this one.
fn of_program(program: &Path, host: &Host, compare: &Compare) -> Result<Kept, String> {
    let old = side(&compare.old)?;
    let firm = compare.firm_was.as_deref().map(crate::revision::firm).transpose()?;
    let mut command = Command::new(program);
    command.args(["check", "--format", "json"]).arg(&old.home).stdin(Stdio::null());
    if let Some(folder) = firm.as_ref().map(|firm| firm.home.as_path()).or(host.firm.as_deref()) {
        command.arg("--firm").arg(folder);
    }
    if host.strict {
        command.arg("--strict");
    }
    for digest in &host.approved {
        command.args(["--approve-plugin", digest]);
    }
    let shown = program.display();
    let output = command.output().map_err(|error| format!("cannot run '{shown}': {error}"))?;
    let said = String::from_utf8_lossy(&output.stderr);
    let said = said.lines().next().unwrap_or("it does not say why").to_owned();
    match parsed(output.stdout.as_slice()) {
        Ok(kept) => Ok(kept),
        Err(_) if output.stdout.is_empty() => {
            Err(format!("'{shown}' gave no report of '{}': {said}", old.home.display()))
        }
        Err(why) => Err(format!("what '{shown}' says cannot be compared with: {why}")),
    }
}
