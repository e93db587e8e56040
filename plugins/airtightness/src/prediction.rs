//! The finished home's leakage, predicted from its latest test.

use crate::budget::Budget;
use crate::facts;
use crate::home_budget::{drawing, exterior, volume};
use crate::item::Part;
use crate::outcome::{Worked, air_changes, flow_of, per_area, plain, state, worked_flow};
use crate::spread::{self, Drawn, Source};
use crate::stages::{StillOpen, flow};
use crate::tests_made::{Tested, measured};
use mateline_equation::equation;
use mateline_model::home::Stage;
use mateline_model::portable;
use mateline_model::quantity::Flow;
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::Lack;
use mateline_sdk::{Findings, Request};

/// Quantile of the normal distribution for 95 %, two-sided.
const Z_95: f64 = 1.959_964;

equation! {
    /// Leakage of the finished home, from a test with parts still open. Source: flows through parallel leaks add.
    pub(crate) Finished = "q50' = q50 − q_open + q_closed" {
        finished "q50'": Flow "predicted flow at 50 Pa" [facts::AIR_FLOW],
        q50: Flow "flow at 50 Pa" [facts::AIR_FLOW],
        q_open: Flow "parts still open" [facts::AIR_FLOW],
        q_closed: Flow "the same parts once closed" [facts::AIR_FLOW],
    }
}

/// A prediction.
pub(crate) struct Prediction {
    /// The test it starts from, and its measured flow as a term.
    pub measured: Term,
    /// What the parts still open leak, by the budget.
    pub opened: Flow,
    /// The finished home's flow at 50 Pa.
    pub q50: Flow,
    /// The same, drawn many times.
    pub drawn: Drawn,
    /// Whether it is the final test with nothing open: a test and no prediction.
    pub is_final: bool,
    steps: Basis,
}

/// Predicts from the latest valid test of the whole home.
///
/// `q = M − Σ open + Σ closed`: the measured flow, less the parts still open at their open leakage, plus the same parts
/// at their closed leakage. The test's own error is a factor with mean 1; parts draw as in the budget. Draws in which
/// the open parts leak more than was measured cannot have happened and are left out.
pub(crate) fn predict(budget: &Budget, tests: &[Tested<'_>]) -> Result<Prediction, Lack> {
    // Of two tests of one stage and day, the later in the file.
    let latest = tests.iter().filter(|test| test.counts()).max_by_key(|test| test.rank());
    let latest = latest.ok_or_else(|| Lack::at("no valid blower-door test of the whole home", "measurements"))?;
    let outcome = latest.outcome.as_ref().map_err(Clone::clone)?;
    named_parts_are_known(budget, latest)?;
    let open = StillOpen::of(budget, latest.measurement);
    let value = Flow::from_si(outcome.q50().value);
    let (opened, closed) = (flow(open.open()), flow(open.closed()));
    let rest = value - opened;
    if rest.si() <= 0.0 {
        let path = format!("{}.still_open", latest.subject);
        return Err(Lack::at("the parts still open are estimated to leak more than was measured", path));
    }
    let uncertainty = outcome.planning_uncertainty();
    let spread = portable::exp(portable::ln(1.0 + uncertainty) / Z_95);
    let test = Source { name: latest.subject.to_string(), mean: value.si(), spread };
    let drawn = draw(&test, open.open(), open.closed(), &latest.subject)?;
    let (q50, step) = Finished { q50: value, q_open: opened, q_closed: closed }.step();
    let step = step
        .meaning(Finished::q50, facts::TEST_Q50.label())
        .fact(Finished::q50, &latest.subject, facts::TEST_Q50.name)
        .meaning(Finished::q_open, names(&open, "still open"))
        .meaning(Finished::q_closed, names(&open, "once closed"));
    let steps =
        Basis::new("latest test, less what is still open, plus what stays of it once closed", "budget and test")
            .step(step)
            .assuming(format!(
                "the test is taken as sure to ±{} % (95 %), a planning figure; common practice, no source",
                mateline_model::quantity::number(uncertainty * 100.0, 0)
            ));
    let is_final = latest.measurement.stage == Some(Stage::Final) && open.items.is_empty();
    Ok(Prediction { measured: measured(latest, value), opened, q50, drawn, is_final, steps })
}

/// A part that is still open and whose leakage is not known leaves the prediction open too.
fn named_parts_are_known(budget: &Budget, test: &Tested<'_>) -> Result<(), Lack> {
    for name in &test.measurement.still_open {
        let lacking = budget.lacking.iter().find(|lacking| crate::budget::is_named(&lacking.subject, name));
        if let Some(lacking) = lacking {
            return Err(lacking.lack.clone());
        }
    }
    Ok(())
}

fn draw<'a>(
    test: &Source,
    open: impl Iterator<Item = &'a Part>,
    closed: impl Iterator<Item = &'a Part>,
    subject: &Subject,
) -> Result<Drawn, Lack> {
    let mut rest = vec![test.clone()];
    rest.extend(spread::sources(open).into_iter().map(|source| Source { mean: -source.mean, ..source }));
    let closed = spread::draws(&spread::sources(closed));
    let possible: Vec<f64> = spread::draws(&rest)
        .into_iter()
        .zip(closed)
        .filter(|(rest, _)| *rest > 0.0)
        .map(|(rest, closed)| rest + closed)
        .collect();
    if possible.len() * 2 < spread::DRAWS {
        let because = "in most draws the parts still open leak more than was measured";
        return Err(Lack::at(because, format!("{subject}.still_open")));
    }
    Ok(Drawn::new(possible))
}

fn names(open: &StillOpen<'_>, how: &str) -> String {
    let names: Vec<&str> = open.items.iter().map(|item| item.subject.id()).take(20).collect();
    if names.is_empty() { "nothing was left open".to_owned() } else { format!("{}, {how}", names.join(", ")) }
}

impl Prediction {
    /// The predicted flow with its calculation.
    pub(crate) fn worked(&self) -> Worked {
        worked_flow(self.q50, self.steps.clone())
    }

    fn at(&self, share: f64) -> Worked {
        let flow = Flow::from_si(self.drawn.quantile(share));
        let step = Step::procedure("the value that this share of the draws stays below")
            .term(plain("share", "share", share, 2))
            .term(plain(
                "draws",
                "draws in which the open parts leak less than was measured",
                self.drawn.count() as f64,
                0,
            ))
            .result(Term::new("q50'", "predicted flow at 50 Pa", flow, facts::AIR_FLOW));
        let mut basis = drawing();
        basis.steps.clone_from(&self.steps.steps);
        basis.assumptions.clone_from(&self.steps.assumptions);
        worked_flow(flow, basis.step(step))
    }
}

/// Facts of the prediction.
pub(crate) fn report(request: &Request<'_>, prediction: &Result<Prediction, Lack>, findings: &mut Findings) {
    let home = Subject::home();
    let known = || prediction.as_ref().map_err(Clone::clone);
    state(findings, &home, &facts::PREDICTED_Q50, known().map(Prediction::worked), None);
    state(findings, &home, &facts::PREDICTED_Q50_LOW, known().map(|one| one.at(0.1)), None);
    state(findings, &home, &facts::PREDICTED_Q50_HIGH, known().map(|one| one.at(0.9)), None);
    let term = || known().map(|one| flow_of(&home, &facts::PREDICTED_Q50, "q50", one.q50));
    let changes = term().and_then(|flow| air_changes(flow, volume(request)?));
    state(findings, &home, &facts::PREDICTED_ACH50, changes, None);
    let area = term().and_then(|flow| per_area(flow, exterior(request)?));
    state(findings, &home, &facts::PREDICTED_Q50_PER_AREA, area, None);
}
