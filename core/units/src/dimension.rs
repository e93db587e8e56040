//! Dimensions: what kind of thing a quantity measures, so that an R-value is never taken for a U-factor.

use std::fmt;

/// The exponents of a quantity's base dimensions.
///
/// `point` marks a temperature read on a scale (21 °C) as opposed to a difference of temperatures (21 K); the two do
/// not add up alike. Loudness (sone) and sound level (dB(A)) are bases of their own, since neither converts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Dimension {
    /// Exponent of length (m).
    pub length: i8,
    /// Exponent of mass (kg).
    pub mass: i8,
    /// Exponent of time (s).
    pub time: i8,
    /// Exponent of temperature difference (K).
    pub temperature: i8,
    /// Exponent of electric current (A).
    pub current: i8,
    /// Exponent of money (the project's own currency, written `$`).
    pub money: i8,
    /// Exponent of plane angle (rad).
    pub angle: i8,
    /// Exponent of loudness (sone).
    pub loudness: i8,
    /// Exponent of A-weighted sound level (dB(A)).
    pub sound_level: i8,
    /// A temperature on a scale (°C inside).
    pub point: bool,
}

const NONE: Dimension = Dimension {
    length: 0,
    mass: 0,
    time: 0,
    temperature: 0,
    current: 0,
    money: 0,
    angle: 0,
    loudness: 0,
    sound_level: 0,
    point: false,
};

macro_rules! named_dimensions {
    ($($(#[$doc:meta])* $constant:ident = $name:literal { $($field:ident: $exponent:expr),* };)*) => {
        impl Dimension {
            $($(#[$doc])* pub const $constant: Dimension = Dimension { $($field: $exponent,)* ..NONE };)*

            /// Every dimension that has a name of its own, with that name.
            pub const NAMED: &'static [(Dimension, &'static str)] = &[$((Dimension::$constant, $name)),*];
        }
    };
}

named_dimensions! {
    /// A plain number, a ratio or a percentage.
    PLAIN = "plain number" {};
    /// m
    LENGTH = "length" { length: 1 };
    /// m²
    AREA = "area" { length: 2 };
    /// m³
    VOLUME = "volume" { length: 3 };
    /// kg
    MASS = "mass" { mass: 1 };
    /// s
    TIME = "time" { time: 1 };
    /// 1/s: air changes
    RATE = "rate per time" { time: -1 };
    /// Bq/m³: radioactive decays in a volume of air
    ACTIVITY = "activity per volume" { length: -3, time: -1 };
    /// kg/m³: a density, a VOC content or a concentration in air
    DENSITY = "mass per volume" { length: -3, mass: 1 };
    /// kg/m²
    SURFACE_MASS = "mass per area" { length: -2, mass: 1 };
    /// kg/m
    LINE_MASS = "mass per length" { length: -1, mass: 1 };
    /// N
    FORCE = "force" { length: 1, mass: 1, time: -2 };
    /// N/m
    LINE_LOAD = "force per length" { mass: 1, time: -2 };
    /// Pa
    PRESSURE = "pressure" { length: -1, mass: 1, time: -2 };
    /// W
    POWER = "power" { length: 2, mass: 1, time: -3 };
    /// J
    ENERGY = "energy" { length: 2, mass: 1, time: -2 };
    /// W/m²
    HEAT_FLUX = "power per area" { mass: 1, time: -3 };
    /// °C, on a scale
    TEMPERATURE = "temperature" { temperature: 1, point: true };
    /// K, between two temperatures
    TEMPERATURE_DIFFERENCE = "temperature difference" { temperature: 1 };
    /// K·s: degree-days
    DEGREE_TIME = "degree-days" { temperature: 1, time: 1 };
    /// m²·K/W
    RESISTANCE = "thermal resistance" { mass: -1, time: 3, temperature: 1 };
    /// W/(m²·K)
    TRANSMITTANCE = "U-factor" { mass: 1, time: -3, temperature: -1 };
    /// W/(m·K): a conductivity, or a ψ-value
    CONDUCTIVITY = "conductivity" { length: 1, mass: 1, time: -3, temperature: -1 };
    /// W/K: a point transmittance χ, or UA
    CONDUCTANCE = "heat loss coefficient" { length: 2, mass: 1, time: -3, temperature: -1 };
    /// J/(kg·K)
    SPECIFIC_HEAT = "specific heat" { length: 2, time: -2, temperature: -1 };
    /// m³/s
    FLOW = "air flow" { length: 3, time: -1 };
    /// m/s: a speed, or air flow per area
    VELOCITY = "flow per area" { length: 1, time: -1 };
    /// W/(m³/s) = Pa: electrical power per air flow has the dimension of pressure; its inverse is fan efficacy
    FAN_EFFICACY = "flow per power" { length: 1, mass: -1, time: 2 };
    /// kg/(Pa·s·m²)
    PERMEANCE = "permeance" { length: -1, time: 1 };
    /// kg/(m²·s)
    EMISSION = "emission rate" { length: -2, mass: 1, time: -1 };
    /// kg/s
    MASS_FLOW = "mass flow" { mass: 1, time: -1 };
    /// A
    CURRENT = "current" { current: 1 };
    /// V
    VOLTAGE = "voltage" { length: 2, mass: 1, time: -3, current: -1 };
    /// rad
    ANGLE = "angle" { angle: 1 };
    /// sone
    LOUDNESS = "loudness" { loudness: 1 };
    /// dB(A)
    SOUND_LEVEL = "sound level" { sound_level: 1 };
    /// money
    MONEY = "money" { money: 1 };
    /// money/m
    MONEY_PER_LENGTH = "money per length" { money: 1, length: -1 };
    /// money/m²
    MONEY_PER_AREA = "money per area" { money: 1, length: -2 };
    /// money/m³
    MONEY_PER_VOLUME = "money per volume" { money: 1, length: -3 };
    /// money/kg
    MONEY_PER_MASS = "money per mass" { money: 1, mass: -1 };
    /// money/J
    MONEY_PER_ENERGY = "money per energy" { money: 1, length: -2, mass: -1, time: 2 };
    /// kg/J
    MASS_PER_ENERGY = "mass per energy" { length: -2, time: 2 };
    /// money/s
    MONEY_PER_TIME = "money per time" { money: 1, time: -1 };
}

impl Dimension {
    /// Its name with the article, for a sentence: `a length`, `an area`.
    pub fn with_article(self) -> String {
        let name = self.to_string();
        let article = if name.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" };
        format!("{article} {name}")
    }

    /// The dimension of a product. `None` when a temperature on a scale is multiplied, or an exponent overflows.
    pub fn times(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_add)
    }

    /// The dimension of a quotient. `None` in the same cases as [`Dimension::times`].
    pub fn per(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_sub)
    }

    /// The dimension raised to a whole power.
    pub fn power(self, exponent: i8) -> Option<Dimension> {
        if self.point {
            return None;
        }
        let p = |e: i8| e.checked_mul(exponent);
        Some(Dimension {
            length: p(self.length)?,
            mass: p(self.mass)?,
            time: p(self.time)?,
            temperature: p(self.temperature)?,
            current: p(self.current)?,
            money: p(self.money)?,
            angle: p(self.angle)?,
            loudness: p(self.loudness)?,
            sound_level: p(self.sound_level)?,
            point: false,
        })
    }

    fn combine(self, other: Dimension, op: fn(i8, i8) -> Option<i8>) -> Option<Dimension> {
        if self.point || other.point {
            return None;
        }
        Some(Dimension {
            length: op(self.length, other.length)?,
            mass: op(self.mass, other.mass)?,
            time: op(self.time, other.time)?,
            temperature: op(self.temperature, other.temperature)?,
            current: op(self.current, other.current)?,
            money: op(self.money, other.money)?,
            angle: op(self.angle, other.angle)?,
            loudness: op(self.loudness, other.loudness)?,
            sound_level: op(self.sound_level, other.sound_level)?,
            point: false,
        })
    }
}

impl fmt::Display for Dimension {
    /// The dimension's name (`area`), or its base units where it has none (`m⁵·s⁻¹`).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((_, name)) = Dimension::NAMED.iter().find(|(dimension, _)| dimension == self) {
            return f.write_str(name);
        }
        let bases = [
            ("m", self.length),
            ("kg", self.mass),
            ("s", self.time),
            ("K", self.temperature),
            ("A", self.current),
            ("$", self.money),
            ("rad", self.angle),
            ("sone", self.loudness),
            ("dB(A)", self.sound_level),
        ];
        let mut first = true;
        for (base, exponent) in bases.into_iter().filter(|(_, exponent)| *exponent != 0) {
            if !first {
                f.write_str("·")?;
            }
            first = false;
            f.write_str(base)?;
            if exponent != 1 {
                write!(f, "^{exponent}")?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_resistance_is_the_inverse_of_a_u_factor() {
        assert_eq!(Dimension::PLAIN.per(Dimension::TRANSMITTANCE), Some(Dimension::RESISTANCE));
        assert_eq!(Dimension::LENGTH.per(Dimension::CONDUCTIVITY), Some(Dimension::RESISTANCE));
        assert_eq!(Dimension::TRANSMITTANCE.times(Dimension::AREA), Some(Dimension::CONDUCTANCE));
    }

    #[test]
    fn a_temperature_on_a_scale_does_not_multiply() {
        assert_eq!(Dimension::TEMPERATURE.times(Dimension::AREA), None);
        assert_eq!(Dimension::TEMPERATURE.power(2), None);
    }

    #[test]
    fn an_unnamed_dimension_shows_its_bases() {
        let odd = Dimension { length: 5, time: -1, ..Dimension::PLAIN };
        assert_eq!(odd.to_string(), "m^5·s^-1");
        assert_eq!(Dimension::AREA.to_string(), "area");
    }

    #[test]
    fn a_name_has_its_article() {
        for (dimension, phrase) in [
            (Dimension::LENGTH, "a length"),
            (Dimension::TRANSMITTANCE, "a U-factor"),
            (Dimension::AREA, "an area"),
            (Dimension::EMISSION, "an emission rate"),
        ] {
            assert_eq!(dimension.with_article(), phrase);
        }
    }
}
