//! Zones of the home for what rooms are told of the hours: each level, with its bedrooms apart.
//!
//! A home does not say where in its box a room lies. What looks to one side is shared by the open faces of the boxes on that
//! side, and within a box by floor area; windows and doors belong to the room that they serve; the ground and what stands in
//! it to rooms in the foundation, or else to the lowest boxes; air as among rooms ([`crate::rooms`]). A zone exchanges heat with those
//! that it touches: through the floors between boxes that stand on one another and through the mate walls between boxes side
//! by side, by the areas over which they touch; within a box that holds bedrooms and other rooms through one partition across
//! it. Doors are shut, and stairs carry nothing.
//!
//! Source: common practice, no source, but for the areas, which are those of the boxes.

use crate::air::AIR;
use crate::gathered::Balance;
use crate::rooms::Room;
use crate::surfaces::Surface;
use mateline_boxes::Boxes;
use mateline_model::home::{AssemblyKind, Face, Home, Id, Opening, SpaceUse};
use std::collections::BTreeMap;

const FOUNDATION: &str = "foundation";

/// A floor between levels, and a partition (W/(m²·K)): boards, air and boards with films on both sides. Source: common practice,
/// no source.
const FLOOR: f64 = 1.3;
const PARTITION: f64 = 1.7;
/// Height of a partition (m). Source: as above.
const HEIGHT: f64 = 2.5;
/// What is said of every figure of a zone.
pub(crate) const SAID: &str = "beside the zones that it touches: 1.3 W/(m²·K) through floors between boxes, 1.7 through mate walls between them and \
     through one partition across a box that holds bedrooms and other rooms (common practice, no source); doors are shut, and stairs carry nothing";

/// The level of a zone, and whether it is that of its bedrooms.
type Key = (Option<u32>, bool);

/// A part of the home.
pub(crate) struct Part {
    /// Its rooms, those that lie in several parts with the first of them.
    pub rooms: Vec<Id>,
    /// Share of the floor of all rooms.
    pub floor: f64,
    /// Exchanged by fans and leaks (W/K).
    pub air: f64,
    /// Share of what junctions lose.
    pub bridges: f64,
    /// Share of each surface, in their order.
    surfaces: Vec<f64>,
    /// Share of what serves a room, and of what serves none in a box.
    by_room: BTreeMap<Id, f64>,
    by_box: BTreeMap<Id, f64>,
}

impl Part {
    /// The home as one.
    pub(crate) fn whole(balance: &Balance<'_>) -> Part {
        let (rooms, surfaces) = (Vec::new(), Vec::new());
        let (by_room, by_box) = (BTreeMap::new(), BTreeMap::new());
        Part { rooms, floor: 1.0, air: balance.air.loss.0.si(), bridges: 1.0, surfaces, by_room, by_box }
    }

    fn is_whole(&self) -> bool {
        self.surfaces.is_empty()
    }

    /// Its share of a surface, by the number of that.
    pub(crate) fn of_surface(&self, number: usize) -> f64 {
        if self.is_whole() { 1.0 } else { self.surfaces.get(number).copied().unwrap_or_default() }
    }

    /// Its share of an opening.
    pub(crate) fn of_opening(&self, opening: &Opening) -> f64 {
        self.of_place(opening.space.as_ref(), &opening.module)
    }

    /// Its share of what serves a room, or none, in a box.
    pub(crate) fn of_place(&self, room: Option<&Id>, module: &Id) -> f64 {
        if self.is_whole() {
            return 1.0;
        }
        let own = room.and_then(|room| self.by_room.get(room));
        own.or_else(|| self.by_box.get(module)).copied().unwrap_or(self.floor)
    }
}

/// Floor of the rooms in each place (m²), by zone.
struct Floors<'a> {
    places: BTreeMap<&'a str, BTreeMap<Key, f64>>,
    /// Of all rooms, by zone.
    zones: BTreeMap<Key, f64>,
    all: f64,
}

impl Floors<'_> {
    /// Share of a zone in a place, by floor; of what is in no room's place, by all floors.
    fn share(&self, place: &str, zone: Key) -> f64 {
        match self.places.get(place) {
            Some(zones) => zones.get(&zone).copied().unwrap_or_default() / zones.values().sum::<f64>(),
            None => self.zones.get(&zone).copied().unwrap_or_default() / self.all,
        }
    }
}

/// Where a place stands: none for the foundation.
fn level(home: &Home, place: &str) -> Option<u32> {
    home.modules.iter().find(|(id, _)| id.as_ref() == place).map(|(_, module)| module.level)
}

/// What two parts exchange, by their numbers (W/K).
pub(crate) type Link = (usize, usize, f64);

/// The parts of the home, lowest first, and what they exchange.
pub(crate) fn parts(
    home: &Home,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    rooms: &[Room<'_>],
) -> (Vec<Part>, Vec<Link>) {
    let key = |room: &Room<'_>, place: &str| -> Key { (level(home, place), room.space.used_as == SpaceUse::Bedroom) };
    let mut floors = Floors { places: BTreeMap::new(), zones: BTreeMap::new(), all: 0.0 };
    for room in rooms {
        let count = room.space.within.iter().count().max(1) as f64;
        for place in room.space.within.iter() {
            let (zone, area) = (key(room, place.as_ref()), room.space.floor_area.si() / count);
            *floors.places.entry(place.as_ref()).or_default().entry(zone).or_default() += area;
            *floors.zones.entry(zone).or_default() += area;
            floors.all += area;
        }
    }
    let boxes = Boxes::of(home);
    let weights: Vec<BTreeMap<&str, f64>> = surfaces.iter().map(|one| weights(home, &boxes, &floors, one)).collect();
    let opaque: f64 = surfaces.iter().map(|one| one.area.si()).sum();
    let leaks = AIR * balance.air.infiltration.0.si();
    let fans = balance.air.loss.0.si() - leaks;
    let part = |(zone, floor): (&Key, &f64)| {
        let of = |weights: &BTreeMap<&str, f64>| match weights.values().sum::<f64>() {
            all if all > 0.0 => weights.iter().map(|(place, weight)| weight / all * floors.share(place, *zone)).sum(),
            _ => floor / floors.all,
        };
        let shares: Vec<f64> = weights.iter().map(of).collect();
        let (mut air, mut by_room, mut own) = (0.0, BTreeMap::new(), Vec::new());
        for room in rooms {
            let count = room.space.within.iter().count().max(1) as f64;
            let places: Vec<Key> = room.space.within.iter().map(|place| key(room, place.as_ref())).collect();
            let share = places.iter().filter(|place| *place == zone).count() as f64 / count;
            air += share * (fans * balance.air.share_of_fans(room) + leaks * room.volume);
            by_room.insert(room.id.clone(), share);
            if places.first() == Some(zone) {
                own.push(room.id.clone());
            }
        }
        let areas = surfaces.iter().zip(&shares).map(|(one, share)| one.area.si() * share);
        let bridges = if opaque > 0.0 { areas.sum::<f64>() / opaque } else { floor / floors.all };
        let by_box = home.modules.keys().map(|id| (id.clone(), floors.share(id.as_ref(), *zone))).collect();
        Part { rooms: own, floor: floor / floors.all, air, bridges, surfaces: shares, by_room, by_box }
    };
    let links = links(home, &boxes, &floors);
    (floors.zones.iter().map(part).collect(), links)
}

/// How much of a surface stands at each place.
fn weights<'a>(home: &'a Home, boxes: &Boxes, floors: &Floors<'_>, surface: &Surface<'_>) -> BTreeMap<&'a str, f64> {
    let assembly = home.assemblies.iter().find(|(id, _)| id.as_ref() == surface.assembly);
    let kind = assembly.map(|(_, assembly)| assembly.kind);
    let below = matches!(kind, Some(AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::Slab));
    if below || surface.boundary == "ground" {
        if floors.places.contains_key(FOUNDATION) {
            return BTreeMap::from([(FOUNDATION, 1.0)]);
        }
        let lowest = home.modules.values().map(|module| module.level).min();
        let low = home.modules.iter().filter(|(_, module)| Some(module.level) == lowest);
        let area = |id: &str| floors.places.get(id).map_or(0.0, |zones| zones.values().sum());
        return low.map(|(id, _)| (id.as_ref(), area(id.as_ref()))).collect();
    }
    let face = match surface.orientation {
        "north" => Face::North,
        "east" => Face::East,
        "south" => Face::South,
        "west" => Face::West,
        "up" => Face::Top,
        "down" => Face::Bottom,
        _ => return BTreeMap::new(),
    };
    let stands = boxes.placed.iter().zip(&boxes.open);
    stands
        .filter_map(|(placed, open)| {
            let (id, _) = home.modules.get_key_value(&placed.id)?;
            Some((id.as_ref(), open.of(face).area))
        })
        .collect()
}

/// What zones exchange, each pair once (W/K), by their places in the order of the zones.
struct Meeting<'a> {
    floors: &'a Floors<'a>,
    zones: Vec<Key>,
    between: BTreeMap<(usize, usize), f64>,
}

impl Meeting<'_> {
    fn add(&mut self, one: usize, other: usize, by: f64) {
        if one != other && by > 0.0 {
            *self.between.entry((one.min(other), one.max(other))).or_default() += by;
        }
    }

    /// Two places meet: zones stand on both sides as they share the floor there.
    fn places(&mut self, one: &str, other: &str, by: f64) {
        for number in 0..self.zones.len() {
            for beside in 0..self.zones.len() {
                let share =
                    |place: &str, zone: usize| self.zones.get(zone).map_or(0.0, |key| self.floors.share(place, *key));
                self.add(number, beside, by * share(one, number) * share(other, beside));
            }
        }
    }

    /// A partition of so many metres stands between the bedrooms of a place and its other rooms.
    fn partition(&mut self, place: &str, along: f64) {
        let zones = self.floors.places.get(place).into_iter().flat_map(BTreeMap::keys);
        let mut numbers = zones.filter_map(|zone| self.zones.iter().position(|known| known == zone));
        if let (Some(one), Some(other)) = (numbers.next(), numbers.next()) {
            self.add(one, other, PARTITION * HEIGHT * along);
        }
    }
}

fn links(home: &Home, boxes: &Boxes, floors: &Floors<'_>) -> Vec<Link> {
    let mut meeting = Meeting { floors, zones: floors.zones.keys().copied().collect(), between: BTreeMap::new() };
    for contact in &boxes.arrangement.contacts {
        let of = |number: usize| boxes.placed.get(number).map_or("", |placed| placed.id.as_ref());
        let by = if contact.axis == 2 { FLOOR } else { PARTITION };
        meeting.places(of(contact.low), of(contact.high), by * contact.area);
    }
    let lowest = home.modules.values().map(|module| module.level).min();
    for (placed, open) in boxes.placed.iter().zip(&boxes.open) {
        let (id, module) = (placed.id.as_ref(), home.modules.get(&placed.id));
        if floors.places.contains_key(FOUNDATION) && module.map(|module| module.level) == lowest {
            meeting.places(FOUNDATION, id, FLOOR * open.of(Face::Bottom).area);
        }
        meeting.partition(id, module.map_or(0.0, |module| module.size.x.si().min(module.size.y.si())));
    }
    // Bedrooms below grade stand in a square at two outer walls.
    let bedrooms = floors.places.get(FOUNDATION).and_then(|zones| zones.get(&(None, true)));
    meeting.partition(FOUNDATION, 2.0 * bedrooms.copied().unwrap_or_default().sqrt());
    meeting.between.into_iter().map(|((one, other), by)| (one, other, by)).collect()
}
