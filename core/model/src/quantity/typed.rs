//! One type per quantity. A value read from YAML is checked for its dimension here, and only sums, products and
//! quotients that make sense exist:
//!
//! ```compile_fail
//! use mateline_model::quantity::{ThermalResistance, ThermalTransmittance};
//! let r = ThermalResistance::from_si(2.0);
//! let u = ThermalTransmittance::from_si(0.5);
//! let nonsense = r + u;
//! ```
//!
//! ```
//! use mateline_model::quantity::{Length, Conductivity};
//! let wool: Length = "140 mm".parse()?;
//! let r = wool / Conductivity::from_si(0.035);
//! assert!((r.si() - 4.0).abs() < 1e-12);
//! # Ok::<(), String>(())
//! ```

use super::{Dimension, Quantity, parse, unit};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer, Visitor};
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::ops::{Add, Div, Mul, Sub};

/// Stands for a value that could not be read, so that loading can go on and find the next mistake. Every quantity
/// reads it as zero; a home that contains it is never used.
pub const PLACEHOLDER: &str = "\u{1}placeholder\u{1}";

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident: $dimension:ident, $si:literal, [$($accepts:literal),+], $example:literal;)*) => {
        $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// What this type measures.
            pub const DIMENSION: Dimension = Dimension::$dimension;

            /// From a number of the SI unit.
            pub const fn from_si(si: f64) -> $name {
                $name(si)
            }

            #[doc = concat!("The value in ", $si, ".")]
            pub const fn si(self) -> f64 {
                self.0
            }

            /// The value in a unit of this dimension; `None` for another unit.
            pub fn in_unit(self, name: &str) -> Option<f64> {
                unit(name).filter(|unit| unit.dimension == Self::DIMENSION).map(|unit| unit.of_si(self.0))
            }
        }

        impl From<$name> for Quantity {
            fn from(value: $name) -> Quantity {
                Quantity::new(value.0, $name::DIMENSION)
            }
        }

        impl TryFrom<Quantity> for $name {
            type Error = String;

            fn try_from(quantity: Quantity) -> Result<$name, String> {
                if quantity.dimension == $name::DIMENSION {
                    Ok($name(quantity.si))
                } else {
                    Err(format!(
                        "is {}, but {} is needed",
                        quantity.dimension.with_article(),
                        $name::DIMENSION.with_article()
                    ))
                }
            }
        }

        impl std::str::FromStr for $name {
            type Err = String;

            fn from_str(text: &str) -> Result<$name, String> {
                read(text, $name::DIMENSION, &[$($accepts),+], $example).map($name)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                if $si.is_empty() { write!(f, "{}", self.0) } else { write!(f, "{} {}", self.0, $si) }
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<$name, D::Error> {
                deserializer
                    .deserialize_any(QuantityVisitor {
                        dimension: $name::DIMENSION,
                        accepts: &[$($accepts),+],
                        example: $example,
                    })
                    .map($name)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                schema($name::DIMENSION, &[$($accepts),+], $example)
            }
        }
    )*

    #[cfg(test)]
    const DECLARED: &[(&str, Dimension)] = &[$((stringify!($name), Dimension::$dimension)),*];

    #[cfg(test)]
    const SI_UNITS: &[(&str, Dimension)] = &[$(($si, Dimension::$dimension)),*];

    #[cfg(test)]
    const ACCEPTED: &[(&[&str], &str, Dimension)] = &[$((&[$($accepts),+], $example, Dimension::$dimension)),*];
    };
}

quantities! {
    /// A length, width, height, thickness or depth (m).
    Length: LENGTH, "m", ["in", "ft", "yd", "mm", "cm", "m"], "5 1/2 in";
    /// An area (m²).
    Area: AREA, "m²", ["in²", "ft²", "cm²", "m²"], "182 ft²";
    /// A volume (m³).
    Volume: VOLUME, "m³", ["ft³", "yd³", "gal", "L", "m³"], "0.5 gal";
    /// A mass (kg).
    Mass: MASS, "kg", ["lb", "kg"], "250 lb";
    /// A mass per volume: density, VOC content, concentration in air (kg/m³).
    Density: DENSITY, "kg/m³", ["lb/ft³", "kg/m³", "g/L", "µg/m³"], "3.5 lb/ft³";
    /// A mass per area (kg/m²).
    SurfaceMass: SURFACE_MASS, "kg/m²", ["lb/ft²", "kg/m²"], "2 lb/ft²";
    /// A mass per length (kg/m).
    LineMass: LINE_MASS, "kg/m", ["lb/ft", "kg/m"], "3 lb/ft";
    /// A duration (s).
    Duration: TIME, "s", ["s", "min", "h", "d", "yr"], "8 h";
    /// A rate per time, such as air changes (1/s).
    Rate: RATE, "1/s", ["ACH", "1/h"], "0.6 ACH";
    /// Radioactive decays per volume of air (Bq/m³).
    ActivityConcentration: ACTIVITY, "Bq/m³", ["pCi/L", "Bq/m³"], "4 pCi/L";
    /// A force (N).
    Force: FORCE, "N", ["lbf", "kip", "N", "kN"], "40 kip";
    /// A force per length (N/m).
    LineLoad: LINE_LOAD, "N/m", ["plf", "kN/m"], "900 plf";
    /// A pressure, or a load per area (Pa).
    Pressure: PRESSURE, "Pa", ["Pa", "psf", "inwg"], "50 Pa";
    /// A power (W).
    Power: POWER, "W", ["W", "kW", "Btu/h"], "42 W";
    /// A heat flow or power per area (W/m²).
    HeatFlux: HEAT_FLUX, "W/m²", ["W/m²", "kWh/(m²·d)", "Btu/(h·ft²)"], "10 W/m²";
    /// An energy (J).
    Energy: ENERGY, "J", ["kWh", "kBtu"], "120 kWh";
    /// A temperature on a scale (°C).
    Temperature: TEMPERATURE, "°C", ["°F", "°C"], "-8 °F";
    /// A difference of two temperatures (K).
    TemperatureDifference: TEMPERATURE_DIFFERENCE, "K", ["Δ°F", "K"], "20 K";
    /// Degree-days (K·s).
    DegreeDays: DEGREE_TIME, "K·s", ["°F·d", "°C·d"], "7300 °F·d";
    /// A thermal resistance (m²·K/W).
    ThermalResistance: RESISTANCE, "m²·K/W", ["R-…", "RSI …", "h·ft²·°F/Btu", "m²·K/W"], "R-13";
    /// A thermal transmittance or U-factor (W/(m²·K)).
    ThermalTransmittance: TRANSMITTANCE, "W/(m²·K)", ["Btu/(h·ft²·°F)", "W/(m²·K)"], "0.30 Btu/(h·ft²·°F)";
    /// A thermal conductivity λ, or a linear thermal transmittance ψ (W/(m·K)).
    Conductivity: CONDUCTIVITY, "W/(m·K)", ["Btu·in/(h·ft²·°F)", "Btu/(h·ft·°F)", "W/(m·K)"], "0.035 W/(m·K)";
    /// A heat loss coefficient such as UA, or a point transmittance χ (W/K).
    Conductance: CONDUCTANCE, "W/K", ["Btu/(h·°F)", "W/K"], "3 W/K";
    /// A specific heat capacity (J/(kg·K)).
    SpecificHeat: SPECIFIC_HEAT, "J/(kg·K)", ["Btu/(lb·°F)", "J/(kg·K)"], "1600 J/(kg·K)";
    /// A volume flow of air (m³/s).
    Flow: FLOW, "m³/s", ["cfm", "L/s", "m³/h"], "75 cfm";
    /// A volume flow per area (m/s); also a speed.
    FlowPerArea: VELOCITY, "m/s", ["cfm/ft²", "L/(s·m²)", "m³/(h·m²)", "m/s"], "0.04 cfm/ft²";
    /// An air flow per electrical power (m³/(s·W)).
    FanEfficacy: FAN_EFFICACY, "m³/(s·W)", ["cfm/W", "L/(s·W)"], "1.2 cfm/W";
    /// A water-vapour permeance (kg/(Pa·s·m²)).
    Permeance: PERMEANCE, "kg/(Pa·s·m²)", ["perm", "ng/(Pa·s·m²)"], "0.8 perm";
    /// An area-specific emission rate (kg/(m²·s)).
    EmissionRate: EMISSION, "kg/(m²·s)", ["µg/(m²·h)", "mg/(m²·h)"], "9 µg/(m²·h)";
    /// A mass flow (kg/s).
    MassFlow: MASS_FLOW, "kg/s", ["g/h", "kg/d", "lb/d"], "50 g/h";
    /// An electric current (A).
    Current: CURRENT, "A", ["A"], "30 A";
    /// A plane angle (rad).
    Angle: ANGLE, "rad", ["°"], "30 °";
    /// A loudness (sone).
    Loudness: LOUDNESS, "sone", ["sone"], "0.8 sone";
    /// An A-weighted sound level (dB(A)).
    SoundLevel: SOUND_LEVEL, "dB(A)", ["dB(A)"], "25 dB(A)";
    /// Money, in the project's own currency.
    Money: MONEY, "$", ["$"], "4200 $";
    /// Money per length.
    MoneyPerLength: MONEY_PER_LENGTH, "$/m", ["$/ft", "$/m"], "18 $/ft";
    /// Money per area.
    MoneyPerArea: MONEY_PER_AREA, "$/m²", ["$/ft²", "$/m²"], "6 $/ft²";
    /// Money per volume.
    MoneyPerVolume: MONEY_PER_VOLUME, "$/m³", ["$/yd³", "$/m³"], "185 $/yd³";
    /// Money per mass.
    MoneyPerMass: MONEY_PER_MASS, "$/kg", ["$/lb", "$/kg"], "1.4 $/lb";
    /// Money per energy.
    MoneyPerEnergy: MONEY_PER_ENERGY, "$/J", ["$/kWh", "$/MJ"], "0.17 $/kWh";
    /// Mass per energy.
    MassPerEnergy: MASS_PER_ENERGY, "kg/J", ["kg/kWh", "lb/kWh"], "0.35 kg/kWh";
    /// Money per time.
    MoneyPerTime: MONEY_PER_TIME, "$/s", ["$/h", "$/d"], "95 $/h";
    /// A ratio: a plain number or a percentage.
    Ratio: PLAIN, "", ["%", "a plain number"], "75 %";
}

struct QuantityVisitor {
    dimension: Dimension,
    accepts: &'static [&'static str],
    example: &'static str,
}

impl Visitor<'_> for QuantityVisitor {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&expected(self.dimension, self.accepts, self.example))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<f64, E> {
        read(text, self.dimension, self.accepts, self.example).map_err(E::custom)
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<f64, E> {
        if self.dimension == Dimension::PLAIN && number.is_finite() {
            return Ok(number);
        }
        Err(E::custom(format!("{number} needs a unit: {}", expected(self.dimension, self.accepts, self.example))))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<f64, E> {
        self.visit_f64(number as f64)
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<f64, E> {
        self.visit_f64(number as f64)
    }
}

fn expected(dimension: Dimension, accepts: &[&str], example: &str) -> String {
    let what = dimension.with_article();
    format!("{what} such as \"{example}\" (units accepted: {})", accepts.join(", "))
}

fn read(text: &str, dimension: Dimension, accepts: &[&str], example: &str) -> Result<f64, String> {
    if text == PLACEHOLDER {
        return Ok(0.0);
    }
    let quantity = parse(text)
        .map_err(|error| error.wanting(dimension))
        .map_err(|error| format!("{error}; expected {}", expected(dimension, accepts, example)))?;
    if quantity.dimension == dimension {
        return Ok(quantity.si);
    }
    if quantity.dimension == Dimension::PLAIN {
        return Err(format!("'{text}' needs a unit: {}", expected(dimension, accepts, example)));
    }
    let found = quantity.dimension.with_article();
    Err(format!("'{text}' is {found}, not {}", expected(dimension, accepts, example)))
}

fn schema(dimension: Dimension, accepts: &[&str], example: &str) -> Schema {
    let article = if dimension.with_article().starts_with("an ") { "An" } else { "A" };
    let description = format!("{article} {dimension} with its unit. Units: {}.", accepts.join(", "));
    if dimension == Dimension::PLAIN {
        json_schema!({ "type": ["number", "string"], "description": description, "examples": [example] })
    } else {
        json_schema!({ "type": "string", "description": description, "examples": [example] })
    }
}

macro_rules! sums {
    ($($name:ident)*) => {$(
        impl Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name {
                $name(self.0 - other.0)
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = $name>>(terms: I) -> $name {
                $name(terms.map(|term| term.0).sum())
            }
        }

        impl Mul<f64> for $name {
            type Output = $name;
            fn mul(self, factor: f64) -> $name {
                $name(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = $name;
            fn div(self, divisor: f64) -> $name {
                $name(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, divisor: $name) -> f64 {
                self.0 / divisor.0
            }
        }
    )*};
}

sums! {
    Length Area Volume Mass Density SurfaceMass LineMass Duration Rate Force LineLoad Pressure Power HeatFlux Energy
    TemperatureDifference DegreeDays ThermalResistance ThermalTransmittance Conductivity Conductance SpecificHeat Flow
    FlowPerArea Permeance EmissionRate MassFlow Money Ratio
}

macro_rules! products {
    ($($left:ident $op:tt $right:ident = $result:ident;)*) => {$(
        products!(@one $left $op $right = $result);
    )*};
    (@one $left:ident * $right:ident = $result:ident) => {
        impl Mul<$right> for $left {
            type Output = $result;
            fn mul(self, other: $right) -> $result {
                $result(self.0 * other.0)
            }
        }
    };
    (@one $left:ident / $right:ident = $result:ident) => {
        impl Div<$right> for $left {
            type Output = $result;
            fn div(self, other: $right) -> $result {
                $result(self.0 / other.0)
            }
        }
    };
}

products! {
    Length * Length = Area;
    Area * Length = Volume;
    Area / Length = Length;
    Volume / Area = Length;
    Volume * Density = Mass;
    Area * SurfaceMass = Mass;
    Length * Density = SurfaceMass;
    Length / Conductivity = ThermalResistance;
    Length / ThermalResistance = Conductivity;
    ThermalTransmittance * Area = Conductance;
    Conductance / Area = ThermalTransmittance;
    Conductivity * Length = Conductance;
    Conductance * TemperatureDifference = Power;
    Flow / Volume = Rate;
    Flow / Area = FlowPerArea;
    FlowPerArea * Area = Flow;
    Rate * Volume = Flow;
}

impl ThermalResistance {
    /// `U = 1/R`.
    pub fn transmittance(self) -> ThermalTransmittance {
        ThermalTransmittance(1.0 / self.0)
    }
}

impl ThermalTransmittance {
    /// `R = 1/U`.
    pub fn resistance(self) -> ThermalResistance {
        ThermalResistance(1.0 / self.0)
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Temperature) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Temperature;
    fn add(self, rise: TemperatureDifference) -> Temperature {
        Temperature(self.0 + rise.0)
    }
}

impl Temperature {
    /// The thermodynamic temperature in kelvins.
    pub fn kelvin(self) -> f64 {
        self.0 + 273.15
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Of the units a letter away the one that measures what is wanted: `ppf` may be meant as `plf` or `psf`.
    #[test]
    fn a_misspelt_unit_is_told_one_of_what_is_wanted() {
        let near = |found: Result<(), String>, wanted: &str| {
            let message = found.unwrap_err();
            assert!(message.contains(&format!("(did you mean '{wanted}'?)")), "{message}");
        };
        near("30 cmf".parse::<Flow>().map(|_| ()), "cfm");
        near("30 cn".parse::<Length>().map(|_| ()), "cm");
        near("30 ppf".parse::<Pressure>().map(|_| ()), "psf");
    }

    fn message<T: for<'de> Deserialize<'de> + fmt::Debug>(value: serde_json::Value) -> String {
        match serde_json::from_value::<T>(value) {
            Err(error) => error.to_string(),
            Ok(value) => panic!("read as {value:?}"),
        }
    }

    #[test]
    fn a_bare_number_is_told_which_units_are_accepted() {
        assert_eq!(
            message::<Length>(serde_json::json!(5.5)),
            "5.5 needs a unit: a length such as \"5 1/2 in\" (units accepted: in, ft, yd, mm, cm, m)"
        );
        assert!(message::<Length>(serde_json::json!("5.5")).starts_with("'5.5' needs a unit"));
        assert!(message::<Length>(serde_json::json!("R-5")).starts_with("'R-5' is a thermal resistance, not a length"));
        assert!(message::<Temperature>(serde_json::json!("5 K")).contains("is a temperature difference, not a temper"));
        assert!(message::<ThermalTransmittance>(serde_json::json!("R-5")).contains("not a U-factor"));
    }

    /// The list that `equation!` compiles by is this file's.
    #[test]
    fn every_type_is_listed_with_what_it_measures() {
        assert_eq!(DECLARED, super::super::TYPES);
    }

    #[test]
    fn every_si_unit_measures_what_its_type_says() {
        for (name, dimension) in SI_UNITS.iter().filter(|(name, _)| !name.is_empty()) {
            assert_eq!(unit(name).map(|unit| (unit.dimension, unit.factor)), Some((*dimension, 1.0)), "{name}");
        }
    }

    #[test]
    fn every_unit_named_in_a_message_is_accepted() {
        for (accepts, example, dimension) in ACCEPTED {
            assert_eq!(parse(example).map(|quantity| quantity.dimension), Ok(*dimension), "{example}");
            for name in accepts.iter().filter(|name| !matches!(**name, "R-…" | "RSI …" | "a plain number")) {
                assert_eq!(unit(name).map(|unit| unit.dimension), Some(*dimension), "{name}");
            }
        }
    }

    #[test]
    fn a_ratio_is_a_plain_number_or_a_percentage() {
        for value in [serde_json::json!(0.25), serde_json::json!("25 %"), serde_json::json!("0.25")] {
            let ratio: Ratio = serde_json::from_value(value).unwrap_or_default();
            assert_eq!(ratio.si(), 0.25);
        }
    }

    proptest! {
        #[test]
        fn a_quantity_survives_json(si in -1e9f64..1e9) {
            let text = serde_json::to_string(&Length::from_si(si))?;
            prop_assert_eq!(serde_json::from_str::<Length>(&text)?, Length::from_si(si));
            let text = serde_json::to_string(&Temperature::from_si(si))?;
            prop_assert_eq!(serde_json::from_str::<Temperature>(&text)?, Temperature::from_si(si));
        }
    }
}
