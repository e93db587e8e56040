//! What each field of the home holds, read from the home's schema: the one place that says so is the model.

use indexmap::IndexMap;
use mateline_model::Home;
use mateline_model::quantity::{Dimension, parse};
use serde_json::Value;
use std::collections::BTreeMap;
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
    /// Every place of the schema that a path can lead to; the first is the home.
    shapes: Vec<Shape>,
}

/// The elements that a name has to be one of.
#[derive(Clone, Debug)]
pub(crate) struct Named {
    /// Their section, by `x-names` or `x-keys`.
    pub section: String,
    /// A further word that is allowed, by `x-or`.
    pub or: Option<String>,
}

/// What may stand at a place of the home, and which shapes stand below it.
#[derive(Debug, Default)]
struct Shape {
    kind: Option<Kind>,
    /// Whether a number here may lie below zero; those of a list, if the list says so.
    below_zero: bool,
    /// Whether a plain number here is no share of a whole and may exceed one.
    above_one: bool,
    /// Whose elements a text here, or each of a list, is to name.
    names: Option<Named>,
    /// Whose elements the keys of a mapping here are to name.
    keys: Option<Named>,
    /// What one element of a section is called.
    one: Option<String>,
    /// What it says that nothing stands here, by `x-absent`.
    absent: Option<String>,
    /// Whether what stands here has nothing to do with each other.
    apart: bool,
    properties: IndexMap<String, usize>,
    /// Each item of a list.
    item: Option<usize>,
    /// Each element of a mapping by id.
    element: Option<usize>,
}

impl Fields {
    /// The fields of [`Home`].
    pub fn of_home() -> &'static Fields {
        static FIELDS: OnceLock<Fields> = OnceLock::new();
        FIELDS.get_or_init(|| Fields::of(schemars::schema_for!(Home).to_value()))
    }

    fn of(schema: Value) -> Fields {
        let mut shapes = Vec::new();
        Reader { schema: &schema }.shape(&schema, &mut shapes, &mut BTreeMap::new());
        Fields { schema, shapes }
    }

    /// The schema itself.
    pub fn schema(&self) -> &Value {
        &self.schema
    }

    /// What the field at a path holds; `None` when there is no such field. List indices and ids count as steps.
    pub fn kind<S: AsRef<str>>(&self, path: impl IntoIterator<Item = S>) -> Option<&Kind> {
        self.shape(path)?.kind.as_ref()
    }

    /// What a home says of this path by leaving it out, where that is something.
    pub fn said_by_absence<S: AsRef<str>>(&self, path: impl IntoIterator<Item = S>) -> Option<&str> {
        self.shape(path)?.absent.as_deref()
    }

    /// Whether a number at this path may lie below zero, by the field's `x-below-zero`.
    pub(crate) fn may_lie_below_zero(&self, path: &[String]) -> bool {
        self.shape(path).is_some_and(|shape| shape.below_zero)
    }

    /// Whether a plain number at this path may exceed one, by the field's `x-above-one`.
    pub(crate) fn may_exceed_one(&self, path: &[String]) -> bool {
        self.shape(path).is_some_and(|shape| shape.above_one)
    }

    /// Whose elements the text at this path, or each text of its list, is to name.
    pub(crate) fn named_at(&self, path: &[String]) -> Option<&Named> {
        self.shape(path)?.names.as_ref()
    }

    /// Whose elements the keys at this path are to name.
    pub(crate) fn keys_at(&self, path: &[String]) -> Option<&Named> {
        self.shape(path)?.keys.as_ref()
    }

    /// What one element of a section is called, by the section's `x-one`: else its name without the `s` of many.
    pub(crate) fn one_of<'a>(&'a self, section: &'a str) -> &'a str {
        let said = self.shape([section]).and_then(|shape| shape.one.as_deref());
        said.unwrap_or_else(|| section.strip_suffix('s').unwrap_or(section))
    }

    /// Whether the parts of a section have nothing to do with each other, by the section's `x-apart`: that one is not there
    /// is no cause to miss another.
    pub(crate) fn are_apart(&self, section: &str) -> bool {
        self.shape([section]).is_some_and(|shape| shape.apart)
    }

    /// The names a path may go on with.
    pub fn names<S: AsRef<str>>(&self, path: impl IntoIterator<Item = S>) -> Vec<String> {
        self.shape(path).map(|shape| shape.properties.keys().cloned().collect()).unwrap_or_default()
    }

    fn shape<S: AsRef<str>>(&self, path: impl IntoIterator<Item = S>) -> Option<&Shape> {
        let mut here = self.shapes.first()?;
        for step in path {
            let step = step.as_ref();
            let property = here.properties.get(step).copied();
            let item = || here.item.filter(|_| step.parse::<usize>().is_ok());
            here = self.shapes.get(property.or_else(item).or(here.element)?)?;
        }
        Some(here)
    }
}

/// Reads a schema.
pub(super) struct Reader<'a> {
    pub(super) schema: &'a Value,
}

impl<'a> Reader<'a> {
    /// The number of the shape that a part of the schema describes. Parts that have been read are known by where they
    /// are, so that a type may hold itself.
    fn shape(&self, part: &'a Value, shapes: &mut Vec<Shape>, known: &mut BTreeMap<*const Value, usize>) -> usize {
        if let Some(number) = known.get(&std::ptr::from_ref(part)) {
            return *number;
        }
        let number = shapes.len();
        known.insert(part, number);
        let says = |mark: &str| part.get(mark) == Some(&Value::Bool(true));
        let (below_zero, above_one) = (says("x-below-zero"), says("x-above-one"));
        let word = |mark: &str| part.get(mark).and_then(Value::as_str).map(str::to_owned);
        let named = |mark: &str| word(mark).map(|section| Named { section, or: word("x-or") });
        shapes.push(Shape {
            kind: self.kind_of(part),
            below_zero,
            above_one,
            names: named("x-names"),
            keys: named("x-keys"),
            one: word("x-one"),
            absent: word("x-absent"),
            apart: says("x-apart"),
            ..Shape::default()
        });
        let whole = self.resolve(part);
        let named = whole.get("properties").and_then(Value::as_object).into_iter().flatten();
        let properties: IndexMap<String, usize> =
            named.map(|(name, part)| (name.clone(), self.shape(part, shapes, known))).collect();
        let item = whole.get("items").map(|part| self.shape(part, shapes, known));
        if let Some(item) = item.and_then(|item| shapes.get_mut(item)) {
            item.below_zero |= below_zero;
            item.above_one |= above_one;
        }
        let patterns = || whole.get("patternProperties")?.as_object()?.values().next();
        let element = whole.get("additionalProperties").filter(|more| more.is_object()).or_else(patterns);
        let element = element.map(|part| self.shape(part, shapes, known));
        if let Some(shape) = shapes.get_mut(number) {
            (shape.properties, shape.item, shape.element) = (properties, item, element);
        }
        number
    }

    /// Follows references and looks through `anyOf` with null.
    pub(super) fn resolve(&self, schema: &'a Value) -> &'a Value {
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

    fn kind_of(&self, schema: &'a Value) -> Option<Kind> {
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
            return Some(Kind::Text(Some(words.into_iter().map(|(word, _)| word).collect())));
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

/// The words of an enumeration, each with its meaning where that is told.
pub(super) fn words(schema: &Value) -> Option<Vec<(String, String)>> {
    if let Some(list) = schema.get("enum").and_then(Value::as_array) {
        return list.iter().map(|word| Some((word.as_str()?.to_owned(), String::new()))).collect();
    }
    let mut found = Vec::new();
    for option in schema.get("oneOf")?.as_array()? {
        match option.get("const").and_then(Value::as_str) {
            Some(word) => found.push((word.to_owned(), described(option).unwrap_or_default())),
            None => found.extend(words(option)?),
        }
    }
    Some(found)
}

/// What a part of a schema says of itself, in one line.
pub(super) fn described(schema: &Value) -> Option<String> {
    let text = schema.get("description").and_then(Value::as_str)?;
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// The dimension of a quantity type of the model, by the type's name.
fn dimension(name: &str) -> Option<Dimension> {
    mateline_model::quantity::TYPES.iter().find(|(type_name, _)| *type_name == name).map(|(_, dimension)| *dimension)
}

/// The steps of a home to an element of a section; none to the home itself. Ducts are elements of the units they belong
/// to, so that the id of any of them stands for both.
pub fn element<'a>(section: &'a [String], id: &'a str) -> Vec<&'a str> {
    if section == ["ducts"] {
        return vec!["systems", "ventilation", id, "ducts", id];
    }
    section.iter().map(String::as_str).chain((!section.is_empty()).then_some(id)).collect()
}

/// The number in a field's JSON value, in SI.
pub fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => parse(text).ok().map(|quantity| quantity.si),
        _ => None,
    }
}
