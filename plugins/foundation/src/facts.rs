//! Every quantity of this plugin, with its unit and meaning.

use mateline_model::quantity::Units;

/// Soil, gravel and concrete.
pub const EARTH: Units = Units::new("m³", 1, "yd³", 1);
/// A load along a line.
pub const LINE: Units = Units::new("kN/m", 2, "plf", 0);
/// A force.
pub const FORCE: Units = Units::new("kN", 1, "lbf", 0);
/// A weight per volume.
pub const WEIGHT: Units = Units::new("kN/m³", 2, "lbf/ft³", 0);
/// An acceleration.
pub const ACCELERATION: Units = Units::new("m/s²", 5, "ft/s²", 3);
/// Money per floor area.
pub const MONEY_PER_AREA: Units = Units::new("$/m²", 0, "$/ft²", 0);
/// The side of an opening.
pub const OPENING: Units = Units::new("mm", 0, "in", 1);
/// The thickness of a sheet.
pub const SHEET: Units = Units::new("mm", 3, "mil", 1);

mateline_sdk::quantities! {
    KIND = words("foundation.kind", mateline_sdk::all_of!["basement", "crawl-space", "slab", "piers", "mixed"]; "Kind of foundation: basement, crawl-space, slab, piers, or mixed.");
    SERVICES_FIT = flag("foundation.services_fit";
        "Whether pipes, ducts and cables that hang below the floor have room.");
    CLEARANCE = number("foundation.clearance", Units::LENGTH;
        "Clear height below the lowest pipe or duct, or below the boxes.");
    HEIGHT_ABOVE_GRADE = number("foundation.height_above_grade", Units::LENGTH;
        "Height of boxes above grade, at their underside.");
    ACCESS_SMALLER = number("foundation.access_smaller_side", OPENING; "Smaller side of access opening.");
    ACCESS_LARGER = number("foundation.access_larger_side", OPENING; "Larger side of access opening.");
    STOREYS = number("foundation.storeys", Units::COUNT; "Storeys of boxes on the foundation.");

    LOAD_DOWN = number("foundation.load_down", FORCE;
        "Load of a box with all that stands on it: weights, snow and live load.");
    BOX_LINE_LOAD = number("foundation.line_load", LINE;
        "Load along each long side of a lowest box, half on each: its stack, snow and live load.");
    LINE_LOAD_LOW = number("foundation.line_load_low", LINE;
        "Load along the south or west long side of a lowest box, by where what it bears acts.");
    LINE_LOAD_HIGH = number("foundation.line_load_high", LINE;
        "Load along the north or east long side of a lowest box, by where what it bears acts.");
    LINE_LOAD_SIDE = number("foundation.line_load_side", LINE;
        "Greatest load along a side wall, at the underside of the boxes.");
    LINE_LOAD_MATE = number("foundation.line_load_mate", LINE;
        "Greatest load along a mate line, at the underside of the boxes.");
    SOIL_BEARING = number("foundation.soil_bearing", Units::LOAD;
        "Bearing value of the soil: given, or presumptive for its class.");
    FOOTING_WIDTH_NEEDED = number("foundation.footing_width_needed", Units::THICKNESS;
        "Width of wall footing that spreads the load: side load and wall over the soil's bearing value.");
    PRESSURE_WALL = number("foundation.soil_pressure_wall", Units::LOAD;
        "Pressure on the soil under the footing along the heaviest side, as drawn.");
    PRESSURE_PADS = number("foundation.soil_pressure_pads", Units::LOAD;
        "Greatest pressure on the soil under the pads of piers, as drawn.");
    PRESSURE_MATE = number("foundation.soil_pressure_mate", Units::LOAD;
        "Pressure on the soil along the heaviest mate line, under pads of piers or the footing of a slab, as drawn.");
    PRESSURE = number("foundation.soil_pressure", Units::LOAD;
        "Greatest pressure on the soil under what is drawn: footing along the sides, pads, mate lines.");
    PAD_SIDE = number("foundation.pad_side_given", Units::THICKNESS; "Side of the pads under piers, as drawn.");
    PAD_SIDE_NEEDED = number("foundation.pad_side_needed", Units::THICKNESS;
        "Side of pads that spreads the load: under piers, or under posts along mate lines.");
    FOOTING_WIDTH = number("foundation.footing_width_given", Units::THICKNESS; "Width of footing, as drawn.");
    FOOTING_THICKNESS = number("foundation.footing_thickness", Units::THICKNESS; "Thickness of footing, as drawn.");
    FOOTING_PROJECTION = number("foundation.footing_projection", Units::THICKNESS;
        "Projection of footing, on each side of the wall or pier.");
    ANCHOR_SPACING = number("foundation.anchor_spacing", Units::LENGTH; "Distance between anchor bolts, as drawn.");
    LEVELNESS = number("foundation.levelness", Units::THICKNESS;
        "Out-of-level allowed when the boxes are set, as stated.");
    BEARS_MATE_LINES = flag("foundation.bears_mate_lines"; "Whether a bearing line stands under every mate line.");

    FROST_DEPTH = number("foundation.frost_depth", Units::LENGTH;
        "Frost depth of the site, as the authority gives it.");
    FOOTING_DEPTH = number("foundation.footing_depth", Units::LENGTH; "Depth of footing: its underside below grade.");
    FROST_MARGIN = number("foundation.frost_margin", Units::LENGTH;
        "Footing below the frost depth; below zero where it ends above.");
    WATER_MARGIN = number("foundation.water_margin", Units::LENGTH;
        "Water table below the lowest point of floor or footing.");
    WATER_TABLE_HIGH = flag("foundation.water_table_high";
        "Whether the water table lies above the lowest point of floor or footing.");
    RETAINS_EARTH = flag("foundation.retains_earth"; "Whether its walls hold back earth beside a space below grade.");
    WELL_DRAINED = flag("foundation.well_drained"; "Whether the soil drains on its own.");
    DRAINAGE_GIVEN = flag("foundation.drainage_given"; "Whether a footing drain is drawn; missing, and not false, where none is.");
    SUMP_NEEDED = flag("foundation.sump_needed";
        "Whether a sump is needed: the drain leads to it, or the water table is high below a basement.");
    SUMP_GIVEN = flag("foundation.sump_given"; "Whether a sump with a pump is drawn.");
    EJECTOR_NEEDED = flag("foundation.ejector_needed";
        "Whether a sewage ejector is needed: a fixture stands below the sewer.");
    EJECTOR_GIVEN = flag("foundation.ejector_given"; "Whether a sewage ejector is drawn.");
    VENTILATION = words("foundation.ventilation", mateline_sdk::all_of!["vented", "unvented"]; "How the under-floor space is aired: vented, or unvented.");
    GROUND_COVERED = flag("foundation.ground_covered";
        "Whether a sheet or slab covers the ground of the under-floor space.");
    VENT_RATIO = number("foundation.vent_ratio", Units::plain(5);
        "Net free vent area over the floor area of the under-floor space.");
    FLOOR_PER_VENT_AREA = number("foundation.floor_per_vent_area", Units::COUNT;
        "Floor area for each area of vents: that of the under-floor space over the net free vent area.");
    CONDITIONING = number("foundation.conditioning_flow_per_area", Units::FLOW_PER_AREA;
        "Conditioning flow of the under-floor space, per floor area.");
    RETARDER_THICKNESS = number("foundation.retarder_thickness", SHEET;
        "Thickness of sheet, under the slab or on the ground.");
    BASE_THICKNESS = number("foundation.base_thickness", Units::THICKNESS; "Thickness of gravel below the slab.");
    RADON_PROVISIONS = number("foundation.radon_provisions", Units::COUNT;
        "Radon provisions named: gravel layer, sheet, vent pipe, room for a fan.");

    BASEMENT_HABITABLE = flag("foundation.basement_habitable"; "Whether people live in rooms of the foundation.");
    BASEMENT_AREA = number("foundation.basement_area", Units::AREA;
        "Plan area of the boxes that stand on a basement; none where no box does.");
    BASEMENT_MECHANICAL_ONLY = flag("foundation.basement_mechanical_only";
        "Whether every room of the foundation is a mechanical room.");
    ROOM_IN_FOUNDATION = flag("foundation.room_in_foundation"; "Whether a room lies in the foundation and in no box.");
    HAS_EGRESS = flag("foundation.has_egress"; "Whether a room has an opening to escape through.");
    EGRESS_OPENING = text("foundation.egress_opening"; "The opening with the largest clear area of a room.");
    EGRESS_AREA = number("foundation.egress_area", Units::AREA;
        "Clear area of escape opening: width times height when open.");
    EGRESS_WIDTH = number("foundation.egress_width", OPENING; "Clear width of escape opening, when open.");
    EGRESS_HEIGHT = number("foundation.egress_height", OPENING; "Clear height of escape opening, when open.");
    EGRESS_SILL = number("foundation.egress_sill", OPENING; "Sill of escape opening above the floor.");
    EGRESS_SILL_ABOVE_GRADE = number("foundation.egress_sill_above_grade", OPENING;
        "Sill of escape opening above grade; below zero where it needs a well.");
    WELL_NEEDED = flag("foundation.window_well_needed"; "Whether an opening for escape lies below grade.");
    WELL_AREA = number("foundation.window_well_area", Units::AREA;
        "Clear area of window well: width times projection.");

    SIDE_SLOPE = number("foundation.side_run", Units::plain(2); "Run of the dug sides for 1 of rise.");
    EXCAVATION_BANK = number("foundation.excavation_bank", EARTH; "Excavation in the ground, topsoil apart.");
    EXCAVATION_LOOSE = number("foundation.excavation_loose", EARTH; "Excavation loose, topsoil apart.");
    EXCAVATION_COMPACTED = number("foundation.excavation_compacted", EARTH;
        "Volume the excavated soil would fill when compacted.");
    TOPSOIL_BANK = number("foundation.topsoil_bank", EARTH; "Topsoil in the ground.");
    TOPSOIL_LOOSE = number("foundation.topsoil_loose", EARTH; "Topsoil loose.");
    BACKFILL = number("foundation.backfill", EARTH; "Backfill in place, compacted.");
    HAUL_OFF_BANK = number("foundation.haul_off_bank", EARTH; "Soil left over, as in the ground.");
    HAUL_OFF_LOOSE = number("foundation.haul_off_loose", EARTH; "Soil to haul away, loose.");
    IMPORT_BANK = number("foundation.import_bank", EARTH; "Soil to bring for the backfill, as in the ground.");
    TRUCKLOADS = number("foundation.truckloads", Units::COUNT; "Truckloads to haul away.");
    GRAVEL = number("foundation.gravel", EARTH; "Gravel below slabs and around drains, in place.");

    CONCRETE_FOOTING = number("foundation.concrete_footing", EARTH; "Concrete of footings and pads, in place.");
    CONCRETE_WALL = number("foundation.concrete_wall", EARTH; "Concrete of walls and piers, in place.");
    CONCRETE_SLAB = number("foundation.concrete_slab", EARTH; "Concrete of slabs, in place.");
    CONCRETE_TOTAL = number("foundation.concrete_total", EARTH; "Concrete to order, waste included.");
    FORMWORK = number("foundation.formwork_area", Units::AREA; "Formwork: faces of concrete that need forms.");
    REINFORCEMENT = number("foundation.reinforcement_mass", Units::MASS; "Reinforcement of footings, walls and piers.");

    COST = number("foundation.cost", Units::MONEY; "Cost at the middle of the given rates.");
    COST_LOW = number("foundation.cost_low", Units::MONEY; "Cost at the low rates.");
    COST_HIGH = number("foundation.cost_high", Units::MONEY; "Cost at the high rates.");
    AREA_GAINED = number("foundation.floor_area_gained", Units::AREA; "Floor area gained below the boxes.");
    COST_PER_AREA = number("foundation.cost_per_area_gained", MONEY_PER_AREA;
        "Extra cost over a crawl space, for each area of floor gained.");
    ADDS = text("foundation.adds"; "What this foundation adds.");
    FIT = words("foundation.fit", mateline_sdk::all_of!["fits", "fits with care: no service may hang below the floor", "fits with care: services below the floor hang in the open and need a warm skirt", "unfit: services hang below the floor of a factory-built box"];
        "Whether factory-built boxes can stand on it: fits, fits with care, or unfit, and why.");
    OPEN_POINTS = text("foundation.open_points";
        "Requirements it would leave short or open, by what is known of the site.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_in_the_namespace_and_have_known_units() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("foundation.")));
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
        for definition in quantities() {
            assert!(definition.units.dimension().is_some(), "{}", definition.name);
        }
    }
}
