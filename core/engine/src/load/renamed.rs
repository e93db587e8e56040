//! Materials under a name they had before.

use mateline_model::Home;
use mateline_model::home::{Elements, Id, Material, Name};
use std::collections::BTreeMap;

/// The old names that no material has now, each with the new one.
pub(super) fn old_names(home: &Home) -> BTreeMap<Id, Id> {
    let mut old = BTreeMap::new();
    for (id, material) in &home.materials {
        let formerly = material.formerly.as_ref().and_then(|formerly| formerly.parse::<Id>().ok());
        if let Some(formerly) = formerly.filter(|formerly| !home.materials.contains_key(formerly)) {
            old.insert(formerly, id.clone());
        }
    }
    old
}

/// Gives the home a material under its old name wherever it uses that, and says where, with the new name. A material of the
/// home's own that has the old name is left alone.
pub(super) fn take_up(home: &mut Home, old: &BTreeMap<Id, Id>) -> Vec<(String, String)> {
    let mut told = Vec::new();
    let mut used: Elements<Material> = Elements::new();
    for (path, name) in names(home) {
        let Some((formerly, new)) = old.get_key_value(name.as_ref()) else { continue };
        told.push((path, format!("the material '{formerly}' is called '{new}' now; the old name is still read")));
        if let Some(material) = home.materials.get(new) {
            used.insert(formerly.clone(), material.clone());
        }
    }
    home.materials.extend(used);
    told
}

/// Every place that names a material.
fn names(home: &Home) -> Vec<(String, &Name)> {
    let mut found = Vec::new();
    for (id, assembly) in &home.assemblies {
        for (index, layer) in assembly.layers.iter().enumerate() {
            let path = format!("assemblies.{id}.layers.{index}");
            found.extend(layer.material.iter().map(|name| (format!("{path}.material"), name)));
            if let Some(framed) = &layer.framed {
                found.push((format!("{path}.framed.member"), &framed.member));
                found.push((format!("{path}.framed.fill"), &framed.fill));
            }
        }
    }
    for (id, junction) in &home.junctions {
        let path = format!("junctions.{id}");
        if let Some(section) = &junction.section {
            for (field, name) in [
                ("gap_fill", &section.gap_fill),
                ("rim_fill", &section.rim_fill),
                ("edge_material", &section.edge_material),
            ] {
                found.extend(name.iter().map(|name| (format!("{path}.section.{field}"), name)));
            }
        }
        for (index, rectangle) in junction.rectangles.iter().enumerate() {
            found.push((format!("{path}.rectangles.{index}.material"), &rectangle.material));
        }
    }
    found
}
