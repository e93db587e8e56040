//! Targets that packs hand to this plugin, and how far the home is from them.

use crate::blower_door::{BOTH_DIRECTIONS_UNCERTAINTY, SINGLE_POINT_UNCERTAINTY};
use crate::budget::{Budget, total};
use crate::facts;
use crate::home_budget::{drawing, exterior, volume};
use crate::item::Lack;
use crate::outcome::{Worked, flow_of, plain, state, worked_flow, worked_share};
use crate::prediction::Prediction;
use crate::spread::Drawn;
use indexmap::IndexMap;
use mateline_model::quantity::{Dimension, Flow, Quantity, Units, number, parse};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Request};
use serde::Deserialize;
use serde_json::Value;

/// What a pack asks of this plugin.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    /// Targets by name: air changes (`0.6 ACH`) or flow per envelope area (`0.06 cfm/ft²`), both at 50 Pa.
    #[serde(default)]
    targets: IndexMap<String, Value>,
    /// Rows in place of those of the leakage table.
    #[serde(default, rename = "components")]
    _components: Option<Value>,
}

const ALL: [&QuantityDef; 5] =
    [&facts::TARGET_Q50, &facts::CHANCE, &facts::PREDICTED_CHANCE, &facts::REMAINING_ALLOWANCE, &facts::NEXT_TEST_Q50];

/// What the targets are held against.
pub(crate) struct Standing<'a> {
    /// The budget.
    pub budget: &'a Budget,
    /// The budget, drawn many times.
    pub drawn: &'a Result<Drawn, Lack>,
    /// The prediction from the latest test.
    pub prediction: &'a Result<Prediction, Lack>,
}

/// Facts of every target of every pack.
pub(crate) fn report(request: &Request<'_>, standing: &Standing<'_>, findings: &mut Findings) {
    for (pack, value) in request.settings {
        let settings = match serde_json::from_value::<Settings>(value.clone()) {
            Ok(settings) => settings,
            Err(error) => {
                let because = format!("the settings of {pack} for airtightness cannot be read: {error}");
                all_missing(&Subject::element("references", pack), &Lack::new(because), findings);
                continue;
            }
        };
        for (name, value) in settings.targets {
            let subject = Subject::element("references", format!("{pack}-{name}"));
            if value.is_null() || value.as_str() == Some("none") {
                all_missing(&subject, &Lack::new(format!("{pack} sets no target {name} for this home")), findings);
                continue;
            }
            match target(request, pack, &name, &value) {
                Ok(worked) => one(&subject, worked, standing, findings),
                Err(lack) => all_missing(&subject, &lack, findings),
            }
        }
    }
}

fn all_missing(subject: &Subject, lack: &Lack, findings: &mut Findings) {
    for definition in ALL {
        state(findings, subject, definition, Err(lack.clone()), None);
    }
}

/// The flow that a target comes to: `q50 = n50 V`, or `q50 = q_E50 A_E`.
fn target(request: &Request<'_>, pack: &str, name: &str, value: &Value) -> Result<(Flow, Basis), Lack> {
    let text = value.as_str().ok_or_else(|| Lack::new(format!("target {name} of {pack} is no text with a unit")))?;
    let limit = parse(text).map_err(|error| Lack::new(format!("target {name} of {pack}: {error}")))?;
    let (equation, symbol, units, size) = match limit.dimension {
        Dimension::RATE => ("q50 = n50 V", "n50", facts::AIR_CHANGES, volume(request)?),
        Dimension::VELOCITY => ("q50 = q_E50 A_E", "q_E50", facts::FLOW_PER_AREA, exterior(request)?),
        other => {
            let because = format!("target {name} of {pack} is a {other}, neither air changes nor a flow per area");
            return Err(Lack::new(because));
        }
    };
    let times = size.value.number().map_or(0.0, |quantity| quantity.si);
    let flow = Flow::from_si(limit.si * times);
    if flow.si() <= 0.0 {
        return Err(Lack::new(format!("target {name} of {pack} comes to no flow")));
    }
    let step = Step::new(equation)
        .term(Term::new(symbol, format!("target {name}"), limit, units).published(pack.to_owned()))
        .term(size)
        .result(Term::new("q50", "target as a flow at 50 Pa", flow, facts::AIR_FLOW));
    Ok((flow, Basis::new("target times size", format!("target of {pack}")).step(step)))
}

fn one(subject: &Subject, (limit, basis): (Flow, Basis), standing: &Standing<'_>, findings: &mut Findings) {
    state(findings, subject, &facts::TARGET_Q50, Ok(worked_flow(limit, basis)), None);
    let limit_term = || flow_of(subject, &facts::TARGET_Q50, "q_T", limit);
    let by_budget = standing.drawn.as_ref().map_err(Clone::clone).map(|drawn| chance(drawn, limit, limit_term()));
    state(findings, subject, &facts::CHANCE, by_budget, None);
    let predicted = || standing.prediction.as_ref().map_err(Clone::clone);
    let by_test = predicted().map(|one| chance(&one.drawn, limit, limit_term()));
    state(findings, subject, &facts::PREDICTED_CHANCE, by_test, None);
    state(findings, subject, &facts::REMAINING_ALLOWANCE, allowance(limit, limit_term(), standing), None);
    state(findings, subject, &facts::NEXT_TEST_Q50, Ok(next_test(limit, limit_term())), None);
}

fn chance(drawn: &Drawn, limit: Flow, term: Term) -> Worked {
    let share = drawn.share_at_most(limit.si());
    let step = Step::new("P = draws with q50 ≤ q_T over all draws")
        .term(term)
        .term(plain("all draws", "draws", drawn.count() as f64, 0))
        .result(Term::new("P", "chance", Quantity::plain(share), Units::PERCENT));
    worked_share(share, drawing().step(step))
}

/// What may still be added: the target less what is known to leak.
fn allowance(limit: Flow, term: Term, standing: &Standing<'_>) -> Result<Worked, Lack> {
    let home = Subject::home();
    let (used, used_term, note) = match standing.prediction {
        Ok(one) => (one.rest, one.measured.clone(), "the latest test, less the parts still open at their open leakage"),
        Err(_) => {
            let flow = total(standing.budget.all()?);
            (flow, flow_of(&home, &facts::Q50, "q50", flow), "no valid test yet: the whole budget")
        }
    };
    let left = limit - used;
    let mut step = Step::new("Δq50 = q_T − q_used").term(term).term(used_term);
    step = step.term(Term::new("q_used", note, used, facts::AIR_FLOW)).result(Term::new(
        "Δq50",
        "flow that may still be added",
        left,
        facts::AIR_FLOW,
    ));
    Ok(worked_flow(left, Basis::new("target less what leaks already", "budget and test").step(step)))
}

/// What the final test may read: the target less the test's own uncertainty.
fn next_test(limit: Flow, term: Term) -> Worked {
    let reading = limit / (1.0 + BOTH_DIRECTIONS_UNCERTAINTY);
    let step = Step::new("q = q_T/(1 + u)")
        .term(term)
        .term(plain("u", "uncertainty of a fitted test in both directions", BOTH_DIRECTIONS_UNCERTAINTY, 2))
        .result(Term::new("q", "reading that shows the target met", reading, facts::AIR_FLOW));
    let basis = Basis::new("reading plus its uncertainty stays within the target", "common practice, no source")
        .step(step)
        .assuming(format!("a single-point test is sure to {} % only", number(SINGLE_POINT_UNCERTAINTY * 100.0, 0)));
    worked_flow(reading, basis)
}
