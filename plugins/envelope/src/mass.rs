//! Mass per area of an assembly, from densities.

use crate::construction::{Body, Construction, Lack, Matter, ResolvedLayer};
use crate::facts;
use crate::worked::SHARE;
use mateline_model::home::MaterialKind;
use mateline_model::quantity::{Density, SurfaceMass, Units};
use mateline_model::{Basis, Step, Term};
use mateline_sdk::Findings;

const MASS: Units = Units::new("kg/m²", 2, "lb/ft²", 3);

/// `m = Σ ρ d`, with `ρ` the density (kg/m³) and `d` the depth (m) of each layer; in a framed layer
/// `ρ = f ρ_m + (1 − f) ρ_c`, with `f` the share of framing. Common practice, no source.
pub(crate) fn report(construction: &Construction<'_>, findings: &mut Findings) {
    match of_layers(construction) {
        Ok((total, basis)) => findings.fact(&construction.subject, &facts::SURFACE_MASS, total, basis),
        Err(lack) => findings.missing(&construction.subject, &facts::SURFACE_MASS, lack.because, lack.at),
    }
}

fn of_layers(construction: &Construction<'_>) -> Result<(SurfaceMass, Basis), Lack> {
    let mut basis = Basis::new("sum of density times depth", "common practice, no source")
        .provenance("densities from memory where they come from the material library");
    let mut sum = Step::new("m = Σ m_i");
    let mut total = SurfaceMass::default();
    let mut weightless = Vec::new();
    for layer in &construction.layers {
        let path = format!("assemblies.{}.layers.{}", construction.id, layer.index);
        let Some(depth) = layer.depth else {
            if layer.matter().iter().all(|matter| is_sheet(matter)) {
                weightless.extend(layer.matter().iter().map(|matter| matter.name.clone()));
                continue;
            }
            return Err(Lack::at(format!("{path} has no thickness to weigh"), path));
        };
        let Some((density, mut step)) = mean_density(layer, &path)? else { continue };
        let number = layer.index + 1;
        let mass = depth * density;
        step = step.term(Term::new("d", "depth of the layer", depth, Units::THICKNESS).given(path)).result(Term::new(
            format!("m{number}"),
            "mass per area",
            mass,
            MASS,
        ));
        basis = basis.step(step);
        sum = sum.term(Term::new(format!("m{number}"), "mass per area", mass, MASS));
        total = total + mass;
    }
    if !weightless.is_empty() {
        basis = basis.assuming(format!("layers of no given thickness weigh nothing: {}", weightless.join(", ")));
    }
    Ok((total, basis.step(sum.result(Term::new("m", "mass per area", total, MASS)))))
}

/// A layer's mean density and the step that starts from it; none for air.
fn mean_density(layer: &ResolvedLayer<'_>, path: &str) -> Result<Option<(Density, Step)>, Lack> {
    let number = layer.index + 1;
    match &layer.body {
        Body::Vented => Ok(None),
        Body::Uniform(matter) if matter.material.is_none() => Ok(None),
        Body::Uniform(matter) => {
            let density = density_of(matter)?;
            let term = Term::new("ρ", format!("density of {}", matter.name), density, Units::DENSITY);
            Ok(Some((density, Step::new(format!("m{number} = ρ d")).term(term))))
        }
        Body::Framed { cavity, member, share, .. } => {
            let fraction = share.as_ref().map_err(Lack::clone)?.fraction();
            let (of_member, of_cavity) = (density_of(member)?, density_of(cavity)?);
            let density = of_member * fraction.si() + of_cavity * (1.0 - fraction.si());
            let step = Step::new(format!("m{number} = (f ρm + (1 − f) ρc) d"))
                .term(Term::new("f", "share of framing", fraction, SHARE).given(format!("{path}.framed")))
                .term(Term::new("ρm", format!("density of {}", member.name), of_member, Units::DENSITY))
                .term(Term::new("ρc", format!("density of {}", cavity.name), of_cavity, Units::DENSITY));
            Ok(Some((density, step)))
        }
    }
}

fn density_of(matter: &Matter<'_>) -> Result<Density, Lack> {
    match matter.material {
        None => Ok(Density::default()),
        Some((id, material)) => material
            .density
            .ok_or_else(|| Lack::at(format!("materials.{id} has no density"), format!("materials.{id}"))),
    }
}

fn is_sheet(matter: &Matter<'_>) -> bool {
    matter
        .material
        .is_some_and(|(_, material)| matches!(material.kind, Some(MaterialKind::Membrane | MaterialKind::Finish)))
}
