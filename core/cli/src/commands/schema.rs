//! `mateline schema`

use crate::arguments::{Schema, SchemaOf};
use crate::exit::Exit;
use crate::output;
use mateline_engine::schemas::Known;

/// A schema with the names of everything that comes with mateline.
pub fn with_names(schema: fn(Known<'_>) -> String) -> String {
    let materials: Vec<&str> = mateline_plugins::materials().keys().map(AsRef::as_ref).collect();
    let packs = mateline_rules::PACKS.iter().map(|(id, _)| *id).filter(|id| !mateline_rules::ASKING.contains(id));
    let packs: Vec<&str> = packs.collect();
    schema(Known { materials: &materials, packs: &packs })
}

/// Prints the JSON Schema of a kind of file.
pub fn run(schema: &Schema) -> Exit {
    let schema = match schema.of {
        SchemaOf::Home => Ok(with_names(mateline_engine::schemas::home)),
        SchemaOf::HomePart => Ok(with_names(mateline_engine::schemas::home_part)),
        SchemaOf::Pack => Ok(mateline_engine::schemas::pack()),
        SchemaOf::Report => output::json(&mateline_reports::json::schema()),
        SchemaOf::Homes => output::json(&mateline_reports::homes::schema()),
        SchemaOf::PluginHandshake => Ok(mateline_engine::schemas::plugin_handshake()),
        SchemaOf::PluginRequest => Ok(mateline_engine::schemas::plugin_request()),
        SchemaOf::PluginResponse => Ok(mateline_engine::schemas::plugin_response()),
        SchemaOf::Comparisons => output::json(&mateline_reports::comparison::homes_schema()),
        SchemaOf::Since => output::json(&mateline_reports::since::schema()),
        SchemaOf::Comparison => output::json(&mateline_reports::comparison::schema()),
    };
    match schema {
        Ok(text) => output::print(&text),
        Err(error) => output::error(&error),
    }
}
