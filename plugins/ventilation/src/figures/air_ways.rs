//! The way of the air through the rooms in ordinary operation: in by the units, from room to room, out by the units.
//! Flows that hardly move anything, mostly leaks, are left out and counted in the title.

use super::{listed, words};
use crate::Plan;
use crate::curves::{AirPath, OUTDOORS, paths};
use crate::dwelling::{Dwelling, Zone};
use crate::night::sleepers;
use mateline_model::home::Home;
use mateline_model::quantity::{Dimension, Quantity, Units};
use mateline_model::{Drawing, Figure, PathLink, PathNode, Subject};
use std::collections::BTreeMap;

/// A flow below this share of what comes in is left out.
const SMALL: f64 = 0.01;

/// Where air is: outdoors, or in a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Place {
    Outdoors,
    Zone(usize),
}

/// A flow and the way it takes.
#[derive(Clone, Debug, PartialEq)]
struct Way {
    from: Place,
    to: Place,
    /// The unit, or `leaks`; empty for doors.
    label: String,
    flow: f64,
}

/// The figure, where the air can be told and any moves.
pub(super) fn figure(home: &Home, plan: &Plan<'_>) -> Option<Figure> {
    let air = plan.ordinary.as_ref().ok()?;
    let all = ways(&plan.dwelling, &paths(&plan.dwelling, air));
    let comes_in: f64 = all.iter().filter(|way| way.from == Place::Outdoors).map(|way| way.flow).sum();
    let (drawn, small): (Vec<Way>, Vec<Way>) = all.into_iter().partition(|way| way.flow >= SMALL * comes_in);
    if drawn.is_empty() || comes_in <= 0.0 {
        return None;
    }
    let left_out = match small.len() {
        0 => String::new(),
        1 => "; one flow below 1 % is left out".to_owned(),
        count => format!("; {count} flows below 1 % are left out"),
    };
    let (nodes, index) = nodes(home, &plan.dwelling, &drawn);
    let links = drawn.iter().filter_map(|way| {
        let (from, to) = (*index.get(&way.from)?, *index.get(&way.to)?);
        Some(PathLink { from, to, value: way.flow, label: way.label.clone() })
    });
    Some(Figure {
        subject: Subject::element("systems", "ventilation"),
        key: "ventilation.air-paths".into(),
        title: format!("The way of the air in ordinary operation{left_out}"),
        alternative: in_words(home, &plan.dwelling, &drawn),
        drawing: Drawing::Paths { units: Units::FLOW, links: links.collect(), nodes },
    })
}

/// The flows between zones and the outdoors; what one unit brings to rooms that share their air is one flow.
fn ways(dwelling: &Dwelling<'_>, paths: &[AirPath]) -> Vec<Way> {
    let mut zones: BTreeMap<String, usize> =
        (0..dwelling.zones.len()).map(|zone| (dwelling.name(zone), zone)).collect();
    zones.extend(dwelling.zone_of.iter().map(|(id, zone)| (id.to_string(), *zone)));
    // A unit's id may be that of a room, so that only rooms are looked up; a garage counts as outdoors.
    let place = |name: &str| zones.get(name).map_or(Place::Outdoors, |zone| Place::Zone(*zone));
    let mut ways: Vec<Way> = Vec::new();
    for path in paths {
        let (from, to, label) = match path.how {
            "supply" => (Place::Outdoors, place(&path.to), words(&path.from)),
            "exhaust" => (place(&path.from), Place::Outdoors, words(&path.to)),
            "leakage" if path.from == OUTDOORS => (Place::Outdoors, place(&path.to), "leaks".to_owned()),
            "leakage" => (place(&path.from), Place::Outdoors, "leaks".to_owned()),
            _ => (place(&path.from), place(&path.to), String::new()),
        };
        if from == to {
            continue;
        }
        match ways.iter_mut().find(|way| (way.from, way.to, way.label.as_str()) == (from, to, label.as_str())) {
            Some(way) => way.flow += path.flow,
            None => ways.push(Way { from, to, label, flow: path.flow }),
        }
    }
    ways
}

/// The outdoors and every zone that is a room or has a flow, and where each stands in the list.
fn nodes(home: &Home, dwelling: &Dwelling<'_>, ways: &[Way]) -> (Vec<PathNode>, BTreeMap<Place, usize>) {
    let mut nodes = vec![PathNode { label: OUTDOORS.to_owned(), note: String::new(), outdoors: true }];
    let mut index = BTreeMap::from([(Place::Outdoors, 0)]);
    for (number, zone) in dwelling.zones.iter().enumerate() {
        let place = Place::Zone(number);
        if !zone.spaces.is_empty() || ways.iter().any(|way| way.from == place || way.to == place) {
            index.insert(place, nodes.len());
            nodes.push(node(home, zone));
        }
    }
    (nodes, index)
}

fn node(home: &Home, zone: &Zone<'_>) -> PathNode {
    let people: usize = zone.spaces.iter().filter_map(|id| home.spaces.get(*id)).map(sleepers).sum();
    let asleep = match people {
        0 => String::new(),
        1 => "1 sleeps".to_owned(),
        _ => format!("{people} sleep"),
    };
    let (label, note) = match zone.spaces.as_slice() {
        [] => ("circulation".to_owned(), String::new()),
        [one] => (words(one.as_ref()), asleep),
        [first, _] => (words(first.as_ref()), "and 1 open room".to_owned()),
        [first, rest @ ..] => (words(first.as_ref()), format!("and {} open rooms", rest.len())),
    };
    PathNode { label, note, outdoors: false }
}

fn in_words(home: &Home, dwelling: &Dwelling<'_>, ways: &[Way]) -> String {
    let name = |place: Place| match place {
        Place::Outdoors => OUTDOORS.to_owned(),
        Place::Zone(zone) => words(&dwelling.name(zone)),
    };
    let shown = |flow: f64| Units::FLOW.show(Quantity::new(flow, Dimension::FLOW), home.units);
    let flows = ways.iter().map(|way| {
        let by = if way.label.is_empty() { "doors" } else { &way.label };
        format!("{} to {} by {by}, {}", name(way.from), name(way.to), shown(way.flow))
    });
    let still = dwelling.zones.iter().enumerate().filter(|(number, zone)| {
        let place = Place::Zone(*number);
        !zone.spaces.is_empty() && !ways.iter().any(|way| way.from == place || way.to == place)
    });
    let still: Vec<String> = still.map(|(_, zone)| words(&zone.name())).collect();
    let mut text = format!("Flows: {}.", listed(flows.collect()));
    if !still.is_empty() {
        text.push_str(&format!(" No air is drawn to or from: {}.", listed(still)));
    }
    text
}
