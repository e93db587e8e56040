//! Figures as plain data: the bars of the budget, and a test's points with their fitted line.

use crate::blower_door::{BlowerDoor, Set};
use crate::budget::Budget;
use crate::conditions::Direction;
use crate::spread::{Source, sources};
use mateline_model::home::Party;
use mateline_model::quantity::{Flow, Pressure};
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

/// A test's readings and curve in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedLine {
    /// Which way the air was moved.
    pub direction: Direction,
    /// Pressure difference and flow through the envelope.
    pub points: Vec<(Pressure, Flow)>,
    /// The fitted line from 4 to 75 Pa, in steps even on a logarithmic scale.
    pub line: Vec<(Pressure, Flow)>,
}

/// Standard normal quantile of 0.9.
const Z_90: f64 = 1.281_552;

/// The bars of a budget, largest first.
pub fn budget_bars(budget: &Budget) -> Vec<BudgetBar> {
    let mut rows: BTreeMap<(&str, bool), (String, Vec<&crate::item::Part>)> = BTreeMap::new();
    for item in &budget.items {
        for part in &item.parts {
            let key = (part.component.as_str(), item.party == Party::Factory);
            rows.entry(key).or_insert_with(|| (part.name.clone(), Vec::new())).1.push(part);
        }
    }
    let mut bars: Vec<BudgetBar> = rows
        .into_iter()
        .flat_map(|((_, factory), (label, parts))| {
            let party = if factory { Party::Factory } else { Party::Site };
            sources(parts).into_iter().map(move |source| bar(label.clone(), party, &source))
        })
        .collect();
    bars.sort_by(|a, b| b.best.si().total_cmp(&a.best.si()));
    bars
}

fn bar(label: String, party: Party, source: &Source) -> BudgetBar {
    let at = |z| Flow::from_si(source.quantile(z));
    BudgetBar { label, party, low: at(-Z_90), best: Flow::from_si(source.mean), high: at(Z_90) }
}

/// The points and lines of a test.
pub fn fitted_lines(test: &BlowerDoor) -> Vec<FittedLine> {
    test.sets.iter().map(fitted_line).collect()
}

fn fitted_line(set: &Set) -> FittedLine {
    let points: Vec<(Pressure, Flow)> = set.points.iter().map(|point| (point.pressure, point.envelope)).collect();
    let curve = match (&set.fit, set.points.first()) {
        (Some(fit), _) => fit.curve(),
        (None, Some(point)) => crate::power_law::PowerLaw::through(point.envelope, point.pressure, set.iso.n),
        (None, None) => set.iso,
    };
    let at = |step: i32| Pressure::from_si(4.0 * (75.0f64 / 4.0).powf(f64::from(step) / 24.0));
    let line = (0..=24).map(|step| (at(step), curve.flow(at(step)))).collect();
    FittedLine { direction: set.direction, points, line }
}
