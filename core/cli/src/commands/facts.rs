//! `mateline facts`

use crate::arguments::{Facts, FactsFormat, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_reports::{VERSION, json, text};

/// Lists what the plugins computed.
pub fn run(engine: &Engine, facts: &Facts, colour: When) -> Exit {
    let report = match super::report(engine, &facts.common, colour) {
        Ok(report) => report,
        Err(exit) => return exit,
    };
    let written = match facts.format {
        FactsFormat::Text => text::facts(&report, facts.subject.as_deref()),
        FactsFormat::Json => {
            let mut found = json::report(&report, VERSION).facts;
            if let Some(wanted) = &facts.subject {
                found.retain(|subject, _| subject == wanted || subject.split('.').next() == Some(wanted.as_str()));
            }
            match output::json(&found) {
                Ok(written) => written,
                Err(error) => return output::error(&error),
            }
        }
    };
    let exit = output::print(&written);
    if exit == Exit::Done && report.plugin_failed() { Exit::Failed } else { exit }
}
