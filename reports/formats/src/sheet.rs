//! A worked calculation as it stands on a sheet: what every page and paper prints of a fact.

use crate::shown;
use mateline_model::{Fact, Origin, Report, Step, Subject, Term};
use serde::Serialize;

/// A worked calculation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// What it is about.
    pub subject: String,
    /// The quantity's full name.
    pub quantity: String,
    /// What the quantity means; empty where nobody said.
    pub meaning: String,
    /// What comes out, as a person reads it.
    pub value: String,
    /// The method.
    pub method: String,
    /// Where the method comes from.
    pub source: String,
    /// The line of the file that matters most.
    pub place: Option<String>,
    /// What of that line.
    pub place_note: Option<String>,
    /// The steps.
    pub steps: Vec<SheetStep>,
    /// What was assumed.
    pub assumptions: Vec<String>,
}

/// A step of a calculation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetStep {
    /// Its number, from 1.
    pub number: usize,
    /// The equation.
    pub equation: String,
    /// Its symbols.
    pub terms: Vec<SheetTerm>,
    /// What comes out.
    pub result: Option<SheetTerm>,
}

/// A symbol with its value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetTerm {
    /// The symbol.
    pub symbol: String,
    /// What it stands for.
    pub meaning: String,
    /// Its value.
    pub value: String,
    /// Where the value comes from.
    pub from: String,
    /// The anchor of the fact that it comes from, on a page that has one.
    pub link: Option<String>,
}

impl Sheet {
    /// The sheet of a fact. `anchor` tells where on the page another fact stands.
    pub fn of(report: &Report, fact: &Fact, anchor: impl Fn(&Subject, &str) -> Option<String>) -> Sheet {
        let meaning = report.quantities.get(&*fact.quantity).map(|known| known.meaning.trim_matches('.').to_owned());
        let steps = fact.basis.steps.iter().enumerate();
        Sheet {
            subject: fact.subject.to_string(),
            quantity: fact.quantity.to_string(),
            meaning: shown::wording(&meaning.unwrap_or_default(), report.units),
            value: shown::fact(report, fact),
            method: fact.basis.method.to_string(),
            source: shown::cited(&fact.basis.source, fact.basis.provenance.as_deref()),
            place: fact.at.as_ref().map(|at| shown::path(report, &at.path)),
            place_note: fact.at.as_ref().and_then(|at| at.note.clone()),
            steps: steps.map(|(index, step)| SheetStep::of(report, index + 1, step, &anchor)).collect(),
            assumptions: fact.basis.assumptions.iter().map(|text| shown::wording(text, report.units)).collect(),
        }
    }
}

impl SheetStep {
    fn of(
        report: &Report,
        number: usize,
        step: &Step,
        anchor: &impl Fn(&Subject, &str) -> Option<String>,
    ) -> SheetStep {
        let term = |term: &Term| SheetTerm {
            symbol: term.symbol.to_string(),
            meaning: term.meaning.clone(),
            value: shown::value(&term.value, &term.units, report.units),
            from: shown::origin(report, &term.origin),
            link: match &term.origin {
                Origin::Fact(subject, quantity) => anchor(subject, quantity),
                _ => None,
            },
        };
        SheetStep {
            number,
            equation: step.equation.to_string(),
            terms: step.terms.iter().map(term).collect(),
            result: step.result.as_ref().map(term),
        }
    }
}
