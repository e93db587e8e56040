//! Every quantity this plugin writes, with its unit and meaning.

use mateline_model::quantity::Units;

const DEGREES: Units = Units::new("°C", 1, "°F", 1);
const DIFFERENCE: Units = Units::new("K", 1, "Δ°F", 1);
const DEGREE_DAYS: Units = Units::new("°C·d", 0, "°F·d", 0);

mateline_sdk::quantities! {
    ROOMS_AREA = number("plausible.rooms_area", Units::AREA;
        "Floor area of the rooms that lie in a box; a room in several boxes is shared out evenly.");
    THICKEST_FOAM = number("plausible.thickest_foam", Units::THICKNESS;
        "Thickness of an assembly's thickest layer of foam; none counts as nothing.");
    THICKEST_FIBRE = number("plausible.thickest_fibre", Units::THICKNESS;
        "Thickness of an assembly's thickest layer of fibre insulation that is no filling of a frame.");
    THICKEST_BOARD = number("plausible.thickest_board", Units::THICKNESS;
        "Thickness of an assembly's thickest layer of board, cladding or finish.");
    LEAST_FRAMING = number("plausible.least_framing", Units::plain(2);
        "Share of framing that an assembly's layer states, by the share that its members take at their spacing; the least of \
         its layers, and one where none states a share.");
    COLDEST_MONTH = number("plausible.coldest_month", DEGREES; "Mean temperature of the coldest month.");
    LARGEST_MONTH_STEP = number("plausible.largest_month_step", DIFFERENCE;
        "Largest difference between the mean temperatures of two months in a row, December and January included.");
    MONTHS_DEGREE_DAYS = number("plausible.months_degree_days", DEGREE_DAYS;
        "Heating degree-days, base 65 °F (18.3 °C), of the monthly means.");
}
