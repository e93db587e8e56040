//! The air of a home in one mode of operation: fans, pressures, and the flows from room to room.

use crate::dwelling::{Dwelling, TRANSFER_COEFFICIENT};
use crate::network::{Field, Leak, Network, Path};
use crate::service::{Mode, Service, named};
use mateline_mixing::linear::{add, at};
use mateline_mixing::{Mixing, NO_FLOW};
use mateline_model::Subject;
use mateline_model::home::{Home, Id};
use mateline_model::portable;
use mateline_model::quantity::{Flow, UnitSystem, Units};
use mateline_sdk::{Lack, Request};
use std::collections::{BTreeMap, BTreeSet};

/// Exponent of the leakage of cracks where the home's own is not known (-): ISO 9972 and ASTM E779 practice (from memory).
pub const USUAL_EXPONENT: f64 = 0.65;
/// Pressure (Pa) past which a fan does not hold its flow and the home has another trouble than its air distribution.
const CREDIBLE: f64 = 50.0;

/// The leakage of the whole home: its flow at 50 Pa (m³/s) and its exponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Leakage {
    pub(crate) q50: f64,
    pub(crate) exponent: f64,
}

impl Leakage {
    /// As far as it is known.
    pub(crate) fn of(request: &Request<'_>) -> Option<Leakage> {
        let home = Subject::home();
        let q50 = request.number(&home, "airtightness.best_q50").filter(|q50| *q50 > 0.0)?;
        let exponent = request.number(&home, "airtightness.best_exponent").unwrap_or(USUAL_EXPONENT);
        Some(Leakage { q50, exponent })
    }
}

/// Supply and exhaust of a room (m³/s), and the units they come from.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fans<'a> {
    pub(crate) supply: Vec<(&'a Id, f64)>,
    pub(crate) exhaust: Vec<(&'a Id, f64)>,
    pub(crate) spot: bool,
}

impl Fans<'_> {
    pub(crate) fn supplied(&self) -> f64 {
        self.supply.iter().map(|(_, flow)| flow).sum()
    }

    pub(crate) fn exhausted(&self) -> f64 {
        self.exhaust.iter().map(|(_, flow)| flow).sum()
    }
}

/// What every room's fans move in a mode.
pub(crate) fn fans<'a>(home: &Home, services: &[Service<'a>], mode: Mode) -> Result<BTreeMap<&'a Id, Fans<'a>>, Lack> {
    named(home)?;
    let mut rooms: BTreeMap<&'a Id, Fans<'a>> = BTreeMap::new();
    for service in services {
        for (room, supply, exhaust) in service.rooms(home, mode)? {
            let fans = rooms.entry(room).or_default();
            if supply > 0.0 {
                fans.supply.push((service.id, supply));
                fans.spot |= service.is_spot();
            }
            if exhaust > 0.0 {
                fans.exhaust.push((service.id, exhaust));
            }
        }
    }
    Ok(rooms)
}

/// The solved air of a home.
#[derive(Clone, Debug)]
pub(crate) struct Air<'a> {
    pub(crate) fans: BTreeMap<&'a Id, Fans<'a>>,
    pub(crate) field: Field,
    pub(crate) mixing: Mixing,
    /// Flow through each zone's ways that fans alone drive, positive into the zone: what reaches it by transfer.
    pub(crate) driven: Vec<f64>,
    /// Leakage of the whole home, where known.
    pub(crate) leakage: Option<Leakage>,
    units: UnitSystem,
}

impl<'a> Air<'a> {
    /// Solves the network of a mode.
    pub(crate) fn solve(
        home: &Home,
        dwelling: &Dwelling<'a>,
        services: &[Service<'a>],
        leakage: Option<Leakage>,
        mode: Mode,
    ) -> Result<Air<'a>, Lack> {
        let fans = fans(home, services, mode)?;
        let count = dwelling.zones.len();
        let (mut net, mut supplied) = (vec![0.0; count], vec![0.0; count]);
        for (room, fans) in &fans {
            if let Some(zone) = dwelling.zone_of.get(*room) {
                add(&mut net, *zone, fans.supplied() - fans.exhausted());
                add(&mut supplied, *zone, fans.supplied());
            }
        }
        // A fan's flow less the same flow elsewhere leaves rounding, which no crack should have to carry.
        let moved: f64 = fans.values().map(|fans| fans.supplied() + fans.exhausted()).sum();
        net.iter_mut().filter(|flow| flow.abs() < 1e-13 * moved).for_each(|flow| *flow = 0.0);
        let paths = dwelling.doors.iter().filter(|door| door.room != door.other).map(|door| Path {
            from: door.room,
            to: door.other,
            coefficient: door.area * TRANSFER_COEFFICIENT,
            exponent: 0.5,
        });
        let whole: f64 = dwelling.zones.iter().filter(|zone| !zone.spaces.is_empty()).map(|zone| zone.volume).sum();
        let leaks = leakage.filter(|_| whole > 0.0).map(|leakage| {
            let zones = dwelling.zones.iter().enumerate().filter(|(_, zone)| !zone.spaces.is_empty());
            zones.map(move |(zone, of)| Leak {
                zone,
                coefficient: leakage.q50 / portable::pow(50.0, leakage.exponent) * of.volume / whole,
                exponent: leakage.exponent,
            })
        });
        let network = Network { fans: net, paths: paths.collect(), leaks: leaks.into_iter().flatten().collect() };
        let field = network.solve().map_err(|error| Lack::new(error.to_string()))?;
        let mut mixing = Mixing {
            volumes: dwelling.zones.iter().map(|zone| zone.volume).collect(),
            outdoor: supplied,
            transfers: Vec::new(),
        };
        for (leak, flow) in network.leaks.iter().zip(&field.leaks) {
            if *flow > NO_FLOW {
                add(&mut mixing.outdoor, leak.zone, *flow);
            }
        }
        for (path, flow) in network.paths.iter().zip(&field.paths) {
            if flow.abs() > NO_FLOW {
                let (from, to) = if *flow > 0.0 { (path.from, path.to) } else { (path.to, path.from) };
                mixing.transfers.push((from, to, flow.abs()));
            }
        }
        let driven = driven(&network, &field);
        Ok(Air { fans, field, mixing, driven, leakage, units: home.units })
    }

    /// Why the flows of a zone cannot be trusted, if so.
    pub(crate) fn trouble(&self, dwelling: &Dwelling<'_>, zone: usize) -> Option<Lack> {
        let name = dwelling.name(zone);
        if let Some((_, surplus)) = self.field.stuck.iter().find(|(stuck, _)| *stuck == zone) {
            let (more, less) = if *surplus > 0.0 { ("bring", "takes out") } else { ("take", "brings in") };
            let shown = Units::FLOW.show(Flow::from_si(surplus.abs()).into(), self.units);
            return Some(Lack::new(format!(
                "fans {more} {shown} more than anything {less} of {name}, there is no way for it, and no leakage is known"
            )));
        }
        let pressure = at(&self.field.pressures, zone);
        (pressure.abs() > CREDIBLE).then(|| {
            Lack::new(format!(
                "the fans' flows would put {name} at {pressure:.0} Pa, at which no fan holds its flow: there is no way for the air"
            ))
        })
    }

    /// Air that comes into a zone from others (m³/s), with where from.
    pub(crate) fn transfers_into(&self, zone: usize) -> impl Iterator<Item = (usize, f64)> {
        self.mixing.transfers.iter().filter(move |(_, to, _)| *to == zone).map(|(from, _, flow)| (*from, *flow))
    }

    /// Outdoor air that leaks into a zone (m³/s).
    pub(crate) fn leaked(&self, dwelling: &Dwelling<'_>, zone: usize) -> f64 {
        let spaces = dwelling.zones.get(zone).map(|zone| zone.spaces.as_slice()).unwrap_or_default();
        let supplied: f64 = spaces.iter().filter_map(|id| self.fans.get(id)).map(Fans::supplied).sum();
        (at(&self.mixing.outdoor, zone) - supplied).max(0.0)
    }

    /// Indoor air that leaks out of a zone (m³/s): what comes in and neither fans nor doors take away.
    pub(crate) fn leaked_out(&self, dwelling: &Dwelling<'_>, zone: usize) -> f64 {
        let spaces = dwelling.zones.get(zone).map(|zone| zone.spaces.as_slice()).unwrap_or_default();
        let exhausted: f64 = spaces.iter().filter_map(|id| self.fans.get(id)).map(Fans::exhausted).sum();
        let passed: f64 = self.mixing.transfers.iter().filter(|(from, ..)| *from == zone).map(|(.., flow)| flow).sum();
        (at(&self.mixing.inflows(), zone) - exhausted - passed).max(0.0)
    }
}

/// The flow into each zone that the fans drive through doors, leakage apart. Zones with one door left are taken off one
/// after another, each passing on what its fans leave over; what stands in a ring keeps the solved flow.
fn driven(network: &Network, field: &Field) -> Vec<f64> {
    let count = network.fans.len();
    let mut into = vec![0.0; count];
    let mut surplus = network.fans.clone();
    let mut left: BTreeSet<usize> = (0..network.paths.len()).collect();
    let mut doors: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (index, path) in network.paths.iter().enumerate() {
        for zone in [path.from, path.to] {
            if let Some(doors) = doors.get_mut(zone) {
                doors.push(index);
            }
        }
    }
    let mut ends: Vec<usize> =
        (0..count).filter(|zone| doors.get(*zone).is_some_and(|doors| doors.len() == 1)).collect();
    while let Some(zone) = ends.pop() {
        let Some(index) = doors.get(zone).and_then(|doors| doors.first().copied()).filter(|index| left.remove(index))
        else {
            continue;
        };
        let Some(path) = network.paths.get(index) else { continue };
        let other = if path.from == zone { path.to } else { path.from };
        let passed = at(&surplus, zone);
        add(&mut surplus, other, passed);
        add(&mut into, if passed > 0.0 { other } else { zone }, passed.abs());
        if let Some(doors) = doors.get_mut(other) {
            doors.retain(|door| *door != index);
            if doors.len() == 1 {
                ends.push(other);
            }
        }
    }
    for index in left {
        if let (Some(path), Some(flow)) = (network.paths.get(index), field.paths.get(index)) {
            add(&mut into, if *flow > 0.0 { path.to } else { path.from }, flow.abs());
        }
    }
    into
}
