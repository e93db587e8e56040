//! Any text as an expression of a rule: read, checked and worked out without a panic, and always the same.

#![no_main]

use libfuzzer_sys::fuzz_target;
use mateline_engine::expr::{Evaluation, Expression, Item, Kind, Lookup, Names, Scope};
use mateline_model::quantity::{Dimension, Quantity};

/// A name's kind and value follow from its first letter, so that every text has names of every kind.
struct Everything;

fn kind(path: &str) -> Kind {
    match path.bytes().next().unwrap_or_default() % 8 {
        0 => Kind::Number(Dimension::PLAIN),
        1 => Kind::Number(Dimension::LENGTH),
        2 => Kind::Number(Dimension::TEMPERATURE),
        3 => Kind::Text(Some(vec!["wall".to_owned(), "floor".to_owned()])),
        4 => Kind::Flag,
        5 => Kind::Date,
        6 => Kind::List(Box::new(Kind::Text(None))),
        _ => Kind::Unknown,
    }
}

impl Names for Everything {
    fn kind(&self, path: &str, _: Option<&str>) -> Result<Kind, Vec<String>> {
        if path.len() > 12 { Err(vec!["near".to_owned()]) } else { Ok(kind(path)) }
    }
}

impl Scope for Everything {
    fn look_up(&self, path: &str, of: Option<&str>) -> Lookup {
        if of.is_some() || path.ends_with('0') {
            return Lookup::Missing(format!("{path} is missing"));
        }
        match kind(path) {
            Kind::Number(dimension) => Lookup::Found(Item::Number(Quantity::new(path.len() as f64 - 3.0, dimension))),
            Kind::Text(_) => Lookup::Found(Item::Text("wall".to_owned())),
            Kind::Flag => Lookup::Found(Item::Flag(path.len() % 2 == 0)),
            Kind::Date => Lookup::Found(Item::Date("2026-10-05".to_owned())),
            Kind::List(_) => Lookup::Found(Item::List(vec![Item::Text("wall".to_owned())])),
            Kind::Unknown => Lookup::Absent,
        }
    }
}

fuzz_target!(|text: &str| {
    let Ok(expression) = Expression::parse(text) else { return };
    assert_eq!(expression.text(), text);
    for name in expression.names() {
        assert!(text.get(name.start..name.end).is_some_and(|written| written.starts_with(&name.path)));
    }
    let checked = expression.check(&Everything);
    let first = expression.evaluate(&Everything);
    assert_eq!(first, expression.evaluate(&Everything));
    if let (Ok(Kind::Number(dimension)), Evaluation::Known(Item::Number(quantity))) = (&checked, &first) {
        assert_eq!(quantity.dimension, *dimension);
        assert!(quantity.si.is_finite());
    }
    for error in checked.err().unwrap_or_default() {
        assert!(text.get(error.start..error.end).is_some() && !error.message.is_empty());
    }
});
