//! JSON Schemas of the files people write, generated from the types that read them.

use crate::load::Fields;
use crate::pack::PackFile;
use serde_json::Value;

/// The schema of a home file.
pub fn home() -> String {
    pretty(Fields::of_home().schema())
}

/// The schema of a rule pack.
pub fn pack() -> String {
    pretty(&schemars::schema_for!(PackFile).to_value())
}

fn pretty(schema: &Value) -> String {
    format!("{schema:#}\n")
}
