//! Figures: coordinates are computed here, one file for each kind; the SVG is written by the template of that name.
//!
//! Every figure is readable in black and white, its text can be selected, and no label covers another.

mod bars;
mod chart;
mod contents;
mod elevation;
mod field;
mod lettering;
mod marks;
mod measure;
mod paths;
mod plan;
mod scale;
mod seam_plan;
mod section;
mod shapes;
mod sheet;

use crate::error::ReportError;
use crate::templates;
use lettering::{broken, clipped, text_width, wrapped};
use mateline_model::home::{AssemblyKind, Boundary};
use mateline_model::{Drawing, Figure, Report};

/// A figure as one SVG element; none for a table, which every format sets as its own text. Every id in it begins with
/// `id`, so that several figures can stand on one page.
///
/// # Errors
/// When the template cannot be filled.
pub fn svg(report: &Report, figure: &Figure, id: &str) -> Result<Option<String>, ReportError> {
    let units = report.units;
    match &figure.drawing {
        Drawing::Plan { boxes, below, seams, openings, within, .. } => {
            let size = boxes.len() + below.len() + seams.len() + openings.len() + within.len();
            templates::fill("plan.svg", &plan::view(report, figure, id), size)
        }
        Drawing::Elevation { parts, heights, note } => {
            let view = elevation::view(report, figure, id, (parts, heights, note));
            templates::fill("elevation.svg", &view, parts.len() + heights.len())
        }
        Drawing::Section { layers, upright } => {
            let stand = stand(report, figure, *upright);
            let view = section::view(figure, id, layers, (stand, is_within(report, figure)), units);
            templates::fill("section.svg", &view, layers.len())
        }
        Drawing::Bars { units: shown_in, rows, targets, total } => {
            let view = bars::view(figure, id, shown_in, rows, targets, total.as_ref(), units);
            templates::fill("bars.svg", &view, rows.len() + targets.len())
        }
        Drawing::Chart { x, y, series, levels } => {
            let view = chart::view(figure, id, (x, y), series, levels, units);
            let marks: usize = series.iter().filter(|curve| curve.marks).map(|curve| curve.points.len()).sum();
            templates::fill("chart.svg", &view, series.len() + levels.len() + marks)
        }
        Drawing::Paths { units: shown_in, nodes, links } => {
            let view = paths::view(figure, id, shown_in, nodes, links, units);
            templates::fill("paths.svg", &view, nodes.len() + links.len())
        }
        Drawing::SeamPlan { boxes, seams } => {
            let view = seam_plan::view(figure, id, boxes, seams, units);
            templates::fill("seam_plan.svg", &view, boxes.len() + seams.len())
        }
        Drawing::Field { x_edges, y_edges, temperatures, outlines, step, lowest } => {
            let (step, lowest) = (*step, *lowest);
            let view = field::view(
                figure,
                id,
                &field::Cells { x_edges, y_edges, temperatures, outlines, step, lowest },
                units,
            );
            templates::fill("field.svg", &view, outlines.len())
        }
        Drawing::Table { .. } => return Ok(None),
    }
    .map(Some)
}

/// How a section stands on the sheet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stand {
    /// Inside at the left, as in a wall.
    Upright,
    /// Inside at the bottom, as in a ceiling.
    InsideBelow,
    /// Inside at the top, as in a floor.
    InsideAbove,
}

fn stand(report: &Report, figure: &Figure, upright: bool) -> Stand {
    let kind = report.home.assemblies.iter().find(|(id, _)| id.as_ref() == figure.subject.id());
    match kind.map(|(_, assembly)| assembly.kind) {
        _ if upright => Stand::Upright,
        Some(AssemblyKind::Floor | AssemblyKind::ExposedFloor | AssemblyKind::Slab | AssemblyKind::Interior)
            if figure.subject.section() == "assemblies" =>
        {
            Stand::InsideAbove
        }
        _ => Stand::InsideBelow,
    }
}

/// Whether an assembly lies inside the home, with rooms on both sides.
fn is_within(report: &Report, figure: &Figure) -> bool {
    let boundary = report.facts.get(&figure.subject, "takeoff.boundary").and_then(|fact| fact.value.text());
    let found = report.home.assemblies.iter().find(|(id, _)| id.as_ref() == figure.subject.id());
    figure.subject.section() == "assemblies"
        && boundary.map_or_else(
            || found.is_some_and(|(_, assembly)| assembly.boundary() == Boundary::Conditioned),
            |boundary| boundary == "conditioned",
        )
}

/// A coordinate or length of the drawing, with at most two decimals.
fn px(value: f64) -> String {
    let text = mateline_model::quantity::number(if value.is_finite() { value } else { 0.0 }, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A rectangle of the drawing: x, y, width, height.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Rect {
    x: f64,
    y: f64,
    w: f64,
    h: f64,
}

impl Rect {
    fn centred(x: f64, y: f64, w: f64, h: f64) -> Rect {
        Rect { x: x - w / 2.0, y: y - h / 2.0, w, h }
    }

    fn overlaps(&self, other: &Rect) -> bool {
        self.x < other.x + other.w
            && other.x < self.x + self.w
            && self.y < other.y + other.h
            && other.y < self.y + self.h
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::fixture;
    use crate::html::well_formed;

    fn all(report: &Report) -> Vec<String> {
        let draw = |(index, figure)| svg(report, figure, &format!("figure-{index}")).expect("the figure is drawn");
        report.figures.iter().enumerate().filter_map(draw).collect()
    }

    #[test]
    fn figures_are_well_formed_and_say_in_words_what_they_show() {
        for drawing in all(&fixture::report()) {
            well_formed::check(&drawing).expect("balanced");
            assert!(drawing.contains("<title id=") && drawing.contains("<desc id="), "{drawing}");
            assert!(!drawing.contains("NaN") && !drawing.contains("inf"), "{drawing}");
        }
    }

    #[test]
    fn ids_are_not_shared_between_figures() {
        let drawings = all(&fixture::report());
        let mut ids: Vec<&str> = drawings
            .iter()
            .flat_map(|drawing| drawing.split(" id=\"").skip(1))
            .filter_map(|rest| rest.split('"').next())
            .collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert!(count > 10 && ids.len() == count, "{ids:?}");
    }

    #[test]
    fn every_layer_has_its_name_thickness_and_share() {
        let drawings = all(&fixture::report());
        let wall = drawings.get(1).expect("the wall is drawn");
        for part in [
            "gypsum board",
            "0.500 in",
            "62.0 %",
            "air barrier, structure",
            "continuous insulation",
            "inside",
            "outside",
        ] {
            assert!(wall.contains(part), "{part} in {wall}");
        }
        let plan = drawings.first().expect("the plan is drawn");
        for part in
            ["C-D", "29 ft 10 1/4 in × 13 ft 9 in", "hall-south", "terrace", "drain", "mate line", "level below"]
        {
            assert!(plan.contains(part), "{part} in {plan}");
        }
    }

    #[test]
    fn impossible_numbers_are_left_out() {
        for number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN, 1e308, -1e13, 0.0, 5e-324] {
            for drawing in all(&fixture::impossible(number)) {
                well_formed::check(&drawing).expect("balanced");
                let mut values = drawing.split(['"', ' ', ',']);
                assert!(values.all(|value| !value.contains("NaN") && value != "inf" && value != "-inf"), "{drawing}");
                assert!(drawing.len() < 60_000, "{}", drawing.len());
            }
        }
    }

    #[test]
    fn values_are_shown_in_the_units_of_the_report() {
        let mut report = fixture::report();
        let ip = all(&report).concat();
        report.units = mateline_model::quantity::UnitSystem::Si;
        let si = all(&report).concat();
        for (in_ip, in_si) in [
            ("programme target: 160.0 cfm", "programme target: 272 m³/h"),
            ("flow, cfm", "flow, m³/h"),
            ("42.4 cfm", "72 m³/h"),
            ("Isotherms every 5 °F", "Isotherms every 2 °C"),
            ("lowest 55.4 °F", "lowest 13.0 °C"),
        ] {
            assert!(ip.contains(in_ip) && !ip.contains(in_si), "{in_ip}");
            assert!(si.contains(in_si) && !si.contains(in_ip), "{in_si}");
        }
    }

    /// The largest drawing there can be: noise, which neither merges nor makes long isotherms.
    #[test]
    fn the_drawing_of_a_field_stays_small() {
        let mut report = fixture::report();
        let mut seed = 1_u32;
        let mut noise = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed >> 8) / f64::from(1 << 24) * 40.0
        };
        for figure in &mut report.figures {
            if let Drawing::Field { x_edges, y_edges, temperatures, .. } = &mut figure.drawing {
                *x_edges = (0..=400).map(f64::from).collect();
                *y_edges = (0..=300).map(f64::from).collect();
                *temperatures = (0..120_000).map(|_| noise()).collect();
            }
        }
        for drawing in all(&report) {
            well_formed::check(&drawing).expect("balanced");
            assert!(drawing.len() <= 200_000, "{}", drawing.len());
        }
    }

    #[test]
    fn hostile_labels_stay_text() {
        for evil in ["</svg><script>x</script>", "\"/><image href='x'/>", "\u{202e}🏠\u{0}", &"m".repeat(10_000)] {
            for drawing in all(&fixture::hostile(evil)) {
                well_formed::check(&drawing).expect("balanced");
                assert!(!drawing.contains("<script") && !drawing.contains("<image"), "{drawing}");
                assert!(!drawing.contains('\u{202e}') && !drawing.contains('\u{0}'));
            }
        }
    }

    #[test]
    fn coordinates_have_at_most_two_decimals() {
        assert_eq!((px(1.0), px(0.125), px(-0.001), px(f64::NAN)), ("1".into(), "0.12".into(), "0".into(), "0".into()));
    }
}
