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
const MOST: f64 = 100_000.0;

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
                self.found.extend(self.problem(here, name));
            }
        }
    }

    fn problem(&self, here: &Placed, name: &str) -> Option<Diagnosis> {
        let kind = self.fields.kind(&self.path)?;
        let figure = Figure::read(here, kind)?;
        if let &Kind::Number(dimension) = kind
            && let Some(diagnosis) = self.impossible(here, dimension, &figure, name)
        {
            return Some(diagnosis);
        }
        let beyond = figure.beyond().filter(|_| !self.told.contains(&here.span))?;
        let message = format!("'{}' is {}, {beyond} than any home has", cited(name), cited(&figure.written));
        Some(Diagnosis::new(here.span, message).help("look at the figure and its unit"))
    }

    /// What no thing of this kind can be.
    fn impossible(&self, here: &Placed, dimension: Dimension, figure: &Figure, name: &str) -> Option<Diagnosis> {
        let Figure { si, written, .. } = figure;
        let is_scale = dimension == Dimension::TEMPERATURE;
        if is_scale && *si < -273.15 {
            Some(Diagnosis::new(here.span, format!("'{name}' is {written}, below absolute zero")))
        } else if *si < 0.0 && !is_scale && !self.fields.may_lie_below_zero(&self.path) {
            let diagnosis = Diagnosis::new(here.span, format!("'{name}' is negative: {written}"));
            Some(diagnosis.help("give a value of zero or more"))
        } else if *si > 1.0 && dimension == Dimension::PLAIN && !self.fields.may_exceed_one(&self.path) {
            let diagnosis = Diagnosis::new(here.span, format!("'{name}' is {written}, more than the whole"));
            Some(diagnosis.help("give a share between 0 and 1, or a percentage up to 100 %"))
        } else {
            None
        }
    }
}

/// A figure of the kind that its field holds; any other is reported where it is read.
struct Figure {
    /// The value in SI.
    si: f64,
    /// As it is written.
    written: String,
    /// What it measures; none of a count.
    dimension: Option<Dimension>,
    /// Whether it underflowed to nought while it was read, and so was meant to be something.
    is_lost: bool,
}

impl Figure {
    fn read(here: &Placed, kind: &Kind) -> Option<Figure> {
        let of = |si: f64, written: String, dimension| Some(Figure { si, written, dimension, is_lost: false });
        match (kind, &here.node) {
            (Kind::Count, Node::Int(count)) => of(*count as f64, count.to_string(), None),
            (Kind::Count, Node::Float(count)) => of(*count, count.to_string(), None),
            (&Kind::Number(plain @ Dimension::PLAIN), Node::Int(number)) => {
                of(*number as f64, number.to_string(), Some(plain))
            }
            (&Kind::Number(plain @ Dimension::PLAIN), Node::Float(number)) => {
                of(*number, number.to_string(), Some(plain))
            }
            (&Kind::Number(dimension), Node::Str(text)) => {
                let quantity = parse(text).ok().filter(|quantity| quantity.dimension == dimension)?;
                let is_lost = quantity.si == 0.0
                    && dimension != Dimension::TEMPERATURE
                    && text.contains(|c: char| matches!(c, '1'..='9'));
                Some(Figure { si: quantity.si, written: text.trim().to_owned(), dimension: Some(dimension), is_lost })
            }
            (Kind::List(kind), _) => Figure::read(here, kind),
            _ => None,
        }
    }

    /// On which side it lies, where it is beyond the bounds of its kind.
    fn beyond(&self) -> Option<&'static str> {
        match self.dimension {
            None => (self.si > MOST).then_some("more"),
            Some(_) if self.is_lost => Some("less"),
            Some(dimension) => side(self.si, dimension),
        }
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
