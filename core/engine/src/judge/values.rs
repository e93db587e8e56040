//! Values of a home, of a firm's tables and of examples as the expression language sees them.

use crate::expr::{Item, Lookup};
use crate::load::FirmTable;
use crate::load::fields::{self, Kind};
use mateline_model::Subject;
use mateline_model::quantity::{Quantity, parse};
use serde_json::Value as Json;

/// The rows of a table as subjects, by their number from 1.
pub(super) fn rows(table: &FirmTable, section: &str) -> Vec<Subject> {
    (1..=table.rows.len()).map(|number| Subject::element(section, number)).collect()
}

/// A cell of a table.
pub(super) fn cell(table: &FirmTable, row: &Subject, column: &str) -> Lookup {
    let row = row.id().rsplit('.').next().and_then(|id| id.parse::<usize>().ok()?.checked_sub(1));
    let found = row.and_then(|row| table.rows.get(row)?.get(column));
    found.map_or(Lookup::Absent, |item| Lookup::Found(item.clone()))
}

/// An element of a mapping by its id, of a list by its number.
pub(super) fn one_of<'a>(elements: &'a Json, id: &str) -> Option<&'a Json> {
    match elements {
        Json::Array(list) => list.get(id.parse::<usize>().ok()?),
        other => other.get(id),
    }
}

/// What stands at a path of an element, unless that is nothing.
pub(super) fn value_at<'a>(element: &'a Json, path: &str) -> Option<&'a Json> {
    let found = path.split('.').try_fold(element, one_of);
    found.filter(|value| !value.is_null())
}

/// A field's JSON as the expression language sees it.
pub(super) fn item(value: &Json, kind: &Kind) -> Option<Item> {
    match kind {
        Kind::Number(dimension) => {
            let si = fields::number(value)?;
            Some(Item::Number(Quantity::new(si, *dimension)))
        }
        Kind::Count => value.as_f64().map(|count| Item::Number(Quantity::plain(count))),
        Kind::Flag => value.as_bool().map(Item::Flag),
        Kind::Date => value.as_str().map(|text| Item::Date(text.to_owned())),
        Kind::Text(_) => value.as_str().map(|text| Item::Text(text.to_owned())),
        Kind::List(of) => {
            let list = value.as_array().cloned().unwrap_or_else(|| vec![value.clone()]);
            Some(Item::List(list.iter().filter_map(|value| item(value, of)).collect()))
        }
        Kind::Struct | Kind::Elements => {
            let keys = value.as_object()?.keys().map(|key| Item::Text(key.clone())).collect();
            Some(Item::List(keys))
        }
    }
}

/// A value written in an example: a quantity, a word or a truth value.
pub(super) fn loose_item(value: &Json) -> Option<Item> {
    match value {
        Json::Bool(flag) => Some(Item::Flag(*flag)),
        Json::Number(number) => number.as_f64().map(|number| Item::Number(Quantity::plain(number))),
        Json::String(text) => Some(parse(text).map_or_else(|_| Item::Text(text.clone()), Item::Number)),
        Json::Array(list) => Some(Item::List(list.iter().filter_map(loose_item).collect())),
        _ => None,
    }
}
