//! Resistance as the trade names it: the insulation alone, with no framing, no films and no boards.

use crate::construction::{Body, Construction, How, Matter, ResolvedLayer};
use mateline_model::home::{MaterialKind, Role};
use mateline_model::quantity::ThermalResistance;

/// A material of no stated kind counts as insulation up to this conductivity (W/(m·K)). Common practice, no source.
const INSULATING: f64 = 0.065;

impl<'a> Construction<'a> {
    /// Framed layers whose fill is insulation.
    pub(crate) fn cavity_insulation(&self) -> Vec<(&ResolvedLayer<'a>, &Matter<'a>)> {
        self.counting()
            .filter_map(|layer| match &layer.body {
                Body::Framed { cavity, .. } if insulates(cavity) => Some((layer, cavity)),
                _ => None,
            })
            .collect()
    }

    /// Unbroken layers of insulation.
    pub(crate) fn continuous_insulation(&self) -> Vec<(&ResolvedLayer<'a>, &Matter<'a>)> {
        self.counting()
            .filter_map(|layer| match &layer.body {
                Body::Uniform(matter)
                    if insulates(matter) || layer.layer.role.iter().any(|role| *role == Role::ContinuousInsulation) =>
                {
                    Some((layer, matter))
                }
                _ => None,
            })
            .collect()
    }
}

/// The sum of such layers.
pub(crate) fn sum(layers: &[(&ResolvedLayer<'_>, &Matter<'_>)]) -> ThermalResistance {
    layers.iter().fold(ThermalResistance::default(), |sum, (_, matter)| sum + matter.resistance)
}

fn insulates(matter: &Matter<'_>) -> bool {
    let Some((_, material)) = matter.material else { return false };
    match (material.kind, matter.how) {
        (Some(MaterialKind::FoamInsulation | MaterialKind::FibreInsulation), _) => true,
        (None, How::Conductivity(conductivity)) => conductivity.si() <= INSULATING,
        _ => false,
    }
}
