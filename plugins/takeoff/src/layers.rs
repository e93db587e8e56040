//! Layers: how far an assembly reaches into a box, and what it weighs.

use crate::basis::sum;
use mateline_layers::framing::{Known, Share};
use mateline_layers::{Body, Layer, Layers, Matter};
use mateline_model::home::{Assembly, Home, Id};
use mateline_model::quantity::{Density, Length, Ratio, UnitSystem, Units};
use mateline_model::{Step, Term};
use mateline_sdk::Lack;
use std::collections::BTreeMap;

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
            None => Err(Lack::at(format!("there is no assembly {id}"), "assemblies")),
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
    /// The thickness of each layer, with its place in the home.
    pub terms: Vec<Term>,
}

/// The layers between the inner surface and the face of the box, as [`mateline_layers::face`] tells them.
pub fn inward(home: &Home, id: &Id, assembly: &Assembly) -> Result<Inward, Lack> {
    let mut terms = Vec::new();
    for layer in Layers::of(home, id, assembly)?.inside_face() {
        let Some(depth) = layer.extent()? else { continue };
        let meaning = match &layer.body {
            Body::Framed { .. } => "depth of the framing".to_owned(),
            Body::Plain(matter) if !matter.is_air() => format!("thickness of {}", matter.id),
            Body::Plain(_) | Body::Vented(_) => "air space".to_owned(),
        };
        terms.push(Term::new("", meaning, depth, Units::THICKNESS).given(layer.depth_path()));
    }
    let thickness = terms.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).sum();
    Ok(Inward { thickness, terms })
}

/// How an assembly stands on a box whose weight is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Weighed {
    /// Whether only the layers inside the face of the box count.
    pub inside: bool,
    /// Whether it is a floor or ceiling there, and no wall.
    pub flat: bool,
}

/// Mass per area (kg/m²) of an assembly, or of its part inside the face of a box.
///
/// `m = Σ ρ·d`; for a framed layer `m = d·(f·ρ_member + (1 - f)·ρ_fill)`, with `f` the share that is framing, counted from
/// `known` where it is not given. Air has no mass; a coating or membrane without a thickness is left out.
pub fn surface_mass(
    home: &Home,
    id: &Id,
    assembly: &Assembly,
    part: Weighed,
    known: &Known<'_>,
) -> Result<(f64, Vec<Term>), Lack> {
    let mut terms = Vec::new();
    let layers = Layers::of(home, id, assembly)?;
    for layer in if part.inside { layers.inside_face() } else { &layers.all } {
        let Some(depth) = layer.extent()? else { continue };
        if layer.clear().is_none_or(Matter::is_air) && layer.framing().is_none() {
            continue;
        }
        let of = |framing| Share::of(home, id, part.flat, framing, &layer.path, known).map(|share| share.fraction());
        let share = layer.framing().map(of).transpose()?.unwrap_or_default();
        let mass = depth * layer.density(share)?;
        let words = weighed(layer, depth, share, home.units)?;
        terms.push(Term::new("", words, mass, Units::SURFACE_MASS).given(layer.path.clone()));
    }
    let mass = terms.iter().filter_map(|term| term.value.number()).map(|quantity| quantity.si).sum();
    Ok((mass, terms))
}

/// A layer with its depth and densities, in words.
fn weighed(layer: &Layer<'_>, depth: Length, share: Ratio, units: UnitSystem) -> Result<String, Lack> {
    let depth = Units::THICKNESS.show(depth.into(), units);
    let dense = |density: Density| Units::DENSITY.show(density.into(), units);
    Ok(match &layer.body {
        Body::Framed { framing, fill, member } => format!(
            "{depth} deep, {} % ({}) {} of {}, the rest {} of {}",
            (share.si() * 1e3).round() / 10.0,
            if framing.fraction.is_some() { "given" } else { "counted" },
            member.id,
            dense(member.density()?),
            fill.id,
            dense(fill.density()?)
        ),
        Body::Plain(matter) => format!("{}, {depth} of {}", matter.id, dense(matter.density()?)),
        Body::Vented(_) => depth,
    })
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

    fn mass(home: &Home, id: &Id, assembly: &Assembly, inside: bool) -> Result<(f64, Vec<Term>), Lack> {
        let flat = mateline_layers::framing::lies_flat(assembly.kind);
        surface_mass(home, id, assembly, Weighed { inside, flat }, &|_, _| None)
    }

    fn close(value: f64, wanted: f64) {
        assert!((value - wanted).abs() < 1e-9, "{value} against {wanted}");
    }

    fn studs() -> Value {
        json!({ "framed": { "member": "wood", "size": "38 mm x 140 mm", "spacing": "400 mm", "fill": "fill", "fraction": 0.25 } })
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
        close(mass(&home, &id, &wall, true).unwrap().0, 37.6);
        close(mass(&home, &id, &wall, false).unwrap().0, 37.6 + 1.6 + 4.8);
    }

    /// The same studs, of which the home does not say the share.
    fn uncounted() -> Value {
        let mut studs = studs();
        studs["framed"].as_object_mut().unwrap().remove("fraction");
        studs
    }

    /// Members at 400 mm in boxes of 10 m x 4 m: 38/400 of the plan, and rims of 38 mm along 28 m of 40 m²; 9.5 + 2.66 %.
    #[test]
    fn a_floor_weighs_as_its_members_are_counted() {
        let (mut home, id, floor) = read("floor", json!([uncounted()]));
        let size = json!({ "x": "10 m", "y": "4 m", "z": "3 m" });
        let modules = json!({ "A": { "level": 1, "at": { "x": "0 m", "y": "0 m" }, "size": size } });
        home.modules = serde_json::from_value(modules).unwrap();
        let share = 38.0 / 400.0 + 0.038 * 28.0 / 40.0;
        close(mass(&home, &id, &floor, false).unwrap().0, 0.14 * (share * 500.0 + (1.0 - share) * 60.0));
    }

    /// A wall of which the take-off knows nothing cannot be counted.
    #[test]
    fn a_wall_that_cannot_be_counted_has_no_mass() {
        let (home, id, wall) = read("wall", json!([uncounted()]));
        let because = mass(&home, &id, &wall, false).unwrap_err().because;
        assert!(because.contains("has no framed.fraction, and takeoff.run_length of assemblies.wall"), "{because}");
    }

    #[test]
    fn what_is_missing_is_named() {
        let (home, id, wall) = read("wall", json!([{ "material": "board" }]));
        assert_eq!(inward(&home, &id, &wall).unwrap_err().because, "assemblies.wall.layers.0 (board) has no thickness");
        let (home, id, wall) = read("wall", json!([{ "material": "bare", "thickness": "9 mm" }]));
        assert_eq!(mass(&home, &id, &wall, false).unwrap_err().because, "materials.bare has no density");
        let (home, id, wall) = read("wall", json!([{ "material": "glass", "thickness": "9 mm" }]));
        let because = mass(&home, &id, &wall, false).unwrap_err().because;
        assert_eq!(because, "assemblies.wall.layers.0 names glass, which is no known material");
    }
}
