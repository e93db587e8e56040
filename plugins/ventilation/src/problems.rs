//! Values of the ventilation systems and rooms that cannot be.

use crate::duct_runs::tree;
use mateline_model::home::{Duct, Elements, Home, Id, Space, VentilationUnit};
use mateline_model::quantity::{Flow, Units};
use mateline_model::{Pointer, Problem};
use std::collections::BTreeSet;

/// How far the flows of the rooms may stray from the unit's total before the two contradict each other.
const STRAY: f64 = 0.05;

/// Every problem of the sections this plugin reads.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut found = Vec::new();
    for (id, space) in &home.spaces {
        check_space(&format!("spaces.{id}"), id, space, &mut found);
    }
    for (id, unit) in &home.systems.ventilation {
        check_unit(home, &format!("systems.ventilation.{id}"), unit, &mut found);
    }
    let others = [
        ("systems.kitchen_hood.flow", home.systems.kitchen_hood.as_ref().and_then(|hood| hood.flow)),
        ("systems.kitchen_hood.make_up_air", home.systems.kitchen_hood.as_ref().and_then(|hood| hood.make_up_air)),
        ("systems.clothes_dryer.flow", home.systems.clothes_dryer.as_ref().and_then(|dryer| dryer.flow)),
    ];
    for (path, flow) in others {
        check_flow(path, flow, &mut found);
    }
    found
}

fn check_space(path: &str, id: &Id, space: &Space, found: &mut Vec<Problem>) {
    let volume = space.volume.map_or(space.floor_area.si() * space.height.si(), |volume| volume.si());
    if volume.is_nan() || volume <= 0.0 {
        let message = format!("{path} has no volume: floor area times height is {volume} m³");
        found.push(problem(path, "", message, "give the room a floor area and a height"));
    }
    for (field, length) in [("door_undercut", space.door_undercut), ("door_width", space.door_width)] {
        if let Some(length) = length.filter(|length| length.si() < 0.0) {
            let message = format!("{path}.{field} is {length}; it cannot be negative");
            found.push(problem(path, field, message, "give a length of zero or more"));
        }
    }
    if let Some(area) = space.transfer_area.filter(|area| area.si() < 0.0) {
        let message = format!("{path}.transfer_area is {area}; it cannot be negative");
        found.push(problem(path, "transfer_area", message, "give an area of zero or more"));
    }
    if space.opens_to.as_ref() == Some(id) {
        let message = format!("{path} opens to itself");
        found.push(problem(path, "opens_to", message, "name the room on the other side of its door"));
    }
    let given = space.sleeper_ages.len();
    if let Some(sleeps) = space.sleeps.filter(|sleeps| given > 0 && *sleeps as usize != given) {
        let message = format!("{path} sleeps {sleeps}, but gives {given} ages");
        found.push(problem(path, "sleeper_ages", message, "give one age for each sleeper"));
    }
    if let Some(age) = space.sleeper_ages.iter().find(|age| **age > 120) {
        let message = format!("{path}.sleeper_ages holds {age} years");
        found.push(problem(path, "sleeper_ages", message, "give ages in years"));
    }
}

fn check_unit(home: &Home, path: &str, unit: &VentilationUnit, found: &mut Vec<Problem>) {
    for (field, flow) in [("supply", unit.supply), ("exhaust", unit.exhaust), ("boost", unit.boost)] {
        check_flow(&format!("{path}.{field}"), flow, found);
    }
    for (field, rooms) in [("supplies", &unit.supplies), ("exhausts", &unit.exhausts)] {
        for (room, flow) in rooms {
            check_flow(&format!("{path}.{field}.{room}"), Some(*flow), found);
        }
    }
    check_sum(home, path, ("supply", unit.supply), ("supplies", &unit.supplies), found);
    check_sum(home, path, ("exhaust", unit.exhaust), ("exhausts", &unit.exhausts), found);
    for (field, share) in [
        ("run_time", unit.run_time),
        ("sensible_recovery", unit.sensible_recovery),
        ("latent_recovery", unit.latent_recovery),
    ] {
        if let Some(share) = share.filter(|share| !(0.0..=1.0).contains(&share.si())) {
            let message = format!("{path}.{field} is {share}; it lies between 0 and 1");
            found.push(problem(path, field, message, "give a share between 0 and 100 %"));
        }
    }
    if let Some(power) = unit.power.filter(|power| power.si() < 0.0) {
        let message = format!("{path}.power is {power}; it cannot be negative");
        found.push(problem(path, "power", message, "give a power of zero or more"));
    }
    check_curve(path, unit, found);
    for (id, duct) in &unit.ducts {
        check_duct(&format!("{path}.ducts.{id}"), duct, &unit.ducts, found);
    }
    check_ring(path, &unit.ducts, found);
}

/// The rooms' flows against the unit's own.
fn check_sum(
    home: &Home,
    path: &str,
    (field, total): (&str, Option<Flow>),
    (list, rooms): (&str, &Elements<Flow>),
    found: &mut Vec<Problem>,
) {
    let Some(total) = total.filter(|_| !rooms.is_empty()) else { return };
    let sum: Flow = rooms.values().copied().sum();
    let larger = total.si().max(sum.si());
    if larger > 0.0 && (total.si() - sum.si()).abs() > STRAY * larger {
        let show = |flow: Flow| Units::FLOW.show(flow.into(), home.units);
        found.push(Problem {
            at: Pointer::noted(format!("{path}.{field}"), show(total)),
            also: vec![Pointer::noted(format!("{path}.{list}"), format!("{} together", show(sum)))],
            message: format!("{path}.{field} is {}, but its rooms come to {}", show(total), show(sum)),
            help: Some("make the rooms' flows add up to the unit's".to_owned()),
        });
    }
}

fn check_curve(path: &str, unit: &VentilationUnit, found: &mut Vec<Problem>) {
    for (index, point) in unit.fan_curve.iter().enumerate() {
        if point.flow.si() < 0.0 || point.pressure.si() < 0.0 {
            let message = format!("point {} of {path}.fan_curve has a negative value", index + 1);
            found.push(problem(
                path,
                &format!("fan_curve.{index}"),
                message,
                "give flows and pressures of zero or more",
            ));
        }
    }
    for (index, pair) in unit.fan_curve.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        if b.flow <= a.flow {
            let message = format!("points {} and {} of {path}.fan_curve do not rise in flow", index + 1, index + 2);
            found.push(problem(path, &format!("fan_curve.{}", index + 1), message, "list the points by growing flow"));
        }
    }
}

fn check_duct(path: &str, duct: &Duct, ducts: &Elements<Duct>, found: &mut Vec<Problem>) {
    if duct.diameter.si() <= 0.0 {
        let message = format!("{path}.diameter is {}; it must be above zero", duct.diameter);
        found.push(problem(path, "diameter", message, "give the inside diameter"));
    }
    for (field, length) in [("length", Some(duct.length)), ("roughness", duct.roughness)] {
        if let Some(length) = length.filter(|length| length.si() < 0.0) {
            let message = format!("{path}.{field} is {length}; it cannot be negative");
            found.push(problem(path, field, message, "give a length of zero or more"));
        }
    }
    if let Some(rough) =
        duct.roughness.filter(|rough| duct.diameter.si() > 0.0 && rough.si() > 0.1 * duct.diameter.si())
    {
        let message = format!("{path}.roughness is {rough}, more than a tenth of its diameter of {}", duct.diameter);
        found.push(problem(path, "roughness", message, "give the height of the inside's roughness"));
    }
    if let Some(fittings) = duct.fittings.filter(|fittings| fittings.si() < 0.0) {
        let message = format!("{path}.fittings is {fittings}; it cannot be negative");
        found.push(problem(path, "fittings", message, "give the sum of the loss coefficients"));
    }
    check_flow(&format!("{path}.flow"), duct.flow, found);
    let Some(after) = &duct.after else { return };
    if !ducts.contains_key(after) {
        let known: Vec<&str> = ducts.keys().map(AsRef::as_ref).collect();
        let message = format!("there is no duct '{after}'");
        found.push(problem(
            path,
            "after",
            message,
            &format!("name one of: {}", known.into_iter().take(12).collect::<Vec<_>>().join(", ")),
        ));
    }
}

/// Ducts that branch from each other in a ring.
fn check_ring(path: &str, ducts: &Elements<Duct>, found: &mut Vec<Problem>) {
    let (_, order) = tree(ducts);
    let in_order: BTreeSet<usize> = order.into_iter().collect();
    let ring = ducts.iter().enumerate().find(|(index, _)| !in_order.contains(index));
    if let Some((_, (id, duct))) = ring {
        let after = duct.after.as_ref().map(ToString::to_string).unwrap_or_default();
        let message = format!("{path}.ducts.{id} leads back to itself or to a ring, by way of {after}");
        let help = "name the duct that lies nearer to the unit";
        found.push(problem(&format!("{path}.ducts.{id}"), "after", message, help));
    }
}

fn check_flow(path: &str, flow: Option<Flow>, found: &mut Vec<Problem>) {
    if let Some(flow) = flow.filter(|flow| !(flow.si() >= 0.0 && flow.si().is_finite())) {
        let message = format!("{path} is {flow}; it cannot be negative");
        found.push(problem(path, "", message, "give a flow of zero or more"));
    }
}

fn problem(path: &str, field: &str, message: String, help: &str) -> Problem {
    let path = if field.is_empty() { path.to_owned() } else { format!("{path}.{field}") };
    Problem { at: Pointer::new(path), also: Vec::new(), message, help: Some(help.to_owned()) }
}
