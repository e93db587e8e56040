//! The rows of a study: what came of each of its variants.

use crate::home::Towards;
use serde::{Deserialize, Serialize};

/// The first line of a file of rows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StudyHead {
    /// The title of the study.
    pub study: String,
    /// The form of these lines.
    pub schema: u32,
    /// The version of mateline.
    pub mateline: String,
    /// The SHA-256 of all files that the rows follow from.
    pub inputs: String,
    /// Which part of the study it is, from 1, and of how many.
    pub shard: (usize, usize),
    /// How many variants the whole study has.
    pub variants: u64,
    /// What is varied.
    pub varied: Vec<String>,
    /// What is asked, with its unit.
    pub columns: Vec<(String, String)>,
    /// Which side is better, for the columns of which the study says so.
    pub better: Vec<(String, Towards)>,
    /// The packs that are counted.
    pub packs: Vec<String>,
}

/// What came of a variant.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct StudyRow {
    /// Its number, from 0.
    pub variant: u64,
    /// The home.
    pub home: String,
    /// The climate, where the study has several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub climate: Option<String>,
    /// The step of each thing that is varied; null where what stands was left.
    pub set: Vec<Option<String>>,
    /// What the changes cost, in the project's currency; null where one has no price.
    pub cost: Option<f64>,
    /// The values asked for, in the study's units; null where there is none.
    pub values: Vec<serde_json::Value>,
    /// Open requirements and open advice of each pack.
    pub open: Vec<(usize, usize)>,
    /// Why there is no such home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault: Option<String>,
}

impl StudyHead {
    /// Its line.
    pub fn line(&self) -> String {
        line(self)
    }
}

impl StudyRow {
    /// Its line.
    pub fn line(&self) -> String {
        line(self)
    }
}

fn line(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default() + "\n"
}
