//! The floor area that needs are told by.
//!
//! Source: treated floor area of the passive-building criteria: rooms by their whole floor, rooms that only serve (storage,
//! machines) by 60 %, stairs not (from memory, med).

use mateline_equation::equation;
use mateline_model::home::SpaceUse;
use mateline_model::quantity::{Area, Ratio, Units};
use mateline_model::{Basis, Term};
use mateline_sdk::{Lack, Request};

equation! {
    /// Treated floor area. Source: passive-building criteria (from memory, med).
    pub(crate) Treated = "A_t = Σ f_j A_j" {
        A_t: Area "treated floor area" [Units::AREA],
        f_j: [Ratio] "share that counts" [Units::PERCENT],
        A_j: [Area] "floor" [Units::AREA],
    }
}

/// The rooms inside the thermal envelope, by how much they count.
pub(crate) fn area(request: &Request<'_>) -> Result<(Area, Basis), Lack> {
    let home = request.home;
    let below = home.foundation.as_ref().is_some_and(|foundation| foundation.is_conditioned());
    let (mut shares, mut areas, mut names) = (Vec::new(), Vec::new(), Vec::new());
    for (id, space) in &home.spaces {
        let share = match space.used_as {
            SpaceUse::Garage | SpaceUse::Stair => continue,
            SpaceUse::Storage | SpaceUse::Mechanical => 0.6,
            _ => 1.0,
        };
        if !below && space.within.iter().any(|place| place.as_ref() == "foundation") {
            continue;
        }
        shares.push(Ratio::from_si(share));
        areas.push(space.floor_area);
        names.push(format!("spaces.{id}"));
    }
    let (area, step) = Treated { f_j: &shares, A_j: &areas }.step();
    if area.si() <= 0.0 {
        return Err(Lack::at("the home lists no rooms", "spaces"));
    }
    let named = |term, name: &String| Term { meaning: name.clone(), ..term };
    let step = step.each(Treated::f_j, &names, |term, name| named(term, name).given(format!("{name}.use"))).each(
        Treated::A_j,
        &names,
        |term, name| named(term, name).given(format!("{name}.floor_area")),
    );
    let basis = Basis::new("rooms by how much they count", "passive-building criteria, treated floor area");
    Ok((area, basis.provenance("from memory, med").step(step)))
}
