//! Every quantity of this plugin, with its unit and meaning.

use mateline_model::quantity::Units;

/// Air flow per area.
const LEAKAGE_UNITS: Units = Units::new("L/(s·m²)", 3, "cfm/ft²", 3);
/// A correction to a U-factor.
const SMALL_TRANSMITTANCE: Units = Units::new("W/(m²·K)", 4, "Btu/(h·ft²·°F)", 5);

mateline_sdk::quantities! {
    R_NOMINAL = number("envelope.r_nominal", Units::RESISTANCE;
        "Nominal R-value: cavity and continuous insulation as the trade names them, with no framing and no films.");
    R_CAVITY = number("envelope.r_cavity", Units::RESISTANCE; "R-value of the insulation between the framing members.");
    R_CONTINUOUS = number("envelope.r_continuous", Units::RESISTANCE; "R-value of the insulation that no framing interrupts.");
    R_CLEAR = number("envelope.r_clear", Units::RESISTANCE;
        "Resistance from air to air through the cavity, films included, as if there were no framing.");
    R_EFFECTIVE = number("envelope.r_effective", Units::RESISTANCE;
        "Effective R-value: from air to air with framing and corrections, the inverse of the U-factor.");
    U_FACTOR = number("envelope.u_factor", Units::TRANSMITTANCE;
        "U-factor: of an assembly by the combined method, corrected; of an opening as given.");
    U_COMBINED = number("envelope.u_combined", Units::TRANSMITTANCE; "U-factor by the combined method, without corrections.");
    U_PARALLEL_PATH = number("envelope.u_parallel_path", Units::TRANSMITTANCE; "U-factor by the parallel-path method.");
    U_ISOTHERMAL_PLANES = number("envelope.u_isothermal_planes", Units::TRANSMITTANCE;
        "U-factor by the isothermal-planes method.");
    U_CORRECTION = number("envelope.u_correction", SMALL_TRANSMITTANCE;
        "What gaps and fasteners add to the U-factor; nothing where it comes to less than 3 %.");
    METHOD_ERROR = number("envelope.method_error", Units::PERCENT; "Greatest relative error of the combined method.");
    FRAMING_FRACTION = number("envelope.framing_fraction", Units::PERCENT;
        "Share of the face that is framing, in the deepest framed layer.");
    MEMBER_SPACING = number("envelope.member_spacing", Units::THICKNESS;
        "Distance of the framing members from centre to centre, in the deepest framed layer.");
    FRAMING_COST = number("envelope.framing_cost", Units::RESISTANCE; "Resistance lost to framing.");
    THICKNESS = number("envelope.thickness", Units::THICKNESS; "Thickness of all layers.");
    HOLDS_FOAM = flag("envelope.holds_foam"; "Whether a layer is foam insulation.");
    FOAM_OUTSIDE_CONCRETE = flag("envelope.foam_outside_concrete"; "Whether foam insulation lies outside of concrete or masonry, or below a slab.");
    COVER_OVER_FOAM = number("envelope.cover_over_foam", Units::THICKNESS;
        "Cover over foam insulation: thickness of boards, wood and masonry between the rooms and the innermost foam.");
    WATER_BARRIER = flag("envelope.water_barrier"; "Whether a layer keeps rain out behind the cladding, by its role.");
    SURFACE_MASS = number("envelope.surface_mass", Units::SURFACE_MASS; "Mass per area of all layers.");
    SHGC = number("envelope.shgc", Units::plain(2); "Solar heat gain coefficient of the whole product, as given.");
    AIR_LEAKAGE = number("envelope.air_leakage", LEAKAGE_UNITS; "Tested air leakage of the product, as given.");
    UA = number("envelope.ua", Units::CONDUCTANCE; "UA: heat loss coefficient of the envelope, with combined-method U-factors.");
    UA_PARALLEL_PATH = number("envelope.ua_parallel_path", Units::CONDUCTANCE;
        "UA by parallel paths: heat loss coefficient of the envelope.");
    HEAT_LOSS = number("envelope.heat_loss", Units::CONDUCTANCE;
        "Heat loss coefficient of a surface or opening: U-factor by the combined method times area.");
    U_MEAN = number("envelope.u_mean", Units::TRANSMITTANCE; "Mean U-factor over the whole envelope, openings included.");
    WINDOW_U_AVERAGE = number("envelope.window_u_average", Units::TRANSMITTANCE;
        "Mean window U-factor: area-weighted over vertical glazed openings, exempt ones left out.");
    WINDOW_SHGC_AVERAGE = number("envelope.window_shgc_average", Units::plain(3);
        "Mean window SHGC: area-weighted over vertical glazed openings, exempt ones left out.");
    SKYLIGHT_U_AVERAGE = number("envelope.skylight_u_average", Units::TRANSMITTANCE;
        "Mean skylight U-factor: area-weighted, exempt ones left out.");
    FENESTRATION_U_AVERAGE = number("envelope.fenestration_u_average", Units::TRANSMITTANCE;
        "Mean U-factor of windows and doors: area-weighted over vertical openings, glazed or not, exempt ones left out.");
    GLAZING_SHGC_AVERAGE = number("envelope.glazing_shgc_average", Units::plain(3);
        "Mean SHGC of all glazing: area-weighted over windows, glazed doors and skylights, exempt ones left out.");
    WINDOW_SHARE = number("envelope.window_share", Units::PERCENT; "Glazed area over conditioned floor area.");
    REFERENCE_UA = number("envelope.reference_ua", Units::CONDUCTANCE;
        "Reference UA: heat loss coefficient of the same surfaces with the pack's U-factors.");
    PROPOSED_UA = number("envelope.proposed_ua", Units::CONDUCTANCE;
        "UA as designed: heat loss coefficient of the same surfaces, by the pack's method for framing.");
    UA_MARGIN = number("envelope.ua_margin", Units::PERCENT;
        "How far the proposed UA lies below the reference UA, as a share of the reference.");
}
