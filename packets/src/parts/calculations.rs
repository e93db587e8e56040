//! Worked calculations: one sheet for each fact that a verdict rests on and for each that such a fact is built on.

use crate::packet::{Block, Section, Sheet, SheetStep, SheetTerm};
use crate::source::Source;
use mateline_model::{Fact, Origin, Report, Term, Verdict};
use mateline_reports::shown;
use std::collections::BTreeSet;

pub(crate) fn section(source: Source<'_>) -> Section {
    let report = source.report;
    let mut wanted: BTreeSet<(&str, &str)> = BTreeSet::new();
    let mut next: Vec<&Fact> = source.judged().filter_map(|verdict| fact_of(report, verdict)).collect();
    while let Some(fact) = next.pop() {
        if !wanted.insert((fact.subject.as_str(), &fact.quantity)) {
            continue;
        }
        for term in fact.basis.steps.iter().flat_map(|step| &step.terms) {
            if let Origin::Fact(subject, quantity) = &term.origin {
                next.extend(report.facts.get(subject, quantity));
            }
        }
    }
    let is_wanted =
        |fact: &&Fact| !fact.basis.steps.is_empty() && wanted.contains(&(fact.subject.as_str(), &*fact.quantity));
    let mut blocks = vec![Block::paragraph(
        "One sheet for each fact that a verdict rests on and that takes a calculation, and for each calculation that such \
         a fact is built on.",
    )];
    blocks.extend(report.facts.iter().filter(is_wanted).map(|fact| Block::Sheet(sheet(report, fact))));
    Section { id: "calculations", title: "Calculations", blocks }
}

/// The fact a verdict judged: its subject's, or, where a rule looks elsewhere, the only one of that quantity.
fn fact_of<'a>(report: &'a Report, verdict: &Verdict) -> Option<&'a Fact> {
    let quantity = verdict.quantity.as_deref()?;
    report.facts.get(&verdict.subject, quantity).or_else(|| {
        let mut elsewhere = report.facts.iter().filter(|fact| fact.quantity == quantity);
        elsewhere.next().filter(|_| elsewhere.next().is_none())
    })
}

fn sheet(report: &Report, fact: &Fact) -> Sheet {
    let meaning = report.quantities.get(&*fact.quantity).map(|known| known.meaning.trim_end_matches('.').to_owned());
    Sheet {
        subject: fact.subject.to_string(),
        quantity: fact.quantity.to_string(),
        meaning: meaning.unwrap_or_default(),
        value: shown::fact(report, fact),
        method: fact.basis.method.to_string(),
        source: shown::cited(&fact.basis.source, fact.basis.provenance.as_deref()),
        place: fact.at.as_ref().map(|at| shown::path(report, &at.path)),
        steps: fact
            .basis
            .steps
            .iter()
            .map(|step| SheetStep {
                equation: step.equation.to_string(),
                terms: step.terms.iter().map(|t| term(report, t)).collect(),
                result: step.result.as_ref().map(|t| term(report, t)),
            })
            .collect(),
        assumptions: fact.basis.assumptions.clone(),
    }
}

fn term(report: &Report, term: &Term) -> SheetTerm {
    SheetTerm {
        symbol: term.symbol.to_string(),
        meaning: term.meaning.clone(),
        value: shown::value(&term.value, &term.units, report.units),
        from: shown::origin(report, &term.origin),
    }
}
