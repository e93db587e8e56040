//! `mateline compare`

use super::{compare_homes, since};
use crate::arguments::{Compare, CompareFormat, When};
use crate::exit::Exit;
use crate::output;
use crate::revision::{Homes, firm, side};
use mateline_engine::host::Host;
use mateline_engine::{Engine, Options};
use mateline_reports::text::Style;
use mateline_reports::{VERSION, comparison};

/// Compares two revisions and writes what changed.
pub fn run(engine: &Engine, host: &Host, compare: &Compare, colour: When) -> Exit {
    if compare.program.is_some() || compare.old.extension().is_some_and(|ending| ending == "json") {
        return since::run(engine, host, compare, colour);
    }
    let Some(new) = &compare.new else { return output::refuse("name the later revision") };
    match (Homes::of(&compare.old), Homes::of(new)) {
        (Ok(Some(old)), Ok(Some(new))) => return compare_homes::run(engine, (&old, &new), compare, colour),
        (Err(message), _) | (_, Err(message)) => return output::refuse(&message),
        _ => {}
    }
    let (old, new) = match (side(&compare.old), side(new)) {
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
                    output::bad_input(&side.named(bad), colour);
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
    let exit = output::hand_over(written, compare.out.as_deref());
    if exit == Exit::Done { Exit::of_comparison(&found, compare.only_new) } else { exit }
}
