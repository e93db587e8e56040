//! Calculation sheets for the facts that verdicts rest on, and a table of the others.

use super::anchors::FactIds;
use super::verdicts::{Link, Views};
use crate::sheet::Sheet;
use crate::shown;
use crate::worked::{self, Worked};
use mateline_model::{Entry, Fact, Origin, Report};
use serde::Serialize;
use std::collections::BTreeSet;

/// A calculation: the sheet that is printed, and where it was done alike for several subjects, a table of what differs
/// and the sheets of the others.
#[derive(Serialize)]
pub(super) struct Group {
    sheet: Anchored,
    all: Option<AllView>,
    others: Vec<Anchored>,
}

/// What differs from subject to subject.
#[derive(Serialize)]
struct AllView {
    heads: Vec<String>,
    rows: Vec<AllRow>,
}

#[derive(Serialize)]
struct AllRow {
    sheet: String,
    subject: String,
    cells: Vec<String>,
    value: String,
}

/// A sheet with its place on the page.
#[derive(Serialize)]
struct Anchored {
    id: String,
    used_by: Vec<Link>,
    #[serde(flatten)]
    sheet: Sheet,
}

/// A fact without a sheet, or one that could not be found, with the reason in place of its method.
#[derive(Serialize)]
pub(super) struct OtherFact {
    id: Option<String>,
    subject: String,
    quantity: String,
    value: String,
    method: String,
    place: Option<String>,
}

/// Inputs that a table of all subjects has room for.
const MOST_INPUTS: usize = 7;

/// Sheets for the facts that verdicts judged and for the calculations these were built on; a line for each other fact and
/// for each that could not be found.
pub(super) fn views(report: &Report, ids: &FactIds<'_>, verdicts: &Views) -> (Vec<Group>, Vec<OtherFact>) {
    let reached = reached(report, ids, verdicts);
    let mut on_sheets: Vec<&Fact> = Vec::new();
    let mut others = Vec::new();
    for entry in report.entries() {
        let fact = match entry {
            Entry::Known(fact) => fact,
            Entry::Unknown(missing) => {
                others.push(OtherFact {
                    id: None,
                    subject: missing.subject.to_string(),
                    quantity: missing.quantity.to_string(),
                    value: shown::NOT_KNOWN.to_owned(),
                    method: missing.because.clone(),
                    place: missing.at.as_ref().map(|at| shown::path(report, &at.path)),
                });
                continue;
            }
        };
        let Some(id) = ids.get(fact) else { continue };
        if verdicts.used.contains_key(id) || (reached.contains(id) && !fact.basis.steps.is_empty()) {
            on_sheets.push(fact);
        } else {
            others.push(OtherFact {
                id: Some(id.to_owned()),
                subject: fact.subject.to_string(),
                quantity: fact.quantity.to_string(),
                value: shown::fact(report, fact),
                method: fact.basis.method.to_string(),
                place: fact.at.as_ref().map(|at| shown::path(report, &at.path)),
            });
        }
    }
    let sheet_of = |fact: &Fact| {
        let id = ids.get(fact).unwrap_or_default();
        Anchored {
            id: id.to_owned(),
            used_by: verdicts.used.get(id).cloned().unwrap_or_default(),
            sheet: Sheet::of(report, fact, |subject, quantity| ids.find(subject, quantity).map(str::to_owned)),
        }
    };
    let groups = worked::folded(&on_sheets).into_iter().map(|worked| Group {
        sheet: sheet_of(worked.example),
        all: (!worked.all.is_empty()).then(|| all(report, ids, &worked)),
        others: worked.all.iter().skip(1).map(|fact| sheet_of(fact)).collect(),
    });
    (groups.collect(), others)
}

fn all(report: &Report, ids: &FactIds<'_>, worked: &Worked<'_>) -> AllView {
    let inputs: Vec<_> = worked.inputs().into_iter().take(MOST_INPUTS).collect();
    let heads = inputs.iter().filter_map(|at| at.of(worked.example)).map(|term| term.symbol.to_string());
    let rows = worked.all.iter().map(|fact| AllRow {
        sheet: ids.get(fact).unwrap_or_default().to_owned(),
        subject: fact.subject.to_string(),
        cells: inputs
            .iter()
            .map(|at| at.of(fact).map_or_else(String::new, |t| shown::value(&t.value, &t.units, report.units)))
            .collect(),
        value: shown::fact(report, fact),
    });
    AllView { heads: heads.collect(), rows: rows.collect() }
}

/// The ids of the facts that verdicts judged, and of all facts their calculations took values from.
fn reached(report: &Report, ids: &FactIds<'_>, verdicts: &Views) -> BTreeSet<String> {
    let mut reached: BTreeSet<String> = BTreeSet::new();
    let mut next: Vec<&Fact> =
        report.facts.iter().filter(|fact| ids.get(fact).is_some_and(|id| verdicts.used.contains_key(id))).collect();
    while let Some(fact) = next.pop() {
        let is_new = ids.get(fact).is_some_and(|id| reached.insert(id.to_owned()));
        if !is_new {
            continue;
        }
        for term in fact.basis.steps.iter().flat_map(|step| &step.terms) {
            if let Origin::Fact(subject, quantity) = &term.origin {
                next.extend(report.facts.get(subject, quantity));
            }
        }
    }
    reached
}
