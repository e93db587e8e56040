//! The homes of a folder, each compared with what it was: one run for a change that touches several of them.

use super::json::{JsonComparison, json};
use super::{markdown, text};
use crate::comment::{Part, Row, cell, code, fit};
use crate::homes::{JsonProblem, problem};
use crate::json::Writer;
use crate::printable;
use crate::shown::counted;
use crate::text::{InputProblem, Style, columns};
use mateline_model::{Comparison, Direction, Report};
use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};

/// The version of this format; a change that a reader has to know of, additions among them, raises it.
pub const SCHEMA_VERSION: u32 = 1;
/// Homes of a comment that are told one by one.
const MOST_TOLD: usize = 40;

/// A home of a folder, and what became of it.
#[derive(Clone, Debug)]
pub struct ComparedHome {
    /// Its file, within the folder.
    pub file: String,
    /// What came of it.
    pub result: Compared,
}

/// What came of a home of a folder.
#[derive(Clone, Debug)]
pub enum Compared {
    /// It was there before.
    Both(Box<Comparison>),
    /// It was not there before.
    Came(Box<Report>),
    /// It is not there any more.
    Went,
    /// One of its sides cannot be used.
    Unusable(Vec<InputProblem>),
}

/// How often of each there is something.
#[derive(Clone, Copy, Default)]
struct Counts {
    worse: usize,
    shorter: usize,
    better: usize,
    edits: usize,
    rules: usize,
    failing: usize,
}

impl ComparedHome {
    fn counts(&self) -> Counts {
        match &self.result {
            Compared::Both(found) => {
                let turned = |direction| found.turned.iter().filter(|turned| turned.direction() == direction).count();
                Counts {
                    worse: turned(Direction::Worse),
                    shorter: found.shorter.len(),
                    better: turned(Direction::Better),
                    edits: found.edits.len(),
                    rules: found.rules.len(),
                    failing: found.failing,
                }
            }
            Compared::Came(report) => Counts { failing: failing(report), ..Counts::default() },
            Compared::Went | Compared::Unusable(_) => Counts::default(),
        }
    }

    /// What is to be said beside the counts.
    fn note(&self) -> String {
        match &self.result {
            Compared::Both(found) if !found.failures.is_empty() => {
                counted(found.failures.len(), "plugin failed", "plugins failed")
            }
            Compared::Both(found) if found.is_quiet() => "the same".to_owned(),
            Compared::Both(_) => String::new(),
            Compared::Came(_) => "new".to_owned(),
            Compared::Went => "gone".to_owned(),
            Compared::Unusable(problems) => {
                format!("cannot be used: {}", counted(problems.len(), "problem", "problems"))
            }
        }
    }

    fn cells(&self) -> [String; 8] {
        let Counts { worse, shorter, better, edits, rules, failing } = self.counts();
        let counts = match self.result {
            Compared::Unusable(_) | Compared::Went => ["-"; 6].map(str::to_owned),
            _ => [worse, shorter, better, edits, rules, failing].map(|count| count.to_string()),
        };
        let [worse, shorter, better, edits, rules, failing] = counts;
        [printable::line(&self.file).into_owned(), worse, shorter, better, edits, rules, failing, self.note()]
    }
}

/// What fails a check of a home.
pub fn failing(report: &Report) -> usize {
    let remarks = report.remarks.iter().filter(|remark| remark.fails).count();
    report.verdicts.iter().filter(|verdict| verdict.fails()).count() + remarks
}

const HEADS: [&str; 8] = ["home", "worse", "shorter", "better", "edits", "rules", "open", ""];

/// Each home under its file, then one row a home.
pub fn homes_text(homes: &[ComparedHome], style: Style) -> String {
    let mut page = String::new();
    for home in homes {
        if let Compared::Both(found) = &home.result
            && !found.is_quiet()
        {
            page += &format!("── {}\n{}\n", printable::line(&home.file), text(found, style));
        }
    }
    let rows: Vec<[String; 8]> = homes.iter().map(ComparedHome::cells).collect();
    page + &columns(&HEADS, &rows)
}

/// The same as a review comment: one row a home, then what moved in each, as far as there is room.
pub fn homes_markdown(homes: &[ComparedHome]) -> String {
    let row = |home: &ComparedHome| {
        let [_, cells @ ..] = home.cells();
        Row::new(format!("| {} | {} |", cell(&home.file), cells.join(" | ")))
    };
    let table = Part {
        heading: format!("Homes ({})", homes.len()),
        lead: "| home | worse | shorter | better | edits | rules | open | |\n|---|---|---|---|---|---|---|---|\n",
        rows: homes.iter().map(row).collect(),
    };
    let told = homes.iter().filter_map(|home| match &home.result {
        Compared::Both(found) if !found.is_quiet() => Some((home, found.as_ref())),
        _ => None,
    });
    let part = |(home, found): (&ComparedHome, &Comparison)| {
        let head = |part: &Part| Row { text: format!("\n**{}**\n", part.heading), counts: 0 };
        let parts = markdown::of(found);
        let rows = parts.into_iter().flat_map(|part| [vec![head(&part)], part.rows].concat());
        Part { heading: code(&home.file), lead: "", rows: rows.collect() }
    };
    let parts: Vec<Part> = std::iter::once(table).chain(told.take(MOST_TOLD).map(part)).collect();
    fit(format!("## {} compared\n", counted(homes.len(), "home", "homes")), &parts)
}

/// The homes of a folder for other programs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonComparisons {
    /// What wrote it.
    pub mateline: Writer,
    /// The homes, in the order of their files.
    pub homes: Vec<JsonComparedHome>,
}

/// A home of a folder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonComparedHome {
    /// Its file, within the folder.
    pub file: String,
    /// What became of it.
    pub state: HomeState,
    /// The comparison; null where there is no earlier or no later home, or one cannot be used.
    pub comparison: Option<JsonComparison>,
    /// What fails a check of the later home.
    pub failing: usize,
    /// Why a side cannot be used.
    pub problems: Vec<JsonProblem>,
}

/// What became of a home of a folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HomeState {
    /// It was there before.
    Compared,
    /// It was not there before.
    Came,
    /// It is not there any more.
    Went,
    /// One of its sides cannot be used.
    Unusable,
}

/// The homes for machines, as written by mateline of the given version.
pub fn homes_json(homes: &[ComparedHome], version: &str) -> JsonComparisons {
    let home = |home: &ComparedHome| {
        let (state, comparison, problems) = match &home.result {
            Compared::Both(found) => (HomeState::Compared, Some(json(found, version)), Vec::new()),
            Compared::Came(_) => (HomeState::Came, None, Vec::new()),
            Compared::Went => (HomeState::Went, None, Vec::new()),
            Compared::Unusable(problems) => (HomeState::Unusable, None, problems.iter().map(problem).collect()),
        };
        JsonComparedHome { file: home.file.clone(), state, comparison, failing: home.counts().failing, problems }
    };
    JsonComparisons {
        mateline: Writer { version: version.to_owned(), schema: SCHEMA_VERSION },
        homes: homes.iter().map(home).collect(),
    }
}

/// The schema of [`JsonComparisons`].
pub fn homes_schema() -> Schema {
    schema_for!(JsonComparisons)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::comparison::sample;
    use crate::{LONGEST_COMMENT, fixture};

    fn homes() -> Vec<ComparedHome> {
        let home = |file: &str, result| ComparedHome { file: file.to_owned(), result };
        vec![
            home("a/home.yaml", Compared::Both(Box::new(sample::comparison()))),
            home("b/home.yaml", Compared::Came(Box::new(fixture::report()))),
            home("c/home.yaml", Compared::Went),
            home("d/home.yaml", Compared::Unusable(fixture::unusable().result.unwrap_err())),
        ]
    }

    #[test]
    fn every_home_has_a_row_in_every_format() {
        let page = homes_text(&homes(), Style::PLAIN);
        for part in ["── a/home.yaml\n", "\nb/home.yaml", "new\n", "gone\n", "cannot be used: 2 problems"] {
            assert!(page.contains(part), "{part} in {page}");
        }
        let written = homes_json(&homes(), "1.2.3");
        let value = serde_json::to_value(&written).unwrap();
        let validator = jsonschema::validator_for(&serde_json::to_value(homes_schema()).unwrap()).unwrap();
        assert!(validator.is_valid(&value));
        let states: Vec<&str> =
            value["homes"].as_array().unwrap().iter().map(|home| home["state"].as_str().unwrap()).collect();
        assert_eq!(states, ["compared", "came", "went", "unusable"]);
        assert_eq!(serde_json::from_value::<JsonComparisons>(value).unwrap(), written);
    }

    #[test]
    fn a_comment_on_many_homes_fits() {
        let many: Vec<ComparedHome> = homes().into_iter().cycle().take(2_000).collect();
        let comment = homes_markdown(&many);
        assert!(comment.len() <= LONGEST_COMMENT, "{}", comment.len());
        assert!(comment.starts_with("## 2000 homes compared\n\n### Homes (2000)"), "{}", comment.get(..80).unwrap());
        assert!(homes_markdown(&homes()).contains("| `c/home.yaml` | - | - | - | - | - | - | gone |"));
    }
}
