//! The page of a home that cannot be used: what is wrong with it, each thing at its place.

use crate::error::ReportError;
use crate::homes::CheckedHome;
use crate::text::InputProblem;
use crate::{VERSION, shown, templates};
use mateline_model::Place;
use serde::Serialize;

/// The page, as one HTML file that stands alone.
///
/// # Errors
/// When the template cannot be filled.
pub fn unusable(home: &CheckedHome, problems: &[InputProblem]) -> Result<String, ReportError> {
    let at = |place: &Place| shown::place(&home.place(place));
    let view = |problem: &InputProblem| ProblemView {
        place: at(&problem.at),
        message: problem.message.clone(),
        help: problem.help.clone(),
        notes: problem.notes.iter().map(|(place, note)| format!("{note}: {}", at(place))).collect(),
    };
    let page = Page {
        file: home.file.clone(),
        count: shown::counted(problems.len(), "problem", "problems"),
        problems: problems.iter().map(view).collect(),
        version: VERSION,
    };
    templates::fill("unusable.html", &page, problems.len())
}

#[derive(Serialize)]
struct Page {
    file: String,
    count: String,
    problems: Vec<ProblemView>,
    version: &'static str,
}

#[derive(Serialize)]
struct ProblemView {
    place: String,
    message: String,
    help: Option<String>,
    notes: Vec<String>,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;
    use crate::html::well_formed;

    #[test]
    fn every_problem_stands_on_the_page_with_its_place() {
        let place = |line| Place { file: "home.yaml".to_owned(), line, column: 3, length: 1 };
        let problem = InputProblem {
            at: place(3),
            message: "the key '<b>' stands twice".to_owned(),
            notes: vec![(place(2), "first here".to_owned())],
            help: Some("rename one of them".to_owned()),
        };
        let home = CheckedHome { file: "a/home.yaml".to_owned(), result: Err(vec![problem.clone()]) };
        let page = unusable(&home, &[problem]).unwrap();
        well_formed::check(&page).unwrap_or_else(|fault| panic!("{fault}"));
        for part in
            ["a/home.yaml", "1 problem", "a/home.yaml:3:3", "&lt;b&gt;", "first here: a/home.yaml:2:3", "rename one"]
        {
            assert!(page.contains(part), "{part}");
        }
    }
}
