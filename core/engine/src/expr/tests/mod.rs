//! Tests of the expression language, by what they show.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

mod arithmetic;
mod figures;
mod logic;
mod messages;
mod random;
mod reading;

use super::{Evaluation, Expression, ExpressionError, Item, Kind, Lookup, Names, Scope};
use mateline_model::quantity::{Dimension, Quantity, parse};

/// An invented subject: every name with its kind, and most with a value.
struct Wall;

fn number(text: &str) -> Item {
    Item::Number(parse(text).expect("a quantity"))
}

fn words(words: &[&str]) -> Kind {
    Kind::Text(Some(words.iter().map(|word| (*word).to_owned()).collect()))
}

fn list(items: &[&str]) -> Item {
    Item::List(items.iter().map(|item| Item::Text((*item).to_owned())).collect())
}

/// Name, kind, and what a look-up gives.
fn known() -> Vec<(&'static str, Kind, Lookup)> {
    use Dimension as D;
    let found = |text: &str| Lookup::Found(number(text));
    let text = |text: &str| Lookup::Found(Item::Text(text.to_owned()));
    let missing = |why: &str| Lookup::Missing(why.to_owned());
    vec![
        ("kind", words(&["wall", "ceiling", "floor"]), text("wall")),
        ("label", Kind::Text(None), text("6A")),
        ("note", Kind::Text(None), text("none yet")),
        ("layer.thickness", Kind::Number(D::LENGTH), found("2 1/2 in")),
        ("layer.count", Kind::PLAIN, found("3")),
        ("area", Kind::Number(D::AREA), found("10 m²")),
        ("u", Kind::Number(D::TRANSMITTANCE), found("0.3 W/(m²·K)")),
        ("r_value", Kind::Number(D::RESISTANCE), found("RSI 2.5")),
        ("share", Kind::PLAIN, found("0.25")),
        ("indoor", Kind::Number(D::TEMPERATURE), found("20 °C")),
        ("outdoor", Kind::Number(D::TEMPERATURE), found("-8 °C")),
        ("warming", Kind::Number(D::TEMPERATURE_DIFFERENCE), found("5 K")),
        ("price", Kind::Number(D::MONEY), found("10 $")),
        ("inspected", Kind::Flag, Lookup::Found(Item::Flag(true))),
        ("a-b", Kind::PLAIN, found("7")),
        ("issued", Kind::Date, Lookup::Found(Item::Date("2026-02-01".to_owned()))),
        ("expires", Kind::Date, Lookup::Found(Item::Date("2027-02-01".to_owned()))),
        ("contains", Kind::List(Box::new(words(&["vinyl", "flame-retardant"]))), Lookup::Found(list(&["vinyl"]))),
        ("nothing", Kind::List(Box::new(Kind::Unknown)), Lookup::Found(Item::List(Vec::new()))),
        ("anything", Kind::Unknown, text("what you like")),
        ("lost", Kind::PLAIN, missing("no certificate")),
        ("gone", Kind::PLAIN, missing("no test")),
        ("unseen", Kind::Flag, missing("not inspected")),
        ("unsaid", Kind::Flag, missing("not stated")),
        ("optional", Kind::PLAIN, Lookup::Absent),
        ("broken", Kind::PLAIN, Lookup::Found(Item::Number(Quantity::plain(f64::NAN)))),
        ("huge", Kind::PLAIN, Lookup::Found(Item::Number(Quantity::plain(1e300)))),
    ]
}

impl Names for Wall {
    fn kind(&self, path: &str, of: Option<&str>) -> Result<Kind, Vec<String>> {
        let names = known();
        if let (Some((_, kind, _)), None | Some("home")) = (names.iter().find(|(name, ..)| *name == path), of) {
            return Ok(kind.clone());
        }
        let likeness = |name: &str| (strsim::jaro_winkler(path, name) * 1e6) as u64;
        let mut near: Vec<&str> =
            names.iter().map(|(name, ..)| *name).filter(|name| likeness(name) > 800_000).collect();
        near.sort_by_key(|name| std::cmp::Reverse(likeness(name)));
        Err(near.into_iter().map(str::to_owned).collect())
    }
}

impl Scope for Wall {
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup {
        match (known().into_iter().find(|(name, ..)| *name == path), of) {
            (_, Some(subject)) if subject != "home" => Lookup::Missing(format!("there is no {subject}")),
            (Some((.., value)), _) => value,
            (None, _) => Lookup::Missing(format!("{path} has no value")),
        }
    }
}

fn read(text: &str) -> Expression {
    Expression::parse(text).unwrap_or_else(|errors| panic!("{text}: {}", errors[0]))
}

/// The value of a text that reads, passes its check, and can be worked out.
fn value(text: &str) -> Item {
    let expression = read(text);
    let kind = expression.check(&Wall).unwrap_or_else(|errors| panic!("{text}: {}", errors[0]));
    match expression.evaluate(&Wall) {
        Evaluation::Known(item) => {
            assert!(Kind::of(&item).with(kind.clone()).is_some(), "{text}: {item:?} is not {kind}");
            item
        }
        other => panic!("{text}: {other:?}"),
    }
}

fn holds(text: &str) -> bool {
    match value(text) {
        Item::Flag(flag) => flag,
        other => panic!("{text}: {other:?}"),
    }
}

fn si(text: &str) -> f64 {
    match value(text) {
        Item::Number(quantity) => quantity.si,
        other => panic!("{text}: {other:?}"),
    }
}

fn evaluate(text: &str) -> Evaluation {
    read(text).evaluate(&Wall)
}

fn unknown(missing: &[&str]) -> Evaluation {
    Evaluation::Unknown(missing.iter().map(|why| (*why).to_owned()).collect())
}

/// Everything wrong with a text, from reading or else from checking it.
fn mistakes(text: &str) -> Vec<ExpressionError> {
    match Expression::parse(text) {
        Err(errors) => errors,
        Ok(expression) => expression.check(&Wall).err().unwrap_or_default(),
    }
}
