//! Unit rates of the foundation's works and of energy, as the user's own offers give them. None comes with mateline.

use crate::quantity::{Money, MoneyPerArea, MoneyPerEnergy, MoneyPerLength, MoneyPerMass, MoneyPerVolume};
use crate::wanted;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{F64Deserializer, MapAccessDeserializer, StrDeserializer};
use serde::de::{self, Deserializer, IntoDeserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

/// Unit rates, each a value or a range `{low: …, high: …}`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rates {
    /// Digging, by the volume in the ground; topsoil included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub excavation: Option<Rate<MoneyPerVolume>>,
    /// Carrying soil away, by its loose volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul: Option<Rate<MoneyPerVolume>>,
    /// Carrying soil away, by the truckload; used where `haul` is not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_per_load: Option<Rate<Money>>,
    /// Filling and compacting, by the volume filled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backfill: Option<Rate<MoneyPerVolume>>,
    /// Gravel in place, under slabs and around drains.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravel: Option<Rate<MoneyPerVolume>>,
    /// Concrete delivered and placed, by the volume ordered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub concrete: Option<Rate<MoneyPerVolume>>,
    /// Forms, by the face in contact with concrete.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub formwork: Option<Rate<MoneyPerArea>>,
    /// Reinforcement in place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reinforcement: Option<Rate<MoneyPerMass>>,
    /// Waterproofing of walls below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waterproofing: Option<Rate<MoneyPerArea>>,
    /// Damp-proofing of walls below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dampproofing: Option<Rate<MoneyPerArea>>,
    /// Footing drain with its fabric, gravel apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drainage: Option<Rate<MoneyPerLength>>,
    /// Insulation of foundation walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_insulation: Option<Rate<MoneyPerArea>>,
    /// Insulation under slabs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slab_insulation: Option<Rate<MoneyPerArea>>,
    /// Insulation of floors over an unconditioned space or the open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_insulation: Option<Rate<MoneyPerArea>>,
    /// Ground cover, or the sheet under a slab.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground_cover: Option<Rate<MoneyPerArea>>,
    /// Skirt around piers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skirt: Option<Rate<MoneyPerArea>>,
    /// A post with its share of the beam above, under a mate line; its footing apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post: Option<Rate<Money>>,
    /// A sump with its pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sump: Option<Rate<Money>>,
    /// A sewage ejector.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ejector: Option<Rate<Money>>,
    /// An escape window with its well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub egress_window: Option<Rate<Money>>,
    /// Setting up the site: survey, access, cleaning up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_up: Option<Rate<Money>>,
    /// Electricity from the grid, all that is charged by its amount together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub electricity: Option<Rate<MoneyPerEnergy>>,
    /// What is paid for electricity that goes to the grid; nothing where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "nothing is paid for it"))]
    pub export: Option<Rate<MoneyPerEnergy>>,
    /// Fuel that the home burns, by its heat of combustion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<Rate<MoneyPerEnergy>>,
}

/// A rate, or the range it lies in. A single value has both ends alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate<T> {
    /// The low end.
    pub low: T,
    /// The high end.
    pub high: T,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
/// A range of rates.
struct RateRange<T> {
    /// The lowest rate.
    low: T,
    /// The highest rate.
    high: T,
}

impl<T: Serialize + Copy + PartialEq> Serialize for Rate<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.low == self.high {
            return self.low.serialize(serializer);
        }
        RateRange { low: self.low, high: self.high }.serialize(serializer)
    }
}

impl<'de, T: Deserialize<'de> + Copy + PartialOrd + fmt::Display> Deserialize<'de> for Rate<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Rate<T>, D::Error> {
        deserializer.deserialize_any(Either(PhantomData))
    }
}

struct Either<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de> + Copy + PartialOrd + fmt::Display> Visitor<'de> for Either<T> {
    type Value = Rate<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; or a range with 'low' and 'high'", wanted::by::<T>())
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Rate<T>, E> {
        let both = T::deserialize(StrDeserializer::new(text))?;
        Ok(Rate { low: both, high: both })
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Rate<T>, E> {
        let number: F64Deserializer<E> = number.into_deserializer();
        T::deserialize(number).map(|both| Rate { low: both, high: both })
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Rate<T>, E> {
        self.visit_f64(number as f64)
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Rate<T>, E> {
        self.visit_f64(number as f64)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Rate<T>, A::Error> {
        let RateRange { low, high } = RateRange::<T>::deserialize(MapAccessDeserializer::new(map))?;
        if low > high {
            return Err(de::Error::custom(format!("the low rate {low} is above the high rate {high}")));
        }
        Ok(Rate { low, high })
    }
}

impl<T: JsonSchema> JsonSchema for Rate<T> {
    fn schema_name() -> Cow<'static, str> {
        format!("RateOf{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (one, range) = (generator.subschema_for::<T>(), generator.subschema_for::<RateRange<T>>());
        json_schema!({ "description": "A rate, or a range with low and high.", "anyOf": [one, range] })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]

    use super::*;
    use serde_json::json;

    fn refused(rates: serde_json::Value) -> String {
        match serde_json::from_value::<Rates>(rates) {
            Err(error) => error.to_string(),
            Ok(rates) => panic!("read as {rates:?}"),
        }
    }

    #[test]
    fn a_rate_is_a_value_or_a_range() {
        let rates: Rates = serde_json::from_value(json!({
            "sump": "900 $",
            "ejector": {"low": "1400 $", "high": "2100 $"},
        }))
        .unwrap();
        assert_eq!(rates.sump.map(|rate| (rate.low.si(), rate.high.si())), Some((900.0, 900.0)));
        assert_eq!(rates.ejector.map(|rate| (rate.low.si(), rate.high.si())), Some((1400.0, 2100.0)));
        let again: Rates = serde_json::from_value(serde_json::to_value(&rates).unwrap()).unwrap();
        assert_eq!(again, rates);
    }

    #[test]
    fn what_is_no_rate_is_refused() {
        assert!(refused(json!({"excavation": 12})).contains("12 needs a unit"));
        assert!(refused(json!({"excavation": "12 $/ft"})).contains("is a money per length"));
        assert!(
            refused(json!({"sump": {"low": "3 $", "high": "2 $"}}))
                .contains("the low rate 3 $ is above the high rate 2 $")
        );
        assert!(refused(json!({"sump": {"low": "3 $"}})).contains("missing field `high`"));
        assert!(refused(json!({"sump": {"low": "3 $", "high": "4 $", "mid": "3 $"}})).contains("unknown field `mid`"));
        assert!(refused(json!({"diging": "3 $"})).contains("unknown field `diging`"));
        assert!(refused(json!({"sump": true})).contains("or a range with 'low' and 'high'"));
    }
}
