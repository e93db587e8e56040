//! A fact with its basis, or what it lacks: both go to the findings by one way.

use crate::facts;
use crate::item::{Item, Lack};
use mateline_model::quantity::{Flow, Quantity, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::Findings;

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
    Term::new(symbol, definition.label(), flow, facts::AIR_FLOW).fact(subject, definition.name.clone())
}

/// A sum of entries of the budget, each with the share that counts.
pub(crate) fn sum_of_items(entries: &[(&Item, f64)]) -> Worked {
    let total: Flow = entries.iter().map(|(item, share)| item.q50() * *share).sum();
    let mut step = Step::new("q50 = Σ q_j");
    let mut listed: Vec<&(&Item, f64)> = entries.iter().collect();
    listed.sort_by(|a, b| (b.0.q50() * b.1).si().total_cmp(&(a.0.q50() * a.1).si()));
    let mut basis = Basis::new("sum of the budget's entries", "table of leakage areas").provenance("from memory");
    for (item, share) in listed.iter().take(MOST_TERMS) {
        let part = if *share < 1.0 {
            format!("{} % of {}", mateline_model::quantity::number(share * 100.0, 1), item.name)
        } else {
            item.name.clone()
        };
        let term = Term::new("q_j", part, item.q50() * *share, facts::AIR_FLOW);
        step = step.term(term.fact(&item.subject, facts::Q50.name));
    }
    if let Some(rest) = listed.get(MOST_TERMS..).filter(|rest| !rest.is_empty()) {
        let flow: Flow = rest.iter().map(|(item, share)| item.q50() * *share).sum();
        step = step.term(Term::new("q_j", format!("{} more entries together", rest.len()), flow, facts::AIR_FLOW));
    }
    basis = basis.step(step.result(Term::new("q50", "flow at 50 Pa", total, facts::AIR_FLOW)));
    (Value::from(total), basis)
}

/// Air changes at 50 Pa: `n50 = q50/V`.
pub(crate) fn air_changes(flow: Term, volume: Term) -> Result<Worked, Lack> {
    let rate = quotient(&flow, &volume, &facts::ACH50)?;
    let step = Step::new("n50 = q50/V").term(flow).term(volume).result(Term::new(
        "n50",
        "air changes at 50 Pa",
        rate,
        facts::AIR_CHANGES,
    ));
    let basis = Basis::new("flow over volume", "ISO 9972:2015").provenance("from memory").step(step).assuming(
        "a limit by volume is easier to meet for a large, compact home than a limit by envelope area; state which one \
         a figure answers",
    );
    Ok((Value::from(rate), basis))
}

/// Flow at 50 Pa per area of envelope: `q_E50 = q50/A_E`.
pub(crate) fn per_area(flow: Term, area: Term) -> Result<Worked, Lack> {
    let rate = quotient(&flow, &area, &facts::Q50_PER_AREA)?;
    let step = Step::new("q_E50 = q50/A_E").term(flow).term(area).result(Term::new(
        "q_E50",
        "flow per area at 50 Pa",
        rate,
        facts::FLOW_PER_AREA,
    ));
    let basis = Basis::new("flow over area", "ISO 9972:2015").provenance("from memory").step(step).assuming(
        "all faces count, floor, slab and walls below grade included; per area, small and large homes are judged alike",
    );
    Ok((Value::from(rate), basis))
}

fn quotient(over: &Term, under: &Term, definition: &QuantityDef) -> Result<Quantity, Lack> {
    let number = |term: &Term| term.value.number().map_or(0.0, |quantity| quantity.si);
    if number(under) <= 0.0 {
        return Err(Lack::new(format!("the {} is not above zero", under.meaning)));
    }
    Ok(Quantity::new(number(over) / number(under), definition.dimension()))
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
