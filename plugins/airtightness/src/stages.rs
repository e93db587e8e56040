//! What the budget expects of a test: the parts that are there at that stage, and those still open at their open
//! leakage.

use crate::budget::Budget;
use crate::facts;
use crate::item::{Item, Kind, Part, q50};
use crate::outcome::{Leaks, Worked, leaks, worked_flow};
use mateline_model::home::{Id, Measurement, Party, Stage};
use mateline_model::quantity::Flow;
use mateline_model::{Basis, Origin};
use mateline_sdk::Lack;

/// Parts of the entries that a test found open, and the same once closed.
pub(crate) struct StillOpen<'a> {
    /// The entries.
    pub items: Vec<&'a Item>,
}

impl<'a> StillOpen<'a> {
    /// Entries that a measurement names as still open.
    pub(crate) fn of(budget: &'a Budget, measurement: &Measurement) -> StillOpen<'a> {
        let named = measurement.still_open.iter().flat_map(|name| budget.named(name));
        let mut items: Vec<&Item> = Vec::new();
        for item in named.filter(|item| item.open.is_some()) {
            if !items.iter().any(|other| other.subject == item.subject) {
                items.push(item);
            }
        }
        StillOpen { items }
    }

    /// Parts as they were during the test.
    pub(crate) fn open(&self) -> impl Iterator<Item = &'a Part> {
        self.items.iter().filter_map(|item| item.open.as_deref()).flatten()
    }

    /// Parts as they will be.
    pub(crate) fn closed(&self) -> impl Iterator<Item = &'a Part> {
        self.items.iter().flat_map(|item| &item.parts)
    }
}

/// Flow at 50 Pa of some parts.
pub(crate) fn flow<'a>(parts: impl Iterator<Item = &'a Part>) -> Flow {
    parts.map(Part::q50).sum()
}

/// What the budget expects of a test.
pub(crate) fn expected(budget: &Budget, measurement: &Measurement) -> Result<Worked, Lack> {
    if measurement.module.is_none() && measurement.stage == Some(Stage::InFactory) {
        return Err(Lack::new("a test in the plant has to say which box it is of"));
    }
    let open = StillOpen::of(budget, measurement);
    let entries = match &measurement.module {
        Some(module) => in_plant(budget, module)?,
        None => budget.all()?.into_iter().map(|item| (item, 1.0)).collect(),
    };
    Ok(together(entries, &open, measurement.module.is_some()))
}

/// What a test of one box in the plant may show: what the factory closes in it.
pub(crate) fn of_box(budget: &Budget, module: &Id) -> Result<Worked, Lack> {
    Ok(together(in_plant(budget, module)?, &StillOpen { items: Vec::new() }, true))
}

/// Entries together, those still open at their open leakage.
fn together(entries: Vec<(&Item, f64)>, open: &StillOpen<'_>, in_plant: bool) -> Worked {
    let mut all = Vec::new();
    let mut basis = Basis::new("budget at this stage", "table of leakage areas").provenance("from memory");
    for (item, share) in entries {
        let is_open = open.items.iter().any(|other| other.subject == item.subject);
        let flow = if is_open { item.open.as_deref().map_or(Flow::default(), q50) } else { item.q50() } * share;
        all.push(if is_open {
            (format!("{}, still open", item.name), flow, Origin::Computed)
        } else {
            (item.name.clone(), flow, Origin::Fact(item.subject.clone(), facts::Q50.name))
        });
    }
    let (total, step) = leaks(all);
    if in_plant {
        basis = basis
            .assuming(
                "a box in the plant has its own surfaces, openings and factory-sealed holes; its mate faces are sealed \
                 off for the test",
            )
            .assuming("surfaces and lines count to the boxes by their exposed area");
    }
    worked_flow(total, basis.step(step.meaning(Leaks::q50, "expected flow at 50 Pa")))
}

/// What one box brings along from the plant: what the factory closes in it, without its mate lines.
fn in_plant<'a>(budget: &'a Budget, module: &Id) -> Result<Vec<(&'a Item, f64)>, Lack> {
    let entries = budget.within(module)?;
    Ok(entries.into_iter().filter(|(item, _)| item.party == Party::Factory && item.kind != Kind::Seam).collect())
}
