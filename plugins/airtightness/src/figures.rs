//! Figures: the budget by part and against the targets, the mate lines in plan with their shares, and every test's
//! readings on its curve. Amounts in words are in the home's own units.

mod against_targets;
mod by_part;
mod line;
mod mate_lines;
mod test_curve;

pub use by_part::{BudgetBar, budget_bars};
pub use test_curve::{FittedLine, fitted_lines};

use crate::targets::Standing;
use crate::tests_made::Tested;
use mateline_model::Subject;
use mateline_model::home::Party;
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units};
use mateline_sdk::{Findings, Request};

/// No more parts, targets or mate lines are named in the words that stand for a figure.
const IN_WORDS: usize = 40;

/// Every figure; the targets are taken from the facts found before.
pub(crate) fn report(request: &Request<'_>, standing: &Standing<'_>, tests: &[Tested<'_>], findings: &mut Findings) {
    let units = request.home.units;
    let mut figures = Vec::new();
    figures.extend(by_part::figure(standing.budget, units));
    figures.extend(against_targets::figure(request, standing, &findings.facts));
    figures.extend(mate_lines::figures(request, standing.budget));
    figures.extend(tests.iter().filter_map(|test| test_curve::figure(test, units)));
    findings.figures.append(&mut figures);
}

/// What figures of the whole budget belong to.
fn budget_subject() -> Subject {
    Subject::element("leaks", "budget")
}

/// A flow in words.
fn shown(flow: f64, units: UnitSystem) -> String {
    Units::HOURLY_FLOW.show(Quantity::new(flow, Dimension::FLOW), units)
}

/// A party in a sentence, which is also the name of its hatching.
fn closed_by(party: Party) -> &'static str {
    match party {
        Party::Factory => "closed by the factory",
        Party::Site => "closed by the site",
    }
}

/// Items one after another, the last ones as a number where they are many.
fn listed(items: Vec<String>) -> String {
    let more = items.len().saturating_sub(IN_WORDS);
    let mut text = items.into_iter().take(IN_WORDS).collect::<Vec<_>>().join("; ");
    if more > 0 {
        text.push_str(&format!("; and {more} more"));
    }
    text
}
