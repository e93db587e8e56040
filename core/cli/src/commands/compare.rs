//! `mateline compare`

use crate::arguments::{Compare, CompareFormat, When};
use crate::exit::Exit;
use crate::output;
use crate::revision::{Side, firm, side};
use mateline_engine::{BadInput, Engine, Options};
use mateline_model::Comparison;
use mateline_reports::text::Style;
use mateline_reports::{VERSION, comparison};

/// Compares two revisions and writes what changed.
pub fn run(engine: &Engine, compare: &Compare, colour: When) -> Exit {
    let (old, new) = match (side(&compare.old), side(&compare.new)) {
        (Ok(old), Ok(new)) => (old, new),
        (old, new) => {
            for message in [old.err(), new.err()].into_iter().flatten() {
                output::refuse(&message);
            }
            return Exit::BadInput;
        }
    };
    let options = Options { units: compare.units.map(Into::into), on: None };
    let firm_was = match compare.firm_was.as_deref().map(firm).transpose() {
        Ok(firm_was) => firm_was,
        Err(message) => return output::refuse(&message),
    };
    let firm_was = firm_was.as_ref().map(|side| side.home.as_path());
    let found = match engine.compare((&old.home, firm_was), &new.home, &options, compare.margin) {
        Ok(found) => found,
        Err(unusable) => {
            for (bad, side) in [(unusable.old, &old), (unusable.new, &new)] {
                if let Some(bad) = bad {
                    output::bad_input(&named(bad, side), colour);
                }
            }
            return Exit::BadInput;
        }
    };
    let style = if compare.out.is_some() { Style::PLAIN } else { output::stdout_style(colour) };
    let written = match compare.format {
        CompareFormat::Text => Ok(comparison::text(&found, style)),
        CompareFormat::Json => output::json(&comparison::json(&found, VERSION)),
        CompareFormat::Markdown => Ok(comparison::markdown(&found)),
        CompareFormat::Html => comparison::html(&found).map_err(|error| error.to_string()),
    };
    let written = match written {
        Ok(written) => written,
        Err(error) => return output::error(&error),
    };
    let exit = match &compare.out {
        Some(path) => output::write_file(path, &written),
        None => output::print(&written),
    };
    if exit == Exit::Done { outcome(&found, compare.only_new) } else { exit }
}

/// How the comparison ends for CI.
fn outcome(found: &Comparison, only_new: bool) -> Exit {
    if !found.failures.is_empty() {
        Exit::Failed
    } else if found.got_worse() || (!only_new && found.failing > 0) {
        Exit::Short
    } else {
        Exit::Done
    }
}

/// The problems of a side, with files named as they were typed: both sides have a `home.yaml`.
fn named(mut bad: BadInput, side: &Side) -> BadInput {
    bad.files.iter_mut().for_each(|file| file.name = format!("{}{}", side.prefix, file.name));
    bad
}
