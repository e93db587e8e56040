//! How each kind of quantity is usually shown: the one place for what plugins, rules and reports would each write down.
//!
//! Who needs other digits, as within a calculation, says so beside its own facts.

use super::{Dimension, Units};

impl Units {
    /// A percentage.
    pub const PERCENT: Units = Units::new("%", 1, "%", 1);
    /// A building dimension.
    pub const LENGTH: Units = Units::new("m", 2, "ft", 2);
    /// A layer's thickness.
    pub const THICKNESS: Units = Units::new("mm", 1, "in", 3);
    /// A floor or envelope area.
    pub const AREA: Units = Units::new("m²", 2, "ft²", 1);
    /// A building volume.
    pub const VOLUME: Units = Units::new("m³", 1, "ft³", 0);
    /// Thermal resistance.
    pub const RESISTANCE: Units = Units::new("m²·K/W", 3, "h·ft²·°F/Btu", 2);
    /// Thermal transmittance.
    pub const TRANSMITTANCE: Units = Units::new("W/(m²·K)", 3, "Btu/(h·ft²·°F)", 4);
    /// Thermal conductivity.
    pub const CONDUCTIVITY: Units = Units::new("W/(m·K)", 4, "Btu·in/(h·ft²·°F)", 3);
    /// A heat loss coefficient, such as UA.
    pub const CONDUCTANCE: Units = Units::new("W/K", 1, "Btu/(h·°F)", 1);
    /// A mass.
    pub const MASS: Units = Units::new("kg", 0, "lb", 0);
    /// A density.
    pub const DENSITY: Units = Units::new("kg/m³", 0, "lb/ft³", 1);
    /// A count.
    pub const COUNT: Units = Units::plain(0);
    /// A temperature.
    pub const TEMPERATURE: Units = Units::new("°C", 1, "°F", 1);
    /// An air flow of a fan or to a room.
    pub const FLOW: Units = Units::new("L/s", 1, "cfm", 1);
    /// An air flow through a whole home or its leaks.
    pub const HOURLY_FLOW: Units = Units::new("m³/h", 1, "cfm", 1);
    /// An air flow for each area.
    pub const FLOW_PER_AREA: Units = Units::new("L/(s·m²)", 3, "cfm/ft²", 4);
    /// An air flow for each power.
    pub const FAN_EFFICACY: Units = Units::new("L/(s·W)", 2, "cfm/W", 2);
    /// A density of air.
    pub const AIR_DENSITY: Units = Units::new("kg/m³", 3, "lb/ft³", 4);
    /// A mass for each area.
    pub const SURFACE_MASS: Units = Units::new("kg/m²", 1, "lb/ft²", 2);
    /// Water given off or carried away.
    pub const WATER_PER_DAY: Units = Units::new("kg/d", 2, "lb/d", 2);
    /// A vapour permeance.
    pub const PERMEANCE: Units = Units::new("ng/(Pa·s·m²)", 1, "perm", 2);
    /// A pressure of snow or soil.
    pub const LOAD: Units = Units::new("kPa", 2, "psf", 0);
    /// The size of a hole.
    pub const SMALL_AREA: Units = Units::new("cm²", 1, "in²", 1);
    /// Electrical power.
    pub const POWER: Units = Units::new("W", 0, "W", 0);
    /// Loudness.
    pub const LOUDNESS: Units = Units::new("sone", 1, "sone", 1);
    /// An amount of money.
    pub const MONEY: Units = Units::new("$", 0, "$", 0);
    /// An age in whole days.
    pub const DAYS: Units = Units::new("d", 0, "d", 0);

    /// How a value of a kind is shown where nothing else says.
    pub fn usual(dimension: Dimension) -> Units {
        match dimension {
            Dimension::LENGTH => Units::LENGTH,
            Dimension::AREA => Units::AREA,
            Dimension::VOLUME => Units::VOLUME,
            Dimension::MASS => Units::MASS,
            Dimension::DENSITY => Units::DENSITY,
            Dimension::RESISTANCE => Units::RESISTANCE,
            Dimension::TRANSMITTANCE => Units::TRANSMITTANCE,
            Dimension::CONDUCTIVITY => Units::CONDUCTIVITY,
            Dimension::CONDUCTANCE => Units::CONDUCTANCE,
            Dimension::FLOW => Units::FLOW,
            Dimension::VELOCITY => Units::FLOW_PER_AREA,
            Dimension::RATE => Units::new("1/h", 2, "1/h", 2),
            Dimension::PRESSURE => Units::new("Pa", 1, "psf", 1),
            Dimension::TEMPERATURE => Units::TEMPERATURE,
            Dimension::TEMPERATURE_DIFFERENCE => Units::new("K", 1, "Δ°F", 1),
            Dimension::POWER => Units::POWER,
            Dimension::ENERGY => Units::new("kWh", 1, "kWh", 1),
            Dimension::HEAT_FLUX => Units::new("W/m²", 1, "Btu/(h·ft²)", 2),
            Dimension::FAN_EFFICACY => Units::FAN_EFFICACY,
            Dimension::PERMEANCE => Units::PERMEANCE,
            Dimension::EMISSION => Units::new("µg/(m²·h)", 1, "µg/(m²·h)", 1),
            Dimension::CURRENT => Units::new("A", 0, "A", 0),
            Dimension::LOUDNESS => Units::LOUDNESS,
            Dimension::MONEY => Units::MONEY,
            Dimension::TIME => Units::new("h", 1, "h", 1),
            Dimension::ANGLE => Units::new("°", 1, "°", 1),
            _ => Units::plain(3),
        }
    }
}
