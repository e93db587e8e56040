//! How what the home loses and gains is shared out among its rooms.
//!
//! A home does not say where in its box a room lies. Windows and doors belong to the room that they serve, the ground to
//! rooms in the foundation or else to the lowest boxes, supply air to the rooms that it is brought to and leaks to all by
//! volume. Everything else is shared by the open faces of the boxes and within a box by floor area, so that a room at a
//! corner loses more, and one inside less, than this says. The rooms together lose what the home loses.

use crate::ground::Shell;
use crate::surfaces::{known, loss};
use mateline_model::Subject;
use mateline_model::home::{Id, Space, SpaceUse};
use mateline_model::quantity::Conductance;
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;

/// A heated room, and its shares of the home.
#[derive(Clone, Debug)]
pub(crate) struct Room<'a> {
    pub id: &'a Id,
    pub space: &'a Space,
    /// Windows and doors that serve it, those to an unheated space by its factor.
    pub openings: Conductance,
    /// Share of the floors of all rooms.
    pub floor: f64,
    /// Share of the air of all rooms.
    pub volume: f64,
    /// Share of all that is lost to outdoor air but through openings of rooms.
    pub rest: f64,
    /// Share of what goes into the ground.
    pub ground: f64,
}

/// Whether a room is inside the thermal envelope.
pub(crate) fn is_heated(request: &Request<'_>, space: &Space) -> bool {
    let below = request.home.foundation.as_ref().is_some_and(|foundation| foundation.is_conditioned());
    space.used_as != SpaceUse::Garage && (below || !in_foundation(space))
}

fn in_foundation(space: &Space) -> bool {
    space.within.iter().any(|place| place.as_ref() == "foundation")
}

/// The heated rooms.
pub(crate) fn rooms<'a>(request: &Request<'a>, shell: &Shell) -> Result<Vec<Room<'a>>, Lack> {
    let home = request.home;
    let heated: Vec<(&Id, &Space)> = home.spaces.iter().filter(|(_, space)| is_heated(request, space)).collect();
    let area = |space: &Space| space.floor_area.si();
    let air = |space: &Space| space.volume.map_or(area(space) * space.height.si(), |volume| volume.si());
    let (floors, volumes): (f64, f64) =
        heated.iter().fold((0.0, 0.0), |(floor, volume), (_, space)| (floor + area(space), volume + air(space)));
    if floors <= 0.0 || volumes <= 0.0 {
        return Err(Lack::at("the home lists no rooms", "spaces"));
    }
    // Floor area of the rooms of each box; a room in several boxes counts in each by an equal part.
    let part = |space: &Space| area(space) / space.within.iter().count().max(1) as f64;
    let mut in_boxes: BTreeMap<&str, f64> = BTreeMap::new();
    for (_, space) in &heated {
        for place in space.within.iter() {
            *in_boxes.entry(place.as_ref()).or_default() += part(space);
        }
    }
    let lowest = home.modules.values().map(|module| module.level).min().unwrap_or_default();
    let (mut open, mut low) = (BTreeMap::new(), BTreeMap::new());
    for (id, module) in home.modules.iter().filter(|(id, _)| in_boxes.contains_key(id.as_ref())) {
        open.insert(id.as_ref(), known(request, &Subject::element("modules", id), "takeoff.exposed_area")?);
        if module.level == lowest {
            low.insert(id.as_ref(), in_boxes.get(id.as_ref()).copied().unwrap_or_default());
        }
    }
    if let Some(below) = in_boxes.get("foundation") {
        low = BTreeMap::from([("foundation", *below)]);
    }
    let share = |space: &Space, among: &BTreeMap<&str, f64>| -> f64 {
        let all: f64 = among.values().sum();
        if all <= 0.0 {
            return area(space) / floors;
        }
        let of = |place: &Id| {
            let (weight, in_box) = among.get(place.as_ref()).zip(in_boxes.get(place.as_ref()))?;
            (*in_box > 0.0).then(|| weight / all * part(space) / in_box)
        };
        space.within.iter().filter_map(of).sum()
    };
    let mut rooms = Vec::new();
    for (id, space) in heated {
        let mut openings = Conductance::default();
        for (opening, given) in &home.openings {
            let subject = Subject::element("openings", opening);
            let boundary = request.text(&subject, "takeoff.boundary").unwrap_or("outdoor");
            if given.space.as_ref() == Some(id) && boundary != "outside-envelope" {
                let lost = shell.factor(boundary) * loss(request, &subject)?.si();
                openings = openings + Conductance::from_si(lost);
            }
        }
        rooms.push(Room {
            id,
            space,
            openings,
            floor: area(space) / floors,
            volume: air(space) / volumes,
            rest: share(space, &open),
            ground: share(space, &low),
        });
    }
    Ok(rooms)
}
