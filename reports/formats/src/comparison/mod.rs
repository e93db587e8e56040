//! The comparison of two revisions, for the terminal, a review comment, a browser and other programs.
//!
//! Chooses words and order: what got worse, what got better, what was edited, which facts moved, which margins are thin,
//! which records ended. Compares nothing itself.

mod facts;
mod homes;
mod html;
mod json;
mod markdown;
mod text;
mod view;

pub use homes::{
    Compared, ComparedHome, HomeState, JsonComparedHome, JsonComparisons, SCHEMA_VERSION as HOMES_SCHEMA_VERSION,
    failing, homes_json, homes_markdown, homes_schema, homes_text,
};
pub use html::html;
pub use json::{JsonComparison, SCHEMA_VERSION, json, schema};
pub use markdown::markdown;
pub use text::text;

#[cfg(test)]
mod sample;
