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
            take_off::section(source),
            requirements::section(source),
            junctions::section(source)?,
            air_test::section(source)?,
            flows::section(source),
            certificates::section(source),
            calculations::of_requirements(source),
            cautions::section(audience),
            sign_off::section(audience),
        ],
        Audience::Owner => vec![
            met::section(source),
            met::open(source),
            cost::section(source),
            breathing::section(source)?,
            measured_air::section(source),
            cautions::section(audience),
        ],
        Audience::Record => vec![
            cover::section(source),
            revision_log::section(source),
            scope::section(source),
            open_points::section(source),
            waivers::section(source),
            take_off::section(source),
            boxes::section(source)?,
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
