//! Printed equations against an evaluator of another hand, `tests/reference/equations.py`: every step of the three
//! examples with its values in the units shown, in SI and in inch-pounds, and every equation of the catalogue with numbers
//! drawn at random. Without Python that part passes and says that it was left out.

use mateline_model::quantity::{Ratio, UnitSystem, unit};
use mateline_model::{Equation, Step, StepKind, Term, Value};
use mateline_tests::{check_file, example, root};
use mateline_ventilation::rates::UnbalancedCredit;
use serde_json::json;
use std::collections::BTreeSet;
use std::io::Write;
use std::process::{Command, Stdio};

const SYSTEMS: [(UnitSystem, &str); 2] = [(UnitSystem::Si, "SI"), (UnitSystem::Ip, "inch-pounds")];

/// A step as the evaluator reads it.
fn exported(step: &Step, at: &str) -> Vec<String> {
    let of = |(system, name): (UnitSystem, &str)| {
        let term = |term: &Term| {
            let (shown, _) = term.units.of(system);
            let number = match &term.value {
                Value::Number(quantity) if shown.is_empty() => Some(quantity.si),
                Value::Number(quantity) => {
                    Some(unit(shown).unwrap_or_else(|| panic!("{at}: {shown}")).of_si(quantity.si))
                }
                _ => None,
            };
            json!([term.symbol, number.map(|number| format!("{number:e}")), shown])
        };
        let result = step.result.as_ref().unwrap_or_else(|| panic!("{at}: '{}' has no result", step.equation));
        json!({
            "at": format!("{at}, {name}"),
            "equation": step.equation,
            "terms": step.terms.iter().map(term).collect::<Vec<_>>(),
            "result": term(result),
        })
        .to_string()
    };
    SYSTEMS.into_iter().map(of).collect()
}

/// What the evaluator says of these lines, one for each that does not hold; `None` without Python.
fn evaluated(lines: &[String]) -> Option<Vec<String>> {
    let script = root().join("tests/reference/equations.py");
    let started = Command::new("python3").arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut child) = started else {
        println!("left out: printed equations against another evaluator (Python is not installed)");
        return None;
    };
    // The evaluator answers while it reads: what it says must not fill the pipe before it has read all.
    let (mut pipe, input) = (child.stdin.take().unwrap(), lines.join("\n") + "\n");
    let writer = std::thread::spawn(move || pipe.write_all(input.as_bytes()).unwrap());
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let mut said: Vec<String> = said.lines().map(str::to_owned).collect();
    assert_eq!(said.pop(), Some(format!("worked out {}", lines.len())), "{}", output.status);
    Some(said)
}

fn hold(lines: &[String]) {
    if let Some(said) = evaluated(lines) {
        assert!(said.is_empty(), "{} of {} do not hold:\n{}", said.len(), lines.len(), said.join("\n"));
    }
}

/// Steps of all plugins, one after another.
#[test]
fn every_printed_equation_holds() {
    let (mut lines, mut texts) = (BTreeSet::new(), BTreeSet::new());
    for name in ["heron-lane", "willow-pair", "sparrow-court", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        for fact in report.facts.iter() {
            for step in fact.basis.steps.iter().filter(|step| step.kind == StepKind::Equation) {
                texts.insert(step.equation.to_string());
                lines.extend(exported(step, &format!("{name}, {} of {}", fact.quantity, fact.subject)));
            }
        }
    }
    assert!(lines.len() > 500 && texts.len() > 30, "{} lines of {} equations", lines.len(), texts.len());
    hold(&lines.into_iter().collect::<Vec<_>>());
}

/// Numbers between 1/4 and 4, the same in every run.
fn drawn(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let share = (state >> 11) as f64 / (1_u64 << 53) as f64;
        mateline_model::portable::pow(4.0, 2.0 * share - 1.0)
    }
}

#[test]
fn every_equation_of_the_catalogue_holds_for_any_numbers() {
    let (mut lines, mut names) = (Vec::new(), BTreeSet::new());
    for (place, equation) in mateline_plugins::equations().into_iter().enumerate() {
        let Equation { name, text, about, tried, .. } = equation;
        assert!(about.contains("Source"), "{name} names no source: {about}");
        names.insert(name);
        let Some(tried) = tried else { continue };
        let mut finite = 0;
        for turn in 0..40 {
            let step = tried(&mut drawn(1_000 * place as u64 + turn));
            let result = step.result.as_ref().and_then(|term| term.value.number());
            if finite < 10 && result.is_some_and(|quantity| quantity.si.is_finite()) {
                finite += 1;
                lines.extend(exported(&step, name));
            }
        }
        assert!(finite > 0, "{name} gives no number: {text}");
    }
    assert!(names.len() > 30, "{names:?}");
    hold(&lines);
}

/// The evaluator finds what is wrong: a coefficient without its unit, a symbol without a term, a term that is not used.
#[test]
fn an_equation_that_does_not_hold_is_found() {
    let credit = UnbalancedCredit {
        Q_inf: "30 cfm".parse().unwrap(),
        Q_tot: "100 cfm".parse().unwrap(),
        k_c: Ratio::from_si(0.5),
    };
    let (_, sound) = credit.step();
    let with = |text: &'static str| Step { equation: text.into(), ..sound.clone() };
    let wrong = [
        ("Q_c = min(Q_inf, k_c Q_tot)", "on the left"),
        ("Q_c = min(Q_inf²/Q_tot + 1[cfm], k_c Q_tot)", "on the left"),
        ("Q_c = 0.3 (Q_inf²/Q_tot, k_c Q_tot)", "cannot be worked out"),
        ("Q_c = min(Q_inf x/Q_tot, k_c Q_tot)", "no term"),
        ("Q_c = Q_inf²/Q_tot", "not in it: k_c"),
        ("credit", "not in it"),
    ];
    hold(&exported(&sound, "sound"));
    for (text, found) in wrong {
        let Some(said) = evaluated(&exported(&with(text), "wrong")) else { return };
        assert!(said.len() == 2 && said.iter().all(|line| line.contains(found)), "{text}: {said:?}");
    }
}
