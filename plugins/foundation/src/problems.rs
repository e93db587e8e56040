//! What cannot be: boxes that stand on two things, footings of nothing, rates below zero.
//!
//! That the chosen foundation is not deeper than its walls is the takeoff's to say, which measures them.

use crate::sizes::word;
use mateline_model::home::{Earthwork, Footing, Foundation, Home, Id, Rate, Rates};
use mateline_model::quantity::{
    Length, Money, MoneyPerArea, MoneyPerLength, MoneyPerMass, MoneyPerVolume, UnitSystem, Units,
};
use mateline_model::{Pointer, Problem};
use std::collections::BTreeSet;

/// Every problem with the radon zone, the foundation and the rates.
pub fn problems(home: &Home) -> Vec<Problem> {
    let mut found = Vec::new();
    if let Some(zone) = home.site.radon_zone.filter(|zone| !(1..=3).contains(zone)) {
        let at = "site.radon_zone";
        let help = "look the county up on the map of radon zones, or leave it out until it is known".to_owned();
        found.push(problem(at, format!("{at} is {zone}; the zones are 1 to 3"), help));
    }
    if let Some(foundation) = &home.foundation {
        check_exceptions(home, foundation, &mut found);
        check_alternatives(home, foundation, &mut found);
        check_footing("foundation.footing", foundation.footing.as_ref(), home.units, &mut found);
        check_reinforcement(foundation, &mut found);
        if let Some(work) = &foundation.earthwork {
            check_earthwork(work, &mut found);
        }
    }
    if let Some(rates) = &home.rates {
        check_rates(rates, &mut found);
    }
    found
}

/// Words that stand for the reinforcement and state none.
fn check_reinforcement(foundation: &Foundation, found: &mut Vec<Problem>) {
    let Some(stated) = foundation.wall_reinforcement.as_ref().map(ToString::to_string) else { return };
    if !stated.eq_ignore_ascii_case("none") && !stated.contains(|letter: char| letter.is_ascii_digit()) {
        let at = "foundation.wall_reinforcement";
        let message = format!("{at} is '{stated}', which says no size and spacing of bars");
        let help = "write what is drawn, '#4 at 32 in', or none; leave it out until it is known".to_owned();
        found.push(problem(at, message, help));
    }
}

fn check_exceptions(home: &Home, foundation: &Foundation, found: &mut Vec<Problem>) {
    let mut seen: BTreeSet<&Id> = BTreeSet::new();
    for (index, except) in foundation.except.iter().enumerate() {
        let path = format!("foundation.except.{index}");
        if except.under.is_empty() {
            let message = format!("{path} names no box");
            found.push(problem(
                path.clone(),
                message,
                "name the boxes under 'under', or drop the exception".to_owned(),
            ));
        }
        for id in except.under.iter() {
            let at = format!("{path}.under");
            match home.modules.get(id) {
                None => {
                    let known: Vec<&str> = home.modules.keys().map(AsRef::as_ref).collect();
                    let message = format!("there is no module '{id}'");
                    found.push(problem(at, message, format!("name one of: {}", known.join(", "))));
                }
                Some(module) if module.level != 1 => {
                    let message =
                        format!("{id} is on level {}, and only boxes of level 1 stand on the ground", module.level);
                    found.push(problem(at, message, "name the box below it".to_owned()));
                }
                Some(_) if !seen.insert(id) => {
                    let message = format!("{id} stands on two exceptions");
                    found.push(problem(at, message, "name it once".to_owned()));
                }
                Some(_) => {}
            }
        }
        deeper(&path, (except.height, except.depth_below_grade), home.units, found);
        check_footing(&format!("{path}.footing"), except.footing.as_ref(), home.units, found);
    }
    let lowest = home.modules.iter().filter(|(_, module)| module.level == 1);
    if !seen.is_empty() && lowest.clone().all(|(id, _)| seen.contains(id)) {
        let message = "every box is an exception, so that none stands on the foundation itself".to_owned();
        found.push(problem("foundation.except", message, "give one of the exceptions as the foundation".to_owned()));
    }
}

fn check_alternatives(home: &Home, foundation: &Foundation, found: &mut Vec<Problem>) {
    for (kind, sizes) in &foundation.alternatives {
        let path = format!("foundation.alternatives.{}", word(*kind));
        if *kind == foundation.kind {
            let message = format!("{} is the foundation itself", word(*kind));
            found.push(problem(path.clone(), message, "give its sizes under foundation".to_owned()));
        }
        deeper(&path, (sizes.height, sizes.depth_below_grade), home.units, found);
    }
}

/// A floor deeper below grade than its walls are high.
fn deeper(path: &str, sizes: (Option<Length>, Option<Length>), units: UnitSystem, found: &mut Vec<Problem>) {
    let (Some(height), Some(depth)) = sizes else { return };
    if depth.si() > height.si() + 1e-9 {
        let message = format!(
            "{path}.depth_below_grade is {}, more than its height {}; the boxes would stand below grade",
            show(depth, units),
            show(height, units)
        );
        let help = "raise the height, or lessen the depth".to_owned();
        found.push(problem(format!("{path}.depth_below_grade"), message, help));
    }
}

fn check_footing(path: &str, footing: Option<&Footing>, units: UnitSystem, found: &mut Vec<Problem>) {
    let Some(footing) = footing else { return };
    for (field, value) in [("width", footing.width), ("thickness", footing.thickness)] {
        if value.si() <= 0.0 {
            let message = format!("{path}.{field} is {}; a footing has a {field} above zero", show(value, units));
            found.push(problem(
                format!("{path}.{field}"),
                message,
                "give its size, or leave the footing out".to_owned(),
            ));
        }
    }
    if let Some(depth) = footing.depth.filter(|depth| depth.si() + 1e-9 < footing.thickness.si()) {
        let message = format!(
            "{path}.depth is {}, less than its thickness {}; the footing would stand out of the ground",
            show(depth, units),
            show(footing.thickness, units)
        );
        found.push(problem(
            format!("{path}.depth"),
            message,
            "measure from grade to the footing's underside".to_owned(),
        ));
    }
}

fn check_earthwork(work: &Earthwork, found: &mut Vec<Problem>) {
    if work.shored && work.sides.is_some() {
        let message = "the sides of the hole are shored and sloped at once".to_owned();
        found.push(problem("foundation.earthwork.sides", message, "keep one of shored and sides".to_owned()));
    }
    if work.sides.is_some_and(|slope| slope.ratio <= 0.0) {
        let message = "the sides of the hole have no rise".to_owned();
        found.push(problem("foundation.earthwork.sides", message, "give rise to run, such as 1:1.5".to_owned()));
    }
    for (field, value) in
        [("compacted", work.compacted.map(|ratio| ratio.si())), ("truck", work.truck.map(|truck| truck.si()))]
    {
        if value.is_some_and(|value| value <= 0.0) {
            let message = format!("foundation.earthwork.{field} is zero or less");
            found.push(problem(format!("foundation.earthwork.{field}"), message, "give a value above zero".to_owned()));
        }
    }
}

fn check_rates(rates: &Rates, found: &mut Vec<Problem>) {
    for (name, low) in lows(rates) {
        if low < 0.0 {
            let message = format!("the rate for {} is below zero", name.replace('_', " "));
            found.push(problem(format!("rates.{name}"), message, "give a rate of zero or more".to_owned()));
        }
    }
}

/// Every rate given, with its low end.
fn lows(rates: &Rates) -> Vec<(&'static str, f64)> {
    let volume = |rate: &Option<Rate<MoneyPerVolume>>| rate.map(|rate| rate.low.si());
    let area = |rate: &Option<Rate<MoneyPerArea>>| rate.map(|rate| rate.low.si());
    let length = |rate: &Option<Rate<MoneyPerLength>>| rate.map(|rate| rate.low.si());
    let mass = |rate: &Option<Rate<MoneyPerMass>>| rate.map(|rate| rate.low.si());
    let each = |rate: &Option<Rate<Money>>| rate.map(|rate| rate.low.si());
    let all = [
        ("excavation", volume(&rates.excavation)),
        ("haul", volume(&rates.haul)),
        ("haul_per_load", each(&rates.haul_per_load)),
        ("backfill", volume(&rates.backfill)),
        ("gravel", volume(&rates.gravel)),
        ("concrete", volume(&rates.concrete)),
        ("formwork", area(&rates.formwork)),
        ("reinforcement", mass(&rates.reinforcement)),
        ("waterproofing", area(&rates.waterproofing)),
        ("dampproofing", area(&rates.dampproofing)),
        ("drainage", length(&rates.drainage)),
        ("wall_insulation", area(&rates.wall_insulation)),
        ("slab_insulation", area(&rates.slab_insulation)),
        ("floor_insulation", area(&rates.floor_insulation)),
        ("ground_cover", area(&rates.ground_cover)),
        ("skirt", area(&rates.skirt)),
        ("post", each(&rates.post)),
        ("sump", each(&rates.sump)),
        ("ejector", each(&rates.ejector)),
        ("egress_window", each(&rates.egress_window)),
        ("set_up", each(&rates.set_up)),
    ];
    all.into_iter().filter_map(|(name, low)| Some((name, low?))).collect()
}

fn show(length: Length, units: UnitSystem) -> String {
    Units::LENGTH.show(length.into(), units)
}

fn problem(path: impl Into<String>, message: String, help: String) -> Problem {
    Problem { at: Pointer::new(path), also: Vec::new(), message, help: Some(help) }
}
