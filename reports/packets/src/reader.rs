//! Which sections each reader gets, in reading order.

use crate::Audience;
use crate::packet::Section;
use crate::parts::*;
use crate::source::Source;
use mateline_reports::ReportError;

pub(crate) fn sections(source: Source<'_>, audience: Audience) -> Result<Vec<Section>, ReportError> {
    Ok(match audience {
        Audience::Factory => vec![
            cover::section(source),
            revision_log::section(source),
            open_points::section(source),
            boxes::section(source)?,
            box_sheets::section(source)?,
            assemblies::section(source)?,
            seams::section(source)?,
            junctions::of_mate_lines(source)?,
            penetrations::section(source),
            openings::section(source),
            materials::section(source),
            ventilation::section(source),
            plant_tests::section(source),
            work_split::section(source),
            cautions::section(audience),
            sign_off::section(audience),
        ],
        Audience::Verifier => vec![
            cover::section(source),
            scope::section(source),
            open_points::section(source),
            waivers::section(source),
            check_list::section(source),
            air_test::section(source)?,
            flows::section(source),
            certificates::section(source),
            energy_certificate::section(source),
            take_off::section(source),
            calculations::elsewhere(),
            cautions::section(audience),
            sign_off::section(audience),
        ],
        Audience::Owner => vec![
            met::open(source),
            living::section(source)?,
            cost::section(source),
            upkeep::section(source),
            equipment::section(source),
            measured_air::section(source),
            met::section(source),
            cautions::section(audience),
        ],
        Audience::PlanReview => vec![
            compliance::section(source),
            open_points::required(source),
            areas::section(source)?,
            thermal::section(source),
            air_summary::section(source),
            loads::section(source),
            energy_certificate::section(source),
            cover::brief(source),
            cautions::section(audience),
            sign_off::section(audience),
        ],
        Audience::Record => vec![
            cover::section(source),
            revision_log::section(source),
            scope::section(source),
            open_points::section(source),
            waivers::section(source),
            take_off::section(source),
            boxes::section(source)?,
            box_sheets::section(source)?,
            assemblies::section(source)?,
            seams::section(source)?,
            penetrations::section(source),
            openings::section(source),
            materials::section(source),
            ventilation::section(source),
            plant_tests::section(source),
            work_split::section(source),
            requirements::section(source),
            air_test::section(source)?,
            flows::section(source),
            junctions::section(source)?,
            loads::section(source),
            cost::section(source),
            breathing::section(source)?,
            everything::other_figures(source)?,
            calculations::of_verdicts(source),
            everything::facts(source),
            everything::not_applicable(source),
            everything::plugins(source),
            cautions::section(audience),
            sign_off::section(audience),
        ],
    })
}

/// The sections that go along as papers of their own; none for most readers.
pub(crate) fn annex(source: Source<'_>, audience: Audience) -> Result<Vec<Section>, ReportError> {
    Ok(match audience {
        Audience::Verifier => vec![
            requirements::section(source),
            junctions::section(source)?,
            pollutants::section(source),
            calculations::of_requirements(source),
        ],
        _ => Vec::new(),
    })
}
