//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

/// A concentration of carbon dioxide.
pub(crate) const PPM: Units = Units::new("ppm", 0, "ppm", 0);
/// A concentration with a digit more, for steps.
pub(crate) const HOURS: Units = Units::new("h", 2, "h", 2);
/// A pressure across a door or an envelope.
pub(crate) const PASCAL: Units = Units::new("Pa", 2, "Pa", 2);
/// A pressure in ducts.
pub(crate) const DUCT_PRESSURE: Units = Units::new("Pa", 1, "inwg", 3);
/// A velocity in ducts.
pub(crate) const VELOCITY_UNITS: Units = Units::new("m/s", 2, "ft/min", 0);
/// A heat flow.
pub(crate) const HEAT: Units = Units::new("W", 0, "Btu/h", 0);
/// An electrical power.
pub(crate) const POWER: Units = Units::new("W", 1, "W", 1);
/// A rate per person, finely enough to reckon with it.
pub(crate) const RATE: Units = Units::new("L/s", 3, "cfm", 1);
/// A rate per floor area, finely enough to reckon with it.
pub(crate) const RATE_PER_AREA: Units = Units::new("L/(s·m²)", 4, "cfm/ft²", 3);
/// An electrical power per flow.
pub(crate) const SPECIFIC_POWER_UNITS: Units = Units::new("Wh/m³", 3, "W/cfm", 2);
/// A pressure per length of duct.
pub(crate) const FRICTION: Units = Units::new("Pa/m", 2, "inwg/ft", 5);
/// A flow per floor area.
pub(crate) const FLOW_PER_AREA: Units = Units::new("L/(s·m²)", 3, "cfm/ft²", 3);

mateline_sdk::quantities! {
    TOTAL_RATE = number("ventilation.total_rate", Units::FLOW; "Whole-dwelling rate, before any credit for infiltration.");
    INFILTRATION_CREDIT = number("ventilation.infiltration_credit", Units::FLOW; "What tested infiltration takes off the rate.");
    REQUIRED_FLOW = number("ventilation.required_flow", Units::FLOW; "Outdoor air the fans must bring, by the ventilation standard.");
    REQUIRED_FLOW_CODE = number("ventilation.required_flow_code", Units::FLOW; "Outdoor air the fans must bring, by the residential code.");
    DELIVERED_FLOW = number("ventilation.delivered_flow", Units::FLOW; "Outdoor air delivered, by all units, averaged over their run time.");
    DELIVERED_FLOW_CODE = number("ventilation.delivered_flow_code", Units::FLOW; "Outdoor air delivered as the code counts it: by all units, divided by the residential code's factor for fans that do not run all the time.");
    RECOVERED_FLOW = number("ventilation.recovered_flow", Units::FLOW; "Outdoor air that units with heat recovery deliver, as the code counts it.");
    FLOW_MARGIN = number("ventilation.flow_margin", Units::FLOW; "Outdoor air delivered beyond the standard's rate, negative where it falls behind.");
    FLOW_MARGIN_CODE = number("ventilation.flow_margin_code", Units::FLOW; "Outdoor air delivered beyond the residential code's rate, negative where it falls behind.");
    SUPPLY_TOTAL = number("ventilation.supply_total", Units::FLOW; "Supply air of all units in ordinary operation.");
    EXHAUST_TOTAL = number("ventilation.exhaust_total", Units::FLOW; "Exhaust air of all units in ordinary operation.");
    IMBALANCE = number("ventilation.imbalance", Units::PERCENT; "Imbalance: difference of supply and exhaust, as a share of the larger.");
    SYSTEM_KIND = words("ventilation.system_kind", mateline_sdk::all_of!["balanced", "mostly supply", "mostly exhaust", "none"]; "How the whole-dwelling system works: balanced, mostly supply, mostly exhaust or none.");
    NETWORK_RESIDUAL = number("ventilation.network_residual", Units::new("L/s", 9, "cfm", 9); "Largest flow that the solved air-flow network leaves over in any zone.");

    HOOD_DEPRESSURISATION = number("ventilation.hood_depressurisation", PASCAL; "Depressurisation by the kitchen hood: pressure it takes off the home with all windows shut, make-up air counted.");
    WORST_DEPRESSURISATION = number("ventilation.worst_depressurisation", PASCAL; "Worst depressurisation: pressure that hood, dryer and all fans together take off the home with all windows shut.");
    DRYER_FLOW = number("ventilation.dryer_flow", Units::FLOW; "Room air that the clothes dryer blows outdoors.");
    TWO_LARGEST_EXHAUSTS = number("ventilation.two_largest_exhausts", Units::FLOW; "Two largest exhaust flows: both together, units that supply as much left out.");
    TWO_LARGEST_PER_AREA = number("ventilation.two_largest_exhausts_per_area", FLOW_PER_AREA; "Two largest exhaust flows per floor area: both together, per conditioned floor area.");
    NATURAL_DRAUGHT = flag("ventilation.natural_draught"; "Whether an appliance in the home burns fuel with room air and vents by its own draught, or into the room.");
    COMBUSTION_CAUTION = text("ventilation.combustion_caution"; "What to watch where fuel is burned inside the home.");

    SUPPLY_AIR = number("ventilation.supply_air", Units::FLOW; "Outdoor air that units bring straight into the room in ordinary operation.");
    EXHAUST_AIR = number("ventilation.exhaust_air", Units::FLOW; "Air that units take from the room in ordinary operation.");
    TRANSFER_AIR = number("ventilation.transfer_air", Units::FLOW; "Air that comes in from other rooms.");
    LEAKAGE_AIR = number("ventilation.leakage_air", Units::FLOW; "Outdoor air that fans draw in through leaks of the room.");
    FRESH_AIR = number("ventilation.fresh_air", Units::FLOW; "Effective outdoor air: the room's volume over the mean age of its air.");
    ZONE = text("ventilation.zone"; "The air that the room shares: a zone, named after the first of its rooms.");
    ZONE_OUTDOOR_AIR = number("ventilation.zone_outdoor_air", Units::FLOW; "Outdoor air that units bring to the zone or fans draw in through its leaks.");
    AIRWAY_FROM = text("ventilation.airway_from"; "Zone that the air of an airway comes from.");
    AIRWAY_TO = text("ventilation.airway_to"; "Zone that the air of an airway goes to.");
    AIRWAY_FLOW = number("ventilation.airway_flow", Units::FLOW; "Air that passes from zone to zone.");
    AGE_OF_AIR = number("ventilation.age_of_air", HOURS; "Mean time since the room's air came in from outdoors.");
    OUTDOOR_AIR = number("ventilation.outdoor_air", Units::FLOW; "Outdoor air for sleepers: what counts for those asleep in the room; brought straight there, it would hold the same carbon dioxide.");
    OUTDOOR_AIR_PER_SLEEPER = number("ventilation.outdoor_air_per_sleeper", Units::FLOW; "Outdoor air per sleeper: what counts, for each person asleep in the room.");
    REACHED = flag("ventilation.reached"; "Whether a unit brings air to the room: supply, spot unit, or transfer driven by an exhaust or a supply elsewhere.");
    REACHED_BY = text("ventilation.reached_by"; "How air gets to the room: supply, spot unit, shared air, transfer, or nothing.");
    DOOR_PRESSURE = number("ventilation.door_pressure", PASCAL; "Pressure across the shut door, in ordinary operation.");
    DOOR_PRESSURE_BOOST = number("ventilation.door_pressure_boost", PASCAL; "Pressure across the shut door at boost, with all units at their highest flow.");
    MEASURED_FLOW = number("ventilation.measured_flow", Units::FLOW; "Flow measured at the room's terminals, latest record.");

    LOCAL_EXHAUST = number("ventilation.local_exhaust", Units::FLOW; "Local exhaust: from a kitchen or bath, in the mode that comes closest to, or furthest beyond, what is asked.");
    LOCAL_EXHAUST_REQUIRED = number("ventilation.local_exhaust_required", Units::FLOW; "Exhaust that the ventilation standard asks for in that mode.");
    LOCAL_EXHAUST_MODE = words("ventilation.local_exhaust_mode", mateline_sdk::all_of!["continuous", "on demand"]; "The mode in which the exhaust is counted: continuous or on demand.");
    LOCAL_EXHAUST_CODE = number("ventilation.local_exhaust_code", Units::FLOW; "Local exhaust, in the mode counted for the residential code.");
    LOCAL_EXHAUST_REQUIRED_CODE = number("ventilation.local_exhaust_required_code", Units::FLOW; "Exhaust that the residential code asks for in that mode.");

    OPENABLE_AREA = number("ventilation.openable_area", Units::AREA; "Openable area of the windows of a room that people stay in, of a bath or of a toilet room: clear sizes where given, else by how they open.");

    CO2_PEAK = number("ventilation.co2_peak", PPM; "Highest carbon dioxide of the night, 8 h with the doors shut.");
    CO2_MEAN = number("ventilation.co2_mean", PPM; "Mean carbon dioxide of that night.");
    CO2_HOURS_ABOVE = number("ventilation.co2_hours_above", HOURS; "Hours of that night above the level a pack names.");
    CO2_PEAK_UNIT_OFF = number("ventilation.co2_peak_unit_off", PPM; "Highest carbon dioxide of a night with the main unit off.");

    UNIT_FLOW = number("ventilation.unit_flow", Units::FLOW; "Flow that the unit delivers in ordinary operation while it runs: its design flow, or what its ducts let through.");
    PRESSURE_DROP = number("ventilation.pressure_drop", DUCT_PRESSURE; "Duct pressure drop: of a duct, its own; of a unit, that of its worst run with the filter, at design flow.");
    SHORTEST_RUN = number("ventilation.shortest_run", Units::LENGTH; "Shortest run of a unit's ducts, from the unit to an end.");
    LONGEST_RUN = number("ventilation.longest_run", Units::LENGTH; "Longest run of a unit's supply ducts, from the unit to an end.");
    FRICTION_RATE = number("ventilation.friction_rate", FRICTION; "Friction per length of straight duct.");
    WORST_RUN = text("ventilation.worst_run"; "The ducts of the run that takes most pressure.");
    OPERATING_FLOW = number("ventilation.operating_flow", Units::FLOW; "Flow at which the fan curve meets the duct system, nothing throttled.");
    OPERATING_PRESSURE = number("ventilation.operating_pressure", DUCT_PRESSURE; "Pressure at which the fan curve meets the duct system.");
    VELOCITY = number("ventilation.velocity", VELOCITY_UNITS; "Duct velocity: of a duct, the mean of its air; of a unit, the greatest of its ducts, at design flow.");
    SOUND_CAUTION = text("ventilation.sound_caution"; "Where the air itself may be heard.");
    EFFICACY = number("ventilation.efficacy", Units::FAN_EFFICACY; "Fan efficacy: air delivered per electrical power.");
    SPECIFIC_POWER = number("ventilation.specific_power", SPECIFIC_POWER_UNITS; "Specific fan power: electrical power per air delivered.");

    SUPPLY_TEMPERATURE = number("ventilation.supply_temperature", Units::TEMPERATURE; "Supply air temperature: behind the recovery, at the design outdoor temperature.");
    EXHAUST_TEMPERATURE = number("ventilation.exhaust_temperature", Units::TEMPERATURE; "Exhaust air temperature: behind the recovery, at the design outdoor temperature.");
    FROST_RISK = flag("ventilation.frost_risk"; "Whether the exhaust side can ice up at the design outdoor temperature.");
    FROST_BEGINS = number("ventilation.frost_begins", Units::TEMPERATURE; "Outdoor temperature below which the exhaust side can ice up.");
    HEAT_RECOVERED = number("ventilation.heat_recovered", HEAT; "Sensible heat recovered at the design outdoor temperature.");
    HEAT_LOSS = number("ventilation.heat_loss", HEAT; "Sensible heat that the unit's air still takes at the design outdoor temperature.");
    MOISTURE_REMOVED = number("ventilation.moisture_removed", Units::WATER_PER_DAY; "Water that the unit's air carries out at the design outdoor temperature.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_in_the_namespace_and_units_are_known() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("ventilation.")));
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
