//! The expression language against values reckoned elsewhere: `tests/reference/expressions.py` makes random expressions
//! and works them out with pint (numbers and units) and with tables of three truth values.

use mateline_engine::expr::{Evaluation, Expression, Item, Kind, Lookup, Names, Scope};
use mateline_model::quantity::{Dimension, parse};
use mateline_tests::root;
use serde_json::Value;

/// The names of one case: their kind, how their value is written, and whether it is missing.
struct Table<'a>(&'a serde_json::Map<String, Value>);

impl Table<'_> {
    fn written(&self, path: &str) -> Option<(&str, &str)> {
        let entry = self.0.get(path)?;
        Some((entry["kind"].as_str().unwrap(), entry["written"].as_str().unwrap()))
    }
}

impl Names for Table<'_> {
    fn kind(&self, path: &str, _: Option<&str>) -> Result<Kind, Vec<String>> {
        match self.written(path) {
            Some(("word", _)) => Ok(Kind::Text(None)),
            Some(("flag", _)) => Ok(Kind::Flag),
            Some((_, written)) => Ok(Kind::Number(parse(written).unwrap().dimension)),
            None => Err(Vec::new()),
        }
    }
}

impl Scope for Table<'_> {
    fn look_up(&self, path: &str, _: Option<&str>) -> Lookup {
        if self.0[path]["missing"] == Value::Bool(true) {
            return Lookup::Missing(format!("{path} is missing"));
        }
        Lookup::Found(match self.written(path).unwrap() {
            ("word", written) => Item::Text(written.to_owned()),
            ("flag", written) => Item::Flag(written == "true"),
            (_, written) => Item::Number(parse(written).unwrap()),
        })
    }
}

/// What an expression comes to, in the words of the reference.
fn found(case: &Value) -> Value {
    let text = case["text"].as_str().unwrap();
    let names = Table(case["names"].as_object().unwrap());
    let expression = Expression::parse(text).unwrap_or_else(|errors| panic!("{text}: {}", errors[0]));
    if expression.check(&names).is_err() {
        return "refused".into();
    }
    match expression.evaluate(&names) {
        Evaluation::Unknown(_) => "unknown".into(),
        Evaluation::Failed(_) => "failed".into(),
        Evaluation::Known(Item::Flag(flag)) => serde_json::json!({ "flag": flag }),
        Evaluation::Known(Item::Number(quantity)) => {
            serde_json::json!({ "si": quantity.si, "dimension": exponents(quantity.dimension), "point": quantity.dimension.point })
        }
        Evaluation::Known(other) => panic!("{text}: {other:?}"),
    }
}

/// The exponents that are not zero, by name.
fn exponents(dimension: Dimension) -> serde_json::Map<String, Value> {
    let Dimension { length, mass, time, temperature, current, money, .. } = dimension;
    let all = [
        ("length", length),
        ("mass", mass),
        ("time", time),
        ("temperature", temperature),
        ("current", current),
        ("money", money),
    ];
    all.into_iter().filter(|(_, power)| *power != 0).map(|(name, power)| (name.to_owned(), power.into())).collect()
}

/// Numbers agree to a part in a thousand million: both sides add and multiply floats, in another order and with other
/// roundings of the same conversion factors. Everything else agrees exactly.
#[test]
fn random_expressions_come_to_what_another_evaluator_says() {
    let text = std::fs::read_to_string(root().join("tests/reference/expressions.json")).unwrap();
    let reference: Value = serde_json::from_str(&text).unwrap();
    let cases = reference["cases"].as_array().unwrap();
    assert!(cases.len() > 2_000, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for case in cases {
        let (expected, mut found) = (&case["result"], found(case));
        if let (Some(a), Some(b)) = (expected["si"].as_f64(), found["si"].as_f64()) {
            // A difference of two large numbers keeps their error: the terms of these sums stay below 1e5 in SI.
            if (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-4) {
                found["si"] = expected["si"].clone();
            }
        }
        if *expected != found {
            wrong.push(format!("{}\n  expected {expected}\n  found {found}", case["text"]));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), cases.len(), wrong[..wrong.len().min(20)].join("\n"));
}

/// The reference tries every outcome, and every function and sign.
#[test]
fn the_reference_tries_everything() {
    let text = std::fs::read_to_string(root().join("tests/reference/expressions.json")).unwrap();
    let reference: Value = serde_json::from_str(&text).unwrap();
    let cases = reference["cases"].as_array().unwrap();
    for outcome in ["unknown", "failed", "refused"] {
        assert!(cases.iter().any(|case| case["result"] == outcome), "no case is {outcome}");
    }
    for part in [
        " and ", " && ", " or ", " || ", "not ", "! ", " in [", "given(", "min(", "max(", "abs(", " + ", " - ", " * ",
        " / ",
    ] {
        assert!(cases.iter().any(|case| case["text"].as_str().unwrap().contains(part)), "no case has {part}");
    }
}
