//! Values that cannot be, a negative thickness, a share above one, and figures that no home has: a duct of 10⁻³⁰⁰ in, a
//! spacing from here to the moon.
//!
//! What a field holds, and whether it may lie below zero or above one, is read from the home's own schema, so that a new
//! field is checked from the day it is added. Each kind of quantity has a smallest and a largest figure, far beyond what is
//! built, so that no calculation meets a number that overflows. Common practice, no source. Nought is always a figure.

use super::diagnosis::{Diagnosis, Span, cited};
use super::fields::{Fields, Kind};
use super::tree::{Node, Placed};
use mateline_model::quantity::{Dimension, parse};
use std::collections::HashSet;

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

/// Every value of the tree outside its bounds. Where something else has been told already, no figure is called too large.
pub fn check(fields: &Fields, tree: &Placed, told: &HashSet<Span>) -> Vec<Diagnosis> {
    let mut walk = Walk { fields, told, path: Vec::new(), found: Vec::new() };
    walk.down(tree, "");
    walk.found
}

struct Walk<'a> {
    fields: &'a Fields,
    told: &'a HashSet<Span>,
    path: Vec<String>,
    found: Vec<Diagnosis>,
}

impl Walk<'_> {
    /// `name` is the last key on the way: of an item of a list, the list's.
    fn down(&mut self, here: &Placed, name: &str) {
        match &here.node {
            Node::Map(entries) => {
                for entry in entries {
                    self.path.push(entry.key.clone());
                    self.down(&entry.value, &entry.key);
                    self.path.pop();
                }
            }
            Node::Seq(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.path.push(index.to_string());
                    self.down(item, name);
                    self.path.pop();
                }
            }
            Node::Null | Node::Bool(_) => {}
            Node::Int(_) | Node::Float(_) | Node::Str(_) => {
                let kind = self.fields.kind(&self.path);
                let problem = self.impossible(here, kind, name).or_else(|| {
                    let (written, beyond) = beyond(here, kind).filter(|_| !self.told.contains(&here.span))?;
                    let message = format!("'{}' is {}, {beyond} than any home has", cited(name), cited(&written));
                    Some(Diagnosis::new(here.span, message).help("look at the figure and its unit"))
                });
                self.found.extend(problem);
            }
        }
    }

    /// What no thing of this kind can be.
    fn impossible(&self, here: &Placed, kind: Option<&Kind>, name: &str) -> Option<Diagnosis> {
        let &Kind::Number(dimension) = kind? else { return None };
        let (number, written) = read(here, dimension)?;
        let is_scale = dimension == Dimension::TEMPERATURE;
        if is_scale && number < -273.15 {
            Some(Diagnosis::new(here.span, format!("'{name}' is {written}, below absolute zero")))
        } else if number < 0.0 && !is_scale && !self.fields.may_lie_below_zero(&self.path) {
            let diagnosis = Diagnosis::new(here.span, format!("'{name}' is negative: {written}"));
            Some(diagnosis.help("give a value of zero or more"))
        } else if number > 1.0 && dimension == Dimension::PLAIN && !self.fields.may_exceed_one(&self.path) {
            let diagnosis = Diagnosis::new(here.span, format!("'{name}' is {written}, more than the whole"));
            Some(diagnosis.help("give a share between 0 and 1, or a percentage up to 100 %"))
        } else {
            None
        }
    }
}

/// A value of the dimension its field has, in SI and as it is written; any other is reported where it is read.
fn read(here: &Placed, dimension: Dimension) -> Option<(f64, String)> {
    match &here.node {
        Node::Int(number) if dimension == Dimension::PLAIN => Some((*number as f64, number.to_string())),
        Node::Float(number) if dimension == Dimension::PLAIN => Some((*number, number.to_string())),
        Node::Str(text) => {
            let quantity = parse(text).ok().filter(|quantity| quantity.dimension == dimension)?;
            Some((quantity.si, text.trim().to_owned()))
        }
        _ => None,
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
