//! One entry of the leakage budget: what leaks, how much, who closes it, and what would make it tighter.

use crate::components::{Component, components};
use crate::facts;
use crate::power_law::{flow_of_area, of_area};
use mateline_equation::equation;
use mateline_model::home::{Id, Party, Trade};
use mateline_model::quantity::{Area, Flow, Quantity, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;

equation! {
    /// Leakage area of parts together. Source: addition.
    pub(crate) PartsArea = "A = Σ A_i" {
        A: Area "leakage area" [facts::SMALL_AREA],
        A_i: [Area] "leakage area of a part" [facts::SMALL_AREA],
    }
}

/// Something that leaks.
#[derive(Clone, Debug)]
pub struct Item {
    /// What its facts are about.
    pub subject: Subject,
    /// What it is, in words.
    pub name: String,
    /// What kind of thing it is.
    pub kind: Kind,
    /// Who closes it.
    pub party: Party,
    /// Where it is.
    pub place: Place,
    /// The trade that makes it.
    pub trade: Option<Trade>,
    /// Its leakage, as it will be when the home is finished.
    pub parts: Vec<Part>,
    /// Its leakage as long as nobody has closed it.
    pub open: Option<Vec<Part>>,
    /// What would make it tighter.
    pub action: Option<Action>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// The place in the home that matters most.
    pub at: Option<Pointer>,
}

/// Kinds of leak.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Mate lines, and the points where four boxes meet.
    Seam,
    /// Windows, doors, skylights and hatches.
    Opening,
    /// Holes, and the exhausts of systems.
    Penetration,
    /// Lines where planes of the envelope meet.
    Line,
    /// Surfaces.
    Surface,
}

/// Where a leak is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// In these boxes, in equal parts.
    Boxes(Vec<Id>),
    /// In all boxes, by their exposed area.
    Envelope,
    /// In the foundation, or between it and the boxes.
    Foundation,
}

/// What would make a leak tighter.
#[derive(Clone, Debug)]
pub struct Action {
    /// What to do, beginning with a verb.
    pub what: String,
    /// The leakage afterwards.
    pub parts: Vec<Part>,
}

/// A leakage area with its reckoning: a row of the table times how much of it there is.
#[derive(Clone, Debug)]
pub struct Part {
    /// Id of the row. Parts of one row share their draws.
    pub component: String,
    /// The row's name.
    pub name: String,
    /// Geometric standard deviation.
    pub spread: f64,
    /// Effective leakage area at 4 Pa: the mean.
    pub area: Area,
    factors: Vec<Term>,
    /// Whether the area of one is the home's own and not the table's.
    is_given: bool,
}

impl Part {
    /// A row of the table times some factors: a length, an area, a count, a ratio.
    pub fn of(component: &str, factors: Vec<Term>) -> Result<Part, Lack> {
        let row = row(component)?;
        Ok(Part::new(component, row, each(row), factors))
    }

    /// A leakage area given in the home for one of something, times some factors.
    pub fn given(component: &str, each: Term, factors: Vec<Term>) -> Result<Part, Lack> {
        Ok(Part { is_given: true, ..Part::new(component, row(component)?, each, factors) })
    }

    fn new(component: &str, row: &Component, each: Term, mut factors: Vec<Term>) -> Part {
        factors.insert(0, each);
        Part {
            component: component.to_owned(),
            name: row.name.to_string(),
            spread: row.spread,
            area: product(&factors),
            factors,
            is_given: false,
        }
    }

    /// Takes another row in place of the table's. An area that the home gives stays.
    pub(crate) fn replace(&mut self, rows: &BTreeMap<String, Component>) {
        let Some(row) = rows.get(&self.component) else { return };
        self.name = row.name.to_string();
        self.spread = row.spread;
        if let Some(first) = self.factors.first_mut().filter(|_| !self.is_given) {
            *first = each(row);
            self.area = product(&self.factors);
        }
    }

    /// Flow at 50 Pa: the mean.
    pub fn q50(&self) -> Flow {
        flow_of_area(self.area)
    }

    fn step(&self, symbol: &str) -> Step {
        let symbols: Vec<&str> = self.factors.iter().map(|term| term.symbol.as_ref()).collect();
        let mut step = Step::new(format!("{symbol} = {}", symbols.join(" ")));
        step.terms.clone_from(&self.factors);
        step.result(Term::new(symbol.to_owned(), self.name.clone(), self.area, facts::SMALL_AREA))
    }
}

/// The area of one, as a row of the table gives it.
fn each(row: &Component) -> Term {
    let source = format!("{} ({})", row.source, row.provenance);
    Term::new("a", row.name.to_string(), row.leakage, facts::SMALL_AREA).published(source)
}

fn product(factors: &[Term]) -> Area {
    Area::from_si(factors.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).product())
}

fn row(component: &str) -> Result<&'static Component, Lack> {
    components().get(component).ok_or_else(|| Lack::new(format!("the table of leakage areas has no row {component}")))
}

/// Leakage area of parts together.
pub fn area(parts: &[Part]) -> Area {
    parts.iter().map(|part| part.area).sum()
}

/// Flow at 50 Pa of parts together.
pub fn q50(parts: &[Part]) -> Flow {
    flow_of_area(area(parts))
}

impl Item {
    /// Takes other rows in place of the table's.
    pub(crate) fn replace(&mut self, rows: &BTreeMap<String, Component>) {
        let action = self.action.iter_mut().flat_map(|action| &mut action.parts);
        self.parts.iter_mut().chain(self.open.iter_mut().flatten()).chain(action).for_each(|part| part.replace(rows));
    }

    /// Leakage area when the home is finished.
    pub fn area(&self) -> Area {
        area(&self.parts)
    }

    /// Flow at 50 Pa when the home is finished.
    pub fn q50(&self) -> Flow {
        q50(&self.parts)
    }

    /// What the action saves.
    pub fn gain(&self) -> Option<Flow> {
        let action = self.action.as_ref()?;
        let gain = self.q50() - q50(&action.parts);
        (gain.si() > 0.0).then_some(gain)
    }

    /// The worked calculation of its leakage area.
    pub fn area_basis(&self) -> Basis {
        parts_basis(&self.parts, &self.assumptions)
    }

    /// The worked calculation of its flow at 50 Pa.
    pub fn q50_basis(&self) -> Basis {
        self.area_basis().step(of_area(self.area()).step().1)
    }
}

/// The worked calculation of a leakage area from its parts.
pub(crate) fn parts_basis(parts: &[Part], assumptions: &[String]) -> Basis {
    let mut basis = Basis::new("leakage area by component", "table of leakage areas").provenance("from memory");
    basis.assumptions = assumptions.to_vec();
    if let [part] = parts {
        return basis.step(part.step("A"));
    }
    let labels: Vec<String> = (1..=parts.len()).map(|number| number.to_string()).collect();
    for (label, part) in labels.iter().zip(parts) {
        basis = basis.step(part.step(&format!("A{label}")));
    }
    let areas: Vec<Area> = parts.iter().map(|part| part.area).collect();
    let sum = PartsArea { A_i: &areas }.step().1;
    let sum = sum.each(PartsArea::A_i, parts, |term, part| Term { meaning: part.name.clone(), ..term });
    basis.step(sum.written("i", &labels))
}

/// A number among the facts as a term, or what is lacking.
pub(crate) fn known(
    request: &Request<'_>,
    subject: &Subject,
    quantity: &'static str,
    symbol: &'static str,
    meaning: &str,
    units: Units,
) -> Result<Term, Lack> {
    let value = request.facts.get(subject, quantity).and_then(|fact| fact.value.number());
    let value = value.ok_or_else(|| Lack::new(format!("{quantity} of {subject} is not known")))?;
    Ok(Term::new(symbol, meaning, value, units).fact(subject, quantity))
}

/// A count as a term.
pub(crate) fn count(number: u32, path: String) -> Term {
    Term::new("N", "count", Quantity::plain(f64::from(number)), Units::plain(0)).given(path)
}
