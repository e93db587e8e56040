//! Targets that packs hand to this plugin, and how far the home is from them.

use crate::blower_door::{BOTH_DIRECTIONS_UNCERTAINTY, SINGLE_POINT_UNCERTAINTY};
use crate::budget::{Budget, total};
use crate::facts;
use crate::home_budget::{drawing, exterior, volume};
use crate::outcome::{self, Worked, flow_of, plain, state, worked_flow, worked_share};
use crate::prediction::Prediction;
use crate::spread::Drawn;
use indexmap::IndexMap;
use mateline_equation::equation;
use mateline_model::quantity::{Area, Dimension, Flow, FlowPerArea, Quantity, Rate, Units, Volume, number, parse};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};
use serde::Deserialize;
use serde_json::Value;

equation! {
    /// A target in air changes as a flow. Source: ISO 9972:2015 (from memory).
    pub(crate) TargetChanges = "q50 = n50 V" {
        q50: Flow "target as a flow at 50 Pa" [Units::HOURLY_FLOW],
        n50: Rate "target" [facts::AIR_CHANGES],
        V: Volume "interior volume" [Units::VOLUME],
    }

    /// A target per envelope area as a flow. Source: ISO 9972:2015 (from memory).
    pub(crate) TargetPerArea = "q50 = q_E50 A_E" {
        q50: Flow "target as a flow at 50 Pa" [Units::HOURLY_FLOW],
        q_E50: FlowPerArea "target" [facts::FLOW_PER_AREA],
        A_E: Area "exterior envelope area" [Units::AREA],
    }

    /// What may still be added to what leaks already. Source: subtraction.
    pub(crate) Allowance = "Δq50 = q_T − q_used" {
        Δq50: Flow "flow that may still be added" [Units::HOURLY_FLOW],
        q_T: Flow "target" [Units::HOURLY_FLOW],
        q_used: Flow "no valid test yet: the whole budget" [Units::HOURLY_FLOW],
    }

    /// Reading of the final test that shows a target met with the test's uncertainty. Source: common practice, no source.
    pub(crate) NextReading = "q = q_T/(1 + u)" {
        q: Flow "reading that shows the target met" [Units::HOURLY_FLOW],
        q_T: Flow "target" [Units::HOURLY_FLOW],
        u: f64 "uncertainty of a fitted test in both directions" [Units::plain(2)],
    }
}

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
    let (flow, symbol, step) = match limit.dimension {
        Dimension::RATE => {
            let size = volume(request)?;
            let target = TargetChanges { n50: Rate::from_si(limit.si), V: Volume::from_si(outcome::number(&size)) };
            let (flow, step) = target.step();
            (flow, TargetChanges::n50, step.from(TargetChanges::V, size.origin))
        }
        Dimension::VELOCITY => {
            let size = exterior(request)?;
            let target =
                TargetPerArea { q_E50: FlowPerArea::from_si(limit.si), A_E: Area::from_si(outcome::number(&size)) };
            let (flow, step) = target.step();
            (flow, TargetPerArea::q_E50, step.from(TargetPerArea::A_E, size.origin))
        }
        other => {
            let because = format!("target {name} of {pack} is a {other}, neither air changes nor a flow per area");
            return Err(Lack::new(because));
        }
    };
    if flow.si() <= 0.0 {
        return Err(Lack::new(format!("target {name} of {pack} comes to no flow")));
    }
    let step = step.meaning(symbol, format!("target {name}")).published(symbol, pack);
    Ok((flow, Basis::new("target times size", format!("target of {pack}")).step(step)))
}

fn one(subject: &Subject, (limit, basis): (Flow, Basis), standing: &Standing<'_>, findings: &mut Findings) {
    state(findings, subject, &facts::TARGET_Q50, Ok(worked_flow(limit, basis)), None);
    let limit_term = || flow_of(subject, &facts::TARGET_Q50, "q_T", limit);
    let by_budget = standing.drawn.as_ref().map_err(Clone::clone).map(|drawn| chance(drawn, limit, limit_term()));
    state(findings, subject, &facts::CHANCE, by_budget, None);
    let predicted = || standing.prediction.as_ref().map_err(Clone::clone);
    let by_test = predicted().map(|one| {
        let (share, basis) = one.chance(limit, limit_term());
        worked_share(share, basis)
    });
    state(findings, subject, &facts::PREDICTED_CHANCE, by_test, None);
    let target = |step: Step| {
        let step = step.meaning(Allowance::q_T, facts::TARGET_Q50.label());
        step.fact(Allowance::q_T, subject, facts::TARGET_Q50.name)
    };
    state(findings, subject, &facts::REMAINING_ALLOWANCE, allowance(limit, &target, standing), None);
    state(findings, subject, &facts::NEXT_TEST_Q50, Ok(next_test(limit, &target)), None);
}

fn chance(drawn: &Drawn, limit: Flow, term: Term) -> Worked {
    let share = drawn.share_at_most(limit.si());
    let step = Step::procedure("P = draws with q50 ≤ q_T over all draws")
        .term(term)
        .term(plain("all draws", "draws", drawn.count() as f64, 0))
        .result(Term::new("P", "chance", Quantity::plain(share), Units::PERCENT));
    worked_share(share, drawing().step(step))
}

/// What may still be added: the target less what is known to leak.
fn allowance(limit: Flow, target: &dyn Fn(Step) -> Step, standing: &Standing<'_>) -> Result<Worked, Lack> {
    let basis = Basis::new("target less what leaks already", "budget and test");
    let (used, basis) = match standing.prediction {
        Ok(one) => {
            let step = Step::procedure("mean of what is closed already, by the weighted draws");
            let used = Term::new("q_used", "what is closed already", one.shut, Units::HOURLY_FLOW);
            (one.shut, basis.step(step.term(one.measured.clone()).result(used)))
        }
        Err(_) => (total(standing.budget.all()?), basis),
    };
    let (left, step) = Allowance { q_T: limit, q_used: used }.step();
    let step = match standing.prediction {
        Ok(_) => step.meaning(Allowance::q_used, "what is closed already"),
        Err(_) => step.fact(Allowance::q_used, &Subject::home(), facts::Q50.name),
    };
    Ok(worked_flow(left, basis.step(target(step))))
}

/// What the final test may read: the target less the test's own uncertainty.
fn next_test(limit: Flow, target: &dyn Fn(Step) -> Step) -> Worked {
    let (reading, step) = NextReading { q_T: limit, u: BOTH_DIRECTIONS_UNCERTAINTY }.step();
    let basis = Basis::new("reading plus its uncertainty stays within the target", "common practice, no source")
        .step(target(step))
        .assuming(format!("a single-point test is sure to {} % only", number(SINGLE_POINT_UNCERTAINTY * 100.0, 0)));
    worked_flow(reading, basis)
}
