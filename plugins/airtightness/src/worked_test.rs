//! The worked calculation of a blower-door test, step by step.

use crate::air::{DryAir, dry_air};
use crate::blower_door::{BlowerDoor, Set};
use crate::conditions::{BlownOut, Direction, DrawnIn, Referred, ReferredE779};
use crate::facts::{COEFFICIENT, PRESSURE};
use crate::outcome::{MOST_TERMS, plain};
use crate::power_law::{TEST_PRESSURE, Through, USUAL_EXPONENT};
use mateline_equation::equation;
use mateline_model::quantity::{Flow, Units};
use mateline_model::{Basis, Step, Subject, Term};

equation! {
    /// Flow at 50 Pa at the reference state. Source: ISO 9972:2015 (from memory).
    pub(crate) AtFifty = "q50 = C_L (Δp/1[Pa])^n" {
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        C_L: Flow "coefficient at the reference state" [COEFFICIENT],
        Δp: Pressure "test pressure" [PRESSURE],
        n: f64 "exponent" [Units::plain(4)],
    }

    /// The same by the American standard. Source: ASTM E779-19 (from memory).
    pub(crate) AtFiftyE779 = "q50 = C0 (Δp/1[Pa])^n" {
        q50: Flow "flow at 50 Pa" [Units::HOURLY_FLOW],
        C0: Flow "coefficient at the reference state" [COEFFICIENT],
        Δp: Pressure "test pressure" [PRESSURE],
        n: f64 "exponent" [Units::plain(4)],
    }
}

/// The calculation by ISO 9972, up to a result.
pub(crate) fn basis(subject: &Subject, test: &BlowerDoor, result: Term) -> Basis {
    let source = "ISO 9972:2015; ELA: ASTM E779-19, EqLA: CAN/CGSB-149.10";
    let last = |set: &Set| {
        let (referred, step) = test.conditions.iso_9972(set.direction, set.curve).step();
        let step = step.meaning(Referred::ρ, leaking(set));
        (step, AtFifty { C_L: referred, Δp: TEST_PRESSURE, n: set.curve.n }.step())
    };
    worked(subject, test, source, &last, result)
}

/// The calculation by ASTM E779, up to a result.
pub(crate) fn basis_e779(subject: &Subject, test: &BlowerDoor, result: Term) -> Basis {
    let last = |set: &Set| {
        let (referred, step) = test.conditions.astm_e779(set.direction, set.curve).step();
        let step = step.meaning(ReferredE779::ρ, leaking(set));
        (step, AtFiftyE779 { C0: referred, Δp: TEST_PRESSURE, n: set.curve.n }.step())
    };
    let basis = worked(subject, test, "ASTM E779-19", &last, result);
    basis.assuming(
        "density and viscosity are those of the air in the leaks: outdoor air when depressurising, else indoor",
    )
}

fn leaking(set: &Set) -> &'static str {
    match set.direction {
        Direction::Depressurised => "density of the air in the leaks: outdoor air",
        Direction::Pressurised => "density of the air in the leaks: indoor air",
    }
}

/// How a curve is brought to the reference state, and its flow at 50 Pa there.
type Last<'a> = dyn Fn(&Set) -> (Step, (Flow, Step)) + 'a;

fn worked(subject: &Subject, test: &BlowerDoor, source: &'static str, last: &Last<'_>, result: Term) -> Basis {
    let method = if test.is_single_point() { "single-point test" } else { "least squares of logarithms" };
    let mut basis = Basis::new(method, source).provenance("from memory");
    basis.assumptions.clone_from(&test.assumptions);
    if let Some(zero) = test.zero_flow {
        let zero = Term::new("Δp0", "mean zero-flow pressure", zero, PRESSURE).given(format!("{subject}.zero_flow"));
        basis = basis.step(Step::procedure("Δp = p − Δp0").term(zero));
    }
    for step in densities(subject, test) {
        basis = basis.step(step);
    }
    let mut mean = Step::procedure("mean of the directions");
    for set in &test.sets {
        let (referred, (flow, fifty)) = last(set);
        let meaning = format!("flow at 50 Pa, {}", set.direction.name());
        basis = basis.step(readings(subject, set)).step(line(set)).step(referred);
        basis = basis.step(fifty.meaning(AtFifty::q50, meaning.clone()));
        mean = mean.term(Term::new("q50", meaning, flow, Units::HOURLY_FLOW));
    }
    if test.is_single_point() {
        basis = basis.assuming("interval of ±10 %, a planning figure; common practice, no source");
    }
    basis.step(mean.result(result))
}

/// Density of the air on both sides.
fn densities(subject: &Subject, test: &BlowerDoor) -> [Step; 2] {
    let sides = [("indoor", test.conditions.indoor), ("outdoor", test.conditions.outdoor)];
    sides.map(|(side, temperature)| {
        let step = dry_air(test.conditions.barometer, temperature).step().1;
        let step = step.meaning(DryAir::ρ, format!("density of {side} air"));
        let step = step.meaning(DryAir::T, format!("{side} temperature"));
        step.given(DryAir::T, format!("{subject}.{side}"))
    })
}

fn readings(subject: &Subject, set: &Set) -> Step {
    let equation = match set.direction {
        Direction::Depressurised => DrawnIn::EQUATION.text,
        Direction::Pressurised => BlownOut::EQUATION.text,
    };
    let mut step = Step::procedure(format!("{}: {equation}", set.direction.name()));
    for point in set.points.iter().take(MOST_TERMS / 2) {
        let at = format!("{subject}.points.{}", point.index);
        let meaning = format!("flow through the fan at Δp = {:.1} Pa", point.pressure.si());
        step = step
            .term(Term::new("q_m", meaning, point.fan, Units::HOURLY_FLOW).given(format!("{at}.flow")))
            .term(Term::new("q", "flow through the envelope", point.envelope, Units::HOURLY_FLOW));
    }
    step
}

fn line(set: &Set) -> Step {
    match (&set.fit, set.points.first()) {
        (Some(fit), _) => Step::procedure("ln q = ln C + n ln Δp")
            .term(plain("N", "points", fit.count as f64, 0))
            .term(plain("n", "exponent: slope of the line", fit.n, 4))
            .term(plain("s_n", "standard error of n", fit.s_n, 5))
            .term(plain("s_lnC", "standard error of ln C", fit.s_ln_c, 5))
            .term(plain("t", "Student's t, 95 %, N − 2 degrees of freedom", fit.t, 3))
            .term(plain("r²", "square of the correlation coefficient", fit.r2, 5))
            .result(Term::new("C", "coefficient: the line at 1 Pa", set.curve.at_one_pascal(), COEFFICIENT)),
        (None, Some(point)) => Through { q: point.envelope, Δp: point.pressure, n: USUAL_EXPONENT }.step().1,
        (None, None) => Step::procedure("no point"),
    }
}
