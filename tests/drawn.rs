//! What the plans and elevations show, held against the take-off: a drawing that leaves something out is believed.

use mateline_model::home::{Face, OpeningKind};
use mateline_model::{Drawing, ElevationKind, ElevationPart, Figure, PlanItemKind, Report};
use mateline_tests::{check_file, example, number};
use std::collections::BTreeMap;

const EXAMPLES: [&str; 3] = ["starter", "heron-lane", "willow-pair"];

fn reports() -> impl Iterator<Item = (&'static str, Report)> {
    EXAMPLES.iter().map(|name| (*name, check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"))))
}

fn elevations(report: &Report) -> Vec<(&Figure, &[ElevationPart])> {
    let mut found = Vec::new();
    for figure in &report.figures {
        if let Drawing::Elevation { parts, .. } = &figure.drawing {
            found.push((figure, parts.as_slice()));
        }
    }
    found
}

/// Area of a polygon. Source: the shoelace formula.
fn area(part: &ElevationPart) -> f64 {
    let next = part.outline.iter().cycle().skip(1);
    part.outline.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>().abs() / 2.0
}

fn length(ends: &[(f64, f64)]) -> f64 {
    let (a, b) = (ends[0], ends[ends.len() - 1]);
    (b.0 - a.0).hypot(b.1 - a.1)
}

fn is_opening(kind: ElevationKind) -> bool {
    matches!(kind, ElevationKind::Window | ElevationKind::GlazedDoor | ElevationKind::Door | ElevationKind::Hatch)
}

/// Each opening of a wall is drawn as often as there are of it, on its own side, with its own area; in plan those of
/// boxes stand again, by their width.
#[test]
fn every_opening_is_drawn_on_its_side_with_its_area() {
    for (name, report) in reports() {
        let mut drawn: BTreeMap<(&str, &str), Vec<f64>> = BTreeMap::new();
        for (figure, parts) in elevations(&report) {
            for part in parts.iter().filter(|part| is_opening(part.kind)) {
                let side = figure.title.split(' ').next().unwrap_or_default();
                drawn.entry((part.subject.as_str(), side)).or_default().push(area(part));
            }
        }
        let mut in_plan: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
        for figure in &report.figures {
            let Drawing::Plan { openings, .. } = &figure.drawing else { continue };
            for part in openings {
                in_plan.entry(part.subject.as_str()).or_default().push(length(&part.outline));
            }
        }
        let (mut walls, mut boxes) = (0, 0);
        for (id, opening) in &report.home.openings {
            let side = match opening.face {
                Face::North => "North",
                Face::East => "East",
                Face::South => "South",
                Face::West => "West",
                Face::Top | Face::Bottom => continue,
            };
            walls += 1;
            let subject = format!("openings.{id}");
            let found = drawn.get(&(subject.as_str(), side)).unwrap_or_else(|| panic!("{name}: {id} is not drawn"));
            assert_eq!(found.len(), opening.count as usize, "{name}: {id}");
            let (width, height) = (opening.width.si(), opening.height.si());
            assert!(found.iter().all(|area| (area - width * height).abs() < 1e-9), "{name}: {id} {found:?}");
            if opening.module != "foundation" {
                boxes += 1;
                let found = in_plan.get(subject.as_str()).unwrap_or_else(|| panic!("{name}: {id} is not in plan"));
                assert_eq!(found.len(), opening.count as usize, "{name}: {id}");
                assert!(found.iter().all(|drawn| (drawn - width).abs() < 1e-9), "{name}: {id} {found:?}");
            }
        }
        assert_eq!((drawn.len(), in_plan.len()), (walls, boxes), "{name}: nothing else is drawn");
        // What the take-off counts as openings of the envelope is no more than what is drawn, and hatches in ceilings.
        let level = |face| matches!(face, Face::Top | Face::Bottom);
        let flat = report.home.openings.values().filter(|opening| level(opening.face));
        let flat: f64 = flat.map(|o| f64::from(o.count) * o.width.si() * o.height.si()).sum();
        let all: f64 = drawn.values().flatten().sum::<f64>() + flat;
        assert!(number(&report, "home", "takeoff.opening_area") <= all + 1e-9, "{name}");
        assert!(report.home.openings.values().any(|opening| opening.kind == OpeningKind::Window), "{name}");
    }
}

/// Mate lines: those between stacked boxes are drawn over the whole length that crosses the air barrier, those between
/// boxes side by side from top to bottom, so that length in plan times height in elevation is the common area.
#[test]
fn mate_lines_are_drawn_as_long_as_they_are() {
    for (name, report) in reports() {
        let mut upright: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
        for part in elevations(&report).iter().flat_map(|(_, parts)| *parts) {
            if part.kind == ElevationKind::MateLine {
                upright.entry(part.subject.as_str()).or_default().push(length(&part.outline));
            }
        }
        let mut plan: BTreeMap<String, f64> = BTreeMap::new();
        for figure in &report.figures {
            let Drawing::Plan { seams, .. } = &figure.drawing else { continue };
            for seam in seams {
                let [x1, y1, x2, y2] = seam.line;
                plan.insert(format!("seams.{}", seam.label), (x2 - x1).hypot(y2 - y1));
            }
        }
        assert!(!upright.is_empty(), "{name}");
        for (subject, drawn) in &upright {
            match plan.get(*subject) {
                None => {
                    let told = number(&report, subject, "takeoff.seam_length");
                    assert!((drawn.iter().sum::<f64>() - told).abs() < 1e-9, "{name}: {subject} {drawn:?} {told}");
                }
                Some(along) => {
                    let common = number(&report, subject, "takeoff.contact_area");
                    assert!(drawn.iter().all(|up| (up * along - common).abs() < 1e-6), "{name}: {subject} {drawn:?}");
                }
            }
        }
    }
}

/// Each box is drawn in plan with the area of its sides, its rooms and its holes, and each side of the home that is not
/// covered by another box shows it.
#[test]
fn every_box_room_and_hole_is_named() {
    for (name, report) in reports() {
        let (mut boxes, mut rooms, mut holes) = (Vec::new(), Vec::new(), Vec::new());
        for figure in &report.figures {
            let Drawing::Plan { boxes: drawn, within, .. } = &figure.drawing else { continue };
            boxes.extend(drawn.iter().map(|one| (one.label.clone(), one.edges)));
            for item in within {
                let list = if item.kind == PlanItemKind::Room { &mut rooms } else { &mut holes };
                list.push((item.subject.clone(), item.of.clone()));
            }
        }
        assert_eq!(boxes.len(), report.home.modules.len(), "{name}");
        for (id, [west, south, east, north]) in &boxes {
            let size = &report.home.modules.get(id.as_str()).unwrap_or_else(|| panic!("{id}")).size;
            assert!((east - west - size.x.si()).abs() < 1e-9 && (north - south - size.y.si()).abs() < 1e-9, "{id}");
            let shown = elevations(&report).iter().flat_map(|(_, parts)| *parts).any(|part| part.label == *id);
            assert!(shown, "{name}: {id} is on no side");
        }
        let in_boxes = |ids: &[mateline_model::home::Id]| ids.iter().filter(|id| *id != "foundation").count();
        let wanted: usize = report.home.spaces.values().map(|space| in_boxes(&space.within.0)).sum();
        assert_eq!(rooms.len(), wanted, "{name}");
        let wanted = report.home.penetrations.values().filter(|hole| hole.module != "foundation").count();
        assert_eq!(holes.len(), wanted, "{name}");
    }
}
