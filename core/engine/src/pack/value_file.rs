//! The value a rule judges, as a pack's file writes it.

use mateline_model::home::Name;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// An expression, or a figure over the elements of a section.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum ValueFile {
    /// `envelope.u_factor`.
    Expression(Name),
    /// `{sum: takeoff.net_area, over: surfaces, where: "takeoff.boundary == 'outdoor'"}`.
    Aggregate(Box<AggregateFile>),
}

/// A figure over the elements of a section. Exactly one of `sum`, `min`, `max`, `mean` and `count` is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AggregateFile {
    /// The sum of this expression.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sum: Option<Name>,
    /// The least of this expression.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub min: Option<Name>,
    /// The greatest of this expression.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max: Option<Name>,
    /// The mean of this expression.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean: Option<Name>,
    /// How many elements there are: a section, in place of `over`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<Name>,
    /// The section.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over: Option<Name>,
    /// Which of its elements; all where not given.
    #[serde(default, rename = "where", skip_serializing_if = "Option::is_none")]
    pub filter: Option<Name>,
    /// What a mean is weighted by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weighted_by: Option<Name>,
}

impl<'de> Deserialize<'de> for ValueFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<ValueFile, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = ValueFile;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an expression, or a figure such as {sum: …, over: …}")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<ValueFile, E> {
                text.parse().map(ValueFile::Expression).map_err(E::custom)
            }

            fn visit_i64<E: de::Error>(self, number: i64) -> Result<ValueFile, E> {
                self.visit_str(&number.to_string())
            }

            fn visit_u64<E: de::Error>(self, number: u64) -> Result<ValueFile, E> {
                self.visit_str(&number.to_string())
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<ValueFile, A::Error> {
                AggregateFile::deserialize(MapAccessDeserializer::new(map))
                    .map(|file| ValueFile::Aggregate(Box::new(file)))
            }
        }
        deserializer.deserialize_any(Either)
    }
}

impl JsonSchema for ValueFile {
    fn schema_name() -> Cow<'static, str> {
        "Value".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (text, figure) = (generator.subschema_for::<Name>(), generator.subschema_for::<AggregateFile>());
        json_schema!({
            "description": "An expression, or a figure over the elements of a section.",
            "anyOf": [text, figure]
        })
    }
}
