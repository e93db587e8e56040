//! An assembly as it is drawn: the layers that resist, with their conductivities between and at the members, and where
//! the face of the box lies among them.

use crate::air_cavity;
use crate::canvas::Matter;
use crate::lack::Lack;
use mateline_films::surface::{Direction, OuterSide, handbook};
use mateline_model::home::{Assembly, AssemblyKind, Framing, Home, Id, Layer, LayerKind, Material, MaterialKind, Role};
use mateline_model::quantity::Length;

/// Layers thinner than this (m) that are no metal are left out: paint, sheets, membranes.
const NEGLIGIBLE: f64 = 1e-3;
/// A layer of a given resistance and no thickness is drawn this thick (m).
const NOMINAL: f64 = 0.005;
/// A layer of unknown kind next outside the framing is sheathing up to this thickness (m): 1 in.
const SHEATHING: f64 = 0.0254;

/// A layer with a thickness.
#[derive(Clone, Debug)]
pub(crate) struct DrawnLayer<'a> {
    pub matter: Matter,
    /// m.
    pub thickness: f64,
    pub framing: Option<(&'a Framing, Matter)>,
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
        let flow = Direction::of(assembly.kind);
        let ventilated = assembly.layers.iter().any(|layer| layer.vented_cavity.is_some());
        let count = inward_count(home, assembly);
        let (mut layers, mut inward) = (Vec::new(), 0);
        for (position, layer) in assembly.layers.iter().enumerate() {
            let here = format!("{path}.layers.{position}");
            if layer.vented_cavity.is_some() {
                break;
            }
            layers.extend(drawn(home, layer, &here, flow)?);
            if position < count {
                inward = layers.len();
            }
        }
        if layers.is_empty() {
            return Err(Lack::at(format!("{path} has no layer that could be drawn"), path));
        }
        let outer = if ventilated { OuterSide::StillAir } else { OuterSide::of(assembly.boundary()) };
        let films = handbook(flow, outer);
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

    /// U-factor between the members (W/(m²·K)): `1/U = Rsi + Σ d/λ + Rse`.
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
        let layers: f64 = self.layers.iter().map(|layer| layer.thickness / conductivity(layer)).sum();
        1.0 / (self.films.0 + layers + self.films.1)
    }
}

/// A material as it is painted, `deep` in the direction of heat flow.
pub(crate) fn matter(home: &Home, id: &str, deep: f64, flow: Direction, path: &str) -> Result<Matter, Lack> {
    let Some(material) = home.materials.get(id) else {
        if id == "air" {
            let conductivity = air_cavity::conductivity(Length::from_si(deep), None, flow);
            return Ok(Matter::new("air", conductivity.si()));
        }
        return Err(Lack::at(format!("{path} names {id}, which is no known material"), path));
    };
    let name = material.name.as_ref().map_or(id, |name| name.as_ref());
    match (material.resistance, material.conductivity) {
        (Some(resistance), _) if resistance.si() > 0.0 => Ok(Matter::new(name, deep / resistance.si())),
        (_, Some(conductivity)) => Ok(Matter::new(name, conductivity.si())),
        _ => Err(Lack::at(format!("materials.{id} has neither conductivity nor resistance"), path)),
    }
}

fn drawn<'a>(home: &'a Home, layer: &'a Layer, path: &str, flow: Direction) -> Result<Option<DrawnLayer<'a>>, Lack> {
    let plain = |matter, thickness, is_masonry| DrawnLayer { matter, thickness, framing: None, is_masonry };
    Ok(Some(match layer.kind().map_err(|because| Lack::at(format!("{path}: {because}"), path))? {
        LayerKind::Material(name, thickness) => {
            let material = home.materials.get(name.as_ref());
            if is_left_out(material, thickness) {
                return Ok(None);
            }
            let thickness = match thickness {
                Some(thickness) => thickness.si(),
                None if material.is_some_and(|material| material.resistance.is_some()) => NOMINAL,
                None => return Err(Lack::at(format!("{path} has no thickness"), path)),
            };
            let is_masonry = material.is_some_and(|material| material.kind == Some(MaterialKind::Masonry));
            plain(matter(home, name, thickness, flow, path)?, thickness, is_masonry)
        }
        LayerKind::AirSpace(depth) => plain(matter(home, "air", depth.si(), flow, path)?, depth.si(), false),
        LayerKind::Framed(framing) => {
            let depth = framing.size.depth.si();
            let member = matter(home, &framing.member, depth, flow, path)?;
            DrawnLayer {
                framing: Some((framing, member)),
                ..plain(matter(home, &framing.fill, depth, flow, path)?, depth, false)
            }
        }
        LayerKind::VentedCavity(_) => return Ok(None),
    }))
}

fn is_left_out(material: Option<&Material>, thickness: Option<Length>) -> bool {
    let kind = material.and_then(|material| material.kind);
    let film = matches!(kind, Some(MaterialKind::Membrane | MaterialKind::Finish));
    match thickness {
        None => film,
        Some(thickness) => thickness.si() < NEGLIGIBLE && kind != Some(MaterialKind::Metal),
    }
}

/// How many layers, from inside, lie within the face of a box: boxes are measured over framing and sheathing, walls of
/// masonry over the masonry, anything else over all of it.
fn inward_count(home: &Home, assembly: &Assembly) -> usize {
    let layers = &assembly.layers;
    let inside = layers.iter().position(|layer| layer.vented_cavity.is_some()).unwrap_or(layers.len());
    let kind = |position: usize| {
        let material = layers.get(position)?.material.as_ref()?;
        home.materials.get(material.as_ref())?.kind
    };
    let heavy = matches!(assembly.kind, AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::MassWall);
    let masonry = (0..inside).rev().find(|position| heavy && kind(*position) == Some(MaterialKind::Masonry));
    let framed = layers.iter().take(inside).rposition(|layer| layer.framed.is_some());
    let is_sheathing = |position: usize| {
        let Some(layer) = layers.get(position).filter(|_| position < inside) else { return false };
        let insulates = layer.role.iter().any(|role| *role == Role::ContinuousInsulation);
        match (kind(position), &layer.material) {
            (Some(MaterialKind::Board | MaterialKind::Wood), _) => !insulates,
            (None, Some(_)) => !insulates && layer.thickness.is_some_and(|thickness| thickness.si() <= SHEATHING),
            _ => false,
        }
    };
    match (masonry, framed) {
        (Some(masonry), _) => masonry + 1,
        (None, Some(framed)) if is_sheathing(framed + 1) => framed + 2,
        (None, Some(framed)) => framed + 1,
        (None, None) => inside,
    }
}
