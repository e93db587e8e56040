//! `mateline explain`

use crate::arguments::{Explain, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_reports::text;

/// Shows the worked calculation of a fact.
pub fn run(engine: &Engine, explain: &Explain, colour: When) -> Exit {
    let report = match super::report(engine, &explain.common, colour) {
        Ok(report) => report,
        Err(exit) => return exit,
    };
    match text::explain(&report, &explain.subject, explain.quantity.as_deref()) {
        Ok(written) => output::print(&written),
        Err(message) => output::refuse(&message),
    }
}
