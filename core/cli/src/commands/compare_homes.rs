//! `mateline compare` of two folders of homes, or of one folder and what it was in a revision.

use crate::arguments::{Compare, CompareFormat, When};
use crate::exit::Exit;
use crate::output;
use crate::revision::{Homes, Side, firm};
use mateline_engine::{BadInput, Engine, Options};
use mateline_reports::VERSION;
use mateline_reports::comparison::{Compared, ComparedHome, failing, homes_json, homes_markdown, homes_text};
use mateline_reports::text::Style;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;

/// Compares the homes that lie at the same places of both, and writes what changed.
pub fn run(engine: &Engine, (old, new): (&Homes, &Homes), compare: &Compare, colour: When) -> Exit {
    if compare.format == CompareFormat::Html {
        return output::refuse("an html comparison holds one home; name one, or use another format");
    }
    let listed = old.list().and_then(|before| Ok((before, new.list()?)));
    let firm_was = compare.firm_was.as_deref().map(firm).transpose();
    let (listed, firm_was) = match (listed, firm_was) {
        (Ok(listed), Ok(firm_was)) => (listed, firm_was),
        (Err(message), _) | (_, Err(message)) => return output::refuse(&message),
    };
    let names: BTreeSet<String> = listed.0.into_iter().chain(listed.1).collect();
    let firm_was = firm_was.as_ref().map(|side| side.home.as_path());
    let names: Vec<String> = names.into_iter().collect();
    let comparing = output::doing(&format!("comparing {} homes", names.len()));
    let each = |file: &String| one(engine, (old, new), firm_was, file, compare);
    let found: Result<Vec<(ComparedHome, Vec<BadInput>)>, String> = names.par_iter().map(each).collect();
    drop(comparing);
    let found = match found {
        Ok(found) => found,
        Err(message) => return output::refuse(&message),
    };
    found.iter().flat_map(|(_, bad)| bad).for_each(|bad| {
        output::bad_input(bad, colour);
    });
    let homes: Vec<ComparedHome> = found.into_iter().map(|(home, _)| home).collect();
    let style = if compare.out.is_some() { Style::PLAIN } else { output::stdout_style(colour) };
    let written = match compare.format {
        CompareFormat::Json => output::json(&homes_json(&homes, VERSION)),
        CompareFormat::Markdown => Ok(homes_markdown(&homes)),
        CompareFormat::Text | CompareFormat::Html => Ok(homes_text(&homes, style)),
    };
    let exit = output::hand_over(written, compare.out.as_deref());
    if exit == Exit::Done { homes.iter().map(|home| ended(home, compare.only_new)).max().unwrap_or(exit) } else { exit }
}

/// What became of one home, and why its sides cannot be used where they cannot.
fn one(
    engine: &Engine,
    (old, new): (&Homes, &Homes),
    firm_was: Option<&Path>,
    file: &str,
    compare: &Compare,
) -> Result<(ComparedHome, Vec<BadInput>), String> {
    let (before, after) = (old.home(file)?, new.home(file)?);
    let options = Options { units: compare.units.map(Into::into), on: None };
    let told = |result, bad| (ComparedHome { file: file.to_owned(), result }, bad);
    let unusable = |bad: Vec<(BadInput, &Side)>| {
        let problems = bad.iter().flat_map(|(bad, _)| output::input_problems(bad)).collect();
        told(Compared::Unusable(problems), bad.into_iter().map(|(bad, side)| side.named(bad)).collect())
    };
    Ok(match (&before, &after) {
        (Some(before), Some(after)) => {
            match engine.compare((&before.home, firm_was), &after.home, &options, compare.margin) {
                Ok(found) => told(Compared::Both(Box::new(found)), Vec::new()),
                Err(bad) => {
                    let sides = [bad.old.map(|bad| (bad, before)), bad.new.map(|bad| (bad, after))];
                    unusable(sides.into_iter().flatten().collect())
                }
            }
        }
        (None, Some(after)) => match engine.check(&after.home, &options) {
            Ok(report) => told(Compared::Came(Box::new(report)), Vec::new()),
            Err(bad) => unusable(vec![(bad, after)]),
        },
        _ => told(Compared::Went, Vec::new()),
    })
}

/// How a home ends the run for CI: one that is new is held to all that is asked of it.
fn ended(home: &ComparedHome, only_new: bool) -> Exit {
    match &home.result {
        Compared::Both(found) => Exit::of_comparison(found, only_new),
        Compared::Came(report) if report.plugin_failed() => Exit::Failed,
        Compared::Came(report) if failing(report) > 0 => Exit::Short,
        Compared::Came(_) | Compared::Went => Exit::Done,
        Compared::Unusable(_) => Exit::BadInput,
    }
}
