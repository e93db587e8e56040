//! The whole-dwelling rates against what the units bring.

use crate::facts::{self, FLOW, RATE, RATE_PER_AREA};
use crate::lack::Lack;
use crate::rates::{code_rate, infiltration_credit, total_rate};
use crate::service::{Mode, Service};
use crate::settings::Rates;
use mateline_model::home::{Home, MeasurementKind, SpaceUse, VentilationKind};
use mateline_model::quantity::{Area, Flow, FlowPerArea, Ratio, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

const STANDARD: &str = "ASHRAE 62.2-2016 to -2022, 4.1";

/// Supply and exhaust of the whole dwelling in ordinary operation (m³/s), unit by unit.
struct Totals<'a, 'b> {
    units: Vec<(&'b Service<'a>, f64, f64)>,
    supply: f64,
    exhaust: f64,
}

impl<'a, 'b> Totals<'a, 'b> {
    fn of(home: &Home, services: &'b [Service<'a>]) -> Result<Totals<'a, 'b>, Lack> {
        let mut units = Vec::new();
        for service in services {
            let (supply, exhaust) = service.totals(home, Mode::Ordinary)?;
            if supply + exhaust > 0.0 {
                units.push((service, supply, exhaust));
            }
        }
        let supply = units.iter().map(|(_, supply, _)| supply).sum();
        let exhaust = units.iter().map(|(_, _, exhaust)| exhaust).sum();
        Ok(Totals { units, supply, exhaust })
    }

    fn larger(&self) -> f64 {
        self.supply.max(self.exhaust)
    }

    /// Difference as a share of the larger.
    fn imbalance(&self) -> f64 {
        if self.larger() > 0.0 { (self.supply - self.exhaust).abs() / self.larger() } else { 0.0 }
    }

    fn balanced(&self, within: Ratio) -> bool {
        self.larger() > 0.0 && self.imbalance() <= within.si() + 1e-12
    }

    fn kind(&self, within: Ratio) -> &'static str {
        match () {
            () if self.larger() <= 0.0 => "none",
            () if self.balanced(within) => "balanced",
            () if self.supply > self.exhaust => "mostly supply",
            () => "mostly exhaust",
        }
    }

    fn sum_step(&self, equation: &'static str, pick: impl Fn(&(&Service<'a>, f64, f64)) -> f64) -> Step {
        self.units.iter().filter(|unit| pick(unit) > 0.0).fold(Step::new(equation), |step, unit| {
            let path = unit.0.subject.as_str();
            step.term(Term::new("Q_u", unit.0.id.to_string(), Flow::from_si(pick(unit)), FLOW).given(path))
        })
    }
}

/// Facts of the whole dwelling.
pub(crate) fn report(request: &Request<'_>, rates: &Rates, services: &[Service<'_>], findings: &mut Findings) {
    let home = Subject::home();
    let totals = Totals::of(request.home, services);
    let delivered = match &totals {
        Ok(totals) => {
            report_totals(totals, rates, findings);
            Some(Flow::from_si(totals.larger()))
        }
        Err(lack) => {
            let owed = [
                &facts::SUPPLY_TOTAL,
                &facts::EXHAUST_TOTAL,
                &facts::IMBALANCE,
                &facts::SYSTEM_KIND,
                &facts::DELIVERED_FLOW,
            ];
            lack.write(&home, &owed, findings);
            None
        }
    };
    let required = match standard_rate(request, rates, totals.as_ref().ok(), findings) {
        Ok(required) => Some(required),
        Err(lack) => {
            lack.write(&home, &[&facts::TOTAL_RATE, &facts::INFILTRATION_CREDIT, &facts::REQUIRED_FLOW], findings);
            None
        }
    };
    margin(&facts::FLOW_MARGIN, (&facts::DELIVERED_FLOW, delivered), (&facts::REQUIRED_FLOW, required), findings);

    let delivered = match delivered_by_code(request.home, rates, services) {
        Ok((flow, basis)) => {
            findings.fact(&home, &facts::DELIVERED_FLOW_CODE, flow, basis);
            Some(flow)
        }
        Err(lack) => {
            lack.write(&home, &[&facts::DELIVERED_FLOW_CODE], findings);
            None
        }
    };
    let required = match residential_rate(request, rates, totals.as_ref().ok(), services) {
        Ok((flow, basis)) => {
            findings.fact(&home, &facts::REQUIRED_FLOW_CODE, flow, basis);
            Some(flow)
        }
        Err(lack) => {
            lack.write(&home, &[&facts::REQUIRED_FLOW_CODE], findings);
            None
        }
    };
    let code = (&facts::REQUIRED_FLOW_CODE, required);
    margin(&facts::FLOW_MARGIN_CODE, (&facts::DELIVERED_FLOW_CODE, delivered), code, findings);
}

fn report_totals(totals: &Totals<'_, '_>, rates: &Rates, findings: &mut Findings) {
    let home = Subject::home();
    let (supply, exhaust) = (Flow::from_si(totals.supply), Flow::from_si(totals.exhaust));
    let averaged =
        "averaged over run time; fans that run less than a quarter of each hour are local exhaust and left out";
    let basis = |step: Step| Basis::new("sum over the units", "the home").step(step).assuming(averaged);
    let step = totals.sum_step("S = Σ Q_u", |unit| unit.1).result(Term::new("S", "supply of all units", supply, FLOW));
    findings.fact(&home, &facts::SUPPLY_TOTAL, supply, basis(step));
    let step =
        totals.sum_step("E = Σ Q_u", |unit| unit.2).result(Term::new("E", "exhaust of all units", exhaust, FLOW));
    findings.fact(&home, &facts::EXHAUST_TOTAL, exhaust, basis(step));
    let taken = |symbol: &'static str, meaning: &str, flow: Flow, from: &'static str| {
        Term::new(symbol, meaning, flow, FLOW).fact(&home, from)
    };
    let (s, e) = (
        taken("S", "supply of all units", supply, "ventilation.supply_total"),
        taken("E", "exhaust of all units", exhaust, "ventilation.exhaust_total"),
    );
    if totals.larger() > 0.0 {
        let step = Step::new("b = |S − E|/max(S, E)").term(s.clone()).term(e.clone()).result(Term::new(
            "b",
            "imbalance",
            totals.imbalance(),
            Units::PERCENT,
        ));
        findings.fact(
            &home,
            &facts::IMBALANCE,
            totals.imbalance(),
            Basis::new("difference of supply and exhaust", "common practice, no source").step(step),
        );
    } else {
        let lack = Lack::at("no unit supplies or exhausts air all the time", "systems.ventilation");
        lack.write(&home, &[&facts::IMBALANCE], findings);
    }
    match &rates.standard {
        Ok(standard) => {
            let within = standard.balanced_within;
            let shown = percent(within.si());
            let kind = Basis::new(format!("balanced where supply and exhaust lie within {shown}"), "ASHRAE 62.2")
                .provenance("from memory, med")
                .step(Step::new("S, E").term(s.clone()).term(e.clone()));
            findings.text(&home, &facts::SYSTEM_KIND, totals.kind(within), kind);
        }
        Err(lack) => lack.write(&home, &[&facts::SYSTEM_KIND], findings),
    }
    let flow = Flow::from_si(totals.larger());
    let step = Step::new("Q = max(S, E)").term(s).term(e).result(Term::new("Q", "outdoor air", flow, FLOW));
    let basis = Basis::new("larger of supply and exhaust", STANDARD)
        .provenance("from memory")
        .step(step)
        .assuming("what is exhausted beyond the supply comes in through leaks");
    findings.fact_at(&home, &facts::DELIVERED_FLOW, flow, basis, Pointer::new("systems.ventilation"));
}

/// The standard's rate with its credit.
fn standard_rate(
    request: &Request<'_>,
    rates: &Rates,
    totals: Option<&Totals<'_, '_>>,
    findings: &mut Findings,
) -> Result<Flow, Lack> {
    let home = Subject::home();
    let (floor, bedrooms, sleepers) = size(request)?;
    let standard = rates.standard.as_ref().map_err(Clone::clone)?;
    let total = total_rate(standard, floor, bedrooms, sleepers);
    let extra = sleepers.saturating_sub(bedrooms.max(1) + 1);
    let step = Step::new("Q_tot = q_A A + q_b (N_br + 1) + q_s N_x")
        .term(per_area(standard.per_floor_area, &standard.source))
        .term(per_bedroom(standard.per_bedroom, &standard.source))
        .term(
            Term::new("q_s", "rate for each sleeper beyond", standard.per_further_sleeper, RATE)
                .published(standard.source.clone()),
        )
        .term(Term::new("A", "floor area", floor, Units::AREA).fact(&home, "takeoff.floor_area"))
        .term(
            Term::new("N_br", "bedrooms, at least one", bedrooms.max(1) as f64, Units::plain(0))
                .fact(&home, "takeoff.bedrooms"),
        )
        .term(Term::new("N_s", "sleepers", sleepers as f64, Units::plain(0)).fact(&home, "takeoff.sleepers"))
        .term(Term::new("N_x", "sleepers beyond one more than the bedrooms", extra as f64, Units::plain(0)))
        .result(Term::new("Q_tot", "total rate", total, FLOW));
    let basis =
        Basis::new("whole-dwelling rate", standard.source.clone()).provenance(standard.provenance.clone()).step(step);
    findings.fact(&home, &facts::TOTAL_RATE, total, basis);

    let infiltration = request.number(&home, "airtightness.infiltration").map(Flow::from_si);
    let tested =
        request.home.measurements.values().any(|m| m.kind == MeasurementKind::BlowerDoor && m.module.is_none());
    let basis = Basis::new("infiltration credit", STANDARD)
        .provenance("from memory, high; cap looked up in a secondary source");
    let (credit, basis) = match (infiltration, totals) {
        (Some(found), Some(totals)) if tested => {
            let balanced = totals.balanced(standard.balanced_within);
            let credit = infiltration_credit(total, found, balanced, standard.greatest_credit);
            let step =
                Step::new(if balanced { "Q_c = min(Q_inf, k_c Q_tot)" } else { "Q_c = min(Q_inf²/Q_tot, k_c Q_tot)" })
                    .term(
                        Term::new("Q_inf", "annual effective infiltration", found, FLOW)
                            .fact(&home, "airtightness.infiltration"),
                    )
                    .term(Term::new("Q_tot", "total rate", total, FLOW).fact(&home, "ventilation.total_rate"))
                    .term(
                        Term::new("k_c", "greatest share credited", standard.greatest_credit, Units::plain(3))
                            .published(standard.source.clone()),
                    )
                    .result(Term::new("Q_c", "credit", credit, FLOW));
            (credit, basis.step(step).assuming("a detached home: the whole enclosure faces outdoors"))
        }
        (found, totals) => {
            let why = match (found, totals) {
                (None, _) => "no credit: the infiltration is not known",
                (_, None) => "no credit: the kind of system is not known",
                _ => "no credit: the home's leakage has not been measured",
            };
            let none = Flow::from_si(0.0);
            (none, basis.step(Step::new("Q_c = 0").result(Term::new("Q_c", "credit", none, FLOW))).assuming(why))
        }
    };
    findings.fact(&home, &facts::INFILTRATION_CREDIT, credit, basis);
    let required = total - credit;
    let step = Step::new("Q_fan = Q_tot − Q_c")
        .term(Term::new("Q_tot", "total rate", total, FLOW).fact(&home, "ventilation.total_rate"))
        .term(Term::new("Q_c", "credit", credit, FLOW).fact(&home, "ventilation.infiltration_credit"))
        .result(Term::new("Q_fan", "outdoor air the fans must bring", required, FLOW));
    let basis = Basis::new("whole-dwelling rate less the credit", STANDARD).provenance("from memory, high").step(step);
    findings.fact(&home, &facts::REQUIRED_FLOW, required, basis);
    Ok(required)
}

fn per_area(rate: FlowPerArea, source: &str) -> Term {
    Term::new("q_A", "rate for each floor area", rate, RATE_PER_AREA).published(source)
}

fn per_bedroom(rate: Flow, source: &str) -> Term {
    Term::new("q_b", "rate for each bedroom and one more", rate, RATE).published(source)
}

/// A share as it stands in a sentence: `30 %`, `2.5 %`.
fn percent(share: f64) -> String {
    format!("{} %", (share * 1000.0).round() / 10.0)
}

/// Floor area, bedrooms and sleepers.
fn size(request: &Request<'_>) -> Result<(Area, usize, usize), Lack> {
    let home = Subject::home();
    let of = |quantity: &str| {
        request.number(&home, quantity).ok_or_else(|| Lack::new(format!("{quantity} of the home is not known")))
    };
    let floor = of("takeoff.floor_area")?;
    if floor <= 0.0 {
        return Err(Lack::new("the home has no floor area"));
    }
    Ok((Area::from_si(floor), of("takeoff.bedrooms")? as usize, of("takeoff.sleepers")? as usize))
}

/// Whether air is ducted to every bedroom and to one more of living, dining and kitchen, and what is wanting.
fn ducted_throughout(home: &Home, services: &[Service<'_>]) -> Result<(), String> {
    let supplied = |room| {
        services.iter().any(|service| {
            !service.on_demand() && service.unit.supplies.get(room).is_some_and(|flow: &Flow| flow.si() > 0.0)
        })
    };
    if let Some((id, _)) = home.spaces.iter().find(|(id, space)| space.used_as == SpaceUse::Bedroom && !supplied(*id)) {
        return Err(format!("spaces.{id} has no supply"));
    }
    let common = |used| matches!(used, SpaceUse::Living | SpaceUse::Dining | SpaceUse::Kitchen);
    if home.spaces.iter().any(|(id, space)| common(space.used_as) && supplied(id)) {
        Ok(())
    } else {
        Err("no living room, dining room or kitchen has a supply".to_owned())
    }
}

/// The residential code's rate.
fn residential_rate(
    request: &Request<'_>,
    rates: &Rates,
    totals: Option<&Totals<'_, '_>>,
    services: &[Service<'_>],
) -> Result<(Flow, Basis), Lack> {
    let home = Subject::home();
    let (floor, bedrooms, _) = size(request)?;
    let code = rates.code.as_ref().map_err(Clone::clone)?;
    let ducted = ducted_throughout(request.home, services);
    let balanced = totals.is_some_and(|totals| totals.balanced(code.balanced_within));
    let reduced = ducted.is_ok() && balanced;
    let rate = code_rate(code, floor, bedrooms, reduced);
    let words = match (&ducted, balanced) {
        (Ok(()), true) => {
            let off = percent(1.0 - code.reduced_to.si());
            format!("reduced by {off}: balanced, with supply to every bedroom and one more habitable room")
        }
        (Ok(()), false) => "not reduced: the system is not balanced".to_owned(),
        (Err(why), _) => format!("not reduced: {why}"),
    };
    let k = if reduced { code.reduced_to.si() } else { 1.0 };
    let step = Step::new("Q = (q_A A + q_b (N_br + 1)) k")
        .term(per_area(code.per_floor_area, &code.source))
        .term(per_bedroom(code.per_bedroom, &code.source))
        .term(Term::new("A", "floor area", floor, Units::AREA).fact(&home, "takeoff.floor_area"))
        .term(
            Term::new("N_br", "bedrooms, at least one", bedrooms.max(1) as f64, Units::plain(0))
                .fact(&home, "takeoff.bedrooms"),
        )
        .term(Term::new("k", "reduction", k, Units::plain(2)).published(code.source.clone()))
        .result(Term::new("Q", "rate of the residential code", rate, FLOW));
    let basis = Basis::new("whole-house rate", code.source.clone()).provenance(code.provenance.clone());
    Ok((rate, basis.step(step).assuming(words)))
}

/// What the units bring by the code's factors for intermittent fans.
fn delivered_by_code(home: &Home, rates: &Rates, services: &[Service<'_>]) -> Result<(Flow, Basis), Lack> {
    let run_time = &rates.code.as_ref().map_err(Clone::clone)?.run_time;
    let (mut supply, mut exhaust) = (0.0, 0.0);
    let mut step = Step::new("Q = max(Σ S_u/k_u, Σ E_u/k_u)");
    for service in services.iter().filter(|service| !service.on_demand()) {
        let (s, e) = service.design.clone()?;
        let share = service.throttle(home)?;
        let factor = run_time.factor(service.run_share()).unwrap_or(f64::INFINITY);
        supply += s.si() * share / factor;
        exhaust += e.si() * share / factor;
        let supplies = service.unit.kind != VentilationKind::ExhaustFan;
        let flow = if supplies { s } else { e } * share;
        let symbol = if supplies { "S_u" } else { "E_u" };
        step = step.term(Term::new(symbol, service.id.to_string(), flow, FLOW).given(service.subject.as_str())).term(
            Term::new("k_u", "factor for its run time", factor, Units::plain(2)).published(run_time.source.clone()),
        );
    }
    let flow = Flow::from_si(supply.max(exhaust));
    let basis = Basis::new("larger of supply and exhaust, divided by the factor for run time", run_time.source.clone())
        .provenance(run_time.provenance.clone())
        .step(step.result(Term::new("Q", "outdoor air by the code's count", flow, FLOW)))
        .assuming("a fan that runs less than a quarter of the time is outside the table and not counted");
    Ok((flow, basis))
}

type Known<'a> = (&'a mateline_model::QuantityDef, Option<Flow>);

/// Delivered less required.
fn margin(
    definition: &mateline_model::QuantityDef,
    delivered: Known<'_>,
    required: Known<'_>,
    findings: &mut Findings,
) {
    let home = Subject::home();
    match (delivered.1, required.1) {
        (Some(has), Some(needs)) => {
            let step = Step::new("Q − Q_fan")
                .term(Term::new("Q", "delivered", has, FLOW).fact(&home, delivered.0.name.clone()))
                .term(Term::new("Q_fan", "required", needs, FLOW).fact(&home, required.0.name.clone()))
                .result(Term::new("m", "margin", has - needs, FLOW));
            let basis = Basis::new("delivered less required", "difference").step(step);
            findings.fact(&home, definition, has - needs, basis);
        }
        (has, _) => {
            let lacking = if has.is_none() { delivered.0 } else { required.0 };
            Lack::new(format!("{} is not known", lacking.name)).write(&home, &[definition], findings);
        }
    }
}
