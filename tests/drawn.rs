//! What the plans, elevations and the section show, held against the take-off: a drawing that leaves something out is believed.

use mateline_model::home::{Face, OpeningKind};
use mateline_model::{Drawing, ElevationKind, ElevationPart, Figure, Mark, PlanItemKind, Report};
use mateline_tests::{check_file, example, number};
use std::collections::BTreeMap;

const EXAMPLES: [&str; 3] = ["starter", "heron-lane", "willow-pair"];

fn reports() -> impl Iterator<Item = (&'static str, Report)> {
    EXAMPLES.iter().map(|name| (*name, check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"))))
}

fn elevations(report: &Report) -> Vec<(&Figure, &[ElevationPart])> {
    let mut found = Vec::new();
    for figure in &report.figures {
        if let Drawing::Elevation { parts, .. } = &figure.drawing
            && figure.key == "takeoff.elevation"
        {
            found.push((figure, parts.as_slice()));
        }
    }
    found
}

fn section(report: &Report) -> (&[ElevationPart], &[Mark]) {
    let mut sections = report.figures.iter().filter(|figure| figure.key == "takeoff.section");
    let (Some(section), None) = (sections.next(), sections.next()) else { panic!("there is one section") };
    let Drawing::Elevation { parts, heights, .. } = &section.drawing else { panic!("it is drawn as an elevation is") };
    (parts, heights)
}

/// From the least to the greatest of an axis: 0 to the right, 1 upwards.
fn reach(part: &ElevationPart, axis: usize) -> (f64, f64) {
    let values = part.outline.iter().map(|corner| if axis == 0 { corner.0 } else { corner.1 });
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

fn close(name: &str, drawn: f64, told: f64) {
    assert!((drawn - told).abs() < 1e-6, "{name}: drawn {drawn}, told {told}");
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
                match item.kind {
                    PlanItemKind::Room | PlanItemKind::Stair => &mut rooms,
                    PlanItemKind::Penetration => &mut holes,
                    PlanItemKind::Unit | PlanItemKind::Supply | PlanItemKind::Exhaust => continue,
                }
                .push((item.subject.clone(), item.of.clone()));
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

/// A box that is cut is as wide as one of its sides and as high as it is: floor, clear height and ceiling together. The
/// clear height is the one that the volume of air is told by; below a sloped ceiling it is higher than at the low side.
#[test]
fn a_cut_box_is_as_high_as_its_floor_clear_height_and_ceiling() {
    for (name, report) in reports() {
        let volume = report.facts.get(&"home".into(), "takeoff.interior_volume").expect("the examples have one");
        let told = |id: &str| {
            let meaning = format!("clear height of {id}");
            let results = volume.basis.steps.iter().filter_map(|step| step.result.as_ref());
            let found = results.filter(|term| term.meaning == meaning).find_map(|term| term.value.number());
            found.unwrap_or_else(|| panic!("{name}: {meaning} is told")).si
        };
        let (parts, _) = section(&report);
        let mut cut = 0;
        for module in parts.iter().filter(|part| part.kind == ElevationKind::Module) {
            cut += 1;
            let home = report.home.modules.get(module.label.as_str()).expect("a box of the home");
            let (left, right) = reach(module, 0);
            let side = if (right - left - home.size.x.si()).abs() < 1e-9 { home.size.x } else { home.size.y };
            close(name, right - left, side.si());
            let own = |kind| parts.iter().find(move |part| part.kind == kind && part.subject == module.subject);
            let of = |kind| own(kind).unwrap_or_else(|| panic!("{name}: {kind:?} of {}", module.label));
            let thick = |part: &ElevationPart| area(part) / (right - left);
            let clear = length(&of(ElevationKind::Clear).outline);
            match &home.sloped_ceiling {
                None => {
                    let whole = thick(of(ElevationKind::Floor)) + clear + thick(of(ElevationKind::Ceiling));
                    close(name, whole, home.size.z.si());
                    close(name, clear, told(&module.label));
                }
                Some(_) => assert!(clear > told(&module.label), "{name}: {clear}"),
            }
        }
        let boxes = report.home.modules.len();
        assert!(cut > 0 && cut <= boxes, "{name}: {cut} of {boxes}");
    }
}

/// The section goes through a mate line of every kind there is; an upright one is as high as its area is over its length
/// in plan, and the boxes beside it stand as far apart as the take-off tells.
#[test]
fn mate_lines_that_are_cut_have_their_gap_and_height() {
    for (name, report) in reports() {
        let (parts, _) = section(&report);
        let mut plan: BTreeMap<String, f64> = BTreeMap::new();
        for figure in &report.figures {
            let Drawing::Plan { seams, .. } = &figure.drawing else { continue };
            for seam in seams {
                plan.insert(
                    format!("seams.{}", seam.label),
                    length(&[(seam.line[0], seam.line[1]), (seam.line[2], seam.line[3])]),
                );
            }
        }
        let edges = |axis: usize| {
            parts.iter().filter(|part| part.kind == ElevationKind::Module).map(move |part| reach(part, axis))
        };
        let mut kinds: Vec<&str> = Vec::new();
        for seam in parts.iter().filter(|part| part.kind == ElevationKind::MateLine) {
            let upright = reach(seam, 0).0 == reach(seam, 0).1;
            kinds.push(if upright { "side-by-side" } else { "stacked" });
            if upright {
                let along = plan.get(&seam.subject).unwrap_or_else(|| panic!("{name}: {}", seam.subject));
                close(name, length(&seam.outline) * along, number(&report, &seam.subject, "takeoff.contact_area"));
            }
            let (axis, at) = if upright { (0, reach(seam, 0).0) } else { (1, reach(seam, 1).0) };
            let below =
                edges(axis).map(|(_, high)| high).filter(|high| *high <= at + 1e-9).fold(f64::NEG_INFINITY, f64::max);
            let above = edges(axis).map(|(low, _)| low).filter(|low| *low >= at - 1e-9).fold(f64::INFINITY, f64::min);
            close(name, above - below, number(&report, &seam.subject, "takeoff.gap"));
        }
        for fact in report.facts.iter().filter(|fact| fact.quantity == "takeoff.seam_kind") {
            let kind = fact.value.text().expect("a word");
            assert!(kinds.contains(&kind), "{name}: a {kind} mate line is cut, {kinds:?}");
        }
    }
}

/// What the boxes stand on is as high, as deep and as wide as the foundation's facts tell.
#[test]
fn the_foundation_that_is_cut_is_the_one_that_is_told() {
    for (name, report) in reports() {
        let (parts, heights) = section(&report);
        let told = |quantity: &str| number(&report, "home", &format!("foundation.{quantity}"));
        let height = |label: &str| {
            heights.iter().find(|mark| mark.label == label).unwrap_or_else(|| panic!("{name}: {label}")).value
        };
        let grade = height("grade");
        close(name, -grade, told("height_above_grade"));
        close(name, grade - height("footing"), told("footing_depth"));
        close(name, grade - height("frost depth"), told("frost_depth"));
        let foundation = report.home.foundation.as_ref().expect("the examples have one");
        close(name, -height("floor below"), foundation.height.expect("given").si());
        let footings: Vec<&ElevationPart> = parts.iter().filter(|part| part.words.starts_with("footing,")).collect();
        assert_eq!(footings.len(), 2, "{name}: one below each wall");
        for footing in footings {
            let ((left, right), (low, high)) = (reach(footing, 0), reach(footing, 1));
            close(name, right - left, told("footing_width_given"));
            close(name, high - low, told("footing_thickness"));
            // The wall stands within the footing, on it.
            let stands = parts.iter().any(|wall| {
                let x = reach(wall, 0);
                wall.kind == ElevationKind::Concrete && reach(wall, 1) == (high, 0.0) && left < x.0 && x.1 < right
            });
            assert!(stands, "{name}: a wall on its footing");
        }
    }
    // Concrete and gravel of Heron Lane's slab are told apart, each as thick as its layer: 4 in.
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let (parts, _) = section(&report);
    for (kind, word) in [(ElevationKind::Concrete, "Concrete"), (ElevationKind::Gravel, "Gravel")] {
        let mut slab = parts.iter().filter(|part| part.kind == kind && part.words.ends_with("of basement-slab"));
        let layer = slab.next().unwrap_or_else(|| panic!("{word}"));
        assert!(layer.words.to_lowercase().contains(&word.to_lowercase()), "{}", layer.words);
        close("heron-lane", reach(layer, 1).1 - reach(layer, 1).0, 4.0 * 0.0254);
    }
}

/// An opening that the section cuts lies in an exterior wall, from face to face of it, is as high as the home says, and
/// stands on its sill above the floor of its box; each is drawn on its own box.
#[test]
fn openings_that_are_cut_lie_in_their_walls() {
    let mut cut = 0;
    for (name, report) in reports() {
        let (parts, _) = section(&report);
        let of = |kind: ElevationKind| parts.iter().filter(move |part| part.kind == kind);
        let doors = [ElevationKind::Window, ElevationKind::GlazedDoor, ElevationKind::Door];
        for part in parts.iter().filter(|part| doors.contains(&part.kind)) {
            cut += 1;
            let opening = report.home.openings.get(part.label.as_str()).expect("an opening of the home");
            let (low, high) = reach(part, 1);
            close(name, high - low, opening.height.si());
            let module = format!("modules.{}", opening.module);
            let wall = of(ElevationKind::Wall).find(|wall| wall.subject == module && reach(wall, 0) == reach(part, 0));
            let wall = wall.unwrap_or_else(|| panic!("{name}: {} lies in no wall of its box", part.label));
            assert!(reach(wall, 1).0 <= low && high <= reach(wall, 1).1 + 1e-9, "{name}: {}", part.label);
            if let Some(sill) = opening.sill {
                close(name, low - reach(wall, 1).0, sill.si());
            }
        }
    }
    assert!(cut >= 2, "{cut} openings are cut");
}

/// Every place where a unit supplies or takes air stands beside its room, once; of units, those that stand in the one
/// room they serve, and the others are told below the lowest plan with the rooms that no plan shows.
#[test]
fn terminals_and_units_stand_by_their_room() {
    use mateline_model::home::SpaceUse;
    let (mut terminals, mut units, mut stairs) = (0, 0, 0);
    for (name, report) in reports() {
        let mut drawn: Vec<(PlanItemKind, String, String)> = Vec::new();
        let mut notes = Vec::new();
        for figure in &report.figures {
            let Drawing::Plan { within, note, .. } = &figure.drawing else { continue };
            notes.push(note.as_str());
            let mut room = "";
            for item in within {
                match item.kind {
                    PlanItemKind::Room | PlanItemKind::Stair => {
                        room = &item.label;
                        let used_as = report.home.spaces.get(room).expect("a room of the home").used_as;
                        assert_eq!(item.kind == PlanItemKind::Stair, used_as == SpaceUse::Stair, "{name}: {room}");
                        stairs += usize::from(item.kind == PlanItemKind::Stair);
                    }
                    PlanItemKind::Penetration => {}
                    kind => drawn.push((kind, item.subject.clone(), room.to_owned())),
                }
            }
        }
        let below = |room: &str| {
            let within = &report.home.spaces.get(room).expect("a room of the home").within;
            within.iter().all(|place| *place == "foundation")
        };
        let mut wanted: Vec<(PlanItemKind, String, String)> = Vec::new();
        for (id, unit) in &report.home.systems.ventilation {
            let subject = format!("systems.ventilation.{id}");
            for (kind, rooms) in [(PlanItemKind::Supply, &unit.supplies), (PlanItemKind::Exhaust, &unit.exhausts)] {
                for room in rooms.keys().filter(|room| !below(room.as_ref())) {
                    wanted.push((kind, subject.clone(), room.to_string()));
                }
            }
            let is_drawn = drawn.iter().any(|(kind, of, _)| *kind == PlanItemKind::Unit && *of == subject);
            let all_below = unit.supplies.keys().chain(unit.exhausts.keys()).all(|room| below(room.as_ref()));
            assert!(is_drawn || all_below || notes[0].contains(id.as_ref()), "{name}: {id} is drawn or told");
        }
        units += drawn.iter().filter(|(kind, ..)| *kind == PlanItemKind::Unit).count();
        drawn.retain(|(kind, ..)| *kind != PlanItemKind::Unit);
        terminals += drawn.len();
        drawn.sort_by(|one, other| (&one.1, &one.2).cmp(&(&other.1, &other.2)));
        wanted.sort_by(|one, other| (&one.1, &one.2).cmp(&(&other.1, &other.2)));
        assert_eq!(drawn, wanted, "{name}");
        for room in report.home.spaces.keys().filter(|room| below(room.as_ref())) {
            assert!(notes[0].contains(room.as_ref()), "{name}: {room} is told below the plan");
        }
    }
    // Heron Lane: 6 supplies and 5 exhausts of the main unit and 1 of the fan in rooms of boxes, a fan, a stair in two boxes.
    assert!(terminals >= 12 && units >= 1 && stairs >= 2, "{terminals} {units} {stairs}");
}

/// A gasket is named by the mate lines that it closes, as their schedule names them, and has its number in the drawing;
/// members are named by the size that the home gives them.
#[test]
fn sections_name_gaskets_by_mate_line_and_members_by_size() {
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let mut gaskets: Vec<String> = Vec::new();
    for figure in &report.figures {
        let Drawing::Field { outlines, .. } = &figure.drawing else { continue };
        let gasket = outlines.iter().find(|outline| outline.label.starts_with("gasket"));
        let Some(gasket) = gasket else { continue };
        gaskets.push(gasket.label.clone());
        let svg = mateline_reports::figures::svg(&report, figure, "it").expect("it is drawn").expect("it is a drawing");
        // Its number stands in the list of materials and in the drawing.
        let name = svg.find(&format!(">{}<", gasket.label)).expect("it is in the list");
        let discs = |text: &str| -> Vec<String> {
            let after = text.split("font-size=\"10\">").skip(1);
            after
                .filter_map(|rest| rest.split('<').next())
                .filter(|it| it.parse::<u32>().is_ok())
                .map(str::to_owned)
                .collect()
        };
        let number = discs(&svg[..name]).pop().expect("a number before its name");
        let found = discs(&svg).into_iter().filter(|disc| *disc == number).count();
        assert_eq!(found, 2, "{}: {number} of {}", figure.title, gasket.label);
    }
    assert_eq!(gaskets, ["gasket of A-B, C-D", "gasket of C-D"]);
    for (id, size) in [("wall", "2x6"), ("basement-wall", "2x4"), ("floor-over-basement", "2x10")] {
        let figure = report.figures.iter().find(|figure| figure.subject.as_str() == format!("assemblies.{id}"));
        let Some(Drawing::Section { layers, .. }) = figure.map(|figure| &figure.drawing) else {
            panic!("{id} is drawn")
        };
        let framed = layers.iter().find(|layer| layer.members.is_some()).expect("a framed layer");
        assert!(framed.label.contains(&format!(" between {size} ")), "{}", framed.label);
    }
}

/// A floor inside the home lies flat with rooms above and below it and no "outside"; concrete and gravel are told apart.
#[test]
fn floors_inside_the_home_are_no_walls_and_gravel_is_no_concrete() {
    use mateline_model::Hatch;
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let of = |id: &str| {
        let wanted = format!("assemblies.{id}");
        let found = report.figures.iter().find(|figure| figure.subject.as_str() == wanted);
        found.unwrap_or_else(|| panic!("{id} is drawn"))
    };
    let floor = of("floor-over-basement");
    assert!(matches!(&floor.drawing, Drawing::Section { upright: false, .. }));
    let svg = mateline_reports::figures::svg(&report, floor, "it").expect("it is drawn").expect("it is a drawing");
    assert!(svg.contains(">room above<") && svg.contains(">room below<") && !svg.contains("outside"), "{svg}");
    let Drawing::Section { layers, .. } = &of("basement-slab").drawing else { panic!("a section") };
    let hatch = |word: &str| layers.iter().find(|layer| layer.label.starts_with(word)).expect("a layer").hatch;
    assert_eq!((hatch("Concrete"), hatch("Gravel")), (Hatch::Masonry, Hatch::Gravel));
}
