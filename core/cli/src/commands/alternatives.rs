//! `mateline alternatives`

use crate::arguments::{Alternatives, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_reports::text;

/// Prints the foundations that the same boxes could stand on, side by side.
pub fn run(engine: &Engine, alternatives: &Alternatives, colour: When) -> Exit {
    let report = match super::report(engine, &alternatives.common, colour) {
        Ok(report) => report,
        Err(exit) => return exit,
    };
    match text::tables(&report, output::stdout_style(colour)) {
        Some(written) => output::print(&written),
        None => output::refuse("no plugin has a table for this home; it needs a 'foundation' section"),
    }
}
