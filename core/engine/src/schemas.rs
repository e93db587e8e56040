//! JSON Schemas of the files people write and the messages of plugins, generated from the types that read them.

use crate::load::{Fields, with_undecided};
use crate::pack::PackFile;
use mateline_sdk::message::{Handshake, RunRequest, RunResponse, schema_of};
use serde_json::Value;

/// The schema of a home file.
pub fn home() -> String {
    pretty(&with_undecided(Fields::of_home().schema()))
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
