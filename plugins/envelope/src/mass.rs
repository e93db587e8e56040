//! Mass per area of an assembly, from densities.

use crate::construction::{self, Construction, ResolvedLayer};
use crate::facts;
use crate::lack::Lack;
use crate::worked::SHARE;
use mateline_layers::Body;
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
        let Some(depth) = layer.of.extent()? else {
            weightless.extend(layer.matter().iter().map(|matter| matter.name));
            continue;
        };
        let Some((density, mut step)) = mean_density(layer)? else { continue };
        let number = layer.of.index + 1;
        let mass = depth * density;
        step = step
            .term(Term::new("d", "depth of the layer", depth, Units::THICKNESS).given(layer.of.path.clone()))
            .result(Term::new(format!("m{number}"), "mass per area", mass, MASS));
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
fn mean_density(layer: &ResolvedLayer<'_>) -> Result<Option<(Density, Step)>, Lack> {
    let number = layer.of.index + 1;
    let term = |symbol: &'static str, matter: &mateline_layers::Matter<'_>| -> Result<Term, Lack> {
        let meaning = format!("density of {}", matter.name());
        Ok(Term::new(symbol, meaning, matter.density()?, Units::DENSITY))
    };
    match (&layer.of.body, &layer.body) {
        (Body::Plain(matter), _) if !matter.is_air() => {
            let step = Step::new(format!("m{number} = ρ d")).term(term("ρ", matter)?);
            Ok(Some((matter.density()?, step)))
        }
        (Body::Framed { fill, member, .. }, construction::Body::Framed { share, .. }) => {
            let fraction = share.as_ref().map_err(Lack::clone)?.fraction();
            let share = Term::new("f", "share of framing", fraction, SHARE).given(format!("{}.framed", layer.of.path));
            let step = Step::new(format!("m{number} = (f ρm + (1 − f) ρc) d"))
                .term(share)
                .term(term("ρm", member)?)
                .term(term("ρc", fill)?);
            Ok(Some((layer.of.density(fraction)?, step)))
        }
        _ => Ok(None),
    }
}
