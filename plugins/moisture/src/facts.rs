//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

/// A temperature factor.
pub(crate) const FACTOR: Units = Units::plain(3);
/// A vapour pressure.
pub(crate) const VAPOUR: Units = Units::new("Pa", 0, "Pa", 0);
/// Water on a plane within an assembly.
pub(crate) const WATER: Units = Units::new("kg/m²", 3, "lb/ft²", 4);
/// A flow of water vapour through an area.
pub(crate) const VAPOUR_FLOW: Units = Units::new("g/(m²·h)", 4, "gr/(ft²·h)", 4);

mateline_sdk::quantities! {
    HUMIDITY_FROM = text("moisture.humidity_from"; "What indoor humidity follows from: a humidity class, or the moisture balance.");
    EXCESS = number("moisture.excess", VAPOUR; "Vapour pressure indoors above outdoors, in freezing weather.");
    EXCESS_BY_BALANCE = number("moisture.excess_by_balance", VAPOUR;
        "Vapour pressure indoors above outdoors, by the moisture balance.");
    GENERATED = number("moisture.given_off", Units::WATER_PER_DAY; "Water that people and what they do give off to the air.");
    LOWEST_HUMIDITY = number("moisture.lowest_humidity", Units::PERCENT;
        "Lowest indoor relative humidity of all months, by the same excess.");
    HIGHEST_HUMIDITY = number("moisture.highest_humidity", Units::PERCENT;
        "Highest indoor relative humidity of all months, by the same excess.");
    HUMID_MONTHS = number("moisture.humid_months", Units::COUNT;
        "Months in which the room air itself is above the humidity that mould needs.");
    NEEDED_MOULD = number("moisture.factor_needed_mould", FACTOR;
        "Surface factor needed against mould: fRsi that keeps surfaces below the humidity it needs in every month.");
    NEEDED_CONDENSATION = number("moisture.factor_needed_condensation", FACTOR;
        "Surface factor needed against condensation: fRsi that keeps surfaces above the dew point in every month.");
    CRITICAL_MONTH = text("moisture.critical_month"; "The month that asks for the highest surface factor against mould.");

    SURFACE_FACTOR = number("moisture.surface_factor", FACTOR;
        "Surface temperature factor fRsi: of an assembly or junction with 0.25 m²·K/W inside, of an opening with 0.13.");
    SURFACE_NEEDED = number("moisture.surface_factor_needed", FACTOR;
        "Surface factor needed: against mould, for an opening against condensation.");
    SURFACE_MARGIN = number("moisture.surface_margin", FACTOR;
        "Surface factor beyond what is needed, negative where it falls behind.");
    COLD_DAY_NEEDED = number("moisture.surface_factor_needed_cold_day", FACTOR;
        "Surface factor needed on the cold day: of a window or door, against condensation at the design outdoor temperature.");
    COLD_DAY_MARGIN = number("moisture.surface_margin_cold_day", FACTOR;
        "Surface factor of a window or door beyond what the cold day needs, negative where it falls behind.");
    SURFACE_INSULATION = number("moisture.surface_insulation_needed", Units::THICKNESS;
        "Insulation thickness that keeps mould away: of the outermost insulation layer, where the surface falls behind.");

    DRIES = flag("moisture.dries"; "Whether an assembly stays dry inside, or dries out within the year.");
    PEAK_WATER = number("moisture.peak_water", WATER; "Condensed water within an assembly, at its most.");
    RESIDUAL_WATER = number("moisture.residual_water", WATER;
        "Condensed water left after a year; more each year where it is not zero.");
    WET_MONTHS = number("moisture.wet_months", Units::COUNT; "Months that end with condensed water in an assembly.");
    CONDENSING = text("moisture.condensing_months"; "Months in which water condenses in an assembly, or none.");
    WATER_AT = text("moisture.water_at"; "Where in an assembly most water condenses: the plane, or none.");
    DRY_INSULATION = number("moisture.dry_insulation_needed", Units::THICKNESS;
        "Insulation thickness that lets an assembly dry: of the outermost insulation layer, where water stays.");

    INTERIOR_PERMEANCE = number("moisture.interior_permeance", Units::PERMEANCE;
        "Permeance of all layers inside of the insulation together.");
    RESPONSIVE_RETARDER = text("moisture.responsive_retarder";
        "The responsive vapour retarder inside of the insulation: tight by the dry cup, open by the wet cup; or none.");
    RETARDER_WET_PERMEANCE = number("moisture.retarder_wet_permeance", Units::PERMEANCE;
        "Wet-cup permeance of the tightest layer inside of the insulation.");
    EXTERIOR_PERMEANCE = number("moisture.exterior_permeance", Units::PERMEANCE;
        "Permeance of all layers outside of the framing together, up to a ventilated cavity.");
    FRAMING_DEPTH = number("moisture.framing_depth", Units::THICKNESS; "Depth of the insulated framing.");
    OUTSIDE_INSULATION = number("moisture.outside_insulation", Units::RESISTANCE;
        "R-value of the insulation outside of the framing.");
    SHEATHING_INSULATION = number("moisture.sheathing_insulation", Units::RESISTANCE;
        "R-value that keeps the sheathing warm: of the insulation outside of the framing, or of tight foam against the inner side of the sheathing, whichever is more.");
    FOAM_AGAINST_SHEATHING = number("moisture.foam_against_sheathing", Units::RESISTANCE;
        "R-value of foam in the framing, against the sheathing and as tight as a pack says.");
    CAVITY_INSULATION = number("moisture.cavity_insulation", Units::RESISTANCE;
        "R-value of the insulation between the framing members.");
    FOAM_OUTSIDE = number("moisture.foam_outside", Units::RESISTANCE;
        "R-value of the foam plastic outside of the framing.");
    INSULATION_RATIO = number("moisture.insulation_ratio", Units::plain(2);
        "R-value outside of the framing over the R-value between its members.");
    VENTED_OVER = words("moisture.vented_over", mateline_sdk::all_of!["wood-structural-panel", "fibreboard", "gypsum", "other", "none"];
        "What a ventilated cladding stands off from: wood-structural-panel, fibreboard, gypsum, other, or none where nothing is ventilated.");
    TIGHT_LAYERS = number("moisture.tight_layers", Units::COUNT;
        "Vapour-tight layers with something between them that can get wet.");
    TRAPPED_BETWEEN = text("moisture.trapped_between"; "The vapour-tight layers that shut something in, or none.");

    ATTIC_AREA_PER_VENT_AREA = number("moisture.attic_area_per_vent_area", Units::COUNT;
        "Attic floor area over the net free vent area of the attic.");
    ATTIC_CEILING_PERMEANCE = number("moisture.attic_ceiling_permeance", Units::PERMEANCE;
        "Permeance inside of the insulation below the attic, of its most open ceiling.");
    ROOF_VENTILATION = words("moisture.roof_ventilation", mateline_sdk::all_of!["vented", "unvented"];
        "Whether outdoor air passes between the insulation of a roof and its deck: vented or unvented.");
    DECK_INSULATION = number("moisture.deck_insulation", Units::RESISTANCE;
        "R-value of the insulation that keeps the deck of an unvented roof warm: foam against its underside, and boards above it.");
    OTHER_ROOF_INSULATION = number("moisture.other_roof_insulation", Units::RESISTANCE;
        "R-value of all other insulation of an unvented roof, such as fibres between the rafters or foam that does not touch the deck.");
    DECK_FOAM_PERMEANCE = number("moisture.deck_foam_permeance", Units::PERMEANCE;
        "Permeance of the foam against the underside of a roof deck, with a coat or sheet on its inner side.");
    DECK_TEMPERATURE = number("moisture.deck_temperature", Units::TEMPERATURE;
        "Temperature of the underside of a roof deck below boards, mean of the coldest months.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_in_the_namespace_and_have_known_units() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("moisture.")));
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
