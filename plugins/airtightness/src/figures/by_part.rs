//! The budget as bars: a row of the table as one party closes it, the small ones of each party together.

use super::{budget_subject, closed_by, listed, shown};
use crate::budget::Budget;
use crate::item::Part;
use crate::spread::{Source, sources};
use mateline_model::home::Party;
use mateline_model::quantity::{Flow, UnitSystem, Units};
use mateline_model::{Bar, Drawing, Figure};
use std::collections::BTreeMap;

/// One bar of the budget: a row of the table as one party closes it.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetBar {
    /// The row's name.
    pub label: String,
    /// Who closes it.
    pub party: Party,
    /// Flow at 50 Pa that it stays above in nine cases of ten.
    pub low: Flow,
    /// Best estimate: the mean.
    pub best: Flow,
    /// Flow at 50 Pa that it stays below in nine cases of ten.
    pub high: Flow,
}

/// Standard normal quantile of 0.9.
const Z_90: f64 = 1.281_552;
/// Most bars of one party that have their own name.
const NAMED: usize = 8;
/// A part below this share of the whole has none.
const SMALL: f64 = 0.01;

/// A row of the table as one party closes it.
struct Row {
    label: String,
    party: Party,
    source: Source,
}

/// The bars of a budget, largest first.
pub fn budget_bars(budget: &Budget) -> Vec<BudgetBar> {
    rows(budget).into_iter().map(|row| bar(row.label, row.party, &row.source)).collect()
}

fn rows(budget: &Budget) -> Vec<Row> {
    let mut parts: BTreeMap<(&str, bool), (&str, Vec<&Part>)> = BTreeMap::new();
    for item in &budget.items {
        for part in &item.parts {
            let key = (part.component.as_str(), item.party == Party::Factory);
            parts.entry(key).or_insert_with(|| (part.name.as_str(), Vec::new())).1.push(part);
        }
    }
    let row = |((_, factory), (label, parts)): ((&str, bool), (&str, Vec<&Part>))| {
        let party = if factory { Party::Factory } else { Party::Site };
        sources(parts).into_iter().map(move |source| Row { label: label.to_owned(), party, source }).collect::<Vec<_>>()
    };
    let mut rows: Vec<Row> = parts.into_iter().flat_map(row).collect();
    rows.sort_by(|a, b| b.source.mean.total_cmp(&a.source.mean));
    rows
}

fn bar(label: String, party: Party, source: &Source) -> BudgetBar {
    let at = |z| Flow::from_si(source.quantile(z));
    BudgetBar { label, party, low: at(-Z_90), best: Flow::from_si(source.mean), high: at(Z_90) }
}

/// The parts of the budget, the factory's first, each party's largest first and its small ones as one bar.
pub(super) fn figure(budget: &Budget, units: UnitSystem) -> Option<Figure> {
    let rows = rows(budget);
    let whole: f64 = rows.iter().map(|row| row.source.mean).sum();
    if whole <= 0.0 {
        return None;
    }
    let bars: Vec<BudgetBar> =
        [Party::Factory, Party::Site].into_iter().flat_map(|party| of_party(budget, &rows, party, whole)).collect();
    let missing = budget.lacking.len();
    let lacking = match missing {
        0 => String::new(),
        1 => "; one part is not known".to_owned(),
        _ => format!("; {missing} parts are not known"),
    };
    let title = format!("Leakage budget at 50 Pa by part, with the range of eight homes in ten{lacking}");
    Some(Figure {
        subject: budget_subject(),
        key: "airtightness.by-part".into(),
        title,
        alternative: in_words(&bars, budget, units),
        drawing: Drawing::Bars {
            units: Units::HOURLY_FLOW,
            rows: bars.into_iter().map(drawn).collect(),
            targets: Vec::new(),
            total: None,
        },
    })
}

fn of_party(budget: &Budget, rows: &[Row], party: Party, whole: f64) -> Vec<BudgetBar> {
    let own: Vec<&Row> = rows.iter().filter(|row| row.party == party && row.source.mean > 0.0).collect();
    let large = own.iter().take(NAMED).filter(|row| row.source.mean >= SMALL * whole).count();
    // A bar for one small part takes no more room than the part itself.
    let named = if own.len() - large == 1 { own.len() } else { large };
    let (own, small) = own.split_at(named);
    let mut bars: Vec<BudgetBar> = own.iter().map(|row| bar(row.label.clone(), party, &row.source)).collect();
    if !small.is_empty() {
        let sources: Vec<Source> = small.iter().map(|row| row.source.clone()).collect();
        bars.push(together(budget, format!("{} smaller parts", small.len()), party, &sources));
    }
    bars
}

/// Several rows as one bar, its ends from draws of their sum.
pub(super) fn together(budget: &Budget, label: String, party: Party, sources: &[Source]) -> BudgetBar {
    let drawn = budget.drawn_of(sources);
    let at = |share| Flow::from_si(drawn.quantile(share));
    let mean = sources.iter().map(|source| source.mean).sum();
    BudgetBar { label, party, low: at(0.1), best: Flow::from_si(mean), high: at(0.9) }
}

/// A bar of the budget as it is drawn.
pub(super) fn drawn(bar: BudgetBar) -> Bar {
    Bar {
        label: bar.label,
        low: Some(bar.low.si()),
        value: bar.best.si(),
        high: Some(bar.high.si()),
        group: closed_by(bar.party).to_owned(),
    }
}

fn in_words(bars: &[BudgetBar], budget: &Budget, units: UnitSystem) -> String {
    let mut text = "Each part's best estimate, with the range that eight homes in ten stay in.".to_owned();
    for party in [Party::Factory, Party::Site] {
        let own = bars.iter().filter(|bar| bar.party == party);
        let sum: f64 = own.clone().map(|bar| bar.best.si()).sum();
        if sum > 0.0 {
            let parts = own.map(|bar| {
                let [low, best, high] = [bar.low, bar.best, bar.high].map(|flow| shown(flow.si(), units));
                format!("{}, {best} ({low} to {high})", bar.label)
            });
            text.push_str(&format!(
                " {} {}, in all {}.",
                capital(closed_by(party)),
                listed(parts.collect()),
                shown(sum, units)
            ));
        }
    }
    if !budget.lacking.is_empty() {
        let names = budget.lacking.iter().map(|lacking| lacking.subject.to_string()).collect();
        text.push_str(&format!(" Not known: {}.", listed(names)));
    }
    text
}

/// A party's words at the start of a list.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|letter| letter.to_ascii_uppercase());
    first.into_iter().chain(letters).chain(std::iter::once(':')).collect()
}
