//! `mateline check`

use crate::arguments::{Check, Format, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_reports::text::Style;
use mateline_reports::{VERSION, html, json, text};

/// Checks a home and writes the result.
pub fn run(engine: &Engine, check: &Check, colour: When) -> Exit {
    let report = match super::report(engine, &check.common, colour) {
        Ok(report) => report,
        Err(exit) => return exit,
    };
    let style = if check.out.is_some() { Style::PLAIN } else { output::stdout_style(colour) };
    let written = match check.format {
        Format::Text => Ok(text::check(&report, style)),
        Format::Json => output::json(&json::report(&report, VERSION)),
        Format::Html => html::report(&report).map_err(|error| error.to_string()),
    };
    let written = match written {
        Ok(written) => written,
        Err(error) => return output::error(&error),
    };
    let exit = match &check.out {
        Some(path) => output::write_file(path, &written),
        None => output::print(&written),
    };
    if exit != Exit::Done {
        exit
    } else if report.plugin_failed() {
        Exit::Failed
    } else if report.fails() {
        Exit::Short
    } else {
        Exit::Done
    }
}
