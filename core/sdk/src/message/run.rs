//! A run: what a plugin is given, and what it hands back.

use super::cross::Cross;
use super::value::si_unit;
use super::{Fact, Figure, Given, Missing, Problem, Refused, handshake::no_utf8};
use crate::{Findings, Request};
use mateline_model as model;
use mateline_model::quantity::{Dimension, Quantity, parse};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

/// What a plugin is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunRequest {
    /// The home as `home.schema.json` describes it, with everything it includes and the materials of mateline. What the
    /// plugin did not declare is empty or not there: `modules` is `{}`, `site` has its place and climate zone alone. A
    /// plugin of ABI 1 is given the whole home.
    pub home: Value,
    /// The facts of the namespaces it reads, by subject and quantity.
    #[serde(default)]
    pub facts: Vec<Given>,
    /// What the judging packs ask this plugin to use, in the order of the packs.
    #[serde(default)]
    pub settings: Vec<Settings>,
}

/// What one pack asks a plugin to use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The pack.
    pub pack: String,
    /// Its settings, with tables by climate zone resolved. Values stand in SI as those of the home do: `0.18415 m`.
    pub settings: Value,
}

/// What a plugin hands back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunResponse {
    /// Facts.
    #[serde(default)]
    pub facts: Vec<Fact>,
    /// Facts that could not be found for want of an input.
    #[serde(default)]
    pub missing: Vec<Missing>,
    /// Things in the home that cannot be; the input cannot be used.
    #[serde(default)]
    pub problems: Vec<Problem>,
    /// Figures.
    #[serde(default)]
    pub figures: Vec<Figure>,
    /// What has to be said aloud and stops nothing: an answer that was asked for and is not there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<Problem>,
}

impl RunRequest {
    /// What a plugin is given, as a message.
    ///
    /// # Errors
    /// A home that cannot be written, which does not happen.
    pub fn of(request: &Request<'_>) -> Result<RunRequest, Refused> {
        Ok(RunRequest {
            home: request.home.to_json().map_err(|error| format!("cannot be given the home: {error}"))?,
            facts: request.facts.iter().map(Given::from).collect(),
            settings: request
                .settings
                .iter()
                .map(|(pack, settings)| Settings { pack: pack.clone(), settings: in_si(settings) })
                .collect(),
        })
    }

    /// The parts a Rust plugin is given: home, facts and settings.
    ///
    /// # Errors
    /// What cannot be read.
    pub fn open(self) -> Result<Opened, Refused> {
        let home = model::Home::read(&self.home).map_err(|error| format!("cannot read the home: {error}"))?;
        let mut facts = model::Facts::default();
        for given in self.facts {
            // The host's facts are already told apart; one that stands twice changes nothing.
            let _ = facts.insert(given.try_into()?);
        }
        let settings = self.settings.into_iter().map(|given| (given.pack, given.settings)).collect();
        Ok(Opened { home, facts, settings })
    }
}

/// Settings whose values stand in SI, as those of a home do; a text that is none stays as it is.
fn in_si(settings: &Value) -> Value {
    match settings {
        Value::String(text) => match parse(text) {
            Ok(Quantity { si, dimension }) if dimension != Dimension::PLAIN => {
                Value::String(format!("{si} {}", si_unit(dimension)))
            }
            Ok(share) if text.trim_end().ends_with('%') => Value::String(share.si.to_string()),
            _ => settings.clone(),
        },
        Value::Array(items) => items.iter().map(in_si).collect(),
        Value::Object(map) => map.iter().map(|(key, value)| (key.clone(), in_si(value))).collect::<Map<_, _>>().into(),
        other => other.clone(),
    }
}

/// The parts of a request, owned.
#[derive(Clone, Debug)]
pub struct Opened {
    /// The home.
    pub home: model::Home,
    /// Facts of the namespaces the plugin reads.
    pub facts: model::Facts,
    /// Settings by pack.
    pub settings: Vec<(String, Value)>,
}

impl Opened {
    /// As a plugin sees it.
    pub fn request(&self) -> Request<'_> {
        Request { home: &self.home, facts: &self.facts, settings: &self.settings, shown: true }
    }
}

impl RunResponse {
    /// What a Rust plugin found.
    ///
    /// # Errors
    /// A figure that cannot be written.
    pub fn of(findings: &Findings) -> Result<RunResponse, Refused> {
        Ok(RunResponse {
            facts: findings.facts.clone().cross()?,
            missing: findings.missing.clone().cross()?,
            problems: findings.problems.clone().cross()?,
            figures: findings.figures.clone().cross()?,
            remarks: findings.remarks.clone().cross()?,
        })
    }
}

impl TryFrom<RunResponse> for Findings {
    type Error = Refused;

    fn try_from(response: RunResponse) -> Result<Findings, Refused> {
        let is_bare = |fact: &Fact| fact.basis.method.trim().is_empty() || fact.basis.source.trim().is_empty();
        if response.facts.iter().any(is_bare) {
            return Err("states a fact whose basis has no method or no source".to_owned());
        }
        response.figures.iter().try_for_each(Figure::check)?;
        Ok(Findings {
            facts: response.facts.cross()?,
            missing: response.missing.cross()?,
            problems: response.problems.cross()?,
            figures: response.figures.cross()?,
            remarks: response.remarks.cross()?,
        })
    }
}

/// Reads the bytes a plugin handed back.
///
/// # Errors
/// Why they cannot be used.
pub fn read_response(bytes: &[u8]) -> Result<Findings, Refused> {
    let text = std::str::from_utf8(bytes).map_err(|error| format!("handed back {}", no_utf8(&error)))?;
    let response: RunResponse =
        serde_json::from_str(text).map_err(|error| format!("handed back JSON of another shape: {error}"))?;
    response.try_into()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;
    use serde_json::json;

    /// 7 1/4 in is 7.25 × 25.4 mm (the inch is defined so).
    #[test]
    fn settings_arrive_in_the_form_of_the_homes_values() {
        let given = json!({"depth": "7 1/4 in", "share": "50 %", "word": "by the book", "edition": "2021", "list": ["R-10", 3]});
        let told = in_si(&given);
        let si = |text: &Value| parse(text.as_str().unwrap()).unwrap().si;
        assert!((si(&told["depth"]) - 0.18415).abs() < 1e-15 && told["depth"].as_str().unwrap().ends_with(" m"));
        assert_eq!(si(&told["depth"]), parse("7 1/4 in").unwrap().si, "every bit");
        assert_eq!(
            (&told["share"], &told["word"], &told["edition"]),
            (&json!("0.5"), &json!("by the book"), &json!("2021"))
        );
        assert!(told["list"][0].as_str().unwrap().ends_with("m²·K/W") && told["list"][1] == 3);
    }
}
