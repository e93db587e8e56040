//! The zones of the home's air and the flows between them, as the ventilation plugin found them, and what is given off in
//! one zone comes to in every other.

use mateline_mixing::Mixing;
use mateline_model::Subject;
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::Flow;
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;

/// One zone.
pub(crate) struct Zone<'a> {
    /// Its name among the facts.
    pub subject: Subject,
    /// Its rooms, with the closets that open to them.
    pub spaces: Vec<&'a Id>,
    /// Why its air is not known, if so.
    lack: Option<Lack>,
}

/// All zones.
pub(crate) struct Zones<'a> {
    pub all: Vec<Zone<'a>>,
    of: BTreeMap<&'a Id, usize>,
    mixing: Mixing,
    /// For one unit given off in a zone, what every zone comes to.
    responses: Vec<Vec<Option<f64>>>,
    /// For each zone, those whose air gets to it, itself among them.
    upstream: Vec<Vec<usize>>,
}

impl<'a> Zones<'a> {
    /// As the facts have them.
    pub(crate) fn of(request: &Request<'a>) -> Zones<'a> {
        let subjects: Vec<&Subject> = request.subjects("zones").collect();
        let place: BTreeMap<&str, usize> = subjects.iter().enumerate().map(|(k, subject)| (subject.id(), k)).collect();
        let mut all: Vec<Zone<'a>> = Vec::new();
        let mut outdoor = Vec::new();
        for subject in subjects {
            let flow = request.number(subject, "ventilation.zone_outdoor_air");
            let lack = || Lack::at(format!("ventilation.zone_outdoor_air of {subject} is not known"), "systems");
            outdoor.push(flow.unwrap_or_default());
            all.push(Zone { subject: subject.clone(), spaces: Vec::new(), lack: flow.is_none().then(lack) });
        }
        let mut of = BTreeMap::new();
        let home = request.home;
        for (id, space) in home.spaces.iter().filter(|(_, space)| space.used_as != SpaceUse::Garage) {
            let room = room_of_closet(home, space).unwrap_or(id);
            let name = request.text(&Subject::element("spaces", room), "ventilation.zone");
            if let Some(zone) = name.and_then(|name| place.get(name)) {
                of.insert(id, *zone);
                if let Some(zone) = all.get_mut(*zone) {
                    zone.spaces.push(id);
                }
            }
        }
        let end = |subject: &Subject, quantity: &'static str| {
            request.text(subject, quantity).and_then(|name| place.get(name)).copied()
        };
        let transfers = request.subjects("airways").filter_map(|subject| {
            let (from, to) = (end(subject, "ventilation.airway_from")?, end(subject, "ventilation.airway_to")?);
            Some((from, to, request.number(subject, "ventilation.airway_flow")?))
        });
        let mixing = Mixing { volumes: Vec::new(), outdoor, transfers: transfers.collect() };
        let count = all.len();
        let units: Vec<Vec<f64>> =
            (0..count).map(|zone| (0..count).map(|other| f64::from(u8::from(other == zone))).collect()).collect();
        let responses = mixing.steady_all(&units);
        let upstream = (0..count).map(|zone| {
            mixing.upstream(zone).into_iter().enumerate().filter(|(_, found)| *found).map(|(zone, _)| zone).collect()
        });
        let upstream = upstream.collect();
        Zones { all, of, mixing, responses, upstream }
    }

    /// The zone of a room or closet.
    pub(crate) fn zone(&self, id: &Id) -> Option<usize> {
        self.of.get(id).copied()
    }

    /// The zones whose air gets to a zone, itself among them.
    pub(crate) fn upstream(&self, zone: usize) -> &[usize] {
        self.upstream.get(zone).map_or(&[], Vec::as_slice)
    }

    /// Why the air of a zone, or of one whose air gets to it, is not known.
    pub(crate) fn lack(&self, zone: usize) -> Option<Lack> {
        self.upstream(zone).iter().find_map(|zone| self.all.get(*zone)?.lack.clone())
    }

    /// What one unit given off in a zone comes to in another (s/m³); none where no outdoor air gets there.
    pub(crate) fn response(&self, from: usize, to: usize) -> Option<f64> {
        self.responses.get(from)?.get(to).copied().flatten()
    }

    /// Outdoor air that enters a zone.
    pub(crate) fn outdoor(&self, zone: usize) -> Flow {
        Flow::from_si(self.mixing.outdoor.get(zone).copied().unwrap_or_default())
    }

    /// Air that comes into a zone from others, with where from.
    pub(crate) fn into(&self, zone: usize) -> Vec<(usize, Flow)> {
        let found = self.mixing.transfers.iter().filter(|(_, to, _)| *to == zone);
        found.map(|(from, _, flow)| (*from, Flow::from_si(*flow))).collect()
    }
}

/// The room that a closet opens to, where it is no closet itself: nobody stays in a closet, and no unit brings it air.
pub(crate) fn room_of_closet<'a>(home: &'a Home, space: &'a Space) -> Option<&'a Id> {
    let room = space.opens_to.as_ref().filter(|_| space.used_as == SpaceUse::Closet)?;
    home.spaces.get(room).filter(|other| other.used_as != SpaceUse::Closet).map(|_| room)
}
