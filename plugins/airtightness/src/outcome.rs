//! A fact with its basis, or what it lacks: both go to the findings by one way.

use crate::facts;
use crate::item::Item;
use mateline_equation::equation;
use mateline_model::quantity::{Area, Flow, Quantity, Units, Volume};
use mateline_model::{Basis, Origin, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Leakage of entries together. Source: flows through parallel leaks add.
    pub(crate) Leaks = "q50 = Σ q_j" {
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        q_j: [Flow] "flow of an entry" [Units::HOURLY_FLOW],
    }

    /// Air changes at 50 Pa. Source: ISO 9972:2015 (from memory).
    pub(crate) AirChanges = "n50 = q50/V" {
        n50: Rate "air changes at 50 Pa" [facts::AIR_CHANGES],
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        V: Volume "interior volume" [Units::VOLUME],
    }

    /// Flow per area of envelope at 50 Pa. Source: ISO 9972:2015 (from memory).
    pub(crate) PerArea = "q_E50 = q50/A_E" {
        q_E50: FlowPerArea "flow per area at 50 Pa" [facts::FLOW_PER_AREA],
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        A_E: Area "envelope area" [Units::AREA],
    }
}

/// A value and how it came about.
pub(crate) type Worked = (Value, Basis);

/// Terms that a basis lists at most.
pub(crate) const MOST_TERMS: usize = 40;

/// States a fact, or what it lacks.
pub(crate) fn state(
    findings: &mut Findings,
    subject: &Subject,
    definition: &QuantityDef,
    outcome: Result<Worked, Lack>,
    at: Option<&Pointer>,
) {
    match (outcome, at) {
        (Ok((value, basis)), Some(at)) => findings.fact_at(subject, definition, Given(value), basis, at.clone()),
        (Ok((value, basis)), None) => findings.fact(subject, definition, Given(value), basis),
        (Err(lack), _) => findings.missing(subject, definition, lack.because, lack.at),
    }
}

/// A value as it is, where the findings ask for something that becomes one.
struct Given(Value);

impl From<Given> for Value {
    fn from(given: Given) -> Value {
        given.0
    }
}

/// The flow of another fact as a term.
pub(crate) fn flow_of(subject: &Subject, definition: &QuantityDef, symbol: &'static str, flow: Flow) -> Term {
    Term::new(symbol, definition.label(), flow, Units::HOURLY_FLOW).fact(subject, definition.name.clone())
}

/// A sum of entries of the budget, each with the share that counts.
pub(crate) fn sum_of_items(entries: &[(&Item, f64)]) -> Worked {
    let mut sorted: Vec<&(&Item, f64)> = entries.iter().collect();
    sorted.sort_by(|a, b| (b.0.q50() * b.1).si().total_cmp(&(a.0.q50() * a.1).si()));
    let leak = |(item, share): &(&Item, f64)| {
        let part = if *share < 1.0 {
            format!("{} % of {}", mateline_model::quantity::number(share * 100.0, 1), item.name)
        } else {
            item.name.clone()
        };
        (part, item.q50() * *share, Origin::Fact(item.subject.clone(), facts::Q50.name))
    };
    let (total, step) = leaks(sorted.into_iter().map(leak).collect());
    let basis = Basis::new("sum of the budget's entries", "table of leakage areas").provenance("from memory");
    (Value::from(total), basis.step(step))
}

/// A leak in a sum: what it is, its flow, and where that comes from.
pub(crate) type Leak = (String, Flow, Origin);

/// The sum of leaks, those beyond the first forty as one number.
pub(crate) fn leaks(mut all: Vec<Leak>) -> (Flow, Step) {
    let rest = all.split_off(all.len().min(MOST_TERMS));
    if !rest.is_empty() {
        let flow = rest.iter().map(|(_, flow, _)| *flow).sum();
        all.push((format!("{} more entries together", rest.len()), flow, Origin::Computed));
    }
    let flows: Vec<Flow> = all.iter().map(|(_, flow, _)| *flow).collect();
    let (total, step) = Leaks { q_j: &flows }.step();
    (total, step.each(Leaks::q_j, all, |term, (meaning, _, origin)| Term { meaning, origin, ..term }))
}

/// Air changes at 50 Pa.
pub(crate) fn air_changes(flow: Term, volume: Term) -> Result<Worked, Lack> {
    above_zero(&volume)?;
    let changes = AirChanges { q50: Flow::from_si(number(&flow)), V: Volume::from_si(number(&volume)) };
    let (rate, step) = changes.step();
    let step = Step { terms: vec![flow, volume], ..step };
    let basis = Basis::new("flow over volume", "ISO 9972:2015").provenance("from memory").step(step).assuming(
        "a limit by volume is easier to meet for a large, compact home than a limit by envelope area; state which one \
         a figure answers",
    );
    Ok((Value::from(rate), basis))
}

/// Flow at 50 Pa per area of envelope.
pub(crate) fn per_area(flow: Term, area: Term) -> Result<Worked, Lack> {
    above_zero(&area)?;
    let (rate, step) = PerArea { q50: Flow::from_si(number(&flow)), A_E: Area::from_si(number(&area)) }.step();
    let step = Step { terms: vec![flow, area], ..step };
    let basis = Basis::new("flow over area", "ISO 9972:2015").provenance("from memory").step(step).assuming(
        "all faces count, floor, slab and walls below grade included; per area, small and large homes are judged alike",
    );
    Ok((Value::from(rate), basis))
}

fn above_zero(size: &Term) -> Result<(), Lack> {
    if number(size) > 0.0 { Ok(()) } else { Err(Lack::new(format!("the {} is not above zero", size.meaning))) }
}

/// The number of a term, in SI.
pub(crate) fn number(term: &Term) -> f64 {
    term.value.number().map_or(0.0, |quantity| quantity.si)
}

/// A text with its basis.
pub(crate) fn worked_text(text: impl Into<String>, basis: Basis) -> Worked {
    (Value::Text(text.into()), basis)
}

/// A flow with its basis.
pub(crate) fn worked_flow(flow: Flow, basis: Basis) -> Worked {
    (Value::from(flow), basis)
}

/// A share with its basis.
pub(crate) fn worked_share(share: f64, basis: Basis) -> Worked {
    (Value::Number(Quantity::plain(share)), basis)
}

/// A plain number as a term.
pub(crate) fn plain(symbol: &'static str, meaning: impl Into<String>, number: f64, digits: u8) -> Term {
    Term::new(symbol, meaning, Quantity::plain(number), Units::plain(digits))
}
