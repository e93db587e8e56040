//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

/// A ψ-value is small beside the L2D it is a difference of.
pub(crate) const PSI_UNITS: Units = Units::new("W/(m·K)", 4, "Btu/(h·ft·°F)", 5);
const SHARE: Units = Units::new("%", 3, "%", 3);
const BALANCE: Units = Units::new("%", 9, "%", 9);

mateline_sdk::quantities! {
    PSI = number("junctions.psi", PSI_UNITS;
        "Linear thermal transmittance ψ, for the exterior dimensions that the take-off uses.");
    PSI_INTERIOR = number("junctions.psi_interior", PSI_UNITS;
        "Linear thermal transmittance for interior dimensions.");
    L2D = number("junctions.l2d", PSI_UNITS; "Thermal coupling coefficient L2D of the section, from inside to outside.");
    SURFACE_FACTOR = number("junctions.surface_factor", Units::plain(3);
        "Lowest surface temperature factor fRsi, with 0.25 m²·K/W on inner surfaces.");
    INSULATION_NEEDED = number("junctions.insulation_needed", Units::THICKNESS;
        "Insulation needed: thickness of the assembly's outermost insulation at which the lowest surface temperature \
         factor reaches what a pack asks for; only where it does not.");
    LOWEST_TEMPERATURE = number("junctions.lowest_temperature", Units::TEMPERATURE;
        "Lowest inner surface temperature at the design outdoor temperature.");
    BALANCE_ERROR = number("junctions.balance_error", BALANCE;
        "Difference between heat in and heat out of the solved section.");
    CELLS = number("junctions.cells", Units::plain(0); "Number of cells of the last grid.");
    REFINEMENT_CHANGE = number("junctions.refinement_change", SHARE;
        "How much the heat flow changed when every cell was last cut in four.");
    LENGTH = number("junctions.length", Units::LENGTH; "Length of the junction: given, or found from the boxes.");
    LOSS = number("junctions.loss", Units::CONDUCTANCE; "Heat loss coefficient of the junction: ψ times length.");
    KIND = text("junctions.kind"; "What meets what at the junction, in the home file's words.");
    SOURCE = words("junctions.source", mateline_sdk::all_of!["given", "solved", "default (common practice, no source)"]; "Where ψ comes from: given, solved or default.");
    LOSS_TOTAL = number("junctions.loss_total", Units::CONDUCTANCE; "Heat loss coefficient of all junctions.");
    SHARE_OF_LOSS = number("junctions.share", Units::PERCENT;
        "Share of junctions in the heat loss of envelope, junctions and ground together.");
    UA_WITH_JUNCTIONS = number("junctions.ua_with_junctions", Units::CONDUCTANCE;
        "UA with junctions and ground: heat loss coefficient of the envelope, all its junctions and the ground, which \
         stands in for what the envelope counts below grade.");
    GROUND_U_FLOOR = number("junctions.ground_u_floor", Units::TRANSMITTANCE;
        "U-factor of the floor with the ground below it.");
    GROUND_U_WALL = number("junctions.ground_u_wall", Units::TRANSMITTANCE;
        "U-factor of basement walls with the ground beside them.");
    GROUND_LOSS = number("junctions.ground_loss", Units::CONDUCTANCE;
        "Heat loss coefficient through the ground: floor, and walls below grade.");
    GROUND_SEASONAL = number("junctions.ground_seasonal", Units::CONDUCTANCE;
        "Seasonal heat loss coefficient through the ground: what the swing of outdoor temperature over the year drives.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_in_the_namespace_and_have_known_units() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("junctions.")));
        assert!(quantities().iter().all(|definition| definition.units.dimension().is_some()));
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
    }
}
