//! What is wrong with an input that cannot be used, all of it, each at its place.

use super::Style;
use super::entry::{Entries, Spot, help};
use crate::shown;
use annotate_snippets::Level;
use mateline_model::Place;
use std::collections::BTreeMap;

/// Something in an input that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputProblem {
    /// Where.
    pub at: Place,
    /// What is wrong.
    pub message: String,
    /// Other places that take part, with what is to be seen there.
    pub notes: Vec<(Place, String)>,
    /// What to do.
    pub help: Option<String>,
}

/// Every problem with its line, then how many there are. `sources` holds the text of each file.
pub fn problems(problems: &[InputProblem], sources: &BTreeMap<String, String>, style: Style) -> String {
    let entries = Entries::new(sources, style);
    let mut text = String::new();
    for problem in problems {
        let mut spots = vec![Spot { place: &problem.at, label: None, is_main: true }];
        spots.extend(problem.notes.iter().map(|(place, label)| Spot { place, label: Some(label), is_main: false }));
        let notes = problem.help.as_deref().map(help).into_iter().collect();
        entries.write(&mut text, Level::ERROR, &problem.message, &spots, notes);
    }
    text.push_str(&shown::counted(problems.len(), "problem", "problems"));
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_problems_are_shown_with_the_places_that_take_part() {
        let place = |line, column, length| Place { file: "home.yaml".to_owned(), line, column, length };
        let sources =
            BTreeMap::from([("home.yaml".to_owned(), "modules:\n  A: {level: 1}\n  A: {level: 2}\n".to_owned())]);
        let found = [
            InputProblem {
                at: place(3, 3, 1),
                message: "the key 'A' stands twice".to_owned(),
                notes: vec![(place(2, 3, 1), "first here".to_owned())],
                help: Some("Rename one of them.".to_owned()),
            },
            InputProblem {
                at: place(0, 0, 0),
                message: "the home has no site\u{1b}[0m".to_owned(),
                notes: Vec::new(),
                help: None,
            },
        ];
        let expected = "\
error: the key 'A' stands twice
 --> home.yaml:3:3
  |
3 |   A: {level: 2}
  |   ^
  |
 ::: home.yaml:2:3
  |
2 |   A: {level: 1}
  |   - first here
  |
  = help: rename one of them

error: the home has no site\u{fffd}[0m
 |
 = home.yaml

2 problems
";
        assert_eq!(problems(&found, &sources, Style::PLAIN), expected);
    }
}
