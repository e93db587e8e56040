//! Where openings stand on their face, for drawings: as the home says, and where it says nothing, spread along the face.
//!
//! Areas and verdicts do not depend on it. Assumptions where nothing is given: a door stands on the floor, the head of a
//! window 6 ft 8 in above it (common practice, no source), and openings stand equally far from one another and from
//! the ends of what is free. Several alike of which the place of the first is given stand side by side.

use crate::enclosure::Site;
use crate::openings::Placement;
use crate::problems;
use mateline_boxes::coordinate::{TOUCH, metres, nanometres};
use mateline_boxes::placed::{direction, side_of};
use mateline_model::home::{Face, Id, Opening, OpeningKind};
use mateline_model::quantity::{UnitSystem, by_tape};
use mateline_model::{ElevationKind, Pointer, Problem};

/// Head of a window of which no sill is given, above the floor (m): 6 ft 8 in.
const HEAD: f64 = 2.032;

/// A free stretch of a face, or what stands on one: from and to, from the left end seen from outside (m).
pub type Stretch = (f64, f64);

/// One opening on its face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place<'a> {
    /// Which opening.
    pub id: &'a Id,
    /// The opening.
    pub opening: &'a Opening,
    /// Its left end, from the left end of the face seen from outside (m).
    pub left: f64,
    /// Whether the home says so.
    pub given: bool,
}

impl Place<'_> {
    /// Where it begins and ends (m).
    pub fn along(&self) -> Stretch {
        (self.left, self.left + self.opening.width.si())
    }
}

/// Height of the sill above the floor (m) in a wall of some height above its floor.
pub fn sill(opening: &Opening, wall: f64) -> f64 {
    let usual = match opening.kind {
        OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor => 0.0,
        _ => HEAD - opening.height.si(),
    };
    opening.sill.map_or(usual, |sill| sill.si()).min(wall - opening.height.si()).max(0.0)
}

/// Places the openings of one face on its free stretches. One that finds no room is left out.
pub fn spread<'a>(openings: &[(&'a Id, &'a Opening)], free: &[Stretch]) -> Vec<Place<'a>> {
    let mut places: Vec<Place<'a>> = Vec::new();
    for (id, opening) in openings {
        let Some(first) = opening.from_left.map(|left| left.si()) else { continue };
        let width = opening.width.si();
        let lefts = (0..opening.count).map(|number| first + f64::from(number) * width);
        places.extend(lefts.map(|left| Place { id, opening, left, given: true }));
    }
    let mut rooms: Vec<(Stretch, Vec<(&'a Id, &'a Opening)>)> = Vec::new();
    let mut taken: Vec<Stretch> = places.iter().map(Place::along).collect();
    taken.sort_by(|one, other| one.0.total_cmp(&other.0));
    for (from, to) in free {
        let mut start = *from;
        for (left, right) in &taken {
            if *right > start && left < to {
                rooms.push(((start, *left), Vec::new()));
                start = *right;
            }
        }
        rooms.push(((start, *to), Vec::new()));
    }
    let left_over = |((from, to), within): &(Stretch, Vec<(&Id, &Opening)>)| {
        to - from - within.iter().map(|(_, opening)| opening.width.si()).sum::<f64>()
    };
    for (id, opening) in openings.iter().filter(|(_, opening)| opening.from_left.is_none()) {
        for _ in 0..opening.count {
            let roomiest =
                rooms.iter_mut().reduce(|best, room| if left_over(room) > left_over(best) { room } else { best });
            if let Some(room) = roomiest
                && left_over(room) >= opening.width.si()
            {
                room.1.push((id, opening));
            }
        }
    }
    for room in &rooms {
        let gap = left_over(room) / (room.1.len() as f64 + 1.0);
        let mut left = room.0.0 + gap;
        for (id, opening) in &room.1 {
            places.push(Place { id, opening, left, given: false });
            left += opening.width.si() + gap;
        }
    }
    places.sort_by(|one, other| one.left.total_cmp(&other.left));
    places
}

/// How an opening is drawn, and what it is called.
pub const fn drawn_as(kind: OpeningKind) -> (ElevationKind, &'static str) {
    match kind {
        OpeningKind::Window | OpeningKind::Skylight => (ElevationKind::Window, "window"),
        OpeningKind::GlazedDoor => (ElevationKind::GlazedDoor, "glazed door"),
        OpeningKind::OpaqueDoor => (ElevationKind::Door, "door"),
        OpeningKind::Hatch => (ElevationKind::Hatch, "hatch"),
    }
}

/// An opening in words: what it is, its size, its sill where that is drawn, and where it stands.
pub fn told(place: &Place<'_>, sill: Option<f64>, units: UnitSystem) -> String {
    let opening = place.opening;
    let mut words = format!(
        "{}, {} {} wide and {} high",
        place.id,
        drawn_as(opening.kind).1,
        by_tape(opening.width.si(), units),
        by_tape(opening.height.si(), units)
    );
    if let Some(sill) = sill {
        let drawn = if opening.sill.is_none() { " (drawn so, not given)" } else { "" };
        words.push_str(&format!(", sill {} above the floor{drawn}", by_tape(sill, units)));
    }
    words.push_str(&if place.given {
        format!(", {} from the left end of its face", by_tape(place.left, units))
    } else {
        ", spread along its face: no position given".to_owned()
    });
    words
}

/// Whether the left end of a face, seen from outside, is its low end along x or y.
pub const fn left_is_low(face: Face) -> bool {
    matches!(face, Face::South | Face::East)
}

/// The stretches of a face of a box that no other box covers, over the height of an opening.
pub fn free(site: &Site<'_, '_>, (i, face): (usize, Face), height: f64) -> Vec<Stretch> {
    let (Some(placed), Some(open)) = (site.boxes.get(i), site.open.get(i)) else { return Vec::new() };
    let (whole, rise) = (placed.face(face).u, if placed.is_gable(face) { metres(placed.rise()) } else { 0.0 });
    let mut free: Vec<Stretch> = Vec::new();
    let mut slabs: Vec<Stretch> = Vec::new();
    for slab in open.of(face).region.slabs() {
        let tall = slab.v.iter().map(|v| metres(v.length())).fold(0.0, f64::max) + rise;
        if !problems::exceeds(height, tall) {
            slabs.push(if left_is_low(face) {
                (metres(slab.u.lo - whole.lo), metres(slab.u.hi - whole.lo))
            } else {
                (metres(whole.hi - slab.u.hi), metres(whole.hi - slab.u.lo))
            });
        }
    }
    slabs.sort_by(|one, other| one.0.total_cmp(&other.0));
    for (from, to) in slabs {
        match free.last_mut() {
            Some(last) if from - last.1 <= metres(TOUCH) => last.1 = to,
            _ => free.push((from, to)),
        }
    }
    free
}

/// Openings of a face of a box whose given places lie behind another box, or in one another.
pub fn problems(site: &Site<'_, '_>, (i, face): (usize, Face), members: &[&Placement<'_>]) -> Vec<Problem> {
    let mut found = Vec::new();
    if side_of(face).is_none() {
        return found;
    }
    let units = site.home.units;
    let shown = |metres: f64| problems::length(metres, units);
    let given: Vec<(&Placement<'_>, Stretch)> = members
        .iter()
        .filter_map(|member| {
            let (left, width) = (member.opening.from_left?.si(), member.opening.width.si());
            Some((*member, (left, left + width * f64::from(member.opening.count))))
        })
        .collect();
    for (member, (from, to)) in &given {
        let free = free(site, (i, face), member.opening.height.si());
        if free.iter().any(|(low, high)| !problems::exceeds(*low, *from) && !problems::exceeds(*to, *high)) {
            continue;
        }
        let Some((other, path)) = behind(site, (i, face), (*from, *to)) else { continue };
        let message = format!(
            "openings.{} lies from {} to {} on the {face} face of module {}, where module {other} meets it",
            member.id,
            shown(*from),
            shown(*to),
            member.opening.module
        );
        let mut problem =
            problems::at(format!("openings.{}.from_left", member.id), message, "move it off the mate line");
        problem.also = vec![Pointer::new(path)];
        found.push(problem);
    }
    for (number, (one, (from, to))) in given.iter().enumerate() {
        for (other, (other_from, other_to)) in given.iter().skip(number + 1) {
            let common = (from.max(*other_from), to.min(*other_to));
            if !problems::exceeds(common.1, common.0) || !meet_in_height(one.opening, other.opening) {
                continue;
            }
            let message = format!(
                "openings.{} and openings.{} overlap from {} to {} on the {face} face of module {}",
                one.id,
                other.id,
                shown(common.0),
                shown(common.1),
                one.opening.module
            );
            let mut problem = problems::at(format!("openings.{}.from_left", other.id), message, "move one of them");
            problem.also = vec![Pointer::new(format!("openings.{}.from_left", one.id))];
            found.push(problem);
        }
    }
    found
}

/// Whether two openings share a height. Of a window without a sill that is not known.
fn meet_in_height(one: &Opening, other: &Opening) -> bool {
    let span = |opening: &Opening| {
        let is_door = matches!(opening.kind, OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor);
        let sill = opening.sill.map(|sill| sill.si()).or(is_door.then_some(0.0))?;
        Some((sill, sill + opening.height.si()))
    };
    match (span(one), span(other)) {
        (Some(one), Some(other)) => problems::exceeds(one.1.min(other.1), one.0.max(other.0)),
        _ => false,
    }
}

/// The box that meets a stretch of a face, and its path.
fn behind(site: &Site<'_, '_>, (i, face): (usize, Face), (from, to): Stretch) -> Option<(Id, String)> {
    let whole = site.boxes.get(i)?.face(face).u;
    let stretch = if left_is_low(face) {
        (whole.lo + nanometres(from), whole.lo + nanometres(to))
    } else {
        (whole.hi - nanometres(to), whole.hi - nanometres(from))
    };
    let axis = 1 - direction(face).0;
    let others = site.arrangement.facing(i, face).filter_map(|other| site.boxes.get(other));
    let mut others = others.filter(|other| {
        let span = other.spans.get(axis);
        span.is_some_and(|span| span.lo < stretch.1 - TOUCH && stretch.0 + TOUCH < span.hi)
    });
    others.next().map(|other| (other.id.clone(), other.path()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use mateline_model::home::Elements;

    fn openings(text: &str) -> Elements<Opening> {
        serde_json::from_str(text).unwrap()
    }

    /// 10 m with 1 m, 2 m and 1 m leave 6 m: four gaps of 1.5 m.
    #[test]
    fn openings_without_a_place_are_spread_evenly() {
        let all = openings(
            r#"{"a": {"kind": "window", "module": "A", "face": "south", "width": "1 m", "height": "1 m"},
                "b": {"kind": "window", "module": "A", "face": "south", "width": "2 m", "height": "1 m"},
                "c": {"kind": "window", "module": "A", "face": "south", "width": "1 m", "height": "1 m"}}"#,
        );
        let places = spread(&all.iter().collect::<Vec<_>>(), &[(0.0, 10.0)]);
        let lefts: Vec<f64> = places.iter().map(|place| place.left).collect();
        assert_eq!(lefts, [1.5, 4.0, 7.5]);
        assert!(places.iter().all(|place| !place.given));
    }

    /// 2 m are taken from 1 m on; the roomiest stretch of 7 m is left for the other, 3 m beside it on either side.
    #[test]
    fn what_has_a_place_keeps_it() {
        let all = openings(
            r#"{"a": {"kind": "window", "module": "A", "face": "south", "width": "1 m", "height": "1 m"},
                "b": {"kind": "window", "module": "A", "face": "south", "width": "1 m", "height": "1 m", "count": 2,
                      "from_left": "1 m"}}"#,
        );
        let places = spread(&all.iter().collect::<Vec<_>>(), &[(0.0, 10.0)]);
        let lefts: Vec<(f64, bool)> = places.iter().map(|place| (place.left, place.given)).collect();
        assert_eq!(lefts, [(1.0, true), (2.0, true), (6.0, false)]);
    }
}
