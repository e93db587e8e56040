//! Values of assemblies, materials and openings that cannot be.

use mateline_model::home::{Fasteners, Framing, Home, Layer, LayerKind};
use mateline_model::quantity::{Length, Quantity, UnitSystem, Units};
use mateline_model::{Pointer, Problem};

/// The thickest layer that is taken for a layer.
const THICKEST: Length = Length::from_si(10.0);

/// Every problem of the sections this plugin reads.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut found = Vec::new();
    for (id, material) in &home.materials {
        let path = format!("materials.{id}");
        let values = [
            ("conductivity", material.conductivity.map(|value| (value.si() > 0.0, value.to_string()))),
            ("resistance", material.resistance.map(|value| (value.si() >= 0.0, value.to_string()))),
            ("labelled_resistance", material.labelled_resistance.map(|value| (value.si() > 0.0, value.to_string()))),
            ("density", material.density.map(|value| (value.si() > 0.0, value.to_string()))),
        ];
        for (field, value) in values {
            if let Some((false, shown)) = value {
                found.push(problem(&path, field, format!("{path}.{field} is {shown}; it must be above zero")));
            }
        }
    }
    for (id, assembly) in &home.assemblies {
        let path = format!("assemblies.{id}");
        if assembly.layers.is_empty() {
            found.push(problem(&path, "layers", format!("{path} has no layers")));
        }
        for (index, layer) in assembly.layers.iter().enumerate() {
            check_layer(home, &format!("{path}.layers.{index}"), layer, &mut found);
        }
    }
    for (id, opening) in &home.openings {
        let path = format!("openings.{id}");
        if let Some(u) = opening.u_factor.filter(|u| u.si() <= 0.0) {
            found.push(problem(&path, "u_factor", format!("{path}.u_factor is {u}; it must be above zero")));
        }
        if let Some(shgc) = opening.shgc.filter(|shgc| !(0.0..=1.0).contains(&shgc.si())) {
            found.push(problem(&path, "shgc", format!("{path}.shgc is {shgc}; it lies between 0 and 1")));
        }
    }
    found
}

fn check_layer(home: &Home, path: &str, layer: &Layer, found: &mut Vec<Problem>) {
    match layer.kind() {
        Err(message) => found.push(Problem { at: Pointer::new(path), also: Vec::new(), message, help: None }),
        Ok(LayerKind::Material(name, thickness)) => match thickness {
            Some(thickness) => check_depth(path, "thickness", thickness, home.units, found),
            None => {
                let material = home.materials.get(name.as_ref());
                let conducts = material.is_some_and(|m| m.conductivity.is_some() && m.resistance.is_none());
                if conducts {
                    found.push(Problem {
                        help: Some("give the layer a thickness".to_owned()),
                        ..problem(path, "material", format!("{path} has no thickness, and {name} has a conductivity"))
                    });
                }
            }
        },
        Ok(LayerKind::Framed(framing)) => check_framing(&format!("{path}.framed"), framing, home.units, found),
        Ok(LayerKind::AirSpace(depth)) => check_depth(path, "air-space", depth, home.units, found),
        Ok(LayerKind::VentedCavity(depth)) => check_depth(path, "vented-cavity", depth, home.units, found),
    }
    if let Some(level) = layer.gap_level.filter(|level| *level > 2) {
        found.push(problem(path, "gap_level", format!("{path}.gap_level is {level}; the levels are 0, 1 and 2")));
    }
    if let Some(fasteners) = &layer.fasteners {
        check_fasteners(&format!("{path}.fasteners"), fasteners, layer.thickness, home.units, found);
    }
}

fn check_depth(path: &str, field: &str, depth: Length, units: UnitSystem, found: &mut Vec<Problem>) {
    let shown = shown(depth, units);
    if depth.si() <= 0.0 {
        found.push(problem(path, field, format!("{path}.{field} is {shown}; a layer needs a positive depth")));
    } else if depth.si() > THICKEST.si() {
        let most = self::shown(THICKEST, units);
        found.push(problem(path, field, format!("{path}.{field} is {shown}; a layer is at most {most} thick")));
    }
}

/// A length as a person reads it, without idle zeros.
fn shown(length: Length, units: UnitSystem) -> String {
    let text = Units::new("mm", 2, "in", 3).show(Quantity::from(length), units);
    match text.split_once(' ') {
        Some((number, unit)) if number.contains('.') => {
            format!("{} {unit}", number.trim_end_matches('0').trim_end_matches('.'))
        }
        _ => text,
    }
}

fn check_framing(path: &str, framing: &Framing, units: UnitSystem, found: &mut Vec<Problem>) {
    let thickness = framing.size.thickness;
    if framing.spacing.si() <= thickness.si() {
        found.push(problem(
            path,
            "spacing",
            format!(
                "{path}.spacing is {}, no more than the member's own thickness of {}",
                shown(framing.spacing, units),
                shown(thickness, units)
            ),
        ));
    }
    if let Some(fraction) = framing.fraction.filter(|fraction| !(0.0..=1.0).contains(&fraction.si())) {
        found.push(problem(path, "fraction", format!("{path}.fraction is {fraction}; it lies between 0 and 1")));
    }
    if let Some(depth) = framing.header_depth.filter(|depth| depth.si() < 0.0) {
        found.push(problem(path, "header_depth", format!("{path}.header_depth is {depth}; it cannot be negative")));
    }
    check_depth(path, "size", framing.size.depth, units, found);
}

fn check_fasteners(
    path: &str,
    fasteners: &Fasteners,
    layer: Option<Length>,
    units: UnitSystem,
    found: &mut Vec<Problem>,
) {
    let number = fasteners.per_square_metre;
    if !(number.is_finite() && number >= 0.0) {
        found.push(problem(
            path,
            "per_square_metre",
            format!("{path}.per_square_metre is {number}; it cannot be negative"),
        ));
    }
    if fasteners.diameter.si() <= 0.0 {
        let message = format!("{path}.diameter is {}; it must be above zero", fasteners.diameter);
        found.push(problem(path, "diameter", message));
    }
    if let Some(conductivity) = fasteners.conductivity.filter(|value| value.si() <= 0.0) {
        let message = format!("{path}.conductivity is {conductivity}; it must be above zero");
        found.push(problem(path, "conductivity", message));
    }
    if let Some(depth) = fasteners.penetration.filter(|depth| depth.si() <= 0.0) {
        found.push(problem(path, "penetration", format!("{path}.penetration is {depth}; it must be above zero")));
    }
    if let (Some(depth), Some(layer)) = (fasteners.penetration, layer)
        && depth.si() > layer.si() + 1e-9
    {
        let (depth, layer) = (shown(depth, units), shown(layer, units));
        let message = format!("{path}.penetration is {depth}, more than the layer's {layer}");
        found.push(problem(path, "penetration", message));
    }
}

fn problem(path: &str, field: &str, message: String) -> Problem {
    Problem { at: Pointer::new(format!("{path}.{field}")), also: Vec::new(), message, help: None }
}
