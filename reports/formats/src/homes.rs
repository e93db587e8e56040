//! The homes of one run, as every format for CI takes them.
//!
//! A format for CI is a function of a slice of [`CheckedHome`], so that one file can tell of all homes of a run. Files
//! are named as they are reached from the folder the run was started in, which is where a forge looks for them.

mod json;
mod text;

pub(crate) use json::problem;
pub use json::{JsonHome, JsonHomes, JsonProblem, json, schema};
pub use text::{table, text};

use crate::text::InputProblem;
use mateline_model::{Place, Report};

/// A home and what became of it.
#[derive(Clone, Debug)]
pub struct CheckedHome {
    /// Its file as it is reached from the folder the run was started in, with `/` between folders.
    pub file: String,
    /// The report, or why the home cannot be used.
    pub result: Result<Report, Vec<InputProblem>>,
}

impl CheckedHome {
    /// What the home is called; its file, where its name cannot be read.
    pub fn name(&self) -> &str {
        self.result.as_ref().map_or(self.file.as_str(), |report| report.name())
    }

    /// A place with its file as it is reached from the folder the run was started in.
    pub(crate) fn place(&self, place: &Place) -> Place {
        Place { file: self.path(&place.file), ..place.clone() }
    }

    /// A file of the project as it is reached from the folder the run was started in.
    fn path(&self, file: &str) -> String {
        match self.file.rsplit_once('/') {
            // A home that is not there is named as it was typed.
            Some(_) if file.is_empty() || file == self.file => self.file.clone(),
            Some((folder, _)) => format!("{folder}/{file}"),
            None if file.is_empty() => self.file.clone(),
            None => file.to_owned(),
        }
    }
}

/// What the outcomes of a run add up to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    /// Requirements met.
    pub met: usize,
    /// What is required and short.
    pub short: usize,
    /// What is required and unproven.
    pub unproven: usize,
    /// Advice that is not followed, or cannot be shown to be.
    pub advice: usize,
    /// Excepted by agreement.
    pub waived: usize,
    /// Rules that do not concern the home.
    pub not_applicable: usize,
    /// Plugins that failed.
    pub failures: usize,
    /// Remarks that fail the run.
    pub faults: usize,
    /// Homes that cannot be used.
    pub unusable: usize,
}

impl Counts {
    /// Of one home.
    pub fn of(home: &CheckedHome) -> Counts {
        let Ok(report) = &home.result else { return Counts { unusable: 1, ..Counts::default() } };
        let summary = report.summary();
        let required = |outcome| report.verdicts.iter().filter(|v| v.fails() && v.outcome == outcome).count();
        Counts {
            met: summary.met,
            short: required(mateline_model::Outcome::Short),
            unproven: required(mateline_model::Outcome::Unproven),
            advice: summary.advice,
            waived: summary.waived,
            not_applicable: summary.not_applicable,
            failures: report.plugins.iter().filter(|plugin| plugin.failure.is_some()).count(),
            faults: report.remarks.iter().filter(|remark| remark.fails).count(),
            unusable: 0,
        }
    }

    /// Of all homes of a run.
    pub fn of_all(homes: &[CheckedHome]) -> Counts {
        homes.iter().map(Counts::of).fold(Counts::default(), |a, b| Counts {
            met: a.met + b.met,
            short: a.short + b.short,
            unproven: a.unproven + b.unproven,
            advice: a.advice + b.advice,
            waived: a.waived + b.waived,
            not_applicable: a.not_applicable + b.not_applicable,
            failures: a.failures + b.failures,
            faults: a.faults + b.faults,
            unusable: a.unusable + b.unusable,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn files_are_named_from_where_the_run_was_started() {
        let home = |file: &str| CheckedHome { file: file.to_owned(), result: Ok(fixture::report()) };
        assert_eq!(home("examples/heron/home.yaml").path("openings.yaml"), "examples/heron/openings.yaml");
        assert_eq!(home("home.yaml").path("parts/openings.yaml"), "parts/openings.yaml");
        assert_eq!(home("/home.yaml").path("openings.yaml"), "/openings.yaml");
        assert_eq!(home("no/such.yaml").path("no/such.yaml"), "no/such.yaml");
        assert_eq!(home("a/home.yaml").path(""), "a/home.yaml");
    }

    #[test]
    fn what_is_required_is_counted_apart_from_advice() {
        let good = CheckedHome { file: "home.yaml".to_owned(), result: Ok(fixture::report()) };
        let counts = Counts::of(&good);
        let expected = Counts {
            met: 1,
            short: 1,
            unproven: 1,
            advice: 1,
            waived: 1,
            not_applicable: 2,
            failures: 1,
            ..Counts::default()
        };
        assert_eq!(counts, expected);
        let all = Counts::of_all(&[good.clone(), good, fixture::unusable()]);
        assert_eq!((all.met, all.not_applicable, all.unusable), (2, 4, 1));
    }
}
