//! What cannot be, said with numbers: sizes, levels, overlaps, boxes that stand on nothing or touch nothing.

use mateline_boxes::contact::{Arrangement, Contact, MOST};
use mateline_boxes::coordinate::{GAP, TOUCH, metres};
use mateline_boxes::placed::{FARTHEST, Fault, LONGEST, Placed, faults, overlap_in_plan};
use mateline_model::home::{Home, Id};
use mateline_model::quantity::{Dimension, Length, Quantity, UnitSystem, Units};
use mateline_model::{Pointer, Problem};

/// A length as a person reads it, without idle zeros.
pub fn length(metres: f64, units: UnitSystem) -> String {
    trimmed(Units::new("m", 3, "ft", 3), metres, Dimension::LENGTH, units)
}

/// A small length as a person reads it, without idle zeros.
pub fn small_length(metres: f64, units: UnitSystem) -> String {
    trimmed(Units::new("mm", 2, "in", 3), metres, Dimension::LENGTH, units)
}

/// An area as a person reads it, without idle zeros.
pub fn area(square_metres: f64, units: UnitSystem) -> String {
    trimmed(Units::new("m²", 2, "ft²", 2), square_metres, Dimension::AREA, units)
}

fn trimmed(shown: Units, si: f64, dimension: Dimension, units: UnitSystem) -> String {
    let text = shown.show(Quantity::new(si, dimension), units);
    match text.split_once(' ') {
        Some((number, unit)) if number.contains('.') => {
            format!("{} {unit}", number.trim_end_matches('0').trim_end_matches('.'))
        }
        _ => text,
    }
}

/// A problem at one place.
pub fn at(path: impl Into<String>, message: impl Into<String>, help: &str) -> Problem {
    Problem { at: Pointer::new(path), also: Vec::new(), message: message.into(), help: Some(help.to_owned()) }
}

/// What is wrong with each box by itself, and levels that are left out.
pub fn of_modules(home: &Home) -> Vec<Problem> {
    let own = |(id, module)| faults(module).into_iter().map(move |fault| of_fault(id, fault, home.units));
    let mut problems: Vec<Problem> = home.modules.iter().flat_map(own).collect();
    problems.extend(of_levels(home));
    problems
}

/// What is wrong with one box, in words.
fn of_fault(id: &Id, fault: Fault, units: UnitSystem) -> Problem {
    match fault {
        Fault::Size(axis, value) => {
            let (path, shown) = (format!("modules.{id}.size.{axis}"), length(value, units));
            let message = if !value.is_finite() {
                format!("{path} is not a finite length")
            } else if value <= 0.0 {
                format!("{path} is {shown}; a box needs a positive size")
            } else if value > LONGEST {
                format!("{path} is {shown}; no box is longer than {}", length(LONGEST, units))
            } else {
                let gap = small_length(metres(GAP), units);
                format!("{path} is {}, no more than a marriage gap of {gap}", small_length(value, units))
            };
            at(path, message, "give the box's outer size")
        }
        Fault::Place(axis, value) => {
            let path = format!("modules.{id}.at.{axis}");
            let (shown, far) = (length(value, units), length(FARTHEST, units));
            let message = format!("{path} is {shown}, farther than {far} from the origin");
            at(path, message, "measure the box's place from a corner of the home")
        }
        Fault::Level => {
            let path = format!("modules.{id}.level");
            let message = format!("{path} is 0; levels count from 1");
            at(path, message, "number the lowest boxes 1")
        }
    }
}

/// Levels that are left out between others.
fn of_levels(home: &Home) -> Vec<Problem> {
    let mut levels: Vec<(u32, &Id)> =
        home.modules.iter().map(|(id, module)| (module.level, id)).filter(|(level, _)| *level > 0).collect();
    levels.sort_by_key(|(level, _)| *level);
    let mut reached = 0;
    let mut problems = Vec::new();
    for (level, id) in levels {
        if level > reached + 1 {
            let message = format!("no module is on level {}, but {id} is on level {level}", reached + 1);
            problems.push(at(format!("modules.{id}.level"), message, "number the levels without gaps"));
        }
        reached = level;
    }
    problems
}

/// What is wrong with how the boxes stand.
pub fn of_arrangement(home: &Home, boxes: &[Placed], arrangement: &Arrangement) -> Vec<Problem> {
    let mut problems = undersides(home, boxes);
    problems.extend(overlaps(home, boxes, arrangement));
    problems.extend(floating(home, boxes, arrangement));
    problems.extend(heaps(boxes, arrangement));
    problems
}

fn undersides(home: &Home, boxes: &[Placed]) -> Vec<Problem> {
    let mut lowest = boxes.iter().filter(|placed| placed.level == 1);
    let Some(first) = lowest.next() else { return Vec::new() };
    let height = |placed: &Placed| placed.spans[2].lo;
    lowest
        .filter(|placed| (height(placed) - height(first)).abs() > TOUCH)
        .take(MOST)
        .map(|placed| Problem {
            at: Pointer::new(format!("{}.at", placed.path())),
            also: vec![Pointer::new(format!("{}.at", first.path()))],
            message: format!(
                "the underside of {} is at {}, that of {} at {}; the boxes of level 1 stand on one foundation",
                placed.id,
                length(metres(height(placed)), home.units),
                first.id,
                length(metres(height(first)), home.units)
            ),
            help: Some("give all boxes of level 1 the same at.z, or leave it out".to_owned()),
        })
        .collect()
}

fn overlaps(home: &Home, boxes: &[Placed], arrangement: &Arrangement) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (first, second) in &arrangement.overlaps {
        let (Some(a), Some(b)) = (boxes.get(*first), boxes.get(*second)) else { continue };
        let depth = |axis: usize| length(metres(a.spans[axis].depth(b.spans[axis])), home.units);
        problems.push(Problem {
            at: Pointer::new(format!("{}.at", b.path())),
            also: vec![Pointer::new(format!("{}.at", a.path()))],
            message: format!(
                "modules {} and {} overlap by {} x {} x {} (x, y, z)",
                a.id,
                b.id,
                depth(0),
                depth(1),
                depth(2)
            ),
            help: Some("move one of them, or correct its size".to_owned()),
        });
    }
    if arrangement.more_overlaps {
        problems.push(at(
            "modules",
            format!("more modules overlap than the {MOST} pairs listed"),
            "correct these first",
        ));
    }
    for (lower, upper) in &arrangement.on_slopes {
        let (Some(a), Some(b)) = (boxes.get(*lower), boxes.get(*upper)) else { continue };
        problems.push(Problem {
            at: Pointer::new(format!("{}.at", b.path())),
            also: vec![Pointer::new(format!("{}.sloped_ceiling", a.path()))],
            message: format!("module {} stands on module {}, whose ceiling slopes", b.id, a.id),
            help: Some("make the lower ceiling flat, or move the upper box".to_owned()),
        });
    }
    problems
}

/// Boxes above level 1 with nothing under them.
fn floating(home: &Home, boxes: &[Placed], arrangement: &Arrangement) -> Vec<Problem> {
    let mut borne = vec![false; boxes.len()];
    let stacked = arrangement.contacts.iter().filter(|contact| contact.axis == 2).map(|contact| contact.high);
    let other = arrangement.on_slopes.iter().map(|(_, upper)| *upper);
    let within = arrangement.overlaps.iter().flat_map(|(a, b)| [*a, *b]);
    for i in stacked.chain(other).chain(within) {
        if let Some(borne) = borne.get_mut(i) {
            *borne = true;
        }
    }
    let loose = boxes.iter().zip(&borne).filter(|(placed, borne)| placed.level > 1 && !**borne);
    loose
        .take(MOST)
        .map(|(placed, _)| {
            let underside = length(metres(placed.spans[2].lo), home.units);
            let below = boxes
                .iter()
                .filter(|other| other.id != placed.id && overlap_in_plan(&other.spans, &placed.spans))
                .filter(|other| other.spans[2].hi <= placed.spans[2].lo)
                .max_by_key(|other| other.spans[2].hi);
            let found = match below {
                Some(below) => {
                    format!("module {} below it ends at {}", below.id, length(metres(below.spans[2].hi), home.units))
                }
                None => "no module is below it in plan".to_owned(),
            };
            Problem {
                at: Pointer::new(format!("{}.at", placed.path())),
                also: below.map(|below| Pointer::new(format!("{}.at", below.path()))).into_iter().collect(),
                message: format!("module {} floats: its underside is at {underside}, and {found}", placed.id),
                help: Some("move the box over one that carries it, or correct its at.z".to_owned()),
            }
        })
        .collect()
}

/// Groups of boxes that touch no other box.
fn heaps(boxes: &[Placed], arrangement: &Arrangement) -> Vec<Problem> {
    let mut leader: Vec<usize> = (0..boxes.len()).collect();
    let touching = arrangement.contacts.iter().map(|contact: &Contact| (contact.low, contact.high));
    let others = arrangement.overlaps.iter().chain(&arrangement.on_slopes).copied();
    for (a, b) in touching.chain(others) {
        let (a, b) = (led_by(&mut leader, a), led_by(&mut leader, b));
        if let Some(entry) = leader.get_mut(a.max(b)) {
            *entry = a.min(b);
        }
    }
    if arrangement.more_overlaps {
        return Vec::new();
    }
    let mut members: Vec<Vec<&Placed>> = vec![Vec::new(); boxes.len()];
    for (i, placed) in boxes.iter().enumerate() {
        let head = led_by(&mut leader, i);
        if let Some(group) = members.get_mut(head) {
            group.push(placed);
        }
    }
    members.retain(|group| !group.is_empty());
    let size = members.iter().map(Vec::len).max().unwrap_or(0);
    let main = members.iter().position(|group| group.len() == size);
    let apart = members.iter().enumerate().filter(|(position, _)| Some(*position) != main).map(|(_, group)| group);
    let reported = apart.filter_map(|group| match group.as_slice() {
        [] => None,
        // A box above level 1 that touches nothing floats, which is said already.
        [one] if one.level > 1 => None,
        [one] => Some((*one, format!("module {} touches no other module", one.id))),
        [first, ..] => {
            let names: Vec<&str> = group.iter().take(6).map(|placed| placed.id.as_ref()).collect();
            let more = if group.len() > names.len() { " and others" } else { "" };
            Some((*first, format!("modules {}{more} touch no other module of the home", names.join(", "))))
        }
    });
    reported
        .take(MOST)
        .map(|(placed, message)| at(format!("{}.at", placed.path()), message, "move the boxes together, within 1 in"))
        .collect()
}

/// The first box of the group `i` belongs to, shortening the way there.
fn led_by(leader: &mut [usize], mut i: usize) -> usize {
    while let Some(&next) = leader.get(i) {
        if next == i {
            break;
        }
        let beyond = leader.get(next).copied().unwrap_or(next);
        if let Some(entry) = leader.get_mut(i) {
            *entry = beyond;
        }
        i = beyond;
    }
    i
}

/// A length of the home that has to be positive.
pub fn positive(path: &str, value: Option<Length>, what: &str, units: UnitSystem) -> Option<Problem> {
    let value = value?;
    if value.si() > 0.0 {
        return None;
    }
    let message = format!("{path} is {}; {what}", length(value.si(), units));
    Some(at(path, message, "give the measured length"))
}

/// Whether a length is larger than a limit by more than a touch.
pub fn exceeds(value: f64, limit: f64) -> bool {
    value > limit + metres(TOUCH)
}
