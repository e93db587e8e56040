//! Layers: how far an assembly reaches into a box, and what it weighs.
//!
//! A box is measured over its framing and sheathing. What an assembly has outside that (insulation, cavity, cladding)
//! stands outside the box's size.

use crate::basis::{Lack, sum};
use indexmap::IndexMap;
use mateline_model::home::{Assembly, AssemblyKind, Framing, Home, Id, LayerKind, Material, MaterialKind, Role};
use mateline_model::quantity::{Density, Length, Ratio, SurfaceMass, Units};
use mateline_model::{Step, Term};
use std::collections::BTreeMap;

/// A layer of unknown kind next outside the framing is sheathing up to this thickness (m): 1 in.
const SHEATHING: f64 = 0.0254;
/// Share of a framed layer that is framing, where the home does not say: about what a wall of studs at 16 in has
/// (common practice, no source).
const FRAMING_SHARE: f64 = 0.25;

/// The part of each of the home's assemblies inside the face of a box.
pub struct Thicknesses<'a>(BTreeMap<&'a Id, Result<Inward, Lack>>);

impl<'a> Thicknesses<'a> {
    /// Of all assemblies of a home.
    pub fn of(home: &'a Home) -> Thicknesses<'a> {
        Thicknesses(home.assemblies.iter().map(|(id, assembly)| (id, inward(home, id, assembly))).collect())
    }

    /// Of one assembly.
    pub fn get(&self, id: &Id) -> Result<&Inward, Lack> {
        match self.0.get(id) {
            Some(Ok(inward)) => Ok(inward),
            Some(Err(lack)) => Err(lack.clone()),
            None => Err(Lack::new(format!("there is no assembly {id}"), "assemblies")),
        }
    }

    /// The thickness of one assembly as a worked sum of its layers.
    pub fn step(&self, id: &Id) -> Option<Step> {
        let inward = self.get(id).ok()?;
        let meaning = format!("thickness of {id} inside the face of the box");
        let result = Term::new("t", meaning, Length::from_si(inward.thickness), Units::THICKNESS);
        Some(sum(result, inward.terms.clone()))
    }
}

/// The part of an assembly inside the face of a box.
#[derive(Clone, Debug, PartialEq)]
pub struct Inward {
    /// Its thickness (m).
    pub thickness: f64,
    /// How many layers it has, counted from inside.
    pub layers: usize,
    /// The thickness of each layer, with its place in the home.
    pub terms: Vec<Term>,
}

/// The layers between the inner surface and the face of the box.
///
/// Of a framed assembly: all up to the outermost framed layer, and the sheathing next outside it (a board or wood that
/// is not marked as continuous insulation). Of a foundation or mass wall: all up to the outermost masonry. Of any
/// other: all. A ventilated cavity and what lies outside it never count.
pub fn inward(home: &Home, id: &Id, assembly: &Assembly) -> Result<Inward, Lack> {
    let kinds = kinds(id, assembly)?;
    let inside = kinds.iter().position(|kind| matches!(kind, LayerKind::VentedCavity(_))).unwrap_or(kinds.len());
    let last = |test: &dyn Fn(&LayerKind<'_>) -> bool| kinds.iter().take(inside).rposition(test);
    let masonry = |kind: &LayerKind<'_>| match kind {
        LayerKind::Material(name, _) => material_kind(home, name) == Some(MaterialKind::Masonry),
        _ => false,
    };
    let heavy = matches!(assembly.kind, AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::MassWall);
    let framed = last(&|kind| matches!(kind, LayerKind::Framed(_)));
    let count = match (if heavy { last(&masonry) } else { None }, framed) {
        (Some(masonry), _) => masonry + 1,
        (None, Some(framed)) if framed + 1 < inside && is_sheathing(home, assembly, &kinds, framed + 1) => framed + 2,
        (None, Some(framed)) => framed + 1,
        (None, None) => inside,
    };
    let mut terms = Vec::new();
    for (position, kind) in kinds.iter().take(count).enumerate() {
        let path = format!("assemblies.{id}.layers.{position}");
        let (depth, field, meaning) = match kind {
            LayerKind::Framed(framing) => (framing.size.depth, "framed.size", "depth of the framing".to_owned()),
            LayerKind::AirSpace(depth) => (*depth, "air-space", "air space".to_owned()),
            LayerKind::VentedCavity(depth) => (*depth, "vented-cavity", "cavity".to_owned()),
            LayerKind::Material(name, Some(thickness)) => (*thickness, "thickness", format!("thickness of {name}")),
            LayerKind::Material(name, None) if is_thin(home, name) => continue,
            LayerKind::Material(name, None) => {
                return Err(Lack::new(format!("{path} ({name}) has no thickness"), path));
            }
        };
        terms.push(Term::new("", meaning, depth, Units::THICKNESS).given(format!("{path}.{field}")));
    }
    let thickness = terms.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).sum();
    Ok(Inward { thickness, layers: count, terms })
}

fn is_sheathing(home: &Home, assembly: &Assembly, kinds: &[LayerKind<'_>], position: usize) -> bool {
    let roles = assembly.layers.get(position).map(|layer| &layer.role);
    let insulates = roles.is_some_and(|roles| roles.iter().any(|role| *role == Role::ContinuousInsulation));
    match kinds.get(position) {
        Some(LayerKind::Material(name, thickness)) if !insulates => match material_kind(home, name) {
            Some(MaterialKind::Board | MaterialKind::Wood) => true,
            Some(_) => false,
            None => thickness.is_some_and(|thickness| thickness.si() <= SHEATHING),
        },
        _ => false,
    }
}

/// Mass per area (kg/m²) of the innermost layers of an assembly.
///
/// `m = Σ ρ·d`; for a framed layer `m = d·(f·ρ_member + (1 - f)·ρ_fill)`, with `f` the share that is framing. Air has
/// no mass; a coating or membrane without a thickness is left out.
pub fn surface_mass(home: &Home, id: &Id, assembly: &Assembly, layers: usize) -> Result<(f64, Vec<Term>), Lack> {
    let mut terms = Vec::new();
    for (position, kind) in kinds(id, assembly)?.iter().take(layers).enumerate() {
        let path = format!("assemblies.{id}.layers.{position}");
        let (mass, meaning) = match kind {
            LayerKind::AirSpace(_) | LayerKind::VentedCavity(_) => continue,
            LayerKind::Material(name, None) if is_thin(home, name) => continue,
            LayerKind::Material(name, None) => {
                return Err(Lack::new(format!("{path} ({name}) has no thickness"), path));
            }
            LayerKind::Material(name, Some(thickness)) => {
                let density = density(home, name, &path)?;
                (*thickness * density, format!("{name}, {} of {}", thick(home, *thickness), dense(home, density)))
            }
            LayerKind::Framed(framing) => framed_mass(home, framing, &path)?,
        };
        terms.push(Term::new("", meaning, mass, SURFACE).given(path));
    }
    let mass = terms.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).sum();
    Ok((mass, terms))
}

/// How masses per area are shown.
pub const SURFACE: Units = Units::new("kg/m²", 1, "lb/ft²", 2);

fn framed_mass(home: &Home, framing: &Framing, path: &str) -> Result<(SurfaceMass, String), Lack> {
    let share = framing.fraction.map_or(FRAMING_SHARE, Ratio::si);
    let member = density(home, &framing.member, path)?;
    let fill = if framing.fill == "air" { Density::from_si(0.0) } else { density(home, &framing.fill, path)? };
    let said = if framing.fraction.is_some() { "given" } else { "assumed" };
    let meaning = format!(
        "{} deep, {} % ({said}) {} of {}, the rest {} of {}",
        thick(home, framing.size.depth),
        (share * 1e3).round() / 10.0,
        framing.member,
        dense(home, member),
        framing.fill,
        dense(home, fill)
    );
    Ok((framing.size.depth * (member * share + fill * (1.0 - share)), meaning))
}

fn thick(home: &Home, thickness: Length) -> String {
    Units::THICKNESS.show(thickness.into(), home.units)
}

fn dense(home: &Home, density: Density) -> String {
    Units::DENSITY.show(density.into(), home.units)
}

fn density(home: &Home, name: &str, path: &str) -> Result<Density, Lack> {
    let material = material(home, name)
        .ok_or_else(|| Lack::new(format!("there is no material {name} to take a density from"), path))?;
    material.density.ok_or_else(|| Lack::new(format!("the material {name} has no density"), path))
}

fn kinds<'a>(id: &Id, assembly: &'a Assembly) -> Result<Vec<LayerKind<'a>>, Lack> {
    let kind = |(position, layer): (usize, &'a mateline_model::home::Layer)| {
        let path = format!("assemblies.{id}.layers.{position}");
        layer.kind().map_err(|because| Lack::new(format!("{path}: {because}"), path))
    };
    assembly.layers.iter().enumerate().map(kind).collect()
}

fn material<'a>(home: &'a Home, name: &str) -> Option<&'a Material> {
    let materials: &IndexMap<Id, Material> = &home.materials;
    materials.get(name)
}

fn material_kind(home: &Home, name: &str) -> Option<MaterialKind> {
    material(home, name)?.kind
}

/// Whether a layer of this material has no thickness to speak of.
fn is_thin(home: &Home, name: &str) -> bool {
    matches!(material_kind(home, name), Some(MaterialKind::Membrane | MaterialKind::Finish))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;
    use crate::samples::home;
    use serde_json::{Value, json};

    fn materials() -> Value {
        let material = |kind: &str, density: f64| {
            let density = format!("{density} kg/m³");
            json!({ "kind": kind, "density": density, "source": "invented" })
        };
        json!({
            "board": material("board", 600.0), "wood": material("wood", 500.0),
            "fill": material("fibre-insulation", 60.0), "foam": material("foam-insulation", 20.0),
            "concrete": material("masonry", 2400.0),
            "paint": { "kind": "finish", "source": "invented" }, "bare": { "kind": "board", "source": "invented" },
        })
    }

    fn read(kind: &str, layers: Value) -> (Home, Id, Assembly) {
        let home =
            home(json!({ "materials": materials(), "assemblies": { "wall": { "kind": kind, "layers": layers } } }));
        let (id, assembly) = home.assemblies.first().map(|(id, assembly)| (id.clone(), assembly.clone())).unwrap();
        (home, id, assembly)
    }

    fn close(value: f64, wanted: f64) {
        assert!((value - wanted).abs() < 1e-9, "{value} against {wanted}");
    }

    fn studs() -> Value {
        json!({ "framed": { "member": "wood", "size": "38 mm x 140 mm", "spacing": "400 mm", "fill": "fill" } })
    }

    /// Paint, 12 mm board, 140 mm studs and 11 mm sheathing lie inside the box's face; foam, cavity and cladding
    /// outside. Mass of these: 0.012·600 + 0.14·(0.25·500 + 0.75·60) + 0.011·600 = 7.2 + 23.8 + 6.6.
    #[test]
    fn a_framed_wall_reaches_to_its_sheathing() {
        let (home, id, wall) = read(
            "wall",
            json!([
                { "material": "paint" }, { "material": "board", "thickness": "12 mm" }, studs(),
                { "material": "board", "thickness": "11 mm" }, { "material": "foam", "thickness": "80 mm" },
                { "vented-cavity": "20 mm" }, { "material": "board", "thickness": "8 mm" },
            ]),
        );
        let inward = inward(&home, &id, &wall).unwrap();
        close(inward.thickness, 0.163);
        assert_eq!(inward.layers, 4);
        close(surface_mass(&home, &id, &wall, inward.layers).unwrap().0, 37.6);
        close(surface_mass(&home, &id, &wall, 7).unwrap().0, 37.6 + 1.6 + 4.8);
    }

    /// Foam right outside the framing is no sheathing, however thin.
    #[test]
    fn insulation_is_no_sheathing() {
        let (home, id, wall) = read("wall", json!([studs(), { "material": "foam", "thickness": "20 mm" }]));
        close(inward(&home, &id, &wall).unwrap().thickness, 0.14);
    }

    /// A basement wall reaches to the outside of its concrete, over framing in front of it.
    #[test]
    fn a_basement_wall_reaches_to_its_masonry() {
        let foam = json!({ "material": "foam", "thickness": "50 mm" });
        let layers = json!([studs(), { "material": "concrete", "thickness": "200 mm" }, foam]);
        let (home, id, wall) = read("basement-wall", layers);
        close(inward(&home, &id, &wall).unwrap().thickness, 0.34);
    }

    #[test]
    fn what_is_missing_is_named() {
        let (home, id, wall) = read("wall", json!([{ "material": "board" }]));
        assert_eq!(inward(&home, &id, &wall).unwrap_err().because, "assemblies.wall.layers.0 (board) has no thickness");
        let (home, id, wall) = read("wall", json!([{ "material": "bare", "thickness": "9 mm" }]));
        assert_eq!(surface_mass(&home, &id, &wall, 9).unwrap_err().because, "the material bare has no density");
        let (home, id, wall) = read("wall", json!([{ "material": "glass", "thickness": "9 mm" }]));
        let because = surface_mass(&home, &id, &wall, 9).unwrap_err().because;
        assert_eq!(because, "there is no material glass to take a density from");
    }
}
