//! The leakage that rules judge: from the latest valid test where there is one, else from the budget; and the
//! infiltration that follows from it.

use crate::budget::{Budget, total};
use crate::facts;
use crate::home_budget::{exterior, volume};
use crate::infiltration::{Infiltration, effective};
use crate::item::known;
use crate::outcome::{Worked, air_changes, flow_of, number, per_area, plain, state, worked_flow, worked_text};
use crate::power_law::USUAL_EXPONENT;
use crate::prediction::Prediction;
use crate::tests_made::{Tested, latest, worst_later};
use mateline_model::quantity::{Flow, Length, Quantity, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

/// The best value and where it comes from.
struct Best {
    flow: Flow,
    from: &'static str,
    fact: QuantityDef,
}

/// Facts of the best value and of infiltration.
pub(crate) fn report(
    request: &Request<'_>,
    budget: &Budget,
    prediction: &Result<Prediction, Lack>,
    tests: &[Tested<'_>],
    findings: &mut Findings,
) {
    let home = Subject::home();
    let best = match prediction {
        Ok(one) => {
            let from = if one.is_final { "test" } else { "prediction" };
            Ok(Best { flow: one.q50, from, fact: facts::PREDICTED_Q50 })
        }
        Err(_) => budget.all().map(|items| Best { flow: total(items), from: "budget", fact: facts::Q50 }),
    };
    let basis = |best: &Best| {
        let note = match best.from {
            "test" => "the final test, with nothing still open",
            "prediction" => "predicted from the latest valid test",
            _ => "by the budget: no valid test of the whole home yet",
        };
        let step = Step::procedure("q50").term(flow_of(&home, &best.fact, "q50", best.flow));
        Basis::new(note, "latest valid test, else the budget").step(step)
    };
    let worked = best.as_ref().map_err(Clone::clone).map(|best| worked_flow(best.flow, basis(best)));
    state(findings, &home, &facts::BEST_Q50, worked, None);
    let from = best.as_ref().map_err(Clone::clone).map(|best| worked_text(best.from, basis(best)));
    state(findings, &home, &facts::BEST_FROM, from, None);
    let term = || {
        let best = best.as_ref().map_err(Clone::clone)?;
        Ok(flow_of(&home, &facts::BEST_Q50, "q50", best.flow))
    };
    let noted = |(value, basis): Worked| {
        let from = best.as_ref().map(|best| best.from).unwrap_or_default();
        (value, basis.assuming(format!("the flow comes from the {from}")))
    };
    let changes = term().and_then(|flow: Term| air_changes(flow, volume(request)?)).map(noted);
    state(findings, &home, &facts::BEST_ACH50, changes, None);
    let area = term().and_then(|flow: Term| per_area(flow, exterior(request)?)).map(noted);
    state(findings, &home, &facts::BEST_Q50_PER_AREA, area, None);
    let estimate = best.as_ref().map_err(Clone::clone).and_then(|best| estimate(request, best));
    let is_final = prediction.as_ref().is_ok_and(|one| one.is_final);
    let credit = credit(request, is_final, prediction.is_ok(), &estimate);
    shown(request, budget, prediction, tests, findings);
    exponent(tests, findings);
    state(findings, &home, &facts::INFILTRATION, credit, None);
    state(findings, &home, &facts::INFILTRATION_ESTIMATE, estimate, None);
}

/// The exponent of the home's leakage: as measured, where several pressures were.
fn exponent(tests: &[Tested<'_>], findings: &mut Findings) {
    let measured = latest(tests).and_then(|test| Some((test, test.outcome.as_ref().ok()?)));
    let measured = measured.filter(|(_, outcome)| !outcome.is_single_point());
    let (n, basis) = match measured {
        Some((test, outcome)) => {
            let n = outcome.exponent().value;
            let term = plain("n", "exponent of the latest valid test", n, 3);
            let step = Step::procedure("n").term(term.fact(&test.subject, facts::TEST_EXPONENT.name));
            (
                n,
                Basis::new("as measured by the latest valid test", "ISO 9972:2015")
                    .provenance("from memory")
                    .step(step),
            )
        }
        None => {
            let step = Step::procedure("n").result(plain("n", "exponent, assumed", USUAL_EXPONENT, 2));
            let basis = Basis::new("exponent where no test gives it", "ASTM E1827-11(2017)");
            (USUAL_EXPONENT, basis.provenance("from memory").step(step))
        }
    };
    let outcome = Ok((Value::Number(Quantity::plain(n)), basis));
    state(findings, &Subject::home(), &facts::BEST_EXPONENT, outcome, None);
}

/// Share of the homes that stay below a forecast which is judged before the final test.
const SHOWN: f64 = 0.9;

/// What rules judge: the final test; before it, the upper end of a forecast from an earlier test; before any test, the
/// budget; never less than a later test found, even one that does not keep to its standard.
fn shown(
    request: &Request<'_>,
    budget: &Budget,
    prediction: &Result<Prediction, Lack>,
    tests: &[Tested<'_>],
    findings: &mut Findings,
) {
    let home = Subject::home();
    let worked = match prediction {
        Ok(one) if one.is_final => {
            let step = Step::procedure("q50").term(flow_of(&home, &facts::PREDICTED_Q50, "q50", one.q50));
            Ok(worked_flow(one.q50, Basis::new("the final test, with nothing still open", "as measured").step(step)))
        }
        Ok(one) => Ok(one.at(SHOWN)),
        Err(_) => budget.all().map(|items| {
            let flow = total(items);
            let step = Step::procedure("q50").term(flow_of(&home, &facts::Q50, "q50", flow));
            worked_flow(
                flow,
                Basis::new("by the budget: no valid test of the whole home yet", "best estimate").step(step),
            )
        }),
    };
    let worked = worked.map(|forecast| worse(forecast, tests));
    let term = worked.clone().map(|(value, _)| {
        let flow = Flow::from_si(value.number().map_or(0.0, |quantity| quantity.si));
        flow_of(&home, &facts::SHOWN_Q50, "q50", flow)
    });
    state(findings, &home, &facts::SHOWN_Q50, worked, None);
    let changes = term.clone().and_then(|flow| air_changes(flow, volume(request)?));
    state(findings, &home, &facts::SHOWN_ACH50, changes, None);
    let area = term.and_then(|flow| per_area(flow, exterior(request)?));
    state(findings, &home, &facts::SHOWN_Q50_PER_AREA, area, None);
}

/// The forecast, or what a later test found where that is more: a test that does not keep to its standard shows nothing
/// for the home, and is not put aside where it speaks against it.
fn worse(forecast: Worked, tests: &[Tested<'_>]) -> Worked {
    let shown = forecast.0.number().map_or(f64::INFINITY, |quantity| quantity.si);
    let Some((test, reading)) = worst_later(tests).filter(|(_, reading)| reading.si() > shown) else { return forecast };
    let objections = test.objections.join("; ");
    let basis = Basis::new("a later test that found more, though it does not count", "the worse of two")
        .provenance("common practice, no source")
        .step(Step::procedure("q50").term(flow_of(&test.subject, &facts::TEST_Q50, "q50", reading)))
        .assuming(format!("{} does not keep to its standard: {objections}", test.subject));
    worked_flow(reading, basis)
}

fn estimate(request: &Request<'_>, best: &Best) -> Result<Worked, Lack> {
    let home = Subject::home();
    let path = "site.weather_shielding_factor";
    let factor = request.home.site.weather_shielding_factor;
    let factor = factor.ok_or_else(|| Lack::at(format!("{path} is not given"), "site"))?;
    let height = known(request, &home, "takeoff.height", "H", "lowest to highest point above grade", Units::LENGTH)?;
    let metres = Length::from_si(number(&height));
    let (flow, step) = effective(best.flow, factor.si(), metres).step();
    let step = step
        .meaning(Infiltration::q50, facts::BEST_Q50.label())
        .fact(Infiltration::q50, &home, facts::BEST_Q50.name.clone())
        .given(Infiltration::wsf, path)
        .from(Infiltration::H, height.origin);
    let basis = Basis::new("annual effective infiltration", "ASHRAE 62.2-2016, 4.1.2").provenance("from memory, high");
    Ok(worked_flow(flow, basis.step(step)))
}

/// The standard credits a measured leakage only; without one, or without the station's factor, nothing is credited.
fn credit(
    request: &Request<'_>,
    is_final: bool,
    is_forecast: bool,
    estimate: &Result<Worked, Lack>,
) -> Result<Worked, Lack> {
    let none = |why: &str| {
        let zero = Term::new("Qinf", "credited infiltration", Flow::default(), Units::HOURLY_FLOW);
        let basis = Basis::new("no credit", "ASHRAE 62.2-2016, 4.1.2").provenance("from memory, high");
        Ok(worked_flow(Flow::default(), basis.step(Step::new("Qinf = 0").result(zero)).assuming(why)))
    };
    if request.home.site.weather_shielding_factor.is_none() {
        return none("site.weather_shielding_factor is not given; no credit is the cautious choice");
    }
    if !is_final && is_forecast {
        return none("the standard credits the leakage of the measured home: the estimate is credited once tested");
    }
    if !is_final {
        return none("the standard credits a measured leakage, and no valid test of the whole home is there");
    }
    estimate.clone()
}
