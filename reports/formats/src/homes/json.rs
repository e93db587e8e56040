//! Several homes for other programs: the JSON report of each, with the homes that cannot be used beside them.

use super::CheckedHome;
use crate::json::{JsonPlace, JsonReport, SCHEMA_VERSION, Writer, place, report};
use crate::text::InputProblem;
use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};

/// All homes of a run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonHomes {
    /// What wrote it.
    pub mateline: Writer,
    /// The homes, in the order of their files.
    pub homes: Vec<JsonHome>,
}

/// A home of a run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JsonHome {
    /// Its file, as it is reached from the folder the run was started in.
    pub file: String,
    /// The report; null for a home that cannot be used.
    pub report: Option<JsonReport>,
    /// Why it cannot be used.
    pub problems: Vec<JsonProblem>,
}

/// Something in an input that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JsonProblem {
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
    /// Where, the file relative to the project folder.
    pub at: JsonPlace,
}

/// The homes for machines, as written by mateline of the given version.
pub fn json(homes: &[CheckedHome], version: &str) -> JsonHomes {
    let home = |home: &CheckedHome| JsonHome {
        file: home.file.clone(),
        report: home.result.as_ref().ok().map(|found| report(found, version)),
        problems: home.result.as_ref().err().into_iter().flatten().map(problem).collect(),
    };
    JsonHomes {
        mateline: Writer { version: version.to_owned(), schema: SCHEMA_VERSION },
        homes: homes.iter().map(home).collect(),
    }
}

/// The schema of [`JsonHomes`].
pub fn schema() -> Schema {
    schema_for!(JsonHomes)
}

pub(crate) fn problem(problem: &InputProblem) -> JsonProblem {
    JsonProblem { message: problem.message.clone(), help: problem.help.clone(), at: place(&problem.at) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;

    #[test]
    fn usable_and_unusable_homes_fit_the_schema_and_read_back() {
        let validator = jsonschema::validator_for(&serde_json::to_value(schema()).unwrap()).unwrap();
        let home = CheckedHome { file: "a/home.yaml".to_owned(), result: Ok(fixture::report()) };
        let written = json(&[home, fixture::unusable()], "1.2.3");
        let value = serde_json::to_value(&written).unwrap();
        assert!(validator.is_valid(&value));
        assert_eq!(value["homes"][0]["report"]["home"], "Heron Lane");
        assert!(value["homes"][1]["report"].is_null());
        assert_eq!(value["homes"][1]["problems"][0]["at"]["line"], 3);
        assert_eq!(serde_json::from_value::<JsonHomes>(value).unwrap(), written);
    }
}
