//! Areas, volumes and counts that a plan is reviewed by.

use crate::Table;
use crate::packet::{Block, Section};
use crate::source::Source;
use mateline_model::Subject;

const ROWS: [(&str, &str); 9] = [
    ("Conditioned floor area", "takeoff.floor_area"),
    ("Of it above grade", "takeoff.floor_area_above_grade"),
    ("Footprint", "takeoff.footprint_area"),
    ("Volume over exterior dimensions", "takeoff.volume"),
    ("Exterior envelope area", "takeoff.exterior_envelope_area"),
    ("Windows and glazed doors", "takeoff.window_area"),
    ("All openings", "takeoff.opening_area"),
    ("Storeys above grade", "foundation.storeys"),
    ("Bedrooms", "takeoff.bedrooms"),
];

pub(crate) fn section(source: Source<'_>) -> Section {
    let home = Subject::home();
    let rows =
        ROWS.map(|(what, quantity)| vec![crate::Cell::words(what), source.fact_or(&home, quantity, "not known")]);
    let table = Table::schedule("areas", "", &["What", "Value"], rows.to_vec());
    Section { id: "areas", title: "Areas", blocks: vec![Block::Table(table)] }
}
