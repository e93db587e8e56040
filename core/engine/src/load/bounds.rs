//! Values that cannot be: a negative thickness, a share above one, a box of nothing.
//!
//! Which fields hold quantities is read from the home's own schema, so that a new field is checked from the day it is
//! added; the few that may be negative, or are ratios without an upper bound, are named here.

use super::diagnosis::Diagnosis;
use super::fields::{Fields, Kind};
use super::tree::{Node, Placed};
use mateline_model::quantity::{Dimension, parse};
use serde_json::Value;

/// Fields that may be below zero, by the end of their path (without numbers and ids).
const SIGNED: &[&str] = &["at.x", "at.y", "at.z", "points.pressure", "zero_flow", "psi", "site.elevation", "elevation"];
/// Plain numbers that are no shares and may exceed one.
const UNBOUNDED: &[&str] = &["vapour_resistance", "fittings", "weather_shielding_factor", "per_square_metre"];

/// Every value of the tree outside its bounds.
pub fn check(fields: &Fields, tree: &Placed) -> Vec<Diagnosis> {
    let mut found = Vec::new();
    walk(&tree.to_json(), fields, tree, &mut Vec::new(), &mut found);
    found
}

fn walk(value: &Value, fields: &Fields, tree: &Placed, path: &mut Vec<String>, found: &mut Vec<Diagnosis>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                path.push(key.clone());
                walk(value, fields, tree, path, found);
                path.pop();
            }
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                path.push(index.to_string());
                walk(value, fields, tree, path, found);
                path.pop();
            }
        }
        leaf => {
            let Some(&Kind::Number(dimension)) = fields.kind(&*path) else { return };
            let Some((number, written)) = read(leaf, dimension) else { return };
            let at = || (tree.span_at(path), last_name(path, tree));
            let named: Vec<&str> =
                path.iter().filter(|step| step.parse::<usize>().is_err()).map(String::as_str).collect();
            let ends_like = |list: &[&str]| {
                list.iter().any(|end| {
                    let end: Vec<&str> = end.split('.').collect();
                    named.ends_with(&end)
                })
            };
            let temperature = dimension == Dimension::TEMPERATURE;
            if temperature && number < -273.15 {
                let (span, name) = at();
                found.push(Diagnosis::new(span, format!("'{name}' is {written}, below absolute zero")));
            } else if number < 0.0 && !temperature && !ends_like(SIGNED) {
                let (span, name) = at();
                let diagnosis = Diagnosis::new(span, format!("'{name}' is negative: {written}"));
                found.push(diagnosis.help("give a value of zero or more"));
            } else if number > 1.0 && dimension == Dimension::PLAIN && !ends_like(UNBOUNDED) {
                let (span, name) = at();
                let diagnosis = Diagnosis::new(span, format!("'{name}' is {written}, more than the whole"));
                found.push(diagnosis.help("give a share between 0 and 1, or a percentage up to 100 %"));
            }
        }
    }
}

/// A value of the dimension its field has, in SI and as it is written; any other is reported where it is read.
fn read(leaf: &Value, dimension: Dimension) -> Option<(f64, String)> {
    match leaf {
        Value::Number(number) if dimension == Dimension::PLAIN => Some((number.as_f64()?, number.to_string())),
        Value::String(text) => {
            let quantity = parse(text).ok().filter(|quantity| quantity.dimension == dimension)?;
            Some((quantity.si, text.trim().to_owned()))
        }
        _ => None,
    }
}

/// The last name of a path: of an item of a list, the list's.
fn last_name(path: &[String], tree: &Placed) -> String {
    let in_list = |parent: &[String]| matches!(tree.at(parent), Some(Placed { node: Node::Seq(_), .. }));
    let mut rest = path;
    while let Some((last, parents)) = rest.split_last() {
        if !in_list(parents) {
            return last.clone();
        }
        rest = parents;
    }
    String::new()
}
