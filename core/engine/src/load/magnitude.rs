//! Figures that no home has: a duct of 10⁻³⁰⁰ in, a spacing from here to the moon.
//!
//! Each kind of quantity has a smallest and a largest figure, far beyond what is built, so that no calculation meets a
//! number that overflows. Common practice, no source. Nought is always a figure.

use super::diagnosis::{Diagnosis, cited};
use super::fields::{Fields, Kind};
use super::tree::{Node, Placed};
use mateline_model::quantity::{Dimension, parse};

/// Kind of quantity, and its smallest and largest figure in SI.
const BOUNDS: &[(Dimension, f64, f64)] = &[
    (Dimension::PLAIN, 1e-12, 1e9),
    (Dimension::LENGTH, 1e-7, 1e6),
    (Dimension::AREA, 1e-10, 1e8),
    (Dimension::VOLUME, 1e-12, 1e9),
    (Dimension::MASS, 1e-12, 1e9),
    (Dimension::TIME, 1e-3, 1e11),
    (Dimension::TEMPERATURE, 1e-12, 3e3),
    (Dimension::PRESSURE, 1e-6, 1e10),
    (Dimension::POWER, 1e-6, 1e10),
    (Dimension::FLOW, 1e-12, 1e5),
];
/// The same for every other kind: vapour permeances are near 10⁻¹², degree-days near 10⁹.
const OF_OTHERS: (f64, f64) = (1e-20, 1e15);
/// The largest number of things.
const MOST: i64 = 100_000;

/// Every figure of the tree that no home has.
pub fn check(fields: &Fields, tree: &Placed) -> Vec<Diagnosis> {
    let mut found = Vec::new();
    walk(tree, fields, &mut Vec::new(), "", &mut found);
    found
}

fn walk(here: &Placed, fields: &Fields, path: &mut Vec<String>, name: &str, found: &mut Vec<Diagnosis>) {
    match &here.node {
        Node::Map(entries) => {
            for entry in entries {
                path.push(entry.key.clone());
                walk(&entry.value, fields, path, &entry.key, found);
                path.pop();
            }
        }
        Node::Seq(items) => {
            for (index, item) in items.iter().enumerate() {
                path.push(index.to_string());
                walk(item, fields, path, name, found);
                path.pop();
            }
        }
        Node::Null | Node::Bool(_) => {}
        Node::Int(_) | Node::Float(_) | Node::Str(_) => {
            if let Some((written, beyond)) = beyond(here, fields.kind(path)) {
                let message = format!("'{}' is {}, {beyond} than any home has", cited(name), cited(&written));
                found.push(Diagnosis::new(here.span, message).help("look at the figure and its unit"));
            }
        }
    }
}

/// The figure as it is written and on which side it lies, where it is beyond the bounds of its kind.
fn beyond(here: &Placed, kind: Option<&Kind>) -> Option<(String, &'static str)> {
    match (kind?, &here.node) {
        (Kind::Count, Node::Int(count)) if *count > MOST => Some((count.to_string(), "more")),
        (Kind::Count, Node::Float(count)) if *count > MOST as f64 => Some((count.to_string(), "more")),
        (Kind::Number(Dimension::PLAIN), Node::Int(number)) => {
            Some((number.to_string(), side(*number as f64, Dimension::PLAIN)?))
        }
        (Kind::Number(Dimension::PLAIN), Node::Float(number)) => {
            Some((number.to_string(), side(*number, Dimension::PLAIN)?))
        }
        (&Kind::Number(dimension), Node::Str(text)) => {
            let quantity = parse(text).ok().filter(|quantity| quantity.dimension == dimension)?;
            // What underflows to nought while it is read was meant to be something.
            let is_lost = quantity.si == 0.0 && text.contains(|c: char| matches!(c, '1'..='9'));
            let is_scale = dimension == Dimension::TEMPERATURE;
            let beyond = if is_lost && !is_scale { Some("less") } else { side(quantity.si, dimension) };
            Some((text.trim().to_owned(), beyond?))
        }
        (Kind::List(kind), _) => beyond(here, Some(kind)),
        _ => None,
    }
}

fn side(figure: f64, dimension: Dimension) -> Option<&'static str> {
    let own = BOUNDS.iter().find(|(of, ..)| *of == dimension).map(|(_, least, most)| (*least, *most));
    let (least, most) = own.unwrap_or(OF_OTHERS);
    let size = figure.abs();
    match size {
        _ if size > most => Some("more"),
        _ if size < least && size > 0.0 && dimension != Dimension::TEMPERATURE => Some("less"),
        _ => None,
    }
}
