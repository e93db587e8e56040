//! What cannot be in the junctions of a home.

use crate::draw;
use mateline_model::home::{Home, JunctionSection};
use mateline_model::quantity::Length;
use mateline_model::{Pointer, Problem};

/// Largest size at a junction (m).
const LARGEST: f64 = 3.0;
/// Most members at a junction.
const MOST_STUDS: u32 = 12;

/// Every problem of the sections that junctions are drawn or given by.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut found = draw::own_problems(home);
    for (id, junction) in &home.junctions {
        let path = format!("junctions.{id}");
        for (number, rectangle) in junction.rectangles.iter().enumerate() {
            known_material(
                home,
                Some(&rectangle.material),
                &format!("{path}.rectangles.{number}.material"),
                &mut found,
            );
        }
        for (number, flank) in junction.flanks.iter().enumerate() {
            if flank.u_factor.si() <= 0.0 {
                let at = format!("{path}.flanks.{number}.u_factor");
                found.push(problem(&at, format!("{at} is {}; it must be above zero", flank.u_factor)));
            }
        }
        if let Some(section) = &junction.section {
            check_section(home, section, &format!("{path}.section"), &mut found);
        }
        if let Some(psi) = junction.psi.filter(|psi| psi.si().abs() > 5.0) {
            let at = format!("{path}.psi");
            found.push(problem(&at, format!("{at} is {psi}; no junction loses or saves more than 5 W/(m·K)")));
        }
    }
    found
}

fn check_section(home: &Home, section: &JunctionSection, path: &str, found: &mut Vec<Problem>) {
    let assemblies = [("wall", &section.wall), ("ceiling", &section.ceiling), ("floor", &section.floor)];
    for (field, id) in assemblies.into_iter().filter_map(|(field, id)| Some((field, id.as_ref()?))) {
        if !home.assemblies.contains_key(id) {
            found.push(problem(&format!("{path}.{field}"), format!("there is no assembly '{id}'")));
        }
    }
    let materials =
        [("gap_fill", &section.gap_fill), ("rim_fill", &section.rim_fill), ("edge_material", &section.edge_material)];
    for (field, name) in materials {
        known_material(home, name.as_ref(), &format!("{path}.{field}"), found);
    }
    let sizes: [(&str, Option<Length>); 12] = [
        ("gap", section.gap),
        ("gasket", section.gasket),
        ("rim_thickness", section.rim_thickness),
        ("rim_insulation", section.rim_insulation),
        ("ceiling_depth", section.ceiling_depth),
        ("eave_depth", section.eave_depth),
        ("buck_thickness", section.buck_thickness),
        ("frame_depth", section.frame_depth),
        ("frame_inset", section.frame_inset),
        ("sill_thickness", section.sill_thickness),
        ("edge_insulation", section.edge_insulation),
        ("edge_depth", section.edge_depth),
    ];
    for (field, size) in sizes.into_iter().filter_map(|(field, size)| Some((field, size?.si()))) {
        if !(0.0..=LARGEST).contains(&size) {
            let at = format!("{path}.{field}");
            found.push(problem(&at, format!("{at} is {size} m; sizes at a junction lie between 0 and {LARGEST} m")));
        }
    }
    if let Some(studs) = section.studs.filter(|studs| *studs > MOST_STUDS) {
        let at = format!("{path}.studs");
        found.push(problem(&at, format!("{at} is {studs}; no more than {MOST_STUDS} members stand at a junction")));
    }
}

fn known_material(home: &Home, name: Option<&mateline_model::home::Name>, at: &str, found: &mut Vec<Problem>) {
    if let Some(name) = name.filter(|name| **name != "air" && !home.materials.contains_key(name.as_ref())) {
        found.push(problem(at, format!("there is no material '{name}'")));
    }
}

fn problem(at: &str, message: String) -> Problem {
    Problem { at: Pointer::new(at), also: Vec::new(), message, help: None }
}
