//! Figures: coordinates are computed here, the SVG is written by the templates `plan.svg` and `section.svg`.
//!
//! Every figure is readable in black and white, its text can be selected, and no label covers another.

mod plan;
mod section;

use crate::error::ReportError;
use crate::templates;
use mateline_model::home::AssemblyKind;
use mateline_model::{Drawing, Figure, Report};

/// A figure as one SVG element. Every id in it begins with `id`, so that several figures can stand on one page.
///
/// # Errors
/// When the template cannot be filled.
pub fn svg(report: &Report, figure: &Figure, id: &str) -> Result<String, ReportError> {
    match &figure.drawing {
        Drawing::Plan { boxes, below, seams } => {
            let view = plan::view(figure, id, boxes, below, seams, report.units);
            templates::fill("plan.svg", &view, boxes.len() + below.len() + seams.len())
        }
        Drawing::Section { layers, upright } => {
            let view = section::view(figure, id, layers, stand(report, figure, *upright), report.units);
            templates::fill("section.svg", &view, layers.len())
        }
    }
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
        Some(AssemblyKind::Floor | AssemblyKind::ExposedFloor | AssemblyKind::Slab)
            if figure.subject.section() == "assemblies" =>
        {
            Stand::InsideAbove
        }
        _ => Stand::InsideBelow,
    }
}

/// A coordinate or length of the drawing, with at most two decimals.
fn px(value: f64) -> String {
    let text = mateline_model::quantity::number(if value.is_finite() { value } else { 0.0 }, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// About how wide a text is, in the units of its font size: sans-serif letters are a little over half as wide as they
/// are high, and letters outside the Latin, Greek and Cyrillic scripts up to twice that.
fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(|c| if u32::from(c) < 0x2000 { 0.56 } else { 1.05 }).sum::<f64>() * size
}

/// As much of a text as fits into a width, with an ellipsis where it was cut; at least one letter.
fn clipped(text: &str, size: f64, width: f64) -> String {
    let text = crate::printable::line(text);
    if text_width(&text, size) <= width {
        return text.into_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if !kept.is_empty() && text_width(&kept, size) + text_width("m…", size) > width {
            break;
        }
        kept.push(c);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
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
        report.figures.iter().enumerate().map(draw).collect()
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
        for part in ["C-D", "29.86 ft × 13.75 ft", "mate line", "level below"] {
            assert!(plan.contains(part), "{part} in {plan}");
        }
    }

    #[test]
    fn impossible_sizes_are_left_out() {
        let mut report = fixture::report();
        for figure in &mut report.figures {
            match &mut figure.drawing {
                Drawing::Plan { boxes, below, seams } => {
                    boxes.iter_mut().for_each(|plan_box| plan_box.edges = [f64::NAN, 0.0, f64::INFINITY, 1e308]);
                    below.clear();
                    seams.iter_mut().for_each(|seam| seam.line = [f64::NEG_INFINITY, f64::MAX, f64::MIN, 0.0]);
                }
                Drawing::Section { layers, .. } => {
                    for (layer, thickness) in layers.iter_mut().zip([f64::NAN, -1.0, f64::INFINITY, 0.0]) {
                        layer.thickness = thickness;
                        layer.share = thickness;
                        layer.members = Some((thickness, 1e-12));
                    }
                }
            }
        }
        for drawing in all(&report) {
            well_formed::check(&drawing).expect("balanced");
            assert!(!drawing.contains("=\"NaN") && !drawing.contains("=\"inf"), "{drawing}");
            assert!(drawing.len() < 60_000);
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
    fn long_texts_are_cut_where_they_must_be() {
        assert_eq!(clipped("EPS", 10.0, 100.0), "EPS");
        let cut = clipped("cellulose, dense pack, in 2x6 studs", 10.0, 100.0);
        assert!(cut.ends_with('…') && text_width(&cut, 10.0) <= 100.0, "{cut}");
        assert_eq!(clipped("wide", 10.0, 0.0), "w…");
        assert_eq!((px(1.0), px(0.125), px(-0.001), px(f64::NAN)), ("1".into(), "0.12".into(), "0".into(), "0".into()));
    }
}
