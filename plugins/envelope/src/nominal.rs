//! Resistance as the trade names it: the insulation alone, with no framing, no films and no boards.

use crate::construction::{Body, Construction, Matter, ResolvedLayer};

impl<'a> Construction<'a> {
    /// Framed layers whose fill is insulation.
    pub(crate) fn cavity_insulation(&self) -> Vec<(&ResolvedLayer<'a>, &Matter<'a>)> {
        self.counting()
            .filter_map(|layer| match &layer.body {
                Body::Framed { cavity, .. } if layer.of.clear().is_some_and(mateline_layers::Matter::insulates) => {
                    Some((layer, cavity))
                }
                _ => None,
            })
            .collect()
    }

    /// Unbroken layers of insulation.
    pub(crate) fn continuous_insulation(&self) -> Vec<(&ResolvedLayer<'a>, &Matter<'a>)> {
        self.counting()
            .filter_map(|layer| match &layer.body {
                Body::Uniform(matter) if layer.of.insulates() => Some((layer, matter)),
                _ => None,
            })
            .collect()
    }
}
