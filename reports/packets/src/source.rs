//! Cells from a report: the text of a fact, of a verdict or of a value of the home, each with where it comes from.

use crate::{Attached, Cell, Trace, words};
use mateline_model::home::Name;
use mateline_model::quantity::{Length, Quantity, Units, by_tape};
use mateline_model::{Fact, OpenPoint, Outcome, Report, Severity, Subject, Value, Verdict};
use mateline_reports::{acts, shown};
use serde::Serialize;

/// What stands where a value of the home is missing.
const NOT_GIVEN: &str = "not given";

/// A report, asked for cells.
#[derive(Clone, Copy)]
pub(crate) struct Source<'a> {
    pub(crate) report: &'a Report,
    pub(crate) attached: &'a Attached,
}

impl<'a> Source<'a> {
    /// A fact; a dash where there is none.
    pub(crate) fn fact(&self, subject: &Subject, quantity: &str) -> Cell {
        self.fact_or(subject, quantity, "–")
    }

    /// A fact, or words where there is none.
    pub(crate) fn fact_or(&self, subject: &Subject, quantity: &str, otherwise: &str) -> Cell {
        self.report.facts.get(subject, quantity).map_or_else(|| Cell::words(otherwise), |fact| self.of(fact))
    }

    /// The cell of a fact.
    pub(crate) fn of(&self, fact: &Fact) -> Cell {
        let trace = Trace::Fact { subject: fact.subject.clone(), quantity: fact.quantity.to_string() };
        Cell::traced(shown::fact(self.report, fact), trace, matches!(fact.value, Value::Number(_)))
    }

    /// A value of the home.
    pub(crate) fn given(&self, path: impl Into<String>, value: Option<impl Into<Quantity>>, units: &Units) -> Cell {
        let trace = Trace::Home { path: path.into() };
        match value {
            Some(value) => {
                let value = Value::Number(value.into());
                Cell::traced(shown::value(&value, units, self.report.units), trace, true)
            }
            None => Cell::words(NOT_GIVEN),
        }
    }

    /// A length of the home as it is read off a tape.
    pub(crate) fn by_tape(&self, path: impl Into<String>, length: Option<Length>) -> Cell {
        let read = length.map(|length| by_tape(length.si(), self.report.units));
        self.named(path, read)
    }

    /// A count of the home.
    pub(crate) fn count(&self, path: impl Into<String>, count: u32) -> Cell {
        Cell::traced(count.to_string(), Trace::Home { path: path.into() }, true)
    }

    /// A choice of the home as words.
    pub(crate) fn choice(&self, path: impl Into<String>, choice: &impl Serialize) -> Cell {
        match words::of(choice) {
            empty if empty.is_empty() => Cell::words(NOT_GIVEN),
            text => Cell::traced(text, Trace::Home { path: path.into() }, false),
        }
    }

    /// A text of the home.
    pub(crate) fn named(&self, path: impl Into<String>, text: Option<impl ToString>) -> Cell {
        match text {
            Some(text) => Cell::traced(text.to_string(), Trace::Home { path: path.into() }, false),
            None => Cell::words(NOT_GIVEN),
        }
    }

    /// What an element names of what shows it: product, detail and drawing. Nothing where it names none.
    pub(crate) fn shown_by(&self, element: &str, named: &[(&'static str, Option<&Name>)]) -> Cell {
        let given: Vec<(&str, &Name)> = named.iter().filter_map(|(field, text)| Some((*field, (*text)?))).collect();
        let words = given.iter().map(|(field, text)| match *field {
            "product" => text.to_string(),
            field => format!("{field} {text}"),
        });
        let words: Vec<String> = words.collect();
        match given.first() {
            Some((field, _)) => self.named(format!("{element}.{field}"), Some(words.join(", "))),
            None => Cell::words(""),
        }
    }

    /// The subjects of a section that facts are about.
    pub(crate) fn subjects(&self, section: &'a str) -> impl Iterator<Item = &'a Subject> {
        self.report.facts.subjects().filter(move |subject| subject.section() == section)
    }

    /// The verdicts that concern this home.
    pub(crate) fn judged(&self) -> impl Iterator<Item = &'a Verdict> {
        self.report.verdicts.iter().filter(|verdict| verdict.outcome != Outcome::NotApplicable)
    }

    /// What is open, each with what is counted under it: requirements first, the missed ones before the unproven.
    pub(crate) fn open(&self) -> Vec<OpenPoint<'a>> {
        let mut open = self.report.open_points();
        open.sort_by_key(OpenPoint::gravity);
        open
    }

    /// Who acts on an open verdict.
    pub(crate) fn who(&self, verdict: &Verdict) -> Cell {
        words_of(verdict, acts::of(self.report, verdict).who.word())
    }

    /// By when, or at which hold point.
    pub(crate) fn due(&self, verdict: &Verdict) -> Cell {
        words_of(verdict, acts::of(self.report, verdict).by)
    }

    /// The outcome of a verdict.
    pub(crate) fn outcome(&self, verdict: &Verdict) -> Cell {
        let (word, mark) = words::outcome(verdict.outcome);
        let advice =
            verdict.severity == Severity::Advice && matches!(verdict.outcome, Outcome::Short | Outcome::Unproven);
        let text = match &verdict.provisional {
            Some(said) => shown::met_for_now(said),
            None if advice => format!("{word} (advice)"),
            None => word.to_owned(),
        };
        Cell { mark: Some(mark), ..Cell::traced(text, trace(verdict), false) }
    }

    /// Value, limit and margin of a verdict, the first two with as many decimals as it takes to tell them apart.
    pub(crate) fn numbers(&self, verdict: &Verdict) -> [Cell; 3] {
        let one = |value: &Value| shown::value(value, &verdict.units, self.report.units);
        let (value, limit) = match (&verdict.value, &verdict.limit) {
            (Some(value), Some(limit)) => {
                let (value, limit) = shown::pair(value, limit, &verdict.units, self.report.units);
                (Some(value), Some(limit))
            }
            (value, limit) => (value.as_ref().map(one), limit.as_ref().map(one)),
        };
        let limit: Vec<String> = [Some(comparison(verdict).to_owned()), limit]
            .into_iter()
            .flatten()
            .filter(|part| !part.is_empty())
            .collect();
        let unknown = if verdict.outcome == Outcome::Unproven { "not known" } else { "–" };
        let cell = |text: Option<String>, otherwise: &str| match text {
            Some(text) => Cell::traced(text, trace(verdict), false),
            None => Cell::words(otherwise),
        };
        [cell(value, unknown), cell(Some(limit.join(" ")), ""), cell(verdict.margin.as_ref().map(one), "–")]
    }

    /// Source and clause of a verdict with its mark.
    pub(crate) fn cited(&self, verdict: &Verdict) -> Cell {
        let cited = shown::cited(&verdict.source, Some(&verdict.provenance));
        Cell::traced(shown::wording(&cited, self.report.units), trace(verdict), false)
    }
}

/// How a verdict's limit is read: of a range it is the end that lies nearest.
fn comparison(verdict: &Verdict) -> &str {
    if verdict.comparison != "between" {
        return &verdict.comparison;
    }
    let (Some(Value::Number(value)), Some(Value::Number(limit))) = (&verdict.value, &verdict.limit) else {
        return &verdict.comparison;
    };
    if (value.si >= limit.si) == (verdict.outcome == Outcome::Met) { "at least" } else { "at most" }
}

/// Where a cell of a verdict comes from.
pub(crate) fn trace(verdict: &Verdict) -> Trace {
    Trace::Verdict { rule: verdict.full_name(), subject: verdict.subject.clone() }
}

/// A cell of a verdict's own words.
pub(crate) fn words_of(verdict: &Verdict, text: impl Into<String>) -> Cell {
    Cell::traced(text, trace(verdict), false)
}
