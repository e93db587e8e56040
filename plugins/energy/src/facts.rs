//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

/// Heat in a month or a year.
pub(crate) const HEAT: Units = Units::new("kWh", 1, "kBtu", 1);
/// Heat in a year, for each floor area.
pub(crate) const HEAT_PER_AREA: Units = Units::new("kWh/(m²·yr)", 1, "kBtu/(ft²·yr)", 2);
/// Sun and sky on a surface, or heat given off for each floor area.
pub(crate) const FLUX: Units = Units::new("W/m²", 2, "Btu/(h·ft²)", 3);
/// A flow of heat.
pub(crate) const POWER: Units = Units::new("W", 0, "Btu/h", 0);
/// A flow of heat for each floor area.
pub(crate) const POWER_PER_AREA: Units = Units::new("W/m²", 1, "Btu/(h·ft²)", 2);
/// Heat stored for each degree.
pub(crate) const CAPACITY: Units = Units::new("kJ/K", 0, "Btu/°F", 0);
/// Heat stored for each degree and area.
pub(crate) const CAPACITY_PER_AREA: Units = Units::new("kJ/(m²·K)", 2, "Btu/(ft²·°F)", 3);
/// Energy that is used or made in a month or a year.
pub(crate) const USE: Units = Units::new("kWh", 0, "kWh", 0);
/// Rated power of solar arrays.
pub(crate) const RATED: Units = Units::new("kW", 2, "kW", 2);
/// Hours.
pub(crate) const HOURS: Units = Units::new("h", 1, "h", 1);
/// The days of a month.
pub(crate) const MONTH: Units = Units::new("d", 0, "d", 0);

mateline_sdk::quantities! {
    TREATED_AREA = number("energy.treated_area", Units::AREA;
        "Treated floor area: rooms, with storage and mechanical rooms by 60 %, without stairs and garages.");
    CAPACITY_FACT = number("energy.heat_capacity", CAPACITY;
        "Heat capacity: what the inner layers of the envelope, air and furniture store for each degree.");
    TIME_CONSTANT = number("energy.time_constant", HOURS; "Time constant: heat capacity over all losses.");
    INFILTRATION = number("energy.infiltration", Units::HOURLY_FLOW;
        "Infiltration in use: outdoor air through leaks, by wind and weather of the year, with the fans running.");
    AIR_LOSS = number("energy.air_loss", Units::CONDUCTANCE;
        "Heat loss coefficient of air: fans, less what recovery keeps, and infiltration.");
    AIRBORNE_LOSS = number("energy.envelope_loss", Units::CONDUCTANCE;
        "Heat loss coefficient of envelope and junctions to outdoor air, the ground left out.");
    SPACE_FACTOR = number("energy.space_factor", Units::plain(3);
        "Factor of an unheated space: share of the difference between indoors and outdoors that lies across what borders on it.");
    SPACE_WINTER = number("energy.space_winter", Units::TEMPERATURE;
        "Temperature of an unheated space on the mean of the coldest month.");
    SPACE_COLDEST = number("energy.space_coldest", Units::TEMPERATURE;
        "Temperature of an unheated space at the outdoor temperature for heating design.");
    LOSSES = number("energy.losses", HEAT; "Heat lost at the indoor temperature of winter, in a month or the year.");
    SOLAR_GAINS = number("energy.solar_gains", HEAT;
        "Heat from sun and sky through glass and onto walls, in a month or the year.");
    INTERNAL_GAINS = number("energy.internal_gains", HEAT;
        "Heat from people, lights and appliances, in a month or the year.");
    HEATING_NEED = number("energy.heating_need", HEAT; "Heating need: heat to bring in, in a month or the year.");
    COOLING_NEED = number("energy.cooling_need", HEAT;
        "Cooling need: sensible heat to take out, in a month or the year, with windows shut and no heat recovery bypassed.");
    HEATING_PER_AREA = number("energy.heating_need_per_area", HEAT_PER_AREA;
        "Heating need of the year for each treated floor area.");
    COOLING_PER_AREA = number("energy.cooling_need_per_area", HEAT_PER_AREA;
        "Cooling need of the year for each treated floor area, sensible.");
    HOURLY_HEATING = number("energy.hourly_heating_need", HEAT;
        "Heating need by hours: of the year, with five-node elements through the weather file or a mean day of each month.");
    HOURLY_COOLING = number("energy.hourly_cooling_need", HEAT;
        "Cooling need by hours: of the year, sensible, with five-node elements through the weather file or a mean day of each month.");
    HEATING_SPREAD = number("energy.heating_spread", Units::PERCENT;
        "Spread of the heating need: how far the one by hours lies above that by months, as a share of the larger.");
    COOLING_SPREAD = number("energy.cooling_spread", Units::PERCENT;
        "Spread of the cooling need: how far the one by hours lies above that by months, as a share of the larger.");
    PEAK_HEATING = number("energy.peak_heating", POWER;
        "Peak of heating: most heat brought in within an hour of the weather file's year, with the sun and what is given off indoors.");
    PEAK_COOLING = number("energy.peak_cooling", POWER;
        "Peak of cooling: most sensible heat taken out within an hour of the weather file's year.");
    HIGHEST = number("energy.highest_temperature", Units::TEMPERATURE;
        "Highest operative temperature of the year's hours with nothing cooled: of the home as one, or of the zone that a room is in.");
    WARM_HOURS = number("energy.warm_hours", HOURS; "Hours of the year above 25 °C operative with nothing cooled: of the home as one, or of the zone that a room is in.");
    WARM_SHARE = number("energy.warm_share", Units::PERCENT;
        "Share of the year's hours above 25 °C operative, with nothing cooled: of the home as one, or of the zone that a room is in.");
    ADAPTIVE_HOURS = number("energy.adaptive_hours", HOURS;
        "Hours of the year above what four people in five accept by the adaptive criterion, with nothing cooled.");
    HOT_WATER_HEAT = number("energy.hot_water_heat", HEAT; "Heat of the hot water drawn in the year, with what pipes lose.");
    HOT_WATER_USE = number("energy.hot_water_use", USE; "What the hot water's source uses in the year.");
    HEAT_PUMP_HEAT = number("energy.heat_pump_heat", HEAT; "Heat that the heat pump brings in the year.");
    BACKUP_HEAT = number("energy.backup_heat", HEAT; "Heat that electric backup brings in the year.");
    UNMET_HEAT = number("energy.unmet_heat", HEAT; "Heat that is wanted in the year and that nothing brings.");
    HEATING_CAPACITY = number("energy.heating_capacity", POWER;
        "Capacity of the heat pump at the design temperature, by its rated points.");
    HEATING_USE = number("energy.heating_use", USE; "What heating uses in the year, backup and pumps included.");
    HEATING_PERFORMANCE = number("energy.heating_performance", Units::plain(2);
        "Performance of heating: heat of the year over what brings it.");
    COOLING_USE = number("energy.cooling_use", USE; "What cooling uses in the year, for sensible heat.");
    COOLING_PERFORMANCE = number("energy.cooling_performance", Units::plain(2);
        "Performance of cooling: heat taken out in the year over what takes it.");
    FAN_USE = number("energy.fan_use", USE; "What ventilation fans use in the year.");
    FROST_USE = number("energy.frost_use", USE;
        "What warming outdoor air before heat recovery uses in the year, so that nothing freezes there.");
    APPLIANCE_USE = number("energy.appliance_use", USE; "What appliances and lights use in the year, as the home lists them.");
    DRYER_USE = number("energy.dryer_use", USE; "What the clothes dryer uses in the year.");
    DRYER_AIR = number("energy.dryer_air_loss", HEAT;
        "Heat lost with the air that a vented dryer blows out, in the hours that are heated.");
    ELECTRICITY = number("energy.electricity", USE; "Electricity used, in a month or the year.");
    FUEL = number("energy.fuel", USE; "Fuel burnt in the year, by its heat.");
    DELIVERED = number("energy.delivered", USE; "Energy used in the year, electricity and fuel, what arrays yield not taken off.");
    SELF_USE = number("energy.self_use", USE; "Solar electricity used in the hour that it is made, in the year.");
    SELF_SHARE = number("energy.self_share", Units::PERCENT; "Share of the solar yield that is used in the hour that it is made.");
    IMPORTED = number("energy.imported", USE; "Electricity from the grid in the year.");
    EXPORTED = number("energy.exported", USE; "Electricity to the grid in the year.");
    ZERO_POWER = number("energy.zero_power", RATED;
        "Rated power of arrays that would yield as much in the year as the home uses, of the slopes and directions that there are.");
    ZERO_AREA = number("energy.zero_area", Units::AREA;
        "Area of arrays that would yield as much in the year as the home uses, of the slopes and directions that there are.");
    PRIMARY = number("energy.primary", USE;
        "Primary energy of the year by a pack's factors: of what the grid and fuels deliver, with no credit for what goes to the grid.");
    PRIMARY_NETTED = number("energy.primary_netted", USE;
        "Primary energy of the year by a pack's factors, with all that arrays yield set against what is used.");
    COST = number("energy.cost", Units::MONEY; "What energy costs in the year, by the user's own rates.");
    PROPOSED_SOURCE = number("energy.proposed_source", USE;
        "Source energy of heating, cooling, fans and hot water in the year, by the rules of a pack's performance path.");
    REFERENCE_SOURCE = number("energy.reference_source", USE;
        "The same of the pack's reference home: this home's geometry with the pack's table.");
    PROPOSED_COST = number("energy.proposed_cost", Units::MONEY;
        "What heating, cooling, fans and hot water cost in the year, by the rules of a pack's performance path and the user's own rates.");
    REFERENCE_COST = number("energy.reference_cost", Units::MONEY; "The same of the pack's reference home.");
    CARBON = number("energy.carbon", Units::MASS; "Carbon dioxide of the grid's electricity in the year, by the factor that the site states.");
    SOLAR_YIELD = number("energy.solar_yield", USE; "Yield of solar arrays in the year: of one, or of all of them.");
    HEATING_LOAD = number("energy.heating_load", POWER;
        "Heating load: heat to bring in on the coldest day, without sun and without heat given off indoors.");
    HEATING_LOAD_PER_AREA = number("energy.heating_load_per_area", POWER_PER_AREA;
        "Heating load for each floor area: of the home its treated area, of a room its own.");
    COOLING_LOAD = number("energy.cooling_load", POWER;
        "Cooling load: most sensible heat to take out in an hour of a hot, clear day.");
    COOLING_HOUR = text("energy.cooling_hour"; "The hour of the cooling load, by the sun, or none.");
    LATENT_LOAD = number("energy.latent_load", POWER; "Latent load: heat bound in the water to be taken out of the air.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_in_the_namespace_and_have_known_units() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("energy.")));
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
        for definition in quantities() {
            assert!(definition.units.dimension().is_some(), "{}", definition.name);
            let ip = mateline_model::quantity::unit(&definition.units.ip).map(|unit| unit.dimension);
            assert!(definition.units.ip.is_empty() || ip == definition.units.dimension(), "{}", definition.name);
        }
    }
}
