//! The homes of a run: checking them side by side, and how each one ends the run.

use crate::arguments::{Before, When};
use crate::exit::Exit;
use crate::found::{Found, from_here, from_here_in};
use crate::output;
use crate::revision::{self, Homes, Side};
use mateline_engine::compare::Unusable;
use mateline_engine::{BadInput, Engine, Options};
use mateline_model::Report;
use mateline_reports::CheckedHome;
use rayon::prelude::*;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// What was before each home.
pub struct Formers {
    /// In the order of the homes; none where nothing was.
    sides: Vec<Option<Side>>,
    firm: Option<Side>,
}

impl Formers {
    /// What was typed as the former revision of one home; none where nothing was.
    ///
    /// # Errors
    /// A sentence that says what is not there.
    pub fn of_one(before: &Before) -> Result<Option<Formers>, String> {
        let Some(typed) = &before.former else { return Ok(None) };
        let firm = before.firm_was.as_deref().map(revision::firm).transpose()?;
        Ok(Some(Formers { sides: vec![Some(revision::side(typed)?)], firm }))
    }

    /// What was typed as the former revision of the homes that were found.
    ///
    /// # Errors
    /// A sentence that says what is not there.
    pub fn of(before: &Before, found: &Found) -> Result<Option<Formers>, String> {
        let Some(typed) = &before.former else { return Ok(None) };
        let firm = before.firm_was.as_deref().map(revision::firm).transpose()?;
        let sides = match (&found.folder, found.are_several) {
            (_, false) => return Formers::of_one(before),
            (Some(folder), true) => {
                let Some(homes) = Homes::of(typed)? else {
                    let shown = typed.display();
                    return Err(format!(
                        "'{shown}' is no folder of homes; what was before a folder of homes is one too"
                    ));
                };
                let within = |file: &PathBuf| from_here_in(folder, file);
                found.files.iter().map(|file| homes.home(&within(file))).collect::<Result<_, _>>()?
            }
            (None, true) => return Err("--former goes with one home, or with one folder of homes".to_owned()),
        };
        Ok(Some(Formers { sides, firm }))
    }
}

/// Checks all homes, as many at a time as there are threads. The results stand in the order of the files; what is wrong
/// with a home that cannot be used is shown on the error stream in the same order.
pub fn check(
    engine: &Engine,
    found: &Found,
    formers: Option<&Formers>,
    options: &Options,
    colour: When,
) -> Vec<CheckedHome> {
    let total = found.files.len();
    let done = Mutex::new(0_usize);
    let tell = |file: &str| {
        let mut done = done.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        *done += 1;
        if found.are_several {
            output::progress(&progress_line(*done, total, file));
        }
    };
    match found.files.first() {
        Some(only) if !found.are_several => output::progress(&format!("checking {}", only.display())),
        _ => {}
    }
    let results: Vec<(CheckedHome, Option<BadInput>)> = found
        .files
        .par_iter()
        .enumerate()
        .map(|(number, path)| {
            let file = from_here(path);
            let checked = match checked_since(engine, path, formers, number, options) {
                Ok(report) => (CheckedHome { file: file.clone(), result: Ok(report) }, None),
                Err(bad) => {
                    let bad = named(bad, path);
                    let problems = output::input_problems(&bad);
                    (CheckedHome { file: file.clone(), result: Err(problems) }, Some(bad))
                }
            };
            tell(&file);
            checked
        })
        .collect();
    output::progress("");
    let show = |(home, bad): (CheckedHome, Option<BadInput>)| {
        if let Some(mut bad) = bad {
            if found.are_several {
                let folder = home.file.rsplit_once('/').map_or(String::new(), |(folder, _)| format!("{folder}/"));
                bad.files.iter_mut().for_each(|file| file.name = format!("{folder}{}", file.name));
            }
            output::bad_input(&bad, colour);
        }
        home
    };
    results.into_iter().map(show).collect()
}

/// Checks one home, after its former revision where there is one.
///
/// # Errors
/// Every problem of the input.
pub fn check_one(
    engine: &Engine,
    home: &Path,
    former: Option<&Formers>,
    options: &Options,
) -> Result<Report, BadInput> {
    checked_since(engine, home, former, 0, options)
}

/// Checks a home, after its former revision where there is one.
fn checked_since(
    engine: &Engine,
    path: &Path,
    formers: Option<&Formers>,
    number: usize,
    options: &Options,
) -> Result<Report, BadInput> {
    let Some((former, firm)) = formers.and_then(|all| Some((all.sides.get(number)?.as_ref()?, &all.firm))) else {
        return engine.check(path, options);
    };
    let firm = firm.as_ref().map(|firm| firm.home.as_path());
    engine.check_since((&former.home, firm), path, options).map_err(|unusable| {
        let Unusable { old, new } = *unusable;
        new.or(old.map(|bad| former.named(bad))).unwrap_or_else(|| BadInput::new(Vec::new(), Vec::new()))
    })
}

/// The problems of a home whose files are all named from its folder; one that cannot be read is named as it was typed.
fn named(mut bad: BadInput, typed: &Path) -> BadInput {
    let typed_name = typed.display().to_string();
    let alone = typed.file_name().map_or_else(|| typed_name.clone(), |name| name.to_string_lossy().into_owned());
    bad.files.iter_mut().filter(|file| file.name == typed_name).for_each(|file| file.name.clone_from(&alone));
    bad
}

fn progress_line(done: usize, total: usize, file: &str) -> String {
    const WIDTH: usize = 24;
    let filled = (done * WIDTH).checked_div(total).unwrap_or(0);
    let safe: String = file.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(60).collect();
    format!("checked {done} of {total} [{}{}] {safe}", "#".repeat(filled), " ".repeat(WIDTH.saturating_sub(filled)))
}

/// How a home ends the run for CI.
pub fn ended(home: &CheckedHome) -> Exit {
    match &home.result {
        Err(_) => Exit::BadInput,
        Ok(report) if report.plugin_failed() => Exit::Failed,
        Ok(report) if report.fails() => Exit::Short,
        Ok(_) => Exit::Done,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn the_line_of_progress_fits_a_terminal_and_moves_nothing() {
        let line = progress_line(3, 12, &format!("a\u{1b}[2J{}", "x".repeat(200)));
        assert!(line.starts_with("checked 3 of 12 [######                  ] a\u{fffd}[2J"), "{line}");
        assert!(line.chars().count() < 120 && line.chars().all(|c| !c.is_control()));
    }
}
