//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

const GAP: Units = Units::THICKNESS;

mateline_sdk::quantities! {
    FLOOR_AREA = number("takeoff.floor_area", Units::AREA;
        "Of the home: conditioned floor area inside the exterior walls, a conditioned basement included. Of a \
         module: its plan area.");
    FLOOR_AREA_ABOVE_GRADE = number("takeoff.floor_area_above_grade", Units::AREA;
        "Conditioned floor area inside the exterior walls, without the basement.");
    VOLUME = number("takeoff.volume", Units::VOLUME;
        "Volume by exterior dimensions; of the home with the conditioned space below the boxes.");
    INTERIOR_VOLUME = number("takeoff.interior_volume", Units::VOLUME;
        "Volume of air inside the thermal envelope: floor area times clear height.");
    EXTERIOR_ENVELOPE_AREA = number("takeoff.exterior_envelope_area", Units::AREA;
        "All faces of the thermal envelope by exterior dimensions, floor, slab and walls below grade included.");
    INTERIOR_ENVELOPE_AREA = number("takeoff.interior_envelope_area", Units::AREA;
        "All faces of the thermal envelope as seen from inside, floor, slab and walls below grade included.");
    CEILING_AREA = number("takeoff.ceiling_area", Units::AREA;
        "Area of ceilings and roofs of the thermal envelope, skylights included.");
    ROOF_AREA = number("takeoff.roof_area", Units::AREA;
        "Area of roofs of the thermal envelope with no attic below them, skylights included.");
    GARAGE = flag("takeoff.garage";
        "Whether the home says that a garage adjoins: a room is one, or a part of the envelope faces one.");
    GARAGE_AREA = number("takeoff.garage_area", Units::AREA; "Area of the thermal envelope that faces a garage.");
    FOOTPRINT_AREA = number("takeoff.footprint_area", Units::AREA; "Plan area of the lowest boxes together.");
    FOUNDATION_PERIMETER = number("takeoff.foundation_perimeter", Units::LENGTH;
        "Length of the outline of the lowest boxes.");
    MATE_LINE_LENGTH = number("takeoff.mate_line_length", Units::LENGTH;
        "Length of all mate lines that cross the air barrier.");
    OPENING_AREA = number("takeoff.opening_area", Units::AREA; "Area of the openings in the thermal envelope.");
    WINDOW_AREA = number("takeoff.window_area", Units::AREA;
        "Area of windows, glazed doors and skylights in the thermal envelope.");
    EXEMPT_GLAZING_AREA = number("takeoff.exempt_glazing_area", Units::AREA;
        "Area of glazed openings marked as exempt from the energy code's limits.");
    EXEMPT_DOOR_AREA = number("takeoff.exempt_door_area", Units::AREA;
        "Area of opaque doors marked as exempt from the energy code's limits.");
    BEDROOMS = number("takeoff.bedrooms", Units::COUNT; "Number of bedrooms.");
    SLEEPERS = number("takeoff.sleepers", Units::COUNT; "Number of people who sleep in the home.");
    MODULE_COUNT = number("takeoff.module_count", Units::COUNT; "Number of factory boxes.");
    HEIGHT = number("takeoff.height", Units::LENGTH; "From the lowest to the highest point of the boxes.");

    ASSEMBLY = text("takeoff.assembly"; "The assembly of a surface, or the one an opening is in.");
    KIND = text("takeoff.kind"; "The kind of a surface's assembly.");
    BOUNDARY = words("takeoff.boundary", mateline_sdk::all_of!["outdoor", "attic", "ground", "crawl-space", "unheated-basement", "garage", "unheated", "conditioned", "outside-envelope"];
        "What lies on the outer side: outdoor, attic, ground, crawl-space, unheated-basement, garage, unheated; \
         of an assembly, that of its largest part.");
    ORIENTATION = words("takeoff.orientation", mateline_sdk::all_of!["north", "east", "south", "west", "up", "down", "below-grade"];
        "Where a surface looks: north, east, south, west, up, down, below-grade.");
    GROSS_AREA = number("takeoff.gross_area", Units::AREA; "Area by exterior dimensions, openings included.");
    NET_AREA = number("takeoff.net_area", Units::AREA; "Area by exterior dimensions, less openings.");
    BASEMENT_WALL_AREA = number("takeoff.basement_wall_area", Units::AREA;
        "Area of an assembly around a basement inside the envelope, openings included.");
    CRAWL_WALL_AREA = number("takeoff.crawl_wall_area", Units::AREA;
        "Area of an assembly around a crawl space inside the envelope, openings included.");
    RUN_LENGTH = number("takeoff.run_length", Units::LENGTH;
        "Length of exposed wall of an assembly in plan, all levels together.");
    CORNERS = number("takeoff.corners", Units::COUNT;
        "Outside corners of the boxes where an assembly stands, each level by itself.");
    MATE_LINE_ENDS = number("takeoff.mate_line_ends", Units::COUNT; "Upright mate lines that end in a wall of an assembly.");
    GLAZED_AREA = number("takeoff.glazed_area", Units::AREA;
        "Rough area of the windows, glazed doors and skylights that say that they serve a room.");
    AREA = number("takeoff.area", Units::AREA; "Area of an opening: width times height times count.");

    SEAM_KIND = words("takeoff.seam_kind", mateline_sdk::all_of!["side-by-side", "stacked"]; "How two boxes meet: side-by-side or stacked.");
    CONTACT_AREA = number("takeoff.contact_area", Units::AREA; "Area over which two boxes touch.");
    SEAM_LENGTH = number("takeoff.seam_length", Units::LENGTH;
        "Length of the contact's edge that crosses the air barrier.");
    FROM_MATE_LINE = number("takeoff.from_mate_line", Units::LENGTH;
        "Distance from the edge of a hole to the nearest mate line, in a home that gives places of holes.");
    SEAM_GAP = number("takeoff.gap", GAP; "Distance between the two faces of a mate line.");

    EXPOSED_AREA = number("takeoff.exposed_area", Units::AREA; "Area of a module's faces that no other module covers.");
    WEIGHT = number("takeoff.weight", Units::MASS; "Weight of a module: given, or the sum of its layers.");
    TRAVEL_WIDTH = number("takeoff.travel_width", Units::LENGTH; "Width: smaller side of a module in plan.");
    TRAVEL_LENGTH = number("takeoff.travel_length", Units::LENGTH; "Length: larger side of a module in plan.");
    TRAVEL_HEIGHT = number("takeoff.travel_height", Units::LENGTH;
        "Height: of a module, with a sloped ceiling at its full height.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_in_the_namespace() {
        let mut names: Vec<String> = quantities().iter().map(|definition| definition.name.to_string()).collect();
        assert!(names.iter().all(|name| name.starts_with("takeoff.")));
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
    }

    #[test]
    fn units_are_known() {
        for definition in quantities() {
            assert!(definition.units.dimension().is_some(), "{}", definition.name);
        }
    }
}
