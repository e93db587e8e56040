//! Areas, volumes and counts that a plan is reviewed by, and the section.

use crate::Table;
use crate::packet::{Block, Section};
use crate::source::Source;
use mateline_model::Subject;
use mateline_reports::ReportError;

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

pub(crate) fn section(source: Source<'_>) -> Result<Section, ReportError> {
    let home = Subject::home();
    let rows =
        ROWS.map(|(what, quantity)| vec![crate::Cell::words(what), source.fact_or(&home, quantity, "not known")]);
    let table = Table::schedule("areas", "", &["What", "Value"], rows.to_vec());
    let mut blocks = vec![Block::Table(table)];
    blocks.extend(super::figures(source, |figure| figure.key == "takeoff.section")?);
    Ok(Section { id: "areas", title: "Areas", blocks })
}
