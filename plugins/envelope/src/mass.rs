//! Mass per area of an assembly, from densities.

use crate::construction::{self, Construction, ResolvedLayer};
use crate::facts;
use mateline_equation::equation;
use mateline_layers::{Body, MeanDensity};
use mateline_model::quantity::{Density, SurfaceMass, Units};
use mateline_model::{Basis, Step};
use mateline_sdk::{Findings, Lack};

const MASS: Units = Units::new("kg/m²", 2, "lb/ft²", 3);

equation! {
    /// Mass per area of a layer. Source: common practice, no source.
    pub(crate) LayerMass = "m = ρ d" {
        m: SurfaceMass "mass per area" [MASS],
        ρ: Density "density" [Units::DENSITY],
        d: Length "depth of the layer" [Units::THICKNESS],
    }

    /// Mass per area of all layers. Source: addition.
    pub(crate) Mass = "m = Σ m_i" {
        m: SurfaceMass "mass per area" [MASS],
        m_i: [SurfaceMass] "mass per area" [MASS],
    }
}

/// The mass per area, of framed layers by their mean density.
pub(crate) fn report(construction: &Construction<'_>, findings: &mut Findings) {
    match of_layers(construction) {
        Ok((total, basis)) => findings.fact(&construction.subject, &facts::SURFACE_MASS, total, basis),
        Err(lack) => findings.missing(&construction.subject, &facts::SURFACE_MASS, lack.because, lack.at),
    }
}

fn of_layers(construction: &Construction<'_>) -> Result<(SurfaceMass, Basis), Lack> {
    let mut basis = Basis::new("sum of density times depth", "common practice, no source")
        .provenance("densities from memory where they come from the material library");
    let (mut masses, mut numbers, mut weightless) = (Vec::new(), Vec::new(), Vec::new());
    for layer in &construction.layers {
        let Some(depth) = layer.of.extent()? else {
            weightless.extend(layer.matter().iter().map(|matter| matter.name));
            continue;
        };
        let Some((density, named, mean)) = mean_density(layer)? else { continue };
        let number = layer.of.index + 1;
        let (mass, step) = LayerMass { ρ: density, d: depth }.step();
        let step = step.given(LayerMass::d, layer.of.path.clone()).meaning(LayerMass::ρ, named);
        basis = mean.into_iter().fold(basis, Basis::step).step(step.named(LayerMass::m, format!("m{number}")));
        masses.push(mass);
        numbers.push(number.to_string());
    }
    if !weightless.is_empty() {
        basis = basis.assuming(format!("layers of no given thickness weigh nothing: {}", weightless.join(", ")));
    }
    let (total, step) = Mass { m_i: &masses }.step();
    Ok((total, basis.step(step.written("i", &numbers))))
}

/// A layer's mean density, what it is called, and of a framed layer the step that finds it; none for air.
fn mean_density(layer: &ResolvedLayer<'_>) -> Result<Option<(Density, String, Option<Step>)>, Lack> {
    let density_of = |matter: &mateline_layers::Matter<'_>| format!("density of {}", matter.name());
    match (&layer.of.body, &layer.body) {
        (Body::Plain(matter), _) if !matter.is_air() => Ok(Some((matter.density()?, density_of(matter), None))),
        (Body::Framed { fill, member, .. }, construction::Body::Framed { share, .. }) => {
            let f = share.as_ref().map_err(Lack::clone)?.fraction();
            let (density, step) = MeanDensity { f, ρm: member.density()?, ρc: fill.density()? }.step();
            let step = step
                .given(MeanDensity::f, format!("{}.framed", layer.of.path))
                .meaning(MeanDensity::ρm, density_of(member))
                .meaning(MeanDensity::ρc, density_of(fill));
            Ok(Some((density, "mean density".to_owned(), Some(step))))
        }
        _ => Ok(None),
    }
}
