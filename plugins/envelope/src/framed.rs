//! A component as the framed methods see it: layers, some of them cut through by framing, and the sections that follow.

use mateline_layers::in_series;
use mateline_model::quantity::{Ratio, ThermalResistance};
use std::fmt;

/// More framed layers than this make too many sections to list; no real construction comes near it.
pub const MOST_FRAMED_LAYERS: usize = 6;

/// A layer's resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LayerResistance {
    /// The same everywhere.
    Uniform(ThermalResistance),
    /// Different through the cavity and through the member.
    Framed {
        /// Resistance through what fills the space between members.
        cavity: ThermalResistance,
        /// Resistance through the member.
        member: ThermalResistance,
        /// Share of the face that is framing.
        fraction: Ratio,
    },
}

/// Layers from inside to outside with the surface resistances on both sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// `Rsi`.
    pub inner: ThermalResistance,
    /// The layers.
    pub layers: Vec<LayerResistance>,
    /// `Rse`.
    pub outer: ThermalResistance,
}

/// One straight way through the component.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its share of the face, `f_k`.
    pub fraction: Ratio,
    /// Its resistance from surface to surface, `R_k`, both surface resistances included.
    pub resistance: ThermalResistance,
    /// For each framed layer, whether the section goes through the member.
    pub through_members: Vec<bool>,
}

/// Why a component has no list of sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooManyFramedLayers(pub usize);

impl fmt::Display for TooManyFramedLayers {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} framed layers are more than the {MOST_FRAMED_LAYERS} that can be combined", self.0)
    }
}

impl Component {
    /// Every section, through the cavities first. Where several layers are framed, their members are taken to lie
    /// independently of each other, so that shares multiply: `f_k = Π f_j`.
    ///
    /// # Errors
    /// [`TooManyFramedLayers`].
    pub fn sections(&self) -> Result<Vec<Section>, TooManyFramedLayers> {
        let framed = self.layers.iter().filter(|layer| matches!(layer, LayerResistance::Framed { .. })).count();
        if framed > MOST_FRAMED_LAYERS {
            return Err(TooManyFramedLayers(framed));
        }
        let mut ways = vec![Way { share: Ratio::from_si(1.0), layers: Vec::new(), through_members: Vec::new() }];
        for layer in &self.layers {
            match *layer {
                LayerResistance::Uniform(resistance) => ways.iter_mut().for_each(|way| way.layers.push(resistance)),
                LayerResistance::Framed { cavity, member, fraction } => {
                    let parts = [(false, cavity, 1.0 - fraction.si()), (true, member, fraction.si())];
                    let split = |way: &Way| parts.map(|(is_member, more, share)| way.split(is_member, more, share));
                    ways = ways.iter().flat_map(split).collect();
                }
            }
        }
        let section = |way: Way| Section {
            fraction: way.share,
            resistance: in_series(self.inner, way.layers, self.outer),
            through_members: way.through_members,
        };
        Ok(ways.into_iter().map(section).collect())
    }

    /// Resistance from surface to surface through every cavity, as if there were no framing.
    pub fn clear(&self) -> ThermalResistance {
        let layers = self.layers.iter().map(|layer| match *layer {
            LayerResistance::Uniform(resistance) => resistance,
            LayerResistance::Framed { cavity, .. } => cavity,
        });
        in_series(self.inner, layers, self.outer)
    }
}

/// A section while it is put together.
struct Way {
    share: Ratio,
    layers: Vec<ThermalResistance>,
    through_members: Vec<bool>,
}

impl Way {
    fn split(&self, is_member: bool, more: ThermalResistance, share: f64) -> Way {
        let mut through_members = self.through_members.clone();
        through_members.push(is_member);
        let mut layers = self.layers.clone();
        layers.push(more);
        Way { share: self.share * share, layers, through_members }
    }
}
