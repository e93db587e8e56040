//! The whole-dwelling rates against what the units bring.

use crate::facts;
use crate::rates::{BalancedCredit, CodeRate, TotalRate, UnbalancedCredit, code_rate, total_rate};
use crate::service::{Mode, Service, named};
use crate::settings::Rates;
use mateline_equation::equation;
use mateline_model::home::{Home, MeasurementKind, SpaceUse};
use mateline_model::quantity::{Area, Flow, Ratio, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const STANDARD: &str = "ASHRAE 62.2-2016 to -2022, 4.1";

equation! {
    /// Supply of the whole dwelling. Source: addition.
    pub(crate) Supply = "S = Σ Q_u" {
        S: Flow "supply of all units" [Units::FLOW],
        Q_u: [Flow] "supply of a unit" [Units::FLOW],
    }

    /// Exhaust of the whole dwelling. Source: addition.
    pub(crate) Exhaust = "E = Σ Q_u" {
        E: Flow "exhaust of all units" [Units::FLOW],
        Q_u: [Flow] "exhaust of a unit" [Units::FLOW],
    }

    /// By how much supply and exhaust differ. Source: common practice.
    pub(crate) Imbalance = "b = |S − E|/max(S, E)" {
        b: f64 "imbalance" [Units::PERCENT],
        S: Flow "supply of all units" [Units::FLOW],
        E: Flow "exhaust of all units" [Units::FLOW],
    }

    /// Outdoor air: what is exhausted beyond the supply comes in through leaks. Source: ASHRAE 62.2, 4.1 (from memory).
    pub(crate) Delivered = "Q = max(S, E)" {
        Q: Flow "outdoor air" [Units::FLOW],
        S: Flow "supply of all units" [Units::FLOW],
        E: Flow "exhaust of all units" [Units::FLOW],
    }

    /// Outdoor air the fans must bring. Source: ASHRAE 62.2-2016 to -2022, 4.1 (from memory, high).
    pub(crate) Required = "Q_fan = Q_tot − Q_c" {
        Q_fan: Flow "outdoor air the fans must bring" [Units::FLOW],
        Q_tot: Flow "total rate" [Units::FLOW],
        Q_c: Flow "credit" [Units::FLOW],
    }

    /// Outdoor air by the code's count: flows divided by the factor for their run time. Source: IRC 2021, Table
    /// M1505.4.3(2) (from memory, high).
    pub(crate) DeliveredByCode = "Q = max(Σ S_u/k_u, Σ E_u/k_u)" {
        Q: Flow "outdoor air by the code's count" [Units::FLOW],
        S_u: [Flow] "supply of a unit" [Units::FLOW],
        E_u: [Flow] "exhaust of a unit" [Units::FLOW],
        k_u: [f64] "factor for its run time" [Units::plain(2)],
    }

    /// Delivered less required. Source: difference.
    pub(crate) Margin = "m = Q − Q_fan" {
        m: Flow "margin" [Units::FLOW],
        Q: Flow "delivered" [Units::FLOW],
        Q_fan: Flow "required" [Units::FLOW],
    }
}

/// Supply and exhaust of the whole dwelling in ordinary operation (m³/s), unit by unit.
struct Totals<'a, 'b> {
    units: Vec<(&'b Service<'a>, f64, f64)>,
    supply: f64,
    exhaust: f64,
}

impl<'a, 'b> Totals<'a, 'b> {
    fn of(home: &Home, services: &'b [Service<'a>]) -> Result<Totals<'a, 'b>, Lack> {
        named(home)?;
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

    /// The units that move air on one side, with how much.
    fn moving(&self, pick: impl Fn(&(&'b Service<'a>, f64, f64)) -> f64) -> (Vec<&'b Service<'a>>, Vec<Flow>) {
        let moving = self.units.iter().filter(|unit| pick(unit) > 0.0);
        moving.map(|unit| (unit.0, Flow::from_si(pick(unit)))).unzip()
    }
}

/// A term that is one unit's.
fn of_unit(term: Term, service: &Service<'_>) -> Term {
    Term { meaning: service.id.to_string(), ..term }.given(service.subject.as_str())
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

    match delivered_by_code(request.home, rates, services, &|service| service.unit.kind.recovers_heat()) {
        Ok((flow, basis)) => {
            let basis = basis.assuming("units with heat recovery alone");
            findings.fact_at(&home, &facts::RECOVERED_FLOW, flow, basis, Pointer::new("systems.ventilation"));
        }
        Err(lack) => lack.write(&home, &[&facts::RECOVERED_FLOW], findings),
    }
    let delivered = match delivered_by_code(request.home, rates, services, &|_| true) {
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
    let averaged =
        "averaged over run time; fans that run less than a quarter of each hour are local exhaust and left out";
    let basis = |step: Step| Basis::new("sum over the units", "the home").step(step).assuming(averaged);
    let (units, flows) = totals.moving(|unit| unit.1);
    let (supply, step) = Supply { Q_u: &flows }.step();
    findings.fact(&home, &facts::SUPPLY_TOTAL, supply, basis(step.each(Supply::Q_u, units, of_unit)));
    let (units, flows) = totals.moving(|unit| unit.2);
    let (exhaust, step) = Exhaust { Q_u: &flows }.step();
    findings.fact(&home, &facts::EXHAUST_TOTAL, exhaust, basis(step.each(Exhaust::Q_u, units, of_unit)));
    let (s, e) = (facts::SUPPLY_TOTAL.name.clone(), facts::EXHAUST_TOTAL.name.clone());
    if totals.larger() > 0.0 {
        let (imbalance, step) = Imbalance { S: supply, E: exhaust }.step();
        let step = step.fact(Imbalance::S, &home, s.clone()).fact(Imbalance::E, &home, e.clone());
        let basis = Basis::new("difference of supply and exhaust", "common practice, no source").step(step);
        findings.fact(&home, &facts::IMBALANCE, imbalance, basis);
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
                .step(
                    Step::procedure("S, E")
                        .term(Term::new("S", "supply of all units", supply, Units::FLOW).fact(&home, s.clone()))
                        .term(Term::new("E", "exhaust of all units", exhaust, Units::FLOW).fact(&home, e.clone())),
                );
            findings.text(&home, &facts::SYSTEM_KIND, totals.kind(within), kind);
        }
        Err(lack) => lack.write(&home, &[&facts::SYSTEM_KIND], findings),
    }
    let (flow, step) = Delivered { S: supply, E: exhaust }.step();
    let basis = Basis::new("larger of supply and exhaust", STANDARD)
        .provenance("from memory")
        .step(step.fact(Delivered::S, &home, s).fact(Delivered::E, &home, e))
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
    let (total, step) = total_rate(standard, floor, bedrooms, sleepers).step();
    let source = || standard.source.clone();
    let step = step
        .published(TotalRate::q_A, source())
        .published(TotalRate::q_b, source())
        .published(TotalRate::q_s, source())
        .fact(TotalRate::A, &home, "takeoff.floor_area")
        .fact(TotalRate::N_br, &home, "takeoff.bedrooms")
        .fact(TotalRate::N_s, &home, "takeoff.sleepers");
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
            let most = standard.greatest_credit;
            let (credit, step) = if balanced {
                BalancedCredit { Q_inf: found, Q_tot: total, k_c: most }.step()
            } else {
                UnbalancedCredit { Q_inf: found, Q_tot: total, k_c: most }.step()
            };
            let step = step
                .fact(BalancedCredit::Q_inf, &home, "airtightness.infiltration")
                .fact(BalancedCredit::Q_tot, &home, "ventilation.total_rate")
                .published(BalancedCredit::k_c, source());
            (credit, basis.step(step).assuming("a detached home: the whole enclosure faces outdoors"))
        }
        (found, totals) => {
            let why = match (found, totals) {
                (None, _) => "no credit: the infiltration is not known",
                (_, None) => "no credit: the kind of system is not known",
                _ => "no credit: the home's leakage has not been measured",
            };
            let none = Flow::from_si(0.0);
            (none, basis.step(Step::new("Q_c = 0").result(Term::new("Q_c", "credit", none, Units::FLOW))).assuming(why))
        }
    };
    findings.fact(&home, &facts::INFILTRATION_CREDIT, credit, basis);
    let (required, step) = Required { Q_tot: total, Q_c: credit }.step();
    let step = step.fact(Required::Q_tot, &home, "ventilation.total_rate").fact(
        Required::Q_c,
        &home,
        "ventilation.infiltration_credit",
    );
    let basis = Basis::new("whole-dwelling rate less the credit", STANDARD).provenance("from memory, high").step(step);
    findings.fact(&home, &facts::REQUIRED_FLOW, required, basis);
    Ok(required)
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
    let (rate, step) = code_rate(code, floor, bedrooms, reduced).step();
    let source = || code.source.clone();
    let step = step
        .published(CodeRate::q_A, source())
        .published(CodeRate::q_b, source())
        .fact(CodeRate::A, &home, "takeoff.floor_area")
        .fact(CodeRate::N_br, &home, "takeoff.bedrooms")
        .published(CodeRate::k, source());
    let words = match (&ducted, balanced) {
        (Ok(()), true) => {
            let off = percent(1.0 - code.reduced_to.si());
            format!("reduced by {off}: balanced, with supply to every bedroom and one more habitable room")
        }
        (Ok(()), false) => "not reduced: the system is not balanced".to_owned(),
        (Err(why), _) => format!("not reduced: {why}"),
    };
    let basis = Basis::new("whole-house rate", code.source.clone()).provenance(code.provenance.clone());
    Ok((rate, basis.step(step).assuming(words)))
}

/// What these units bring by the code's factors for intermittent fans.
fn delivered_by_code(
    home: &Home,
    rates: &Rates,
    services: &[Service<'_>],
    counts: &dyn Fn(&Service<'_>) -> bool,
) -> Result<(Flow, Basis), Lack> {
    named(home)?;
    let run_time = &rates.code.as_ref().map_err(Clone::clone)?.run_time;
    let (mut supplies, mut exhausts, mut factors, mut units) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for service in services.iter().filter(|service| !service.on_demand() && counts(service)) {
        let (s, e) = service.design.clone()?;
        let share = service.throttle(home)?;
        supplies.push(s * share);
        exhausts.push(e * share);
        factors.push(run_time.factor(service.run_share()).unwrap_or(f64::INFINITY));
        units.push(service);
    }
    let (flow, step) = DeliveredByCode { S_u: &supplies, E_u: &exhausts, k_u: &factors }.step();
    let step = step
        .each(DeliveredByCode::S_u, &units, |term, unit| of_unit(term, unit))
        .each(DeliveredByCode::E_u, &units, |term, unit| of_unit(term, unit))
        .each(DeliveredByCode::k_u, &units, |term, _| term.published(run_time.source.clone()));
    let basis = Basis::new("larger of supply and exhaust, divided by the factor for run time", run_time.source.clone())
        .provenance(run_time.provenance.clone())
        .step(step)
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
            let (margin, step) = Margin { Q: has, Q_fan: needs }.step();
            let step = step.fact(Margin::Q, &home, delivered.0.name.clone()).fact(
                Margin::Q_fan,
                &home,
                required.0.name.clone(),
            );
            let basis = Basis::new("delivered less required", "difference").step(step);
            findings.fact(&home, definition, margin, basis);
        }
        (has, _) => {
            let lacking = if has.is_none() { delivered.0 } else { required.0 };
            Lack::new(format!("{} is not known", lacking.name)).write(&home, &[definition], findings);
        }
    }
}
