//! An assembly as it is drawn: the layers that resist, with their conductivities between and at the members, and where
//! the face of the box lies among them.

use crate::air_cavity;
use crate::canvas::Matter;
use crate::lack::Lack;
use mateline_films::surface::{Direction, OuterSide, handbook};
use mateline_layers::{Body, Layer, in_series, plane};
use mateline_model::home::{Framing, Home, Id, MaterialKind};
use mateline_model::quantity::{Conductivity, Length, ThermalResistance, UnitSystem};

/// Layers thinner than this (m) that are no metal are left out: paint, sheets, membranes.
const NEGLIGIBLE: f64 = 1e-3;
/// A layer of a given resistance and no thickness is drawn this thick (m).
const NOMINAL: Length = Length::from_si(0.005);

/// A layer with a thickness.
#[derive(Clone, Debug)]
pub(crate) struct DrawnLayer<'a> {
    pub matter: Matter,
    /// m.
    pub thickness: f64,
    pub framing: Option<(&'a Framing, Matter)>,
    /// Whether it insulates, as the envelope sees it.
    pub insulates: bool,
    pub is_masonry: bool,
}

/// An assembly's layers from inside to outside, without what lies outside a ventilated cavity.
#[derive(Clone, Debug)]
pub(crate) struct Layers<'a> {
    pub id: &'a Id,
    pub layers: Vec<DrawnLayer<'a>>,
    /// How many of them lie inside the face of the box.
    pub inward: usize,
    /// Inner and outer surface resistance (m²·K/W).
    pub films: (f64, f64),
}

/// A layer's place: distances from the face of the box, inwards positive (m).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Span {
    pub outer: f64,
    pub inner: f64,
}

impl<'a> Layers<'a> {
    /// Looks everything up.
    pub(crate) fn of(home: &'a Home, id: &'a Id) -> Result<Layers<'a>, Lack> {
        let path = format!("assemblies.{id}");
        let assembly = home.assemblies.get(id).ok_or_else(|| {
            Lack::undescribed(format!("there is no assembly {id} to draw a section from"), "assemblies")
        })?;
        let found = mateline_layers::Layers::of(home, id, assembly)?;
        let (mut layers, mut inward) = (Vec::new(), 0);
        for (position, layer) in found.closed().iter().enumerate() {
            layers.extend(drawn(layer, found.flow, home.units)?);
            if position < found.inside_face().len() {
                inward = layers.len();
            }
        }
        if layers.is_empty() {
            return Err(Lack::at(format!("{path} has no layer that could be drawn"), path));
        }
        let films = handbook(found.flow, OuterSide::beyond(found.is_ventilated(), assembly.boundary()));
        Ok(Layers { id, layers, inward, films: (films.inner.si(), films.outer.si()) })
    }

    /// Thickness inside the face of the box (m).
    pub(crate) fn inside(&self) -> f64 {
        self.layers.iter().take(self.inward).map(|layer| layer.thickness).sum()
    }

    /// Thickness outside the face of the box (m).
    pub(crate) fn outside(&self) -> f64 {
        self.layers.iter().skip(self.inward).map(|layer| layer.thickness).sum()
    }

    /// Thickness of all layers (m).
    pub(crate) fn thickness(&self) -> f64 {
        self.inside() + self.outside()
    }

    /// Every layer with its place, from inside to outside.
    pub(crate) fn spans(&self) -> Vec<(Span, &DrawnLayer<'a>)> {
        let mut inner = self.inside();
        let mut spans = Vec::with_capacity(self.layers.len());
        for layer in &self.layers {
            let span = Span { outer: inner - layer.thickness, inner };
            inner = span.outer;
            spans.push((span, layer));
        }
        spans
    }

    /// The deepest framed layer inside the face of the box.
    pub(crate) fn framed(&self) -> Option<(Span, &'a Framing, &DrawnLayer<'a>, &Matter)> {
        let framed = self.spans().into_iter().take(self.inward).filter_map(|(span, layer)| {
            layer.framing.as_ref().map(|(framing, member)| (span, *framing, layer, member))
        });
        framed.reduce(|a, b| if b.2.thickness > a.2.thickness { b } else { a })
    }

    /// The outermost layer of masonry.
    pub(crate) fn masonry(&self) -> Option<(Span, &DrawnLayer<'a>)> {
        self.spans().into_iter().rfind(|(_, layer)| layer.is_masonry)
    }

    /// U-factor between the members (W/(m²·K)).
    pub(crate) fn u(&self) -> f64 {
        self.u_with(|layer| layer.matter.conductivity)
    }

    /// U-factor through the members of the deepest framed layer.
    pub(crate) fn u_through_members(&self) -> f64 {
        let deepest = self.framed().map_or(0.0, |(_, _, layer, _)| layer.thickness);
        self.u_with(|layer| match &layer.framing {
            Some((_, member)) if layer.thickness >= deepest => member.conductivity,
            _ => layer.matter.conductivity,
        })
    }

    fn u_with(&self, conductivity: impl Fn(&DrawnLayer<'_>) -> f64) -> f64 {
        let layer = |layer: &DrawnLayer<'_>| {
            plane(Length::from_si(layer.thickness), Conductivity::from_si(conductivity(layer)))
        };
        let (inner, outer) = (ThermalResistance::from_si(self.films.0), ThermalResistance::from_si(self.films.1));
        in_series(inner, self.layers.iter().map(layer), outer).transmittance().si()
    }
}

/// A material as it is painted, `deep` in the direction of heat flow.
pub(crate) fn matter(home: &Home, id: &str, deep: f64, flow: Direction, path: &str) -> Result<Matter, Lack> {
    let deep = Length::from_si(deep);
    painted(&mateline_layers::Matter::find(home, id, Some(deep), flow, path)?, deep, flow)
}

/// Air is painted with the conductivity that slots of any width are, so that a wide slot and a layer are one.
fn painted(matter: &mateline_layers::Matter<'_>, deep: Length, flow: Direction) -> Result<Matter, Lack> {
    let air = || air_cavity::conductivity(deep, None, flow);
    Ok(Matter::new(matter.name(), matter.conductivity(deep)?.unwrap_or_else(air).si()))
}

/// A layer as it is drawn; none where it is too thin to matter.
fn drawn<'a>(layer: &Layer<'a>, flow: Direction, units: UnitSystem) -> Result<Option<DrawnLayer<'a>>, Lack> {
    let Some(clear) = layer.clear() else { return Ok(None) };
    let kind = clear.kind();
    let depth = match layer.depth() {
        Some(depth) if depth.si() < NEGLIGIBLE && kind != Some(MaterialKind::Metal) => return Ok(None),
        None if clear.is_sheet() => return Ok(None),
        None if clear.material.is_some_and(|material| material.resistance.is_some()) => NOMINAL,
        _ => layer.extent()?.unwrap_or_default(),
    };
    let framing = match &layer.body {
        Body::Framed { framing, member, .. } => {
            let matter = painted(member, depth, flow)?;
            Some((*framing, Matter { name: format!("{} {}", framing.size.called(units), matter.name), ..matter }))
        }
        Body::Plain(_) | Body::Vented(_) => None,
    };
    let is_masonry = framing.is_none() && kind == Some(MaterialKind::Masonry);
    let matter = painted(clear, depth, flow)?;
    Ok(Some(DrawnLayer { matter, thickness: depth.si(), framing, insulates: layer.insulates(), is_masonry }))
}
