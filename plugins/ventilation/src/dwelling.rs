//! The rooms of a home as zones of air, and the ways between them.
//!
//! A room whose door has a gap, a transfer grille or a jump duct is a zone of its own. Living rooms, kitchens, halls,
//! entries and stairs with none of these stand open to what they open to and share one air with it. Rooms open to the
//! circulation of the home where they do not say otherwise. Garages are left out.

use crate::network::Sets;
use mateline_model::home::{Home, Id, Space, SpaceUse};
use std::collections::{BTreeMap, BTreeSet};

/// Width of a door that is not given: 30 in (common practice, no source).
pub const DOOR_WIDTH: f64 = 30.0 * 0.0254;
/// `Q = 1.07 A √Δp` cfm, with `A` (in²) and `Δp` (Pa), as m³/(s·m²·√Pa): an orifice with a discharge coefficient of 0.61.
///
/// Source: air transfer estimate for gaps and grilles (from memory, high).
pub const TRANSFER_COEFFICIENT: f64 = 1.07 * 0.000_471_947_443_2 / (0.0254 * 0.0254);
/// Area of a passage whose size does not matter (m²): a door left open.
const PASSAGE: f64 = 1.6;
/// Volume of a circulation that no room stands for (m³; common practice, no source).
const CIRCULATION_VOLUME: f64 = 5.0;

/// Rooms that share one air.
#[derive(Clone, Debug)]
pub(crate) struct Zone<'a> {
    pub(crate) spaces: Vec<&'a Id>,
    pub(crate) volume: f64,
}

impl Zone<'_> {
    /// Its name in a sentence.
    pub(crate) fn name(&self) -> String {
        match self.spaces.as_slice() {
            [] => "circulation".to_owned(),
            spaces => spaces.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + "),
        }
    }
}

/// A door, with its gaps and grilles.
#[derive(Clone, Debug)]
pub(crate) struct Door<'a> {
    pub(crate) space: &'a Id,
    /// Zone of the room it belongs to.
    pub(crate) room: usize,
    /// Zone on the other side.
    pub(crate) other: usize,
    /// Free area (m²).
    pub(crate) area: f64,
    /// Gap, width and transfer area; `None` where nothing is given and air is only taken to get through somehow.
    pub(crate) parts: Option<Parts>,
}

/// What a door's free area is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Parts {
    pub(crate) undercut: f64,
    pub(crate) undercut_given: bool,
    pub(crate) width: f64,
    pub(crate) width_given: bool,
    pub(crate) transfer: f64,
    pub(crate) transfer_given: bool,
}

/// How a room is joined to the rest of the home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// It shares the air of what it opens to.
    Open,
    /// Through the door of this index.
    Door(usize),
    /// Not at all, and why.
    None(String),
}

/// The home as zones.
#[derive(Clone, Debug)]
pub(crate) struct Dwelling<'a> {
    pub(crate) zones: Vec<Zone<'a>>,
    pub(crate) zone_of: BTreeMap<&'a Id, usize>,
    pub(crate) doors: Vec<Door<'a>>,
    pub(crate) ways: BTreeMap<&'a Id, Way>,
}

/// Volume of a room (m³).
pub(crate) fn volume(space: &Space) -> f64 {
    space.volume.map_or(space.floor_area.si() * space.height.si(), |volume| volume.si())
}

/// Whether a room without a described door stands open.
fn stands_open(space: &Space) -> bool {
    let open_use = matches!(
        space.used_as,
        SpaceUse::Living | SpaceUse::Dining | SpaceUse::Kitchen | SpaceUse::Hall | SpaceUse::Entry | SpaceUse::Stair
    );
    open_use && !has_door(space)
}

/// Whether a room's door is described.
pub(crate) fn has_door(space: &Space) -> bool {
    space.door_undercut.is_some() || space.door_width.is_some() || space.transfer_area.is_some()
}

impl<'a> Dwelling<'a> {
    /// The zones of a home; `fanned` names the rooms that some unit serves.
    pub(crate) fn of(home: &'a Home, fanned: &BTreeSet<&Id>) -> Dwelling<'a> {
        let rooms: Vec<(&'a Id, &'a Space)> =
            home.spaces.iter().filter(|(_, space)| space.used_as != SpaceUse::Garage).collect();
        let index: BTreeMap<&Id, usize> = rooms.iter().enumerate().map(|(index, (id, _))| (*id, index)).collect();
        let circulation = rooms.len();
        // Where a room's door leads: the circulation, another room, or nowhere in the home.
        let target = |space: &Space| match &space.opens_to {
            None => Some(circulation),
            Some(other) => index.get(other).copied(),
        };
        let mut sets = Sets::new(rooms.len() + 1);
        for (index, (_, space)) in rooms.iter().enumerate() {
            if let Some(target) = target(space).filter(|_| stands_open(space)) {
                sets.join(index, target);
            }
        }
        let mut zones: Vec<Zone<'a>> = Vec::new();
        let mut zone_of_root: BTreeMap<usize, usize> = BTreeMap::new();
        let mut zone_of = BTreeMap::new();
        for (index, (id, space)) in rooms.iter().enumerate() {
            let zone = *zone_of_root.entry(sets.root(index)).or_insert_with(|| {
                zones.push(Zone { spaces: Vec::new(), volume: 0.0 });
                zones.len() - 1
            });
            if let Some(zone) = zones.get_mut(zone) {
                zone.spaces.push(id);
                zone.volume += volume(space);
            }
            zone_of.insert(*id, zone);
        }
        let circulation_zone = *zone_of_root.entry(sets.root(circulation)).or_insert_with(|| {
            zones.push(Zone { spaces: Vec::new(), volume: CIRCULATION_VOLUME });
            zones.len() - 1
        });
        let entered: BTreeSet<&Id> = rooms.iter().filter_map(|(_, space)| space.opens_to.as_ref()).collect();
        let mut doors = Vec::new();
        let mut ways = BTreeMap::new();
        for (id, space) in &rooms {
            let other = match target(space) {
                Some(index) if index == circulation => Some(circulation_zone),
                Some(index) => rooms.get(index).and_then(|(id, _)| zone_of.get(id)).copied(),
                None => None,
            };
            let room = zone_of.get(id).copied().unwrap_or_default();
            let needed = fanned.contains(id) || entered.contains(id);
            let way = match (other, describe(space)) {
                (None, _) => Way::None(format!("spaces.{id} opens to a garage, which is outside the home's air")),
                _ if stands_open(space) => Way::Open,
                (Some(other), Some(parts)) => {
                    let area = parts.undercut * parts.width + parts.transfer;
                    if area > 0.0 {
                        doors.push(Door { space: id, room, other, area, parts: Some(parts) });
                        Way::Door(doors.len() - 1)
                    } else {
                        Way::None(format!("the door of spaces.{id} leaves no gap, and there is no transfer area"))
                    }
                }
                (Some(other), None) if needed => {
                    doors.push(Door { space: id, room, other, area: PASSAGE, parts: None });
                    Way::Door(doors.len() - 1)
                }
                (Some(_), None) => Way::None(format!("spaces.{id} gives no door_undercut and no transfer_area")),
            };
            ways.insert(*id, way);
        }
        Dwelling { zones, zone_of, doors, ways }
    }

    pub(crate) fn zone(&self, id: &Id) -> Option<(usize, &Zone<'a>)> {
        let index = *self.zone_of.get(id)?;
        Some((index, self.zones.get(index)?))
    }

    pub(crate) fn name(&self, zone: usize) -> String {
        self.zones.get(zone).map(Zone::name).unwrap_or_default()
    }

    /// The door by which a room leaves its zone.
    pub(crate) fn door(&self, id: &Id) -> Option<&Door<'a>> {
        match self.ways.get(id)? {
            Way::Door(index) => self.doors.get(*index),
            _ => None,
        }
    }
}

/// The parts of a room's door, where a gap or a transfer area is given.
fn describe(space: &Space) -> Option<Parts> {
    if space.door_undercut.is_none() && space.transfer_area.is_none() {
        return None;
    }
    Some(Parts {
        undercut: space.door_undercut.map_or(0.0, |gap| gap.si()),
        undercut_given: space.door_undercut.is_some(),
        width: space.door_width.map_or(DOOR_WIDTH, |width| width.si()),
        width_given: space.door_width.is_some(),
        transfer: space.transfer_area.map_or(0.0, |area| area.si()),
        transfer_given: space.transfer_area.is_some(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::flow;

    /// 30 in by 3/4 in is 22.5 in² (145 cm²) and passes 42 cfm (20 L/s) at 3 Pa (derived from the orifice estimate).
    #[test]
    fn a_door_undercut() {
        let area = DOOR_WIDTH * 0.75 * 0.0254;
        assert!((area * 1e4 - 145.0).abs() < 0.5);
        let through = flow(area * TRANSFER_COEFFICIENT, 0.5, 3.0);
        assert!((through / crate::rates::CFM - 42.0).abs() < 0.5, "{through}");
        assert!((through * 1e3 - 20.0).abs() < 0.5);
    }
}
