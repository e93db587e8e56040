//! What covers foam on the side of the rooms, and what keeps rain out behind the cladding.

use crate::construction::Construction;
use crate::facts;
use mateline_equation::equation;
use mateline_layers::Matter;
use mateline_model::home::{MaterialKind, Role};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Basis, Pointer, Step, Term, Value};
use mateline_sdk::Findings;

equation! {
    /// Cover between the rooms and the innermost foam. Source: geometry of the layers.
    pub(crate) Cover = "d = Σ d_i" {
        d: Length "cover over the foam" [Units::THICKNESS],
        d_i: [Length] "a board, wood or masonry" [Units::THICKNESS],
    }
}

/// Foam, its cover, and the water barrier.
pub(crate) fn report(construction: &Construction<'_>, findings: &mut Findings) {
    foam(construction, findings);
    water(construction, findings);
}

fn foam(construction: &Construction<'_>, findings: &mut Findings) {
    let subject = &construction.subject;
    let kind = |layer: &mateline_layers::Layer<'_>| layer.clear().and_then(Matter::kind);
    let layers = || construction.layers.iter().map(|layer| &layer.of);
    let first = layers().position(|layer| kind(layer) == Some(MaterialKind::FoamInsulation));
    let named = |path: String| {
        Step::procedure("foam").term(
            Term::new("foam", "a layer is foam insulation", Value::Flag(first.is_some()), Units::plain(0)).given(path),
        )
    };
    let path = |index: usize| format!("assemblies.{}.layers.{index}", construction.id);
    let at = first.map_or_else(|| format!("assemblies.{}.layers", construction.id), path);
    let basis = Basis::new("kind of each layer's material", "the home").step(named(at));
    findings.flag(subject, &facts::HOLDS_FOAM, first.is_some(), basis);
    outside_concrete(construction, findings);
    let Some(first) = first else {
        return findings.missing(subject, &facts::COVER_OVER_FOAM, format!("{subject} holds no foam"), None);
    };
    let covers = |layer: &&mateline_layers::Layer<'_>| {
        matches!(kind(layer), Some(MaterialKind::Board | MaterialKind::Wood | MaterialKind::Masonry))
    };
    let inside: Vec<_> = layers().take(first).filter(covers).filter(|layer| layer.depth().is_some()).collect();
    let depths: Vec<Length> = inside.iter().filter_map(|layer| layer.depth()).collect();
    let numbers: Vec<String> = inside.iter().map(|layer| (layer.index + 1).to_string()).collect();
    let (cover, step) = Cover { d_i: &depths }.step();
    let step = step.each(Cover::d_i, inside, |term, layer| term.given(layer.path.clone())).written("i", &numbers);
    let basis = Basis::new("layers inward of the foam", "geometry of the layers").step(step);
    findings.fact_at(subject, &facts::COVER_OVER_FOAM, cover, basis, Pointer::new(path(first)));
}

/// Foam that lies towards the soil of the outermost concrete or masonry.
fn outside_concrete(construction: &Construction<'_>, findings: &mut Findings) {
    let subject = &construction.subject;
    let of_kind = |layer: &mateline_layers::Layer<'_>, kind| layer.clear().and_then(Matter::kind) == Some(kind);
    let layers = || construction.layers.iter().map(|layer| &layer.of);
    let concrete = layers().rposition(|layer| of_kind(layer, MaterialKind::Masonry));
    let foam = concrete.and_then(|at| layers().skip(at + 1).find(|layer| of_kind(layer, MaterialKind::FoamInsulation)));
    let path = foam.map_or_else(|| format!("assemblies.{}.layers", construction.id), |layer| layer.path.clone());
    let term =
        Term::new("foam", "foam outside of the concrete", Value::Flag(foam.is_some()), Units::plain(0)).given(path);
    let basis = Basis::new("layers outward of the concrete", "the home").step(Step::procedure("foam").term(term));
    findings.flag(subject, &facts::FOAM_OUTSIDE_CONCRETE, foam.is_some(), basis);
}

fn water(construction: &Construction<'_>, findings: &mut Findings) {
    let subject = &construction.subject;
    match construction.layers.iter().find(|layer| layer.of.has(Role::WaterBarrier)) {
        Some(layer) => {
            let term = Term::new("role", "keeps rain out", Value::Flag(true), Units::plain(0));
            let step = Step::procedure("role").term(term.given(format!("{}.role", layer.of.path)));
            let basis = Basis::new("roles of the layers", "the home").step(step);
            findings.flag(subject, &facts::WATER_BARRIER, true, basis);
        }
        None => {
            let at = Some(Pointer::new(subject.as_str()));
            findings.missing(subject, &facts::WATER_BARRIER, "no layer has the role water-barrier", at);
        }
    }
}
