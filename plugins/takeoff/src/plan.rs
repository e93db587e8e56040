//! Figures: the boxes of each level in plan, with their openings, rooms, ventilation terminals and holes, the outlines
//! below and the mate lines.

use crate::enclosure::Site;
use crate::openings::Placement;
use crate::places;
use crate::problems::length;
use crate::seams::Seam;
use mateline_boxes::coordinate::metres;
use mateline_boxes::placed::Placed;
use mateline_model::home::{Face, Home, Id, Mounting, Opening, Side, SpaceUse, VentilationUnit};
use mateline_model::quantity::{Flow, Units};
use mateline_model::{Drawing, ElevationPart, Figure, PlanBox, PlanItem, PlanItemKind, PlanSeam, Subject};
use std::collections::BTreeMap;

/// No more boxes or mate lines are named in the words that stand for a figure.
const NAMED: usize = 40;

/// One plan for each level, lowest first.
pub fn plans(site: &Site<'_, '_>, openings: &[Placement<'_>], seams: &[Seam]) -> Vec<Figure> {
    let (home, boxes) = (site.home, site.boxes);
    let mut levels: BTreeMap<u32, Vec<&Placed>> = BTreeMap::new();
    for placed in boxes {
        levels.entry(placed.level).or_default().push(placed);
    }
    let mut lines: BTreeMap<u32, Vec<(&Seam, PlanSeam)>> = BTreeMap::new();
    for seam in seams {
        if let Some((level, line)) = line(boxes, seam) {
            lines.entry(level).or_default().push((seam, line));
        }
    }
    let mut figures = Vec::new();
    for (level, storey) in &levels {
        let below = level.checked_sub(1).and_then(|below| levels.get(&below)).map_or(&[][..], Vec::as_slice);
        let lines = lines.remove(level).unwrap_or_default();
        let (openings, spread) = openings_in_plan(site, *level, openings);
        let within: Vec<PlanItem> = storey.iter().flat_map(|placed| within(home, placed)).collect();
        let mut notes = Vec::new();
        if within.iter().any(|item| item.kind == PlanItemKind::Room) {
            notes.push("rooms are named in their box and not drawn".to_owned());
        }
        if spread {
            notes.push("openings without a position are spread along their face".to_owned());
        }
        if figures.is_empty() {
            notes.extend(without_place(home));
        }
        figures.push(Figure {
            subject: Subject::home(),
            key: "takeoff.plan".into(),
            title: format!("Modules of level {level}"),
            alternative: in_words(home, *level, storey, below, &lines, &openings, &within),
            drawing: Drawing::Plan {
                boxes: storey.iter().map(|placed| plan_box(placed)).collect(),
                below: below.iter().map(|placed| plan_box(placed)).collect(),
                seams: lines.into_iter().map(|(_, line)| line).collect(),
                openings,
                within,
                note: notes.join("; "),
            },
        });
    }
    figures
}

fn plan_box(placed: &Placed) -> PlanBox {
    let [x, y, _] = placed.spans;
    PlanBox { label: placed.id.to_string(), edges: [x.lo, y.lo, x.hi, y.hi].map(metres) }
}

/// The openings in the walls of a level, and whether one of them stands where nothing says that it does.
fn openings_in_plan(site: &Site<'_, '_>, level: u32, openings: &[Placement<'_>]) -> (Vec<ElevationPart>, bool) {
    let (mut drawn, mut spread) = (Vec::new(), false);
    for (i, placed) in site.boxes.iter().enumerate().filter(|(_, placed)| placed.level == level) {
        for side in [Side::South, Side::East, Side::North, Side::West] {
            let face = Face::from(side);
            let own: Vec<(&Id, &Opening)> = openings
                .iter()
                .filter(|placement| placement.opening.module == placed.id && placement.opening.face == face)
                .map(|placement| (placement.id, placement.opening))
                .collect();
            let tallest = own.iter().map(|(_, opening)| opening.height.si()).fold(0.0, f64::max);
            for place in places::spread(&own, &places::free(site, (i, face), tallest)) {
                spread |= !place.given;
                drawn.push(ElevationPart {
                    kind: places::drawn_as(place.opening.kind).0,
                    label: place.id.to_string(),
                    subject: Subject::element("openings", place.id).to_string(),
                    words: places::told(&place, None, site.home.units),
                    outline: ends(placed, side, place.along()),
                });
            }
        }
    }
    (drawn, spread)
}

/// The two ends in plan of a stretch of a side, measured from its left end seen from outside (m).
fn ends(placed: &Placed, side: Side, (from, to): places::Stretch) -> Vec<(f64, f64)> {
    let [x, y, _] = placed.spans;
    let (west, south, east, north) = (metres(x.lo), metres(y.lo), metres(x.hi), metres(y.hi));
    let point = |along: f64| match side {
        Side::South => (west + along, south),
        Side::East => (east, south + along),
        Side::North => (east - along, north),
        Side::West => (west, north - along),
    };
    vec![point(from), point(to)]
}

/// Rooms and holes of a box: the home gives neither a place within it.
fn within(home: &Home, placed: &Placed) -> Vec<PlanItem> {
    let rooms = home.spaces.iter().filter(|(_, space)| space.within.iter().any(|id| *id == placed.id));
    let rooms = rooms.flat_map(|(id, space)| {
        let room = PlanItem {
            kind: if space.used_as == SpaceUse::Stair { PlanItemKind::Stair } else { PlanItemKind::Room },
            label: id.to_string(),
            subject: Subject::element("spaces", id).to_string(),
            words: format!("{id}, {}", Units::AREA.show(space.floor_area.into(), home.units)),
            of: placed.id.to_string(),
        };
        // A room in several boxes has its terminals in the first.
        let first = space.within.iter().next() == Some(&placed.id);
        std::iter::once(room).chain(if first { served(home, id, placed) } else { Vec::new() })
    });
    let holes = home.penetrations.iter().filter(|(_, hole)| hole.module == placed.id);
    let holes = holes.map(|(id, hole)| PlanItem {
        kind: PlanItemKind::Penetration,
        label: id.to_string(),
        subject: Subject::element("penetrations", id).to_string(),
        words: if hole.count == 1 { id.to_string() } else { format!("{id}, {} of them", hole.count) },
        of: placed.id.to_string(),
    });
    rooms.chain(holes).collect()
}

/// Terminals of a room, then the units that stand in it.
fn served(home: &Home, room: &Id, placed: &Placed) -> Vec<PlanItem> {
    let (mut terminals, mut units) = (Vec::new(), Vec::new());
    for (id, unit) in &home.systems.ventilation {
        let item = |kind, label: String, words: String| PlanItem {
            kind,
            label,
            subject: format!("systems.ventilation.{id}"),
            words,
            of: placed.id.to_string(),
        };
        let shown = |flow: &Flow| Units::FLOW.show((*flow).into(), home.units);
        if let Some(flow) = unit.supplies.get(room) {
            let words = format!("supply of {} to {room} by {id}", shown(flow));
            terminals.push(item(PlanItemKind::Supply, String::new(), words));
        }
        if let Some(flow) = unit.exhausts.get(room) {
            let words = format!("exhaust of {} from {room} by {id}", shown(flow));
            terminals.push(item(PlanItemKind::Exhaust, String::new(), words));
        }
        if stands_in(unit) == Some(room) {
            units.push(item(PlanItemKind::Unit, id.to_string(), format!("{id}, in {room}")));
        }
    }
    terminals.extend(units);
    terminals
}

/// The room that a unit stands in: the one it serves, where it is mounted there and serves no other.
fn stands_in(unit: &VentilationUnit) -> Option<&Id> {
    let mut rooms = unit.supplies.keys().chain(unit.exhausts.keys());
    let room = rooms.next().filter(|_| unit.mounted == Some(Mounting::InRoom))?;
    rooms.all(|other| other == room).then_some(room)
}

/// Units that the home gives no room, and rooms below the boxes, which no plan shows.
fn without_place(home: &Home) -> Vec<String> {
    let units = home.systems.ventilation.iter();
    let units: Vec<&str> = units.filter(|(_, unit)| stands_in(unit).is_none()).map(|(id, _)| id.as_ref()).collect();
    let below = home.spaces.iter().filter(|(_, space)| space.within.iter().all(|id| *id == "foundation"));
    let below: Vec<&str> = below.map(|(id, _)| id.as_ref()).collect();
    let told = |words: &str, ids: Vec<&str>| (!ids.is_empty()).then(|| format!("{words}: {}", ids.join(", ")));
    told("not drawn, as the home gives no room", units).into_iter().chain(told("below the boxes", below)).collect()
}

/// A mate line between two boxes of one level, in the middle of its gap.
fn line(boxes: &[Placed], seam: &Seam) -> Option<(u32, PlanSeam)> {
    let contact = &seam.contact;
    let (low, high) = (boxes.get(contact.low)?, boxes.get(contact.high)?);
    if contact.axis == 2 || low.level != high.level {
        return None;
    }
    let at = (metres(low.spans[contact.axis].hi) + metres(high.spans[contact.axis].lo)) / 2.0;
    let (from, to) = (metres(contact.rect.u.lo), metres(contact.rect.u.hi));
    let line = if contact.axis == 0 { [at, from, at, to] } else { [from, at, to, at] };
    Some((low.level, PlanSeam { label: seam.id.clone(), line }))
}

fn in_words(
    home: &Home,
    level: u32,
    storey: &[&Placed],
    below: &[&Placed],
    lines: &[(&Seam, PlanSeam)],
    openings: &[ElevationPart],
    within: &[PlanItem],
) -> String {
    let shown = |metres: f64| length(metres, home.units);
    let sizes = storey.iter().map(|placed| {
        let [x, y, _] = placed.spans.map(|span| shown(metres(span.length())));
        format!("{}, {x} from west to east and {y} from south to north", placed.id)
    });
    let mut text = format!("Plan of level {level}. Modules: {}.", listed(sizes));
    if !below.is_empty() {
        text.push_str(&format!(" Below: {}.", listed(below.iter().map(|placed| placed.id.to_string()))));
    }
    if !lines.is_empty() {
        let lengths = lines.iter().map(|(seam, _)| {
            let run = shown(metres(seam.contact.rect.u.length()));
            format!("{}, {run} long", seam.id)
        });
        text.push_str(&format!(" Mate lines: {}.", listed(lengths)));
    }
    let mut told: Vec<String> = openings.iter().map(|part| part.words.clone()).collect();
    told.dedup();
    if !told.is_empty() {
        text.push_str(&format!(" Openings: {}.", listed(told.into_iter())));
    }
    let air = [PlanItemKind::Supply, PlanItemKind::Exhaust, PlanItemKind::Unit];
    for (head, kinds) in [
        ("Rooms", &[PlanItemKind::Room, PlanItemKind::Stair][..]),
        ("Ventilation", &air),
        ("Penetrations", &[PlanItemKind::Penetration]),
    ] {
        let of_kind = within.iter().filter(|item| kinds.contains(&item.kind));
        let told: Vec<String> = of_kind.map(|item| format!("{} in {}", item.words, item.of)).collect();
        if !told.is_empty() {
            text.push_str(&format!(" {head}: {}.", listed(told.into_iter())));
        }
    }
    text
}

/// Names one after another, cut short where there are many.
pub(crate) fn listed(items: impl ExactSizeIterator<Item = String>) -> String {
    let count = items.len();
    let mut text: String = items.take(NAMED).collect::<Vec<_>>().join("; ");
    if count > NAMED {
        text.push_str(&format!("; and {} more", count - NAMED));
    }
    text
}
