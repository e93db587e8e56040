//! `mateline check`

use crate::arguments::{Check, When};
use crate::exit::Exit;
use crate::found::Found;
use crate::homes::{self, Formers};
use crate::output;
use crate::outputs::Plan;
use mateline_engine::Engine;

/// Checks homes and writes the result.
pub fn run(engine: &Engine, check: &Check, colour: When) -> Exit {
    let plan = match Plan::of(&check.format, &check.out) {
        Ok(plan) => plan,
        Err(message) => return output::refuse(&message),
    };
    let found = match Found::of(&check.homes) {
        Ok(found) => found,
        Err(message) => return output::refuse(&message),
    };
    if let Err(message) = plan.fits(found.are_several) {
        return output::refuse(&message);
    }
    let formers = Formers::of(&check.before, &found);
    let formers = match formers {
        Ok(formers) => formers,
        Err(message) => return output::refuse(&message),
    };
    let options = super::options(&check.judging);
    let mut checked = homes::check(engine, &found, formers.as_ref(), &options, colour);
    if check.remedies {
        for (home, path) in std::iter::zip(&mut checked, &found.files) {
            if let Ok(report) = &mut home.result {
                super::remedies::advise(engine, path, options, report);
            }
        }
    }
    let ended = checked.iter().map(homes::ended).max().unwrap_or(Exit::Done);
    match plan.write(&checked, found.are_several, colour, check.told.extent()) {
        Exit::Done => ended,
        failed => failed,
    }
}
