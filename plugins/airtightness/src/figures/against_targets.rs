//! The whole budget, and the home as predicted from its latest test, against the targets of the packs.

use super::by_part::{drawn, together};
use super::{budget_subject, closed_by, listed, shown};
use crate::budget::{Budget, total};
use crate::facts::TARGET_Q50;
use crate::spread::{Drawn, Source, sources};
use crate::targets::Standing;
use mateline_model::home::Party;
use mateline_model::quantity::{UnitSystem, Units};
use mateline_model::{Bar, Drawing, Fact, Figure, Mark};
use mateline_sdk::Request;

/// Targets closer to each other than this share are one line.
const ALIKE: f64 = 1e-6;
/// Kind of the bars that stand for the whole home.
const WHOLE: &str = "whole home";

/// What each party leaves open by the budget, the sum, and the prediction from the latest test. None where there is
/// nothing to compare: an incomplete budget and no test.
pub(super) fn figure(request: &Request<'_>, standing: &Standing<'_>, facts: &[Fact]) -> Option<Figure> {
    let mut rows = Vec::new();
    if let Ok(all) = standing.drawn {
        rows.extend([Party::Factory, Party::Site].into_iter().filter_map(|party| part(standing.budget, party)));
        rows.push(whole("whole home by the budget", total(&standing.budget.items).si(), all));
    }
    rows.extend(predicted(standing));
    if rows.is_empty() {
        return None;
    }
    let targets = targets(request, facts);
    let against = if targets.is_empty() { "" } else { " against the targets" };
    Some(Figure {
        subject: budget_subject(),
        key: "airtightness.against-targets".into(),
        title: format!("Leakage of the whole home at 50 Pa{against}, with the range of eight homes in ten"),
        alternative: in_words(&rows, &targets, request.home.units),
        drawing: Drawing::Bars { units: Units::HOURLY_FLOW, rows, targets, total: None },
    })
}

fn predicted(standing: &Standing<'_>) -> Option<Bar> {
    let one = standing.prediction.as_ref().ok()?;
    let label = if one.is_final { "whole home by the final test" } else { "whole home predicted from the latest test" };
    Some(whole(label, one.q50.si(), &one.drawn))
}

fn part(budget: &Budget, party: Party) -> Option<Bar> {
    let items = budget.items.iter().filter(|item| item.party == party);
    let sources: Vec<Source> = sources(items.flat_map(|item| &item.parts));
    let bar = || Bar {
        label: format!("budget, {}", closed_by(party)),
        ..drawn(together(budget, String::new(), party, &sources))
    };
    (!sources.is_empty()).then(bar)
}

fn whole(label: &str, value: f64, drawn: &Drawn) -> Bar {
    let (low, high) = (Some(drawn.quantile(0.1)), Some(drawn.quantile(0.9)));
    Bar { label: label.to_owned(), low, value, high, group: WHOLE.to_owned() }
}

/// The targets of every pack as flows, rising; those that come to one flow share a line.
fn targets(request: &Request<'_>, facts: &[Fact]) -> Vec<Mark> {
    let found = facts.iter().filter(|fact| fact.quantity == TARGET_Q50.name);
    let mut targets: Vec<Mark> = found
        .filter_map(|fact| Some(Mark { label: name(request, fact.subject.id()), value: fact.value.number()?.si }))
        .collect();
    targets.sort_by(|a, b| a.value.total_cmp(&b.value));
    targets.dedup_by(|next, first| {
        let alike = next.value - first.value <= ALIKE * first.value;
        if alike {
            first.label.push_str(&format!("; {}", next.label));
        }
        alike
    });
    targets
}

/// `passive-envelope, by volume` from `passive-envelope-by-volume`.
fn name(request: &Request<'_>, id: &str) -> String {
    let packs = request.settings.iter().map(|(pack, _)| pack.as_str());
    let split = packs.filter_map(|pack| Some((pack, id.strip_prefix(pack)?.strip_prefix('-')?)));
    match split.max_by_key(|(pack, _)| pack.len()) {
        Some((pack, target)) => format!("{pack}, {}", target.replace('-', " ")),
        None => id.to_owned(),
    }
}

fn in_words(rows: &[Bar], targets: &[Mark], units: UnitSystem) -> String {
    let bars = rows.iter().map(|bar| {
        let ends =
            bar.low.zip(bar.high).map(|(low, high)| format!(" ({} to {})", shown(low, units), shown(high, units)));
        format!("{}, {}{}", bar.label, shown(bar.value, units), ends.unwrap_or_default())
    });
    let mut text = format!("With the range that eight homes in ten stay in: {}.", listed(bars.collect()));
    if !targets.is_empty() {
        let lines = targets.iter().map(|target| format!("{}, {}", target.label, shown(target.value, units)));
        text.push_str(&format!(" Targets: {}.", listed(lines.collect())));
    }
    text
}
