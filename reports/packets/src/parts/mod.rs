//! The sections a packet is made of: one file each, a function from a report to what stands under one head.

pub(crate) mod air_summary;
pub(crate) mod air_test;
pub(crate) mod allowed;
pub(crate) mod areas;
pub(crate) mod assemblies;
pub(crate) mod box_sheets;
pub(crate) mod boxes;
pub(crate) mod breathing;
pub(crate) mod calculations;
pub(crate) mod cautions;
pub(crate) mod certificates;
pub(crate) mod check_list;
pub(crate) mod compliance;
pub(crate) mod cost;
pub(crate) mod cover;
pub(crate) mod energy_certificate;
pub(crate) mod equipment;
pub(crate) mod everything;
pub(crate) mod flows;
pub(crate) mod junctions;
pub(crate) mod living;
pub(crate) mod loads;
pub(crate) mod materials;
pub(crate) mod measured_air;
pub(crate) mod met;
pub(crate) mod open_points;
pub(crate) mod openings;
pub(crate) mod penetrations;
pub(crate) mod plant_tests;
pub(crate) mod pollutants;
pub(crate) mod requirements;
pub(crate) mod revision_log;
pub(crate) mod scope;
pub(crate) mod seals;
pub(crate) mod seams;
pub(crate) mod sign_off;
pub(crate) mod take_off;
pub(crate) mod thermal;
pub(crate) mod upkeep;
pub(crate) mod ventilation;
pub(crate) mod waivers;
pub(crate) mod work_split;

use crate::packet::{Block, Figure};
use crate::source::Source;
use mateline_model::Report;
use mateline_reports::{ReportError, figures};

/// The way of the air in ordinary operation.
pub(crate) const AIR_PATHS: &str = "ventilation.air-paths";
/// The table of choices with their prices, where one was asked for.
pub(crate) const CHOICES: &str = "choices.prices";
/// The foundations side by side.
pub(crate) const SIDE_BY_SIDE: &str = "foundation.side-by-side";

/// The figures that fit, drawn, or set as a table.
pub(crate) fn figures(
    source: Source<'_>,
    fits: impl Fn(&mateline_model::Figure) -> bool,
) -> Result<Vec<Block>, ReportError> {
    let mut blocks = Vec::new();
    let report: &Report = source.report;
    for (index, figure) in report.figures.iter().enumerate().filter(|(_, figure)| fits(figure)) {
        let id = format!("figure-{}", index + 1);
        match figures::svg(report, figure, &id)? {
            Some(svg) => blocks.push(Block::Figure(Figure {
                id,
                title: figure.title.clone(),
                alternative: figure.alternative.clone(),
                svg,
            })),
            None => blocks.extend(cost::table(figure).map(Block::Table)),
        }
    }
    Ok(blocks)
}
