//! Values: numbers with the unit they stand in, words, flags, and how they are shown.

use super::{Real, Refused};
use mateline_model as model;
use mateline_model::quantity::{Dimension, Quantity, unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A value: `{"number": {"value": 0.25, "unit": "W/(m²·K)"}}`, `{"text": "mineral wool"}` or `{"flag": true}`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Value {
    /// A number with its unit.
    Number(Amount),
    /// A word or name.
    Text(String),
    /// Yes or no.
    Flag(bool),
}

/// A number with the unit it stands in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Amount {
    /// The number.
    pub value: Real,
    /// Any unit mateline knows, such as `W/(m²·K)`, `ft` or `%`; empty for plain numbers. mateline itself writes the
    /// unit in which the SI value stands unchanged; for temperatures on a scale that is `°C`.
    #[serde(default)]
    pub unit: String,
}

/// How values of one quantity are shown.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Units {
    /// SI unit; empty for plain numbers.
    #[serde(default)]
    pub si: String,
    /// Decimals in SI.
    #[serde(default)]
    pub si_digits: u8,
    /// Inch-pound unit, of the same dimension.
    #[serde(default)]
    pub ip: String,
    /// Decimals in inch-pound units.
    #[serde(default)]
    pub ip_digits: u8,
}

/// Decimals beyond these say nothing.
const MAX_DIGITS: u8 = 12;

/// Dimensions whose SI unit has a name more readable than its base units. Each factor to SI is exactly one.
const READABLE: &[(Dimension, &str)] = &[
    (Dimension::AREA, "m²"),
    (Dimension::VOLUME, "m³"),
    (Dimension::RATE, "1/s"),
    (Dimension::DENSITY, "kg/m³"),
    (Dimension::SURFACE_MASS, "kg/m²"),
    (Dimension::LINE_MASS, "kg/m"),
    (Dimension::FORCE, "N"),
    (Dimension::LINE_LOAD, "N/m"),
    (Dimension::PRESSURE, "Pa"),
    (Dimension::POWER, "W"),
    (Dimension::ENERGY, "J"),
    (Dimension::HEAT_FLUX, "W/m²"),
    (Dimension::TEMPERATURE, "°C"),
    (Dimension::DEGREE_TIME, "K·s"),
    (Dimension::RESISTANCE, "m²·K/W"),
    (Dimension::TRANSMITTANCE, "W/(m²·K)"),
    (Dimension::CONDUCTIVITY, "W/(m·K)"),
    (Dimension::CONDUCTANCE, "W/K"),
    (Dimension::SPECIFIC_HEAT, "J/(kg·K)"),
    (Dimension::FLOW, "m³/s"),
    (Dimension::VELOCITY, "m/s"),
    (Dimension::FAN_EFFICACY, "m³/(s·W)"),
    (Dimension::PERMEANCE, "kg/(Pa·s·m²)"),
    (Dimension::EMISSION, "kg/(m²·s)"),
    (Dimension::MASS_FLOW, "kg/s"),
    (Dimension::VOLTAGE, "V"),
    (Dimension::MONEY_PER_LENGTH, "$/m"),
    (Dimension::MONEY_PER_AREA, "$/m²"),
    (Dimension::MONEY_PER_VOLUME, "$/m³"),
    (Dimension::MONEY_PER_MASS, "$/kg"),
    (Dimension::MONEY_PER_TIME, "$/s"),
];

/// The unit in which an SI value stands unchanged.
pub fn si_unit(dimension: Dimension) -> String {
    if dimension == Dimension::PLAIN {
        return String::new();
    }
    let readable = READABLE.iter().find(|(known, _)| *known == dimension);
    readable.map_or_else(|| base_units(dimension), |(_, unit)| (*unit).to_owned())
}

/// A dimension in base units: `m^5·s^-1`.
fn base_units(dimension: Dimension) -> String {
    let bases = [
        ("m", dimension.length),
        ("kg", dimension.mass),
        ("s", dimension.time),
        ("K", dimension.temperature),
        ("A", dimension.current),
        ("$", dimension.money),
        ("rad", dimension.angle),
        ("sone", dimension.loudness),
        ("dB(A)", dimension.sound_level),
    ];
    let powers = bases.into_iter().filter(|(_, exponent)| *exponent != 0);
    let powers =
        powers.map(|(base, exponent)| if exponent == 1 { base.to_owned() } else { format!("{base}^{exponent}") });
    powers.collect::<Vec<_>>().join("·")
}

impl From<Quantity> for Amount {
    fn from(quantity: Quantity) -> Amount {
        Amount { value: Real(quantity.si), unit: si_unit(quantity.dimension) }
    }
}

impl TryFrom<Amount> for Quantity {
    type Error = Refused;

    fn try_from(amount: Amount) -> Result<Quantity, Refused> {
        let Real(number) = amount.value;
        if amount.unit.is_empty() {
            return Ok(Quantity::plain(number));
        }
        let known =
            unit(&amount.unit).ok_or_else(|| format!("gives a number in '{}', which is no unit", amount.unit))?;
        // A value that already stands in SI keeps every bit, the sign of a zero included.
        let si = if known.factor == 1.0 && known.offset == 0.0 { number } else { known.to_si(number) };
        Ok(Quantity::new(si, known.dimension))
    }
}

impl From<&model::Value> for Value {
    fn from(value: &model::Value) -> Value {
        match value {
            model::Value::Number(quantity) => Value::Number((*quantity).into()),
            model::Value::Text(text) => Value::Text(text.clone()),
            model::Value::Flag(flag) => Value::Flag(*flag),
        }
    }
}

impl TryFrom<Value> for model::Value {
    type Error = Refused;

    fn try_from(value: Value) -> Result<model::Value, Refused> {
        Ok(match value {
            Value::Number(amount) => model::Value::Number(amount.try_into()?),
            Value::Text(text) => model::Value::Text(text),
            Value::Flag(flag) => model::Value::Flag(flag),
        })
    }
}

impl From<&model::quantity::Units> for Units {
    fn from(units: &model::quantity::Units) -> Units {
        Units {
            si: units.si.to_string(),
            si_digits: units.si_digits,
            ip: units.ip.to_string(),
            ip_digits: units.ip_digits,
        }
    }
}

impl TryFrom<Units> for model::quantity::Units {
    type Error = Refused;

    fn try_from(units: Units) -> Result<model::quantity::Units, Refused> {
        let dimension = |name: &str| match name {
            "" => Ok(Dimension::PLAIN),
            name => {
                unit(name).map(|unit| unit.dimension).ok_or_else(|| format!("names the unit '{name}', which is none"))
            }
        };
        let (si, ip) = (dimension(&units.si)?, dimension(&units.ip)?);
        if si != ip {
            return Err(format!("shows a {si} in '{}' and a {ip} in '{}'", units.si, units.ip));
        }
        if units.si_digits > MAX_DIGITS || units.ip_digits > MAX_DIGITS {
            return Err(format!("asks for more than {MAX_DIGITS} decimals"));
        }
        Ok(model::quantity::Units {
            si: units.si.into(),
            ip: units.ip.into(),
            si_digits: units.si_digits,
            ip_digits: units.ip_digits,
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    /// Every dimension crosses and comes back, bit for bit.
    #[test]
    fn every_dimension_crosses_unchanged() {
        let odd = Dimension { length: 4, time: -1, money: 2, ..Dimension::PLAIN };
        let all = Dimension::NAMED.iter().map(|(dimension, _)| *dimension).chain([odd]);
        for dimension in all {
            for number in [0.1 + 0.2, -0.0, 1.0 / 3.0, 6.02e23, f64::MIN_POSITIVE] {
                let text = serde_json::to_string(&Amount::from(Quantity::new(number, dimension))).unwrap();
                let back = Quantity::try_from(serde_json::from_str::<Amount>(&text).unwrap());
                let back = back.unwrap_or_else(|why| panic!("{text}: {why}"));
                assert_eq!((back.si.to_bits(), back.dimension), (number.to_bits(), dimension), "{text}");
            }
        }
    }

    #[test]
    fn a_number_in_another_unit_is_converted() {
        let amount: Amount = serde_json::from_str(r#"{"value": 10, "unit": "ft"}"#).unwrap();
        let quantity = Quantity::try_from(amount).unwrap();
        assert!((quantity.si - 3.048).abs() < 1e-12 && quantity.dimension == Dimension::LENGTH);
    }

    #[test]
    fn a_forgotten_value_is_no_null() {
        assert!(serde_json::from_str::<Amount>(r#"{"unit": "m"}"#).is_err());
        assert!(serde_json::from_str::<Amount>(r#"{"value": null, "unit": "m"}"#).is_ok());
    }

    #[test]
    fn units_that_do_not_fit_each_other_are_refused() {
        let units = |si: &str, ip: &str| Units { si: si.into(), ip: ip.into(), ..Units::default() };
        let refused = |units: Units| model::quantity::Units::try_from(units).unwrap_err();
        assert_eq!(refused(units("m", "lb")), "shows a length in 'm' and a mass in 'lb'");
        assert_eq!(refused(units("metre", "ft")), "names the unit 'metre', which is none");
    }
}
