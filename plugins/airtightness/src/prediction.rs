//! The finished home's leakage, from its latest test: as measured by the final one, else forecast.

use crate::blower_door::BlowerDoor;
use crate::budget::Budget;
use crate::facts;
use crate::forecast::{Reading, forecast, rows};
use crate::home_budget::{exterior, volume};
use crate::outcome::{Worked, air_changes, flow_of, per_area, plain, state, worked_flow};
use crate::spread::{Drawn, SEED, Source, draws};
use crate::stages::{StillOpen, flow};
use crate::tests_made::{self, Tested, measured};
use mateline_model::home::Stage;
use mateline_model::portable;
use mateline_model::quantity::{Flow, Quantity, Units};
use mateline_model::{Basis, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};
use std::sync::Arc;

/// Quantile of the normal distribution for 95 %, two-sided.
const Z_95: f64 = 1.959_964;

/// No reading counts as surer than this (standard deviation of its logarithm): what gauges resolve. Common practice, no
/// source.
const SUREST: f64 = 0.005;

/// A prediction.
pub(crate) struct Prediction {
    /// The test it starts from, and its measured flow as a term.
    pub measured: Term,
    /// What is closed already.
    pub shut: Flow,
    /// The finished home's flow at 50 Pa.
    pub q50: Flow,
    /// The same, drawn many times.
    pub drawn: Arc<Drawn>,
    /// Draws of equal weight that would say as much.
    effective: f64,
    /// Whether it is the final test with nothing open: a test and no forecast.
    pub is_final: bool,
    steps: Basis,
}

/// Predicts from the latest valid test of the whole home.
///
/// The final test with nothing open is the home's leakage as measured. Any other weights the budget's draws by the
/// likelihood of its reading: parts closed already and parts still open together leaked what was measured.
pub(crate) fn predict(budget: &Budget, tests: &[Tested<'_>]) -> Result<Prediction, Lack> {
    let latest = tests_made::latest(tests)
        .ok_or_else(|| Lack::at("no valid blower-door test of the whole home", "measurements"))?;
    let outcome = latest.outcome.as_ref().map_err(Clone::clone)?;
    let open = StillOpen::of(budget, latest.measurement);
    let is_final = latest.measurement.stage == Some(Stage::Final) && latest.measurement.still_open.is_empty();
    let reading = reading(outcome);
    let value = Flow::from_si(reading.flow);
    let measured = measured(latest, value);
    if is_final {
        let spread = portable::exp(reading.sigma);
        let name = latest.subject.to_string();
        let drawn = Arc::new(Drawn::new(draws(&[Source { name, mean: reading.flow, spread }])));
        let steps = Basis::new("as measured by the final test", "ISO 9972:2015")
            .provenance("from memory")
            .step(Step::procedure("q50").term(measured.clone()));
        let effective = drawn.count() as f64;
        return Ok(Prediction { measured, shut: value, q50: value, drawn, effective, is_final, steps: sure(steps) });
    }
    budget.all().map_err(|lack| Lack {
        because: format!("the budget that a forecast rests on is not complete: {}", lack.because),
        ..lack
    })?;
    let found = forecast(&rows(budget, &open), reading)
        .ok_or_else(|| Lack::at("the budget has nothing that leaks", latest.subject.as_str()))?;
    let q50 = Flow::from_si(found.finished.mean());
    let expected = crate::budget::total(&budget.items) - flow(open.closed()) + flow(open.open());
    let likelihood = Step::procedure("w_k = exp(−(ln(q50/q_k) + s²/2)²/(2 s²))")
        .term(measured.clone())
        .term(plain("s", "standard deviation of the reading's logarithm", reading.sigma, 4))
        .term(Term::new("q", "what the budget expects of the test", expected, Units::HOURLY_FLOW))
        .term(Term::new("q_open", names(&open, "still open"), flow(open.open()), Units::HOURLY_FLOW))
        .term(Term::new("q_closed", names(&open, "once closed"), flow(open.closed()), Units::HOURLY_FLOW));
    let mean = Step::procedure("q50' = Σ w_k q'_k/Σ w_k")
        .term(plain("K", "draws", found.finished.count() as f64, 0))
        .term(plain("K_e", "effective draws, (Σ w_k)²/Σ w_k²", found.effective, 0))
        .result(Term::new("q50'", "forecast flow at 50 Pa, mean", q50, Units::HOURLY_FLOW));
    let steps = weighing()
        .step(likelihood)
        .step(mean)
        .assuming("the best estimates of the budget are means; spreads are common practice, no source")
        .assuming("parts of one row of the table share one draw; different rows are independent")
        .assuming("parts still open will close as the budget has them; final test owed");
    let shut = Flow::from_si(found.shut);
    let effective = found.effective;
    Ok(Prediction { measured, shut, q50, drawn: found.finished, effective, is_final, steps: sure(steps) })
}

/// The reading with the standard deviation that its own 95 % interval comes to.
fn reading(outcome: &BlowerDoor) -> Reading {
    let interval = outcome.q50();
    let sigma = portable::ln(interval.high / interval.low) / (2.0 * Z_95);
    Reading { flow: interval.value, sigma: if sigma > SUREST { sigma } else { SUREST } }
}

fn sure(steps: Basis) -> Basis {
    steps.assuming(
        "the reading is as sure as its own 95 % interval, and never surer than 0.5 %; an error of the instruments that all \
         its readings share is left out",
    )
}

fn weighing() -> Basis {
    Basis::new(
        format!("importance sampling of the budget by the likelihood of the reading, seed {SEED}"),
        "Bayes' theorem; spreads are common practice, no source",
    )
}

fn names(open: &StillOpen<'_>, how: &str) -> String {
    let names: Vec<&str> = open.items.iter().map(|item| item.subject.id()).take(20).collect();
    if names.is_empty() { "nothing was left open".to_owned() } else { format!("{}, {how}", names.join(", ")) }
}

impl Prediction {
    /// The predicted flow with its calculation.
    fn worked(&self) -> Worked {
        worked_flow(self.q50, self.steps.clone())
    }

    /// The value that a share of the draws stays below.
    pub(crate) fn at(&self, share: f64) -> Worked {
        let flow = Flow::from_si(self.drawn.quantile(share));
        let step = Step::procedure("the value that this share of the weighted draws stays below")
            .term(plain("share", "share", share, 2))
            .result(Term::new("q50'", "flow at 50 Pa", flow, Units::HOURLY_FLOW));
        worked_flow(flow, self.steps.clone().step(step))
    }

    fn effective(&self) -> Worked {
        let step = Step::procedure("K_e = (Σ w_k)²/Σ w_k²")
            .term(plain("K", "draws", self.drawn.count() as f64, 0))
            .result(plain("K_e", "effective draws", self.effective, 0));
        (Value::Number(Quantity::plain(self.effective)), weighing().step(step))
    }

    /// The share of the draws at most at a limit, with its calculation.
    pub(crate) fn chance(&self, limit: Flow, target: Term) -> (f64, Basis) {
        let share = self.drawn.share_at_most(limit.si());
        let step = Step::procedure("P = weight of the draws with q50 ≤ q_T over all weight")
            .term(target)
            .term(plain("K_e", "effective draws", self.effective, 0))
            .result(Term::new("P", "chance", Quantity::plain(share), Units::PERCENT));
        (share, self.steps.clone().step(step))
    }
}

/// Facts of the prediction.
pub(crate) fn report(request: &Request<'_>, prediction: &Result<Prediction, Lack>, findings: &mut Findings) {
    let home = Subject::home();
    let known = || prediction.as_ref().map_err(Clone::clone);
    state(findings, &home, &facts::PREDICTED_Q50, known().map(Prediction::worked), None);
    state(findings, &home, &facts::PREDICTED_Q50_LOW, known().map(|one| one.at(0.1)), None);
    state(findings, &home, &facts::PREDICTED_Q50_HIGH, known().map(|one| one.at(0.9)), None);
    state(findings, &home, &facts::EFFECTIVE_DRAWS, known().map(Prediction::effective), None);
    let term = || known().map(|one| flow_of(&home, &facts::PREDICTED_Q50, "q50", one.q50));
    let changes = term().and_then(|flow| air_changes(flow, volume(request)?));
    state(findings, &home, &facts::PREDICTED_ACH50, changes, None);
    let area = term().and_then(|flow| per_area(flow, exterior(request)?));
    state(findings, &home, &facts::PREDICTED_Q50_PER_AREA, area, None);
}
