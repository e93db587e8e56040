//! How a fact moved, in words: earlier and later value, difference, per cent.

use crate::shown;
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units, number};
use mateline_model::{Moved, Subject, Value};
use serde::Serialize;
use std::collections::BTreeMap;

/// Facts shown of one subject before the rest are counted.
const SHOWN_OF_A_SUBJECT: usize = 6;
/// Sections whose facts a reviewer wants to see; facts of others are counted.
const SHOWN_SECTIONS: &[&str] = &["home", "assemblies", "openings", "seams"];

/// What an owner or a reviewer asks of the whole first: its size, its heat, its air and what its boxes weigh.
const OF_THE_WHOLE: &[&str] = &[
    "takeoff.module_count",
    "takeoff.floor_area",
    "takeoff.interior_volume",
    "takeoff.exterior_envelope_area",
    "takeoff.window_area",
    "takeoff.mate_line_length",
    "envelope.ua",
    "junctions.ua_with_junctions",
    "airtightness.shown_q50",
    "airtightness.shown_ach50",
    "ventilation.delivered_flow",
    "ventilation.flow_margin",
    "takeoff.weight",
];

/// A fact that moved, worded.
#[derive(Clone, Serialize)]
pub(super) struct FactRow {
    pub quantity: String,
    pub label: String,
    pub old: String,
    pub new: String,
    /// `+0.0070 Btu/(h·ft²·°F)`; empty where there is none.
    pub difference: String,
    /// `+15.6 %`; empty where there is none.
    pub change: String,
}

/// The facts of one subject that moved.
#[derive(Clone, Serialize)]
pub(super) struct SubjectFacts {
    pub subject: String,
    /// Those that moved farthest, as a share of the earlier value.
    pub rows: Vec<FactRow>,
    /// How many more moved.
    pub more: usize,
}

/// Facts that are counted and not shown.
#[derive(Clone, Serialize)]
pub(super) struct OtherFacts {
    pub count: usize,
    /// What they are about: `modules`, `3 subjects that were not there before`.
    pub of: String,
}

/// The facts that moved: of the whole home, of assemblies, openings and seams by subject; the others counted.
pub(super) struct MovedFacts {
    pub count: usize,
    /// Of the whole, in the order in which one asks; shown nowhere else.
    pub whole: Vec<FactRow>,
    pub subjects: Vec<SubjectFacts>,
    pub others: Vec<OtherFacts>,
}

pub(super) fn moved_facts(moved: &[Moved], system: UnitSystem) -> MovedFacts {
    let mut subjects: BTreeMap<(usize, &str), Vec<&Moved>> = BTreeMap::new();
    let mut others: BTreeMap<&str, usize> = BTreeMap::new();
    let mut asked: Vec<(usize, FactRow)> = Vec::new();
    for fact in moved {
        if let Some(place) = of_the_whole(fact) {
            asked.push((place, of_its_subject(fact, system)));
            continue;
        }
        match SHOWN_SECTIONS.iter().position(|section| *section == fact.subject.section()) {
            Some(order) => subjects.entry((order, fact.subject.as_str())).or_default().push(fact),
            None => *others.entry(fact.subject.section()).or_default() += 1,
        }
    }
    asked.sort_by_key(|(place, _)| *place);
    let asked = asked.into_iter().map(|(_, row)| row).collect();
    let mut whole = Vec::new();
    // What only came or only went says no more than the edit that brought or took its element.
    for (is_whole, words) in [
        ((|fact| fact.old.is_none()) as fn(&Moved) -> bool, "that had none before"),
        (|fact| fact.new.is_none(), "that have none any more"),
    ] {
        let apart: Vec<usize> =
            subjects.values().filter(|facts| facts.iter().all(|fact| is_whole(fact))).map(Vec::len).collect();
        subjects.retain(|_, facts| !facts.iter().all(|fact| is_whole(fact)));
        if !apart.is_empty() {
            let of = format!("{} {words}", shown::counted(apart.len(), "subject", "subjects"));
            whole.push(OtherFacts { count: apart.iter().sum(), of });
        }
    }
    let mut subjects: Vec<((usize, &str), Vec<&Moved>)> = subjects.into_iter().collect();
    subjects.iter_mut().for_each(|(_, facts)| facts.sort_by(|a, b| extent(b).total_cmp(&extent(a))));
    let farthest = |facts: &[&Moved]| facts.first().map_or(0.0, |fact| extent(fact));
    subjects.sort_by(|((one, _), a), ((other, _), b)| one.cmp(other).then_with(|| farthest(b).total_cmp(&farthest(a))));
    let subjects = subjects.into_iter().map(|((_, subject), mut facts)| {
        let more = facts.len().saturating_sub(SHOWN_OF_A_SUBJECT);
        facts.truncate(SHOWN_OF_A_SUBJECT);
        SubjectFacts { subject: subject.to_owned(), rows: facts.iter().map(|fact| row(fact, system)).collect(), more }
    });
    let others = others.into_iter().map(|(section, count)| OtherFacts { count, of: section.to_owned() });
    MovedFacts {
        count: moved.len(),
        whole: asked,
        subjects: subjects.collect(),
        others: whole.into_iter().chain(others).collect(),
    }
}

/// Its place among what is asked of the whole: of the home, or of a box that was there before.
fn of_the_whole(fact: &Moved) -> Option<usize> {
    let place = OF_THE_WHOLE.iter().position(|name| *name == fact.quantity)?;
    let is_box = fact.subject.section() == "modules" && fact.old.is_some() && fact.new.is_some();
    (is_box || fact.subject == Subject::home()).then_some(place)
}

/// A row whose label names its box.
fn of_its_subject(fact: &Moved, system: UnitSystem) -> FactRow {
    let row = row(fact, system);
    match fact.subject == Subject::home() {
        true => row,
        false => FactRow { label: format!("{}, {}", row.label, fact.subject), ..row },
    }
}

/// How far a fact moved: words that changed stand first, then shares of the earlier value, then what came or went.
fn extent(fact: &Moved) -> f64 {
    match (&fact.old, &fact.new, fact.difference()) {
        (_, _, Some(difference)) => fact.change().map_or(difference.si.abs(), f64::abs),
        (Some(_), Some(_), None) => f64::INFINITY,
        _ => -1.0,
    }
}

pub(super) fn row(moved: &Moved, system: UnitSystem) -> FactRow {
    let one = |side: &Option<Value>| {
        side.as_ref().map_or_else(|| "none".to_owned(), |value| shown::value(value, &moved.units, system))
    };
    let (old, new) = match (&moved.old, &moved.new) {
        (Some(old), Some(new)) => shown::pair(old, new, &moved.units, system),
        (old, new) => (one(old), one(new)),
    };
    let difference = moved.difference().map(|difference| signed(difference, &moved.units, system));
    let change =
        moved.change().map(|share| with_sign(share, |digits| format!("{} %", number(share * 100.0, 1 + digits))));
    FactRow {
        quantity: moved.quantity.clone(),
        label: moved.label.clone(),
        old,
        new,
        difference: difference.unwrap_or_default(),
        change: change.unwrap_or_default(),
    }
}

/// A difference with its sign, with as many decimals as it takes not to print as nought.
fn signed(difference: Quantity, units: &Units, system: UnitSystem) -> String {
    let of_scale = Units { si: "K".into(), ip: "Δ°F".into(), ..units.clone() };
    let units = if difference.dimension == Dimension::TEMPERATURE_DIFFERENCE { &of_scale } else { units };
    let (name, _) = units.of(system);
    with_sign(difference.si, |digits| {
        let text = units.show_with(difference, system, digits);
        // A difference of percentages is not a percentage of anything.
        if name == "%" { text.replace(" %", " points") } else { text }
    })
}

/// The text of a number that is not nought, with more digits (at most six) until it does not read as nought.
fn with_sign(value: f64, text: impl Fn(u8) -> String) -> String {
    let reads_as_nought =
        |text: &str| !text.split(' ').next().unwrap_or_default().contains(|c: char| ('1'..='9').contains(&c));
    let mut digits = 0;
    let mut shown = text(digits);
    while value != 0.0 && reads_as_nought(&shown) && digits < 6 {
        digits += 1;
        shown = text(digits);
    }
    if value > 0.0 { format!("+{shown}") } else { shown }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;

    fn moved(units: Units, old: Quantity, new: Quantity) -> Moved {
        Moved {
            subject: Subject::home(),
            quantity: "a.b".to_owned(),
            label: "B".to_owned(),
            units,
            old: Some(old.into()),
            new: Some(new.into()),
        }
    }

    #[test]
    fn a_move_has_values_difference_and_share() {
        let length = |feet: f64| Quantity::new(feet * 0.3048, Dimension::LENGTH);
        let found = row(&moved(Units::LENGTH, length(10.0), length(12.5)), UnitSystem::Ip);
        assert_eq!((found.old.as_str(), found.new.as_str()), ("10.00 ft", "12.50 ft"));
        assert_eq!((found.difference.as_str(), found.change.as_str()), ("+2.50 ft", "+25.0 %"));
        let small = row(&moved(Units::LENGTH, length(10.0), length(9.9998)), UnitSystem::Ip);
        assert_eq!((small.old.as_str(), small.new.as_str()), ("10.0000 ft", "9.9998 ft"));
        assert_eq!((small.difference.as_str(), small.change.as_str()), ("-0.0002 ft", "-0.002 %"));
    }

    #[test]
    fn percentages_differ_by_points_and_temperatures_by_degrees() {
        let found = row(&moved(Units::PERCENT, Quantity::plain(0.2), Quantity::plain(0.25)), UnitSystem::Ip);
        assert_eq!((found.difference.as_str(), found.change.as_str()), ("+5.0 points", "+25.0 %"));
        let warm = |si: f64| Quantity::new(si, Dimension::TEMPERATURE);
        let found = row(&moved(Units::new("°C", 1, "°F", 0), warm(0.0), warm(10.0)), UnitSystem::Ip);
        assert_eq!((found.old.as_str(), found.new.as_str()), ("32 °F", "50 °F"));
        assert_eq!((found.difference.as_str(), found.change.as_str()), ("+18 Δ°F", ""));
    }

    #[test]
    fn what_came_or_is_no_number_has_no_difference() {
        let mut came = moved(Units::PERCENT, Quantity::plain(0.0), Quantity::plain(0.0));
        came.old = None;
        came.new = Some(Value::Flag(true));
        let found = row(&came, UnitSystem::Ip);
        assert_eq!((found.old.as_str(), found.new.as_str(), found.difference.as_str()), ("none", "yes", ""));
        let from_nought = row(&moved(Units::PERCENT, Quantity::plain(0.0), Quantity::plain(0.1)), UnitSystem::Ip);
        assert_eq!((from_nought.difference.as_str(), from_nought.change.as_str()), ("+10.0 points", ""));
    }

    #[test]
    fn the_home_comes_first_and_other_sections_are_counted() {
        let of = |subject: &str, new: f64| Moved {
            subject: Subject::from(subject),
            ..moved(Units::PERCENT, Quantity::plain(1.0), Quantity::plain(new))
        };
        let mut all = vec![of("modules.A", 2.0), of("modules.B", 2.0), of("assemblies.wall", 2.0)];
        all.extend((0..10).map(|step| of("home", 1.1 + f64::from(step))));
        all.push(Moved { old: None, ..of("openings.w1", 2.0) });
        let found = moved_facts(&all, UnitSystem::Ip);
        let subjects: Vec<&str> = found.subjects.iter().map(|facts| facts.subject.as_str()).collect();
        assert_eq!(subjects, ["home", "assemblies.wall"]);
        assert_eq!(found.subjects[0].more, 4);
        assert_eq!(found.subjects[0].rows[0].change, "+910.0 %", "the farthest first");
        let others: Vec<String> = found.others.iter().map(|other| format!("{} of {}", other.count, other.of)).collect();
        assert_eq!(
            (found.count, others),
            (14, vec!["1 of 1 subject that had none before".to_owned(), "2 of modules".to_owned()])
        );
    }
}
