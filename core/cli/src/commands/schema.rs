//! `mateline schema`

use crate::arguments::{Schema, SchemaOf};
use crate::exit::Exit;
use crate::output;

/// Prints the JSON Schema of a kind of file.
pub fn run(schema: &Schema) -> Exit {
    let schema = match schema.of {
        SchemaOf::Home => Ok(mateline_engine::schemas::home()),
        SchemaOf::Pack => Ok(mateline_engine::schemas::pack()),
        SchemaOf::Report => output::json(&mateline_reports::json::schema()),
        SchemaOf::Homes => output::json(&mateline_reports::homes::schema()),
        SchemaOf::PluginHandshake => Ok(mateline_engine::schemas::plugin_handshake()),
        SchemaOf::PluginRequest => Ok(mateline_engine::schemas::plugin_request()),
        SchemaOf::PluginResponse => Ok(mateline_engine::schemas::plugin_response()),
        SchemaOf::Comparison => output::json(&mateline_reports::comparison::schema()),
    };
    match schema {
        Ok(text) => output::print(&text),
        Err(error) => output::error(&error),
    }
}
