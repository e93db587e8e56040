//! Facts of the home's budget: sums, measures, and the spread.

use crate::budget::Budget;
use crate::elements::whole;
use crate::facts;
use crate::item::{Item, Kind, Place, known};
use crate::outcome::{MOST_TERMS, air_changes, flow_of, per_area, plain, state, sum_of_items, worked_flow};
use crate::power_law::{LeakageArea, PowerLaw, TEST_PRESSURE, USUAL_EXPONENT};
use crate::spread::{DRAWS, Drawn, SEED, Source};
use mateline_model::home::Party;
use mateline_model::quantity::{Flow, Quantity, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

/// Sums, measures and spread.
pub(crate) fn report(request: &Request<'_>, budget: &Budget, drawn: &Result<Drawn, Lack>, findings: &mut Findings) {
    let home = Subject::home();
    let sums: [(&QuantityDef, Result<Vec<&Item>, Lack>); 9] = [
        (&facts::Q50, budget.all()),
        (&facts::Q50_FACTORY, budget.by(Party::Factory)),
        (&facts::Q50_SITE, budget.by(Party::Site)),
        (&facts::Q50_FOUNDATION, foundation(budget)),
        (&facts::Q50_SEAMS, budget.of_kind(Kind::Seam)),
        (&facts::Q50_OPENINGS, budget.of_kind(Kind::Opening)),
        (&facts::Q50_PENETRATIONS, budget.of_kind(Kind::Penetration)),
        (&facts::Q50_LINES, budget.of_kind(Kind::Line)),
        (&facts::Q50_ENVELOPE, budget.of_kind(Kind::Surface)),
    ];
    for (definition, entries) in sums {
        let outcome = entries.map(|entries| sum_of_items(&whole(&entries).0));
        state(findings, &home, definition, outcome, None);
    }
    measures(request, budget, findings);
    spread(budget, drawn, findings);
}

fn foundation(budget: &Budget) -> Result<Vec<&Item>, Lack> {
    Ok(budget.all()?.into_iter().filter(|item| item.place == Place::Foundation).collect())
}

/// A leakage area of a curve.
type AreaOf = fn(PowerLaw) -> LeakageArea;

fn measures(request: &Request<'_>, budget: &Budget, findings: &mut Findings) {
    let home = Subject::home();
    let total = budget.all().map(|items| whole(&items).1);
    let flow = || total.clone().map(|total| flow_of(&home, &facts::Q50, "q50", total));
    let changes = flow().and_then(|flow| air_changes(flow, volume(request)?));
    state(findings, &home, &facts::ACH50, changes, None);
    let outside = flow().and_then(|flow| per_area(flow, exterior(request)?));
    state(findings, &home, &facts::Q50_PER_AREA, outside, None);
    let area = || known(request, &home, "takeoff.interior_envelope_area", "A_E", "interior envelope area", Units::AREA);
    let inside = flow().and_then(|flow| per_area(flow, area()?));
    state(findings, &home, &facts::Q50_PER_INTERIOR_AREA, inside, None);
    let n = Value::Number(Quantity::plain(USUAL_EXPONENT));
    let basis = Basis::new("exponent where no test gives it", "ASTM E1827-11(2017)").provenance("from memory");
    let step = Step::procedure("n").result(plain("n", "exponent, assumed", USUAL_EXPONENT, 2));
    state(findings, &home, &facts::EXPONENT_USED, Ok((n, basis.step(step))), None);
    let areas: [(&QuantityDef, AreaOf); 2] =
        [(&facts::ELA4, PowerLaw::effective_leakage_area), (&facts::EQLA10, PowerLaw::equivalent_leakage_area)];
    for (definition, of) in areas {
        let outcome = total.clone().map(|total| {
            let curve = PowerLaw::through(total, TEST_PRESSURE, USUAL_EXPONENT);
            let (area, step) = LeakageArea { q50: total, ..of(curve) }.step();
            let step = step
                .meaning(LeakageArea::A, definition.label())
                .meaning(LeakageArea::q50, facts::Q50.label())
                .fact(LeakageArea::q50, &home, facts::Q50.name);
            let basis = Basis::new("power law", "ASTM E779-19; CAN/CGSB-149.10").provenance("from memory");
            (Value::from(area), basis.step(step))
        });
        state(findings, &home, definition, outcome, None);
    }
}

/// The volume that air changes count.
pub(crate) fn volume(request: &Request<'_>) -> Result<Term, Lack> {
    known(request, &Subject::home(), "takeoff.interior_volume", "V", "interior volume", Units::VOLUME)
}

/// The area that flow per envelope area counts.
pub(crate) fn exterior(request: &Request<'_>) -> Result<Term, Lack> {
    let home = Subject::home();
    known(request, &home, "takeoff.exterior_envelope_area", "A_E", "exterior envelope area", Units::AREA)
}

fn spread(budget: &Budget, drawn: &Result<Drawn, Lack>, findings: &mut Findings) {
    let home = Subject::home();
    for (definition, share) in [(&facts::Q50_LOW, 0.1), (&facts::Q50_MEDIAN, 0.5), (&facts::Q50_HIGH, 0.9)] {
        let outcome = drawn.clone().and_then(|drawn| {
            let flow = Flow::from_si(drawn.quantile(share));
            let result = Term::new("q50", definition.label(), flow, Units::HOURLY_FLOW);
            Ok(worked_flow(flow, drawn_basis(&budget.sources()?, share, result)))
        });
        state(findings, &home, definition, outcome, None);
    }
}

/// The worked calculation of a quantile of a drawn sum.
pub(crate) fn drawn_basis(sources: &[Source], share: f64, result: Term) -> Basis {
    let mut step = Step::procedure("q50 = Σ q_c F_c, F_c = e^(σ_c Z − σ_c²/2)");
    for source in sources.iter().take(MOST_TERMS) {
        let meaning = format!("{}, geometric standard deviation {:.2}", source.name.replace('-', " "), source.spread);
        step = step.term(Term::new("q_c", meaning, Flow::from_si(source.mean), Units::HOURLY_FLOW));
    }
    let mut basis = drawing();
    if sources.len() > MOST_TERMS {
        basis = basis.assuming(format!("{} more rows are in the sum", sources.len() - MOST_TERMS));
    }
    basis
        .step(step)
        .step(
            Step::procedure("the value that this share of the draws stays below")
                .term(plain("share", "share", share, 2))
                .result(result),
        )
        .assuming("the best estimates are means; spreads are common practice, no source")
        .assuming("parts of one row of the table share one draw; different rows are independent")
}

/// The method of drawing, with its numbers.
pub(crate) fn drawing() -> Basis {
    Basis::new(format!("Monte Carlo: {DRAWS} draws, seed {SEED}"), "common practice, no source")
}
