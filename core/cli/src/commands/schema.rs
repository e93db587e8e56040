//! `mateline schema`

use crate::arguments::{Schema, SchemaOf};
use crate::exit::Exit;
use crate::output;

/// Prints the JSON Schema of a kind of file.
pub fn run(schema: &Schema) -> Exit {
    output::print(&match schema.of {
        SchemaOf::Home => mateline_engine::schemas::home(),
        SchemaOf::Pack => mateline_engine::schemas::pack(),
        SchemaOf::Report => match output::json(&mateline_reports::json::schema()) {
            Ok(text) => text,
            Err(error) => return output::error(&error),
        },
    })
}
