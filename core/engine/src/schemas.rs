//! JSON Schemas of the files people write and the messages of plugins, generated from the types that read them.

use crate::load::{Fields, with_undecided};
use crate::pack::PackFile;
pub use crate::pattern::pattern;
use mateline_model::quantity::TYPES;
use mateline_sdk::message::{Handshake, RunRequest, RunResponse, schema_of};
use serde_json::{Value, json};

/// Names that a home may use and that no schema of its own knows.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known<'a> {
    /// Materials that come with mateline.
    pub materials: &'a [&'a str],
    /// Packs that come with mateline.
    pub packs: &'a [&'a str],
}

/// The schema of a home file, for editors: the form of every value with its unit, and the names that are known. A home may
/// use others, its own materials and packs among them.
pub fn home(known: Known<'_>) -> String {
    pretty(&home_value(known))
}

/// The schema of a file that a home includes: the same, of which nothing has to be there.
pub fn home_part(known: Known<'_>) -> String {
    let mut schema = home_value(known);
    if let Some(schema) = schema.as_object_mut() {
        schema.insert("title".to_owned(), "Part of a home".into());
        schema.insert("description".to_owned(), "A file that a home includes: some of its sections.".into());
        schema.shift_remove("required");
    }
    pretty(&schema)
}

fn home_value(known: Known<'_>) -> Value {
    let mut schema = with_undecided(Fields::of_home().schema());
    name_materials(&mut schema);
    if let Some(packs) = schema.pointer_mut("/properties/judge_by/items") {
        *packs = json!({"$ref": "#/$defs/PackName"});
    }
    let Some(defs) = schema.get_mut("$defs").and_then(Value::as_object_mut) else { return schema };
    for (name, dimension) in TYPES {
        if let (Some(Value::Object(kind)), Some(pattern)) = (defs.get_mut(*name), pattern(*dimension)) {
            kind.insert("pattern".to_owned(), pattern.into());
        }
    }
    for (name, names) in [("MaterialName", known.materials), ("PackName", known.packs)] {
        let own = json!({"$ref": "#/$defs/Name"});
        let ways = if names.is_empty() { vec![own] } else { vec![json!({"enum": names}), own] };
        defs.insert(name.to_owned(), json!({"anyOf": ways}));
    }
    schema
}

/// Lets every field that names a material say so.
fn name_materials(value: &mut Value) {
    match value {
        Value::Object(map) => {
            if map.get("x-names").is_some_and(|names| names == "materials") {
                let material = |reference: &mut Value| {
                    if reference == "#/$defs/Name" {
                        *reference = "#/$defs/MaterialName".into();
                    }
                };
                let ways = map.get_mut("anyOf").and_then(Value::as_array_mut).into_iter().flatten();
                ways.filter_map(|way| way.get_mut("$ref")).for_each(material);
                map.get_mut("$ref").into_iter().for_each(material);
            }
            map.values_mut().for_each(name_materials);
        }
        Value::Array(items) => items.iter_mut().for_each(name_materials),
        _ => {}
    }
}

/// The schema of a rule pack.
pub fn pack() -> String {
    pretty(&schemars::schema_for!(PackFile).to_value())
}

/// The schema of what a plugin says of itself.
pub fn plugin_handshake() -> String {
    schema_of::<Handshake>()
}

/// The schema of what a plugin is given.
pub fn plugin_request() -> String {
    schema_of::<RunRequest>()
}

/// The schema of what a plugin hands back.
pub fn plugin_response() -> String {
    schema_of::<RunResponse>()
}

fn pretty(schema: &Value) -> String {
    format!("{schema:#}\n")
}
