//! Figures: carbon dioxide in the bedrooms through the night, and the way of the air through the rooms. Amounts in
//! words are in the home's own units.

mod air_ways;
mod co2;

use crate::Plan;
use crate::night::Nights;
use mateline_sdk::{Findings, Request};

/// No more rooms or flows are named in the words that stand for a figure.
const IN_WORDS: usize = 60;

/// Every figure.
pub(crate) fn report(request: &Request<'_>, plan: &Plan<'_>, nights: &Nights<'_, '_>, findings: &mut Findings) {
    let level = nights.lowest_level().map(|(_, level)| level);
    findings.figures.extend(co2::figures(&crate::curves::night_curves(request, plan, nights), level));
    findings.figures.extend(air_ways::figure(request.home, plan));
}

/// A room's id as words.
fn words(id: &str) -> String {
    id.replace('-', " ")
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
