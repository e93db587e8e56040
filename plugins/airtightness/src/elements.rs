//! Facts of the budget's entries, and its sums by box and by trade.

use crate::budget::{Budget, total, variance_share};
use crate::facts;
use crate::item::{Item, parts_basis, q50};
use crate::outcome::{flow_of, state, sum_of_items, worked_flow, worked_share, worked_text};
use crate::spread::Source;
use crate::stages;
use mateline_equation::equation;
use mateline_model::home::Trade;
use mateline_model::quantity::{Flow, Quantity, Units};
use mateline_model::{Basis, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};
use std::collections::BTreeMap;

equation! {
    /// Leakage saved by an action. Source: subtraction.
    pub(crate) Gain = "Δq50 = q50 − q50'" {
        Δq50: Flow "flow saved at 50 Pa" [Units::HOURLY_FLOW],
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        after "q50'": Flow "flow at 50 Pa after the action" [Units::HOURLY_FLOW],
    }
}

/// Facts of every entry, of every box and of every trade.
pub(crate) fn report(request: &Request<'_>, budget: &Budget, findings: &mut Findings) {
    let sources = budget.sources();
    for item in &budget.items {
        entry(item, &sources, findings);
    }
    for lacking in budget.lacking.iter().filter(|lacking| lacking.subject != Subject::home()) {
        for definition in [&facts::Q50, &facts::ELA4] {
            state(findings, &lacking.subject, definition, Err(lacking.lack.clone()), None);
        }
    }
    for id in request.home.modules.keys() {
        let outcome = budget.within(id).map(|entries| {
            let (value, basis) = sum_of_items(&entries);
            let basis = basis
                .assuming("a seam counts in equal parts to the boxes it joins")
                .assuming("surfaces and lines count to the boxes by their exposed area");
            (value, basis)
        });
        let subject = Subject::element("modules", id);
        state(findings, &subject, &facts::Q50, outcome, None);
        state(findings, &subject, &facts::PLANT_TEST_Q50, stages::of_box(budget, id), None);
    }
    trades(budget, findings);
}

fn entry(item: &Item, sources: &Result<Vec<Source>, Lack>, findings: &mut Findings) {
    let (subject, at) = (&item.subject, item.at.as_ref());
    state(findings, subject, &facts::Q50, Ok(worked_flow(item.q50(), item.q50_basis())), at);
    state(findings, subject, &facts::ELA4, Ok((Value::from(item.area()), item.area_basis())), at);
    let share = match sources {
        Ok(sources) => share(item, sources),
        Err(lack) => Err(Lack::new(format!("the budget is not complete: {}", lack.because))),
    };
    state(findings, subject, &facts::VARIANCE_SHARE, share, at);
    if let (Some(action), Some(_)) = (&item.action, item.gain()) {
        let what = Basis::new(action.what.clone(), "the tightest entry of the table that fits");
        state(findings, subject, &facts::GAIN_ACTION, Ok(worked_text(action.what.clone(), what)), at);
        let mut basis = parts_basis(&action.parts, std::slice::from_ref(&action.what));
        basis.method = "budget before and after the action".into();
        let (gain, step) = Gain { q50: item.q50(), after: q50(&action.parts) }.step();
        let step = step.meaning(Gain::q50, facts::Q50.label()).fact(Gain::q50, subject, facts::Q50.name);
        state(findings, subject, &facts::Q50_GAIN, Ok(worked_flow(gain, basis.step(step))), at);
    } else {
        for definition in [&facts::GAIN_ACTION, &facts::Q50_GAIN] {
            let lack = Lack::new(format!("nothing in the table would make {subject} tighter"));
            state(findings, subject, definition, Err(lack), at);
        }
    }
}

fn share(item: &Item, sources: &[Source]) -> Result<(Value, Basis), Lack> {
    let share = variance_share(&item.parts, sources).ok_or_else(|| Lack::new("the budget has no spread"))?;
    let deviation = sources.iter().map(Source::variance).sum::<f64>().sqrt();
    let flow = Flow::from_si(deviation);
    let step = Step::procedure("s_j = Cov(q_j, q50)/s²")
        .term(flow_of(&item.subject, &facts::Q50, "q_j", item.q50()))
        .term(Term::new("s", "standard deviation of the whole budget", flow, Units::HOURLY_FLOW))
        .result(Term::new("s_j", "share of the variance", Quantity::plain(share), Units::PERCENT));
    let basis = Basis::new("share of the variance of a sum of lognormals", "closed form; common practice, no source")
        .step(step)
        .assuming("parts of one row of the table leak more or less together; different rows are independent");
    Ok(worked_share(share, basis))
}

/// Holes by the trade that makes them.
fn trades(budget: &Budget, findings: &mut Findings) {
    let mut by_trade: BTreeMap<&'static str, Vec<(&Item, f64)>> = BTreeMap::new();
    for item in &budget.items {
        if let Some(trade) = item.trade {
            by_trade.entry(trade_name(trade)).or_default().push((item, 1.0));
        }
    }
    for (trade, entries) in by_trade {
        let lacking = budget.lacking.iter().find(|lacking| lacking.subject.section() == "penetrations");
        let outcome = match lacking {
            Some(lacking) => Err(lacking.lack.clone()),
            None => Ok(sum_of_items(&entries)),
        };
        state(findings, &Subject::element("trades", trade), &facts::Q50, outcome, None);
    }
}

fn trade_name(trade: Trade) -> &'static str {
    match trade {
        Trade::Framing => "framing",
        Trade::Plumbing => "plumbing",
        Trade::Electrical => "electrical",
        Trade::Ventilation => "ventilation",
        Trade::Heating => "heating",
        Trade::Data => "data",
        Trade::Gas => "gas",
        Trade::Other => "other",
    }
}

/// Entries and their total, for sums of the home.
pub(crate) fn whole<'a>(items: &[&'a Item]) -> (Vec<(&'a Item, f64)>, Flow) {
    (items.iter().map(|item| (*item, 1.0)).collect(), total(items.iter().copied()))
}
