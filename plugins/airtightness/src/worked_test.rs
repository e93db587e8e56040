//! The worked calculation of a blower-door test, step by step.

use crate::blower_door::{BlowerDoor, Set};
use crate::conditions::Direction;
use crate::facts;
use crate::item::PRESSURE;
use crate::outcome::{MOST_TERMS, plain};
use crate::power_law::{PowerLaw, TEST_PRESSURE, USUAL_EXPONENT};
use mateline_model::quantity::{Flow, Units};
use mateline_model::{Basis, Step, Subject, Term};

/// A coefficient: the flow at 1 Pa.
const COEFFICIENT: Units = Units::new("m³/h", 3, "cfm", 3);

/// The calculation by ISO 9972, up to a result.
pub(crate) fn basis(subject: &Subject, test: &BlowerDoor, result: Term) -> Basis {
    let source = "ISO 9972:2015; ELA: ASTM E779-19, EqLA: CAN/CGSB-149.10";
    let last = |set: &Set| {
        let ratio = match set.direction {
            Direction::Depressurised => "C_L = C (ρe/ρ0)^(1 − n)",
            Direction::Pressurised => "C_L = C (ρi/ρ0)^(1 − n)",
        };
        Step::new(ratio).result(coefficient("C_L", "coefficient at the reference state", set.iso))
    };
    worked(subject, test, source, &last, |set| set.iso, result)
}

/// The calculation by ASTM E779, up to a result.
pub(crate) fn basis_e779(subject: &Subject, test: &BlowerDoor, result: Term) -> Basis {
    let last = |set: &Set| {
        Step::new("C0 = C (μ/μ0)^(2n − 1) (ρ/ρ0)^(1 − n)").result(coefficient(
            "C0",
            "coefficient at the reference state",
            set.e779,
        ))
    };
    let basis = worked(subject, test, "ASTM E779-19", &last, |set| set.e779, result);
    basis.assuming(
        "density and viscosity are those of the air in the leaks: outdoor air when depressurising, else indoor",
    )
}

fn worked(
    subject: &Subject,
    test: &BlowerDoor,
    source: &'static str,
    reference: &dyn Fn(&Set) -> Step,
    curve: impl Fn(&Set) -> PowerLaw,
    result: Term,
) -> Basis {
    let method = if test.is_single_point() { "single-point test" } else { "least squares of logarithms" };
    let mut basis = Basis::new(method, source).provenance("from memory");
    basis.assumptions.clone_from(&test.assumptions);
    if let Some(zero) = test.zero_flow {
        let zero = Term::new("Δp0", "mean zero-flow pressure", zero, PRESSURE).given(format!("{subject}.zero_flow"));
        basis = basis.step(Step::new("Δp = p − Δp0").term(zero));
    }
    basis = basis.step(densities(subject, test));
    let mut mean = Step::new("mean of the directions");
    for set in &test.sets {
        basis = basis.step(readings(subject, set)).step(line(set)).step(reference(set));
        let flow = curve(set).flow(TEST_PRESSURE);
        let meaning = format!("flow at 50 Pa, {}", set.direction.name());
        let term = Term::new("q50", meaning, flow, facts::AIR_FLOW);
        mean = mean.term(term.clone());
        basis = basis.step(Step::new("q50 = C_L 50^n").result(term));
    }
    if test.is_single_point() {
        basis = basis.assuming("interval of ±10 %, a planning figure; common practice, no source");
    }
    basis.step(mean.result(result))
}

fn densities(subject: &Subject, test: &BlowerDoor) -> Step {
    let (indoor, outdoor) = (test.conditions.indoor_density(), test.conditions.outdoor_density());
    Step::new("ρ = p/(287.055 T)")
        .term(Term::new("p", "barometric pressure", test.conditions.barometer, Units::new("Pa", 0, "Pa", 0)))
        .term(
            Term::new("Ti", "indoor temperature", test.conditions.indoor, TEMPERATURE)
                .given(format!("{subject}.indoor")),
        )
        .term(
            Term::new("Te", "outdoor temperature", test.conditions.outdoor, TEMPERATURE)
                .given(format!("{subject}.outdoor")),
        )
        .term(Term::new("ρi", "density of indoor air", indoor, facts::AIR_DENSITY))
        .result(Term::new("ρe", "density of outdoor air", outdoor, facts::AIR_DENSITY))
}

const TEMPERATURE: Units = Units::new("°C", 1, "°F", 1);

fn readings(subject: &Subject, set: &Set) -> Step {
    let mut step = Step::new(match set.direction {
        Direction::Depressurised => "depressurisation: q = q_m ρi/ρe",
        Direction::Pressurised => "pressurisation: q = q_m ρe/ρi",
    });
    for point in set.points.iter().take(MOST_TERMS / 2) {
        let at = format!("{subject}.points.{}", point.index);
        let meaning = format!("flow through the fan at Δp = {:.1} Pa", point.pressure.si());
        step = step
            .term(Term::new("q_m", meaning, point.fan, facts::AIR_FLOW).given(format!("{at}.flow")))
            .term(Term::new("q", "flow through the envelope", point.envelope, facts::AIR_FLOW));
    }
    step
}

fn line(set: &Set) -> Step {
    let Some(fit) = &set.fit else {
        let step = Step::new("C = q/Δp^n").term(plain("n", "exponent, assumed", USUAL_EXPONENT, 2));
        return match set.points.first() {
            Some(point) => {
                let curve = PowerLaw::through(point.envelope, point.pressure, USUAL_EXPONENT);
                step.result(coefficient("C", "coefficient", curve))
            }
            None => step,
        };
    };
    Step::new("ln q = ln C + n ln Δp")
        .term(plain("N", "points", fit.count as f64, 0))
        .term(plain("n", "exponent: slope of the line", fit.n, 4))
        .term(plain("s_n", "standard error of n", fit.s_n, 5))
        .term(plain("s_lnC", "standard error of ln C", fit.s_ln_c, 5))
        .term(plain("t", "Student's t, 95 %, N − 2 degrees of freedom", fit.t, 3))
        .term(plain("r²", "square of the correlation coefficient", fit.r2, 5))
        .result(coefficient("C", "coefficient: the line at 1 Pa", fit.curve()))
}

fn coefficient(symbol: &'static str, meaning: &'static str, curve: PowerLaw) -> Term {
    Term::new(symbol, meaning, Flow::from_si(curve.c), COEFFICIENT)
}
