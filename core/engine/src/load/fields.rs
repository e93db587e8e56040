//! What each field of the home holds, read from the home's schema: the one place that says so is the model.

use mateline_model::Home;
use mateline_model::quantity::{Dimension, parse};
use serde_json::Value;
use std::sync::OnceLock;

/// What a field holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A number with a unit, or a plain one.
    Number(Dimension),
    /// A whole number.
    Count,
    /// A text; with the words it can be, where they are fixed.
    Text(Option<Vec<String>>),
    /// True or false.
    Flag,
    /// A date.
    Date,
    /// A list.
    List(Box<Kind>),
    /// A mapping with fixed fields.
    Struct,
    /// A mapping of elements by id.
    Elements,
}

/// The fields of the home.
#[derive(Debug)]
pub struct Fields {
    schema: Value,
}

impl Fields {
    /// The fields of [`Home`].
    pub fn of_home() -> &'static Fields {
        static FIELDS: OnceLock<Fields> = OnceLock::new();
        FIELDS.get_or_init(|| Fields { schema: schemars::schema_for!(Home).to_value() })
    }

    /// The schema itself.
    pub fn schema(&self) -> &Value {
        &self.schema
    }

    /// What the field at a path holds; `None` when there is no such field. List indices and ids count as steps.
    pub fn kind(&self, path: &[String]) -> Option<Kind> {
        let mut here = &self.schema;
        for step in path {
            here = self.step(self.resolve(here), step)?;
        }
        self.kind_of(here)
    }

    /// The names a path may go on with.
    pub fn names(&self, path: &[String]) -> Vec<String> {
        let mut here = &self.schema;
        for step in path {
            match self.step(self.resolve(here), step) {
                Some(next) => here = next,
                None => return Vec::new(),
            }
        }
        let properties = self.resolve(here).get("properties").and_then(Value::as_object);
        properties.map(|map| map.keys().cloned().collect()).unwrap_or_default()
    }

    fn step<'a>(&'a self, schema: &'a Value, step: &str) -> Option<&'a Value> {
        if let Some(property) = schema.get("properties").and_then(|properties| properties.get(step)) {
            return Some(property);
        }
        if step.parse::<usize>().is_ok()
            && let Some(items) = schema.get("items")
        {
            return Some(items);
        }
        schema.get("additionalProperties").filter(|more| more.is_object()).or_else(|| {
            let patterns = schema.get("patternProperties")?.as_object()?;
            patterns.values().next()
        })
    }

    /// Follows references and looks through `anyOf` with null.
    fn resolve<'a>(&'a self, schema: &'a Value) -> &'a Value {
        let mut here = schema;
        for _ in 0..8 {
            if let Some(name) = here.get("$ref").and_then(Value::as_str) {
                let Some(target) = name.strip_prefix("#/$defs/").and_then(|name| self.schema.get("$defs")?.get(name))
                else {
                    return here;
                };
                here = target;
            } else if let Some(options) = here.get("anyOf").and_then(Value::as_array)
                && let [one, other] = options.as_slice()
                && other.get("type").and_then(Value::as_str) == Some("null")
            {
                here = one;
            } else {
                return here;
            }
        }
        here
    }

    fn kind_of(&self, schema: &Value) -> Option<Kind> {
        if let Some(name) = self.reference(schema) {
            if let Some(dimension) = dimension(&name) {
                return Some(Kind::Number(dimension));
            }
            if name == "Date" {
                return Some(Kind::Date);
            }
            if name.starts_with("OneOrMany") {
                let one = self.resolve(schema).get("anyOf")?.get(0)?;
                return self.kind_of(one).map(|kind| Kind::List(Box::new(kind)));
            }
        }
        let schema = self.resolve(schema);
        if let Some(words) = words(schema) {
            return Some(Kind::Text(Some(words)));
        }
        let name = match schema.get("type")? {
            Value::String(name) => name.as_str(),
            Value::Array(names) => names.first()?.as_str()?,
            _ => return None,
        };
        Some(match name {
            "string" => Kind::Text(None),
            "boolean" => Kind::Flag,
            "integer" => Kind::Count,
            "number" => Kind::Number(Dimension::PLAIN),
            "array" => Kind::List(Box::new(self.kind_of(schema.get("items")?)?)),
            "object" if schema.get("properties").is_some() => Kind::Struct,
            "object" => Kind::Elements,
            _ => return None,
        })
    }

    /// The type a schema names, through an optional field.
    fn reference(&self, schema: &Value) -> Option<String> {
        let direct = schema.get("$ref").and_then(Value::as_str);
        let optional = || schema.get("anyOf")?.get(0)?.get("$ref")?.as_str();
        direct.or_else(optional)?.strip_prefix("#/$defs/").map(str::to_owned)
    }
}

/// The words of an enumeration.
fn words(schema: &Value) -> Option<Vec<String>> {
    if let Some(list) = schema.get("enum").and_then(Value::as_array) {
        return list.iter().map(|word| word.as_str().map(str::to_owned)).collect();
    }
    let options = schema.get("oneOf")?.as_array()?;
    let mut words = Vec::new();
    for option in options {
        match option.get("const").and_then(Value::as_str) {
            Some(word) => words.push(word.to_owned()),
            None => words.extend(self::words(option)?),
        }
    }
    Some(words)
}

/// The dimension of a quantity type of the model, by the type's name.
fn dimension(name: &str) -> Option<Dimension> {
    mateline_model::quantity::TYPES.iter().find(|(type_name, _)| *type_name == name).map(|(_, dimension)| *dimension)
}

/// The number in a field's JSON value, in SI.
pub fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => parse(text).ok().map(|quantity| quantity.si),
        _ => None,
    }
}
