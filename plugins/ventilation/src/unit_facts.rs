//! Facts of units and their ducts: pressure, operating point, velocity, flow per power.

use crate::duct_runs::{Carried, Ducts, Path};
use crate::facts::{self, DUCT_PRESSURE, FLOW, POWER, VELOCITY_UNITS};
use crate::friction::{DENSITY, VISCOSITY, friction_factor, velocity, velocity_pressure};
use crate::lack::Lack;
use crate::operating_point::Meeting;
use crate::service::{Service, describe, larger};
use mateline_model::home::{DuctSide, Home, VentilationKind};
use mateline_model::quantity::{Dimension, Flow, Pressure, Quantity, UnitSystem, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

const SOURCE: &str = "Darcy-Weisbach and Colebrook, ASHRAE Fundamentals, duct design";
/// Terms that a step lists at most.
const MOST_TERMS: usize = 40;
/// Velocity (m/s) from which air is often heard at the end of a branch: 600 ft/min (common practice, no source).
const HEARD: f64 = 600.0 * 0.3048 / 60.0;

/// Facts of every unit.
pub(crate) fn report(request: &Request<'_>, services: &[Service<'_>], findings: &mut Findings) {
    for service in services {
        match (&service.design, &service.ducts) {
            (Ok((supply, exhaust)), Some(ducts)) => {
                let design = larger(*supply, *exhaust);
                report_ducts(request.home, service, ducts, design, findings);
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

fn report_ducts(home: &Home, service: &Service<'_>, ducts: &Ducts<'_>, design: Flow, findings: &mut Findings) {
    let subject = &service.subject;
    for carried in &ducts.carried {
        report_duct(service, carried, findings);
    }
    let Some((path, drop)) = ducts.worst() else {
        let owed = [&facts::PRESSURE_DROP, &facts::WORST_RUN, &facts::VELOCITY, &facts::SOUND_CAUTION];
        Lack::at(format!("{subject} gives no ducts"), subject.as_str()).write(subject, &owed, findings);
        let owed = [&facts::OPERATING_FLOW, &facts::OPERATING_PRESSURE];
        Lack::at(format!("{subject} gives no ducts"), subject.as_str()).write(subject, &owed, findings);
        return;
    };
    let basis = run_basis(service, ducts, path, drop);
    let words = ducts.along(path).iter().map(|carried| carried.id.to_string()).collect::<Vec<_>>().join(" ← ");
    findings.fact_at(subject, &facts::PRESSURE_DROP, drop, basis.clone(), Pointer::new(format!("{subject}.ducts")));
    findings.text(subject, &facts::WORST_RUN, words, basis);
    report_velocity(home, service, ducts, findings);
    let owed = [&facts::OPERATING_FLOW, &facts::OPERATING_PRESSURE];
    match service.meeting {
        Some(Meeting::At(flow, pressure)) => {
            let step = Step::new("p_fan(Q) = max Δp(Q)")
                .term(
                    Term::new("n", "points of the fan curve", service.unit.fan_curve.len() as f64, Units::plain(0))
                        .given(format!("{subject}.fan_curve")),
                )
                .term(
                    Term::new("Δp_d", "worst run at design flow", drop, DUCT_PRESSURE)
                        .fact(subject, facts::PRESSURE_DROP.name.clone()),
                )
                .term(Term::new("Q_d", "design flow", design, FLOW))
                .term(Term::new("p", "pressure where they meet", pressure, DUCT_PRESSURE))
                .result(Term::new("Q", "flow where they meet", flow, FLOW));
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

fn run_basis(service: &Service<'_>, ducts: &Ducts<'_>, path: &Path, drop: Pressure) -> Basis {
    let mut step = Step::new("Δp = Σ Δp_i + Δp_f");
    for carried in ducts.along(path).into_iter().take(MOST_TERMS) {
        let duct = duct_subject(service, carried);
        step = step.term(
            Term::new("Δp_i", carried.id.to_string(), carried.drop_at(1.0), DUCT_PRESSURE)
                .fact(&duct, facts::PRESSURE_DROP.name.clone()),
        );
    }
    let filter = ducts.filter_on(path.side);
    let mut basis = Basis::new("pressure drop along the run that takes most", SOURCE).provenance("from memory");
    if filter.si() > 0.0 {
        let given = format!("{}.filter_drop", service.subject);
        step = step.term(Term::new("Δp_f", "filter", filter, DUCT_PRESSURE).given(given));
        basis =
            basis.assuming("the filter's pressure drop grows with the square of the flow (common practice, no source)");
    } else if path.side == DuctSide::Supply {
        basis = basis.assuming("no filter_drop is given: the filter is taken to be within the unit's own rating");
    }
    basis.step(step.result(Term::new("Δp", "worst run", drop, DUCT_PRESSURE))).assuming(
        "a duct to no room that nothing branches from counts in every run; the sides of a balanced unit stand apart",
    )
}

fn duct_subject(service: &Service<'_>, carried: &Carried<'_>) -> Subject {
    Subject::element("ducts", format!("{}-{}", service.id, carried.id))
}

fn report_duct(service: &Service<'_>, carried: &Carried<'_>, findings: &mut Findings) {
    let subject = duct_subject(service, carried);
    let path = format!("{}.ducts.{}", service.subject, carried.id);
    let run = carried.run();
    let speed = velocity(carried.flow, run.diameter);
    let flow_term = Term::new("Q", format!("flow, {}", carried.flow_from), carried.flow, FLOW);
    let flow_term = if carried.duct.flow.is_some() { flow_term.given(format!("{path}.flow")) } else { flow_term };
    let diameter = Term::new("D", "inside diameter", run.diameter, Units::THICKNESS).given(format!("{path}.diameter"));
    let velocity_step = Step::new("V = 4 Q/(π D²)").term(flow_term).term(diameter.clone()).result(Term::new(
        "V",
        "velocity",
        speed,
        VELOCITY_UNITS,
    ));
    let basis = Basis::new("mean velocity", "continuity").step(velocity_step.clone());
    findings.fact_at(&subject, &facts::VELOCITY, speed, basis, Pointer::new(path.clone()));

    let reynolds = run.reynolds(carried.flow);
    let factor = if reynolds > 0.0 { friction_factor(reynolds, run.roughness / run.diameter) } else { 0.0 };
    let drop = carried.drop_at(1.0);
    let dynamic = velocity_pressure(speed);
    let mut rough = Term::new("ε", "roughness", run.roughness, Units::new("mm", 3, "in", 5));
    rough = match carried.duct.roughness {
        Some(_) => rough.given(format!("{path}.roughness")),
        None => rough.published("smooth metal, ASHRAE Fundamentals, looked up"),
    };
    let fittings = Term::new("Σ C", "fittings", run.fittings, Units::plain(2));
    let fittings = if carried.duct.fittings.is_some() { fittings.given(format!("{path}.fittings")) } else { fittings };
    let factor_term = Term::new("f", "friction factor", factor, Units::plain(5));
    let mut basis = Basis::new("Darcy-Weisbach with Colebrook's friction factor", SOURCE)
        .provenance("from memory")
        .step(velocity_step)
        .step(
            Step::new("1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f))")
                .term(rough)
                .term(Term::new("Re", "Reynolds number V D/ν", reynolds, Units::plain(0)))
                .result(factor_term.clone()),
        )
        .step(
            Step::new("Δp = (f L/D + Σ C) ρ V²/2")
                .term(factor_term.clone())
                .term(Term::new("L", "length", run.length, Units::LENGTH).given(format!("{path}.length")))
                .term(diameter.clone())
                .term(fittings)
                .term(Term::new("ρ V²/2", "velocity pressure", dynamic, DUCT_PRESSURE))
                .result(Term::new("Δp", "pressure drop", drop, DUCT_PRESSURE)),
        )
        .assuming(format!("standard air: {DENSITY:.3} kg/m³, {VISCOSITY:.3e} m²/s"));
    if carried.duct.fittings.is_none() {
        basis = basis.assuming("no fittings are given and none are counted");
    }
    findings.fact_at(&subject, &facts::PRESSURE_DROP, drop, basis, Pointer::new(path));
    let rate = Quantity::new(factor / run.diameter.si() * dynamic.si(), friction_dimension());
    let step = Step::new("f ρ V²/(2 D)").term(factor_term).term(diameter).term(Term::new(
        "ρ V²/2",
        "velocity pressure",
        dynamic,
        DUCT_PRESSURE,
    ));
    findings.fact(&subject, &facts::FRICTION_RATE, rate, Basis::new("friction per length", SOURCE).step(step));
}

/// Pressure per length.
fn friction_dimension() -> Dimension {
    facts::FRICTION_RATE.dimension()
}

fn report_velocity(home: &Home, service: &Service<'_>, ducts: &Ducts<'_>, findings: &mut Findings) {
    let subject = &service.subject;
    let speed = |carried: &Carried<'_>| velocity(carried.flow, carried.duct.diameter);
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
    let basis = Basis::new("greatest of the ducts", "common practice, no source").step(Step::new("max V_i").term(term));
    findings.fact(subject, &facts::VELOCITY, most, basis.clone());
    let loud: Vec<String> = ducts
        .carried
        .iter()
        .filter(|carried| speed(carried).si() > HEARD)
        .map(|carried| format!("{} at {}", carried.id, VELOCITY_UNITS.show(speed(carried).into(), home.units)))
        .collect();
    let level = VELOCITY_UNITS.show(Quantity::new(HEARD, Dimension::VELOCITY), home.units);
    let words = if loud.is_empty() {
        format!("no duct is faster than {level}")
    } else {
        format!("faster than {level}, where air is often heard: {}", loud.join(", "))
    };
    let basis = basis.assuming(format!(
        "{} is where air in a branch begins to be heard, and its noise grows with about the fifth power of velocity (common practice, no source)",
        VELOCITY_UNITS.show(Quantity::new(HEARD, Dimension::VELOCITY), UnitSystem::Ip)
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
    let mut step =
        Step::new("Q = min(Q_d, Q_op)").term(Term::new("Q_d", "design flow", design, FLOW).given(subject.as_str()));
    let mut basis = Basis::new("design flow, or what the ducts let through", "common practice, no source");
    match service.meeting {
        Some(Meeting::At(through, _)) => {
            step = step.term(
                Term::new("Q_op", "flow where fan and ducts meet", through, FLOW)
                    .fact(subject, facts::OPERATING_FLOW.name.clone()),
            );
            basis = basis.assuming("a fan that could move more is throttled to its design flow");
        }
        Some(meeting) => basis = basis.assuming(format!("{}; it reaches its design flow", describe(home, meeting))),
        None => basis = basis.assuming("no fan curve or no ducts are given: the design flow is taken as delivered"),
    }
    findings.fact(subject, &facts::UNIT_FLOW, flow, basis.step(step.result(Term::new("Q", "delivered", flow, FLOW))));
    report_power(service, flow, findings);
}

fn report_power(service: &Service<'_>, flow: Flow, findings: &mut Findings) {
    let subject = &service.subject;
    let owed = [&facts::EFFICACY, &facts::SPECIFIC_POWER];
    let flow_term = Term::new("Q", "delivered", flow, FLOW).fact(subject, facts::UNIT_FLOW.name.clone());
    let one_way = if service.unit.kind == VentilationKind::ExhaustFan { "exhaust" } else { "supply" };
    let (efficacy, step, basis) = match (service.unit.power, service.unit.efficacy) {
        (Some(power), rated) if power.si() > 0.0 && flow.si() > 0.0 => {
            let step = Step::new("e = Q/P")
                .term(flow_term)
                .term(Term::new("P", "electrical power", power, POWER).given(format!("{subject}.power")));
            let mut basis =
                Basis::new("flow over power", "HVI 916 and CSA C439 sense of the ratio").provenance("from memory");
            if let Some(rated) = rated {
                let shown = facts::EFFICACY.units.show(rated.into(), UnitSystem::Ip);
                basis = basis.assuming(format!("rated at {shown}"));
            }
            (flow.si() / power.si(), step, basis)
        }
        (_, Some(rated)) if rated.si() > 0.0 => {
            let term = Term::new("e", "rated flow per power", rated, facts::EFFICACY.units.clone());
            let step = Step::new("e").term(term.given(format!("{subject}.efficacy")));
            (rated.si(), step, Basis::new("as given", "the home"))
        }
        _ => {
            let because = format!("{subject} has neither power nor efficacy");
            Lack::at(because, subject.as_str()).write(subject, &owed, findings);
            return;
        }
    };
    let basis = basis.assuming(format!("the power of the whole unit over one {one_way} flow"));
    let value = Quantity::new(efficacy, Dimension::FAN_EFFICACY);
    let result = Term::new("e", "flow per power", value, facts::EFFICACY.units.clone());
    findings.fact_at(
        subject,
        &facts::EFFICACY,
        value,
        basis.clone().step(step.result(result.clone())),
        Pointer::new(subject.as_str()),
    );
    let specific = Quantity::new(1.0 / efficacy, facts::SPECIFIC_POWER.dimension());
    let step = Step::new("1/e").term(result.fact(subject, facts::EFFICACY.name.clone())).result(Term::new(
        "p",
        "power per flow",
        specific,
        facts::SPECIFIC_POWER.units.clone(),
    ));
    findings.fact(subject, &facts::SPECIFIC_POWER, specific, basis.step(step));
}
