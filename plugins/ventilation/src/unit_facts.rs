//! Facts of units and their ducts: pressure, operating point, velocity, flow per power.

use crate::duct_runs::{Carried, Ducts, Path};
use crate::facts::{self, DUCT_PRESSURE, POWER, SPECIFIC_POWER_UNITS, VELOCITY_UNITS};
use crate::friction::{Colebrook, DENSITY, Drop, PerLength, VISCOSITY, Velocity};
use crate::operating_point::Meeting;
use crate::service::{Service, describe, larger};
use crate::settings::heard_from;
use mateline_equation::equation;
use mateline_model::home::{DuctSide, Home, VentilationKind};
use mateline_model::quantity::{Flow, FlowPerArea, Length, Pressure, Quantity, UnitSystem, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const SOURCE: &str = "Darcy-Weisbach and Colebrook, ASHRAE Fundamentals, duct design";
/// Terms that a step lists at most.
const MOST_TERMS: usize = 40;

equation! {
    /// Pressure drop of a run of ducts. Source: addition.
    pub(crate) RunOfDucts = "Δp = Σ Δp_i" {
        Δp: Pressure "worst run" [DUCT_PRESSURE],
        Δp_i: [Pressure] "a duct" [DUCT_PRESSURE],
    }

    /// Pressure drop of a run of ducts with a filter. Source: addition.
    pub(crate) FilteredRun = "Δp = Σ Δp_i + Δp_f" {
        Δp: Pressure "worst run" [DUCT_PRESSURE],
        Δp_i: [Pressure] "a duct" [DUCT_PRESSURE],
        Δp_f: Pressure "filter" [DUCT_PRESSURE],
    }

    /// Length of a run of ducts. Source: addition.
    pub(crate) RunLength = "L = Σ L_i" {
        L: Length "run" [Units::LENGTH],
        L_i: [Length] "a duct" [Units::LENGTH],
    }

    /// What a unit moves whose ducts are known. Source: common practice, no source.
    pub(crate) Throttled = "Q = min(Q_d, Q_op)" {
        Q: Flow "delivered" [Units::FLOW],
        Q_d: Flow "design flow" [Units::FLOW],
        Q_op: Flow "flow where fan and ducts meet" [Units::FLOW],
    }

    /// What a unit moves whose fan or ducts are not known to hinder it. Source: common practice, no source.
    pub(crate) AsDesigned = "Q = Q_d" {
        Q: Flow "delivered" [Units::FLOW],
        Q_d: Flow "design flow" [Units::FLOW],
    }

    /// Air delivered per electrical power. Source: HVI 916 and CSA C439 sense of the ratio (from memory).
    pub(crate) Efficacy = "e = Q/P" {
        e: FanEfficacy "flow per power" [Units::FAN_EFFICACY],
        Q: Flow "delivered" [Units::FLOW],
        P: Power "electrical power" [POWER],
    }

    /// Electrical power per air delivered. Source: definition.
    pub(crate) SpecificPower = "p = 1/e" {
        p: Pressure "power per flow" [SPECIFIC_POWER_UNITS],
        e: FanEfficacy "flow per power" [Units::FAN_EFFICACY],
    }
}

/// Facts of every unit.
pub(crate) fn report(request: &Request<'_>, services: &[Service<'_>], findings: &mut Findings) {
    for service in services {
        match (&service.design, &service.ducts) {
            (Ok((supply, exhaust)), Some(ducts)) => {
                let design = larger(*supply, *exhaust);
                report_ducts(request, service, ducts, design, findings);
                report_flow(request.home, service, design, findings);
            }
            (Err(lack), _) => {
                let owed = [
                    &facts::UNIT_FLOW,
                    &facts::EFFICACY,
                    &facts::SPECIFIC_POWER,
                    &facts::PRESSURE_DROP,
                    &facts::OPERATING_FLOW,
                ];
                lack.write(&service.subject, &owed, findings);
            }
            _ => {}
        }
    }
}

fn report_ducts(
    request: &Request<'_>,
    service: &Service<'_>,
    ducts: &Ducts<'_>,
    design: Flow,
    findings: &mut Findings,
) {
    let home = request.home;
    let subject = &service.subject;
    for carried in &ducts.carried {
        report_duct(service, carried, findings);
    }
    let Some((path, drop)) = ducts.worst() else {
        let owed = [
            &facts::PRESSURE_DROP,
            &facts::WORST_RUN,
            &facts::VELOCITY,
            &facts::SOUND_CAUTION,
            &facts::SHORTEST_RUN,
            &facts::LONGEST_RUN,
        ];
        Lack::at(format!("{subject} gives no ducts"), subject.as_str()).write(subject, &owed, findings);
        let owed = [&facts::OPERATING_FLOW, &facts::OPERATING_PRESSURE];
        Lack::at(format!("{subject} gives no ducts"), subject.as_str()).write(subject, &owed, findings);
        return;
    };
    let basis = run_basis(service, ducts, path);
    let words = ducts.along(path).iter().map(|carried| carried.id.to_string()).collect::<Vec<_>>().join(" ← ");
    findings.fact_at(subject, &facts::PRESSURE_DROP, drop, basis.clone(), Pointer::new(format!("{subject}.ducts")));
    findings.text(subject, &facts::WORST_RUN, words, basis);
    report_velocity(request, service, ducts, findings);
    report_runs(service, ducts, findings);
    let owed = [&facts::OPERATING_FLOW, &facts::OPERATING_PRESSURE];
    match service.meeting {
        Some(Meeting::At(flow, pressure)) => {
            let step = Step::procedure("p_fan(Q) = max Δp(Q)")
                .term(
                    Term::new("n", "points of the fan curve", service.unit.fan_curve.len() as f64, Units::plain(0))
                        .given(format!("{subject}.fan_curve")),
                )
                .term(
                    Term::new("Δp_d", "worst run at design flow", drop, DUCT_PRESSURE)
                        .fact(subject, facts::PRESSURE_DROP.name.clone()),
                )
                .term(Term::new("Q_d", "design flow", design, Units::FLOW))
                .term(Term::new("p", "pressure where they meet", pressure, DUCT_PRESSURE))
                .result(Term::new("Q", "flow where they meet", flow, Units::FLOW));
            let basis = Basis::new("fan curve against ducts, bisection", "common practice, no source")
                .step(step)
                .assuming("the curve is what the unit gives outside its own case, joined by straight lines")
                .assuming("every duct's flow changes in step with the unit's; no damper is moved");
            findings.fact(subject, &facts::OPERATING_FLOW, flow, basis.clone());
            findings.fact(subject, &facts::OPERATING_PRESSURE, pressure, basis);
        }
        Some(meeting) => {
            Lack::at(describe(home, meeting), format!("{subject}.fan_curve")).write(subject, &owed, findings);
        }
        None => {
            let because = match service.unit.fan_curve.len() {
                0 => format!("{subject} has no fan curve"),
                1 => format!("the fan curve of {subject} has one point"),
                _ => format!("{subject} moves no air"),
            };
            Lack::at(because, subject.as_str()).write(subject, &owed, findings);
        }
    }
}

fn run_basis(service: &Service<'_>, ducts: &Ducts<'_>, path: &Path) -> Basis {
    let along = ducts.along(path);
    let (listed, rest) = along.split_at(along.len().min(MOST_TERMS));
    let mut drops: Vec<Pressure> = listed.iter().map(|carried| carried.drop_at(1.0)).collect();
    if !rest.is_empty() {
        drops.push(rest.iter().map(|carried| carried.drop_at(1.0)).sum());
    }
    let name = |term: Term, place: usize| match listed.get(place) {
        Some(carried) => Term { meaning: carried.id.to_string(), ..term }
            .fact(&duct_subject(service, carried), facts::PRESSURE_DROP.name.clone()),
        None => Term { meaning: format!("{} more", rest.len()), ..term },
    };
    let filter = ducts.filter_on(path.side);
    let mut basis = Basis::new("pressure drop along the run that takes most", SOURCE).provenance("from memory");
    let step = if filter.si() > 0.0 {
        basis =
            basis.assuming("the filter's pressure drop grows with the square of the flow (common practice, no source)");
        let step = FilteredRun { Δp_i: &drops, Δp_f: filter }.step().1;
        step.given(FilteredRun::Δp_f, format!("{}.filter_drop", service.subject))
    } else {
        if path.side == DuctSide::Supply {
            basis = basis.assuming("no filter_drop is given: the filter is taken to be within the unit's own rating");
        }
        RunOfDucts { Δp_i: &drops }.step().1
    };
    basis.step(step.each(RunOfDucts::Δp_i, 0.., name)).assuming(
        "a duct to no room that nothing branches from counts in every run; the sides of a balanced unit stand apart",
    )
}

/// How far the air goes: the shortest run of all, and the longest of those that supply.
fn report_runs(service: &Service<'_>, ducts: &Ducts<'_>, findings: &mut Findings) {
    let by_length = |a: &&Path, b: &&Path| ducts.length(a).si().total_cmp(&ducts.length(b).si());
    let shortest = ducts.paths.iter().min_by(by_length);
    let longest = ducts.paths.iter().filter(|path| path.side == DuctSide::Supply).max_by(by_length);
    for (definition, path, words) in
        [(&facts::SHORTEST_RUN, shortest, "shortest run"), (&facts::LONGEST_RUN, longest, "longest supply run")]
    {
        let Some(path) = path else {
            let because = format!("{} gives no supply ducts", service.subject);
            Lack::at(because, service.subject.as_str()).write(&service.subject, &[definition], findings);
            continue;
        };
        let along = ducts.along(path);
        let lengths: Vec<Length> = along.iter().map(|carried| carried.duct.length).collect();
        let (length, step) = RunLength { L_i: &lengths }.step();
        let step = step.meaning(RunLength::L, words).each(RunLength::L_i, along, |term, carried| {
            let path = format!("{}.ducts.{}.length", service.subject, carried.id);
            Term { meaning: carried.id.to_string(), ..term }.given(path)
        });
        let basis = Basis::new("lengths along the run", "addition").step(step);
        findings.fact(&service.subject, definition, length, basis);
    }
}

fn duct_subject(service: &Service<'_>, carried: &Carried<'_>) -> Subject {
    Subject::element("ducts", format!("{}-{}", service.id, carried.id))
}

fn report_duct(service: &Service<'_>, carried: &Carried<'_>, findings: &mut Findings) {
    let subject = duct_subject(service, carried);
    let path = format!("{}.ducts.{}", service.subject, carried.id);
    let run = carried.run();
    let (speed, velocity) = run.velocity(carried.flow).step();
    let mut velocity = velocity
        .meaning(Velocity::Q, format!("flow, {}", carried.flow_from))
        .given(Velocity::D, format!("{path}.diameter"));
    if carried.duct.flow.is_some() {
        velocity = velocity.given(Velocity::Q, format!("{path}.flow"));
    }
    let basis = Basis::new("mean velocity", "continuity").step(velocity.clone());
    findings.fact_at(&subject, &facts::VELOCITY, speed, basis, Pointer::new(path.clone()));

    let mut friction = run.friction_step(carried.flow);
    if friction.terms.iter().any(|term| term.symbol == Colebrook::ε.0) {
        friction = friction.given(Colebrook::D, format!("{path}.diameter"));
        friction = match carried.duct.roughness {
            Some(_) => friction.given(Colebrook::ε, format!("{path}.roughness")),
            None => friction.published(Colebrook::ε, "smooth metal, ASHRAE Fundamentals, looked up"),
        };
    }
    let (dynamic, pressure) = run.velocity_pressure(carried.flow).step();
    let (drop, mut step) = run.drop(carried.flow).step();
    step = step.given(Drop::L, format!("{path}.length")).given(Drop::D, format!("{path}.diameter"));
    if carried.duct.fittings.is_some() {
        step = step.given(Drop::C, format!("{path}.fittings"));
    }
    let (rate, per_length) = PerLength { f: run.friction_factor(carried.flow), p_v: dynamic, D: run.diameter }.step();
    let mut basis = Basis::new("Darcy-Weisbach with Colebrook's friction factor", SOURCE)
        .provenance("from memory")
        .step(velocity)
        .step(run.reynolds(carried.flow).step().1)
        .step(friction)
        .step(pressure)
        .step(step)
        .assuming(format!("standard air: {DENSITY:.3} kg/m³, {VISCOSITY:.3e} m²/s"));
    if carried.duct.fittings.is_none() {
        basis = basis.assuming("no fittings are given and none are counted");
    }
    findings.fact_at(&subject, &facts::PRESSURE_DROP, drop, basis, Pointer::new(path.clone()));
    let rate = Quantity::new(rate, facts::FRICTION_RATE.dimension());
    let step = per_length.given(PerLength::D, format!("{path}.diameter"));
    findings.fact(&subject, &facts::FRICTION_RATE, rate, Basis::new("friction per length", SOURCE).step(step));
}

fn report_velocity(request: &Request<'_>, service: &Service<'_>, ducts: &Ducts<'_>, findings: &mut Findings) {
    let subject = &service.subject;
    let speed = |carried: &Carried<'_>| carried.run().velocity(carried.flow).value();
    let mut fastest: Option<&Carried<'_>> = None;
    for carried in &ducts.carried {
        if fastest.is_none_or(|fastest| speed(carried) > speed(fastest)) {
            fastest = Some(carried);
        }
    }
    let Some(fastest) = fastest else { return };
    let of = duct_subject(service, fastest);
    let most = speed(fastest);
    let term = Term::new("V", fastest.id.to_string(), most, VELOCITY_UNITS).fact(&of, facts::VELOCITY.name.clone());
    let basis =
        Basis::new("greatest of the ducts", "common practice, no source").step(Step::procedure("max V_i").term(term));
    findings.fact(subject, &facts::VELOCITY, most, basis.clone());
    let heard = match heard_from(request.settings) {
        Ok(velocity) => velocity,
        Err(lack) => return lack.write(subject, &[&facts::SOUND_CAUTION], findings),
    };
    let shown = |velocity: FlowPerArea| VELOCITY_UNITS.show(velocity.into(), request.home.units);
    let loud = ducts.carried.iter().filter(|carried| speed(carried) > heard);
    let loud: Vec<String> = loud.map(|carried| format!("{} at {}", carried.id, shown(speed(carried)))).collect();
    let words = if loud.is_empty() {
        format!("no duct is faster than {}", shown(heard))
    } else {
        format!("faster than {}, where air is often heard: {}", shown(heard), loud.join(", "))
    };
    let basis = basis.assuming(format!(
        "{} is where air in a branch begins to be heard, and its noise grows with about the fifth power of velocity (common practice, no source)",
        VELOCITY_UNITS.show(heard.into(), UnitSystem::Ip)
    ));
    findings.text(subject, &facts::SOUND_CAUTION, words, basis);
}

fn report_flow(home: &Home, service: &Service<'_>, design: Flow, findings: &mut Findings) {
    let subject = &service.subject;
    let share = match service.throttle(home) {
        Ok(share) => share,
        Err(lack) => {
            lack.write(subject, &[&facts::UNIT_FLOW, &facts::EFFICACY, &facts::SPECIFIC_POWER], findings);
            return;
        }
    };
    let flow = design * share;
    let mut basis = Basis::new("design flow, or what the ducts let through", "common practice, no source");
    let step = match service.meeting {
        Some(Meeting::At(through, _)) => {
            basis = basis.assuming("a fan that could move more is throttled to its design flow");
            let step = Throttled { Q_d: design, Q_op: through }.step().1;
            step.fact(Throttled::Q_op, subject, facts::OPERATING_FLOW.name.clone())
        }
        Some(meeting) => {
            basis = basis.assuming(format!("{}; it reaches its design flow", describe(home, meeting)));
            AsDesigned { Q_d: design }.step().1
        }
        None => {
            basis = basis.assuming("no fan curve or no ducts are given: the design flow is taken as delivered");
            AsDesigned { Q_d: design }.step().1
        }
    };
    findings.fact(subject, &facts::UNIT_FLOW, flow, basis.step(step.given(Throttled::Q_d, subject.as_str())));
    report_power(service, flow, findings);
}

fn report_power(service: &Service<'_>, flow: Flow, findings: &mut Findings) {
    let subject = &service.subject;
    let owed = [&facts::EFFICACY, &facts::SPECIFIC_POWER];
    let one_way = if service.unit.kind == VentilationKind::ExhaustFan { "exhaust" } else { "supply" };
    let (efficacy, step, basis) = match (service.unit.power, service.unit.efficacy) {
        (Some(power), rated) if power.si() > 0.0 && flow.si() > 0.0 => {
            let (efficacy, step) = Efficacy { Q: flow, P: power }.step();
            let step = step
                .fact(Efficacy::Q, subject, facts::UNIT_FLOW.name.clone())
                .given(Efficacy::P, format!("{subject}.power"));
            let mut basis =
                Basis::new("flow over power", "HVI 916 and CSA C439 sense of the ratio").provenance("from memory");
            if let Some(rated) = rated {
                let shown = facts::EFFICACY.units.show(rated.into(), UnitSystem::Ip);
                basis = basis.assuming(format!("rated at {shown}"));
            }
            (efficacy, step, basis)
        }
        (_, Some(rated)) if rated.si() > 0.0 => {
            let term = Term::new("e", "rated flow per power", rated, facts::EFFICACY.units.clone());
            let step = Step::procedure("e").term(term.given(format!("{subject}.efficacy"))).result(Term::new(
                "e",
                "flow per power",
                rated,
                Units::FAN_EFFICACY,
            ));
            (rated, step, Basis::new("as given", "the home"))
        }
        _ => {
            let because = format!("{subject} has neither power nor efficacy");
            Lack::at(because, subject.as_str()).write(subject, &owed, findings);
            return;
        }
    };
    let basis = basis.assuming(format!("the power of the whole unit over one {one_way} flow"));
    let at = Pointer::new(subject.as_str());
    findings.fact_at(subject, &facts::EFFICACY, efficacy, basis.clone().step(step), at);
    let (specific, step) = SpecificPower { e: efficacy }.step();
    let step = step.fact(SpecificPower::e, subject, facts::EFFICACY.name.clone());
    findings.fact(subject, &facts::SPECIFIC_POWER, specific, basis.step(step));
}
