//! The messages that cross the plugin boundary: UTF-8 JSON with types of its own.
//!
//! They are described in `schemas/plugin-handshake.schema.json`, `plugin-request.schema.json` and
//! `plugin-response.schema.json`, generated from the types here. A change that an existing plugin cannot read raises
//! [`ABI`]. Conversions to and from the model keep every bit of a number: the same calculation gives the same report
//! on either side of the boundary.

mod cross;
mod drawing;
mod fact;
mod figure;
mod handshake;
mod real;
mod run;
mod value;

pub use drawing::*;
pub use fact::*;
pub use figure::*;
pub use handshake::*;
pub use real::Real;
pub use run::*;
pub use value::*;

use schemars::{JsonSchema, SchemaGenerator};

/// The number of this boundary: its functions and its messages.
pub const ABI: u32 = 2;

/// The oldest boundary whose libraries still run. One of ABI 1 names no sections and is given the whole home.
pub const OLDEST_ABI: u32 = 1;

/// Why a message cannot be used: a sentence that follows "it" or the plugin's name.
pub type Refused = String;

/// The JSON Schema of a message, indented, with a line end.
pub fn schema_of<T: JsonSchema>() -> String {
    format!("{:#}\n", SchemaGenerator::default().into_root_schema_for::<T>().to_value())
}
