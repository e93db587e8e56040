//! An assembly as moisture sees it: from inside to outside the layers up to a ventilated cavity, each with its resistance
//! and its vapour-diffusion-equivalent air layer thickness. Framed layers are followed through what fills them.

use crate::diagram::{MOST_SLICES, SLICE};
use mateline_films::surface::{Direction, Films, OuterSide, iso_6946};
use mateline_layers::Layer;
use mateline_layers::vapour::Vapour;
use mateline_model::Pointer;
use mateline_model::home::{Assembly, Boundary, Home, Id, MaterialKind};
use mateline_model::quantity::Length;
use mateline_sdk::Lack;

/// A layer on the way of the vapour.
#[derive(Clone, Debug)]
pub(crate) struct VapourLayer<'a> {
    /// Place in the home.
    pub path: String,
    /// What it is made of.
    pub name: &'a str,
    /// The material's id; `air` for air.
    pub material: &'a str,
    pub kind: Option<MaterialKind>,
    /// m; 0 for a sheet without a thickness.
    pub thickness: f64,
    /// R (m²·K/W).
    pub resistance: f64,
    pub vapour: Vapour,
    pub insulates: bool,
    pub is_framed: bool,
}

impl VapourLayer<'_> {
    /// Whether humid air opens it.
    pub(crate) fn opens(&self) -> bool {
        self.vapour.wet_permeance.is_some_and(|wet| wet > self.vapour.permeance)
    }

    /// Whether it is foam plastic.
    pub(crate) fn is_foam(&self) -> bool {
        self.kind == Some(MaterialKind::FoamInsulation)
    }

    /// Whether water does it harm: wood, boards, and fibres that hold water.
    pub(crate) fn can_get_wet(&self) -> bool {
        self.is_framed
            || matches!(self.kind, Some(MaterialKind::Wood | MaterialKind::Board | MaterialKind::FibreInsulation))
    }
}

/// An assembly's layers with what lies on both sides.
#[derive(Clone, Debug)]
pub(crate) struct Layers<'a> {
    pub id: &'a Id,
    pub boundary: Boundary,
    pub flow: Direction,
    pub layers: Vec<VapourLayer<'a>>,
    /// Whether a ventilated cavity ends them, or a cladding behind which outdoor air passes.
    pub vented: bool,
}

impl<'a> Layers<'a> {
    /// Looks everything up.
    pub(crate) fn of(home: &'a Home, id: &'a Id, assembly: &'a Assembly, boundary: Boundary) -> Result<Self, Lack> {
        let found = mateline_layers::Layers::of(home, id, assembly)?;
        let closed = found.closed();
        let aired = !found.is_ventilated() && closed.last().is_some_and(is_air_open);
        let inner = closed.get(..closed.len() - usize::from(aired)).unwrap_or_default();
        let layers = inner.iter().filter_map(|layer| seen(layer).transpose()).collect::<Result<Vec<_>, _>>()?;
        if layers.is_empty() {
            let path = format!("assemblies.{id}");
            return Err(Lack::at(format!("{path} has no layer inside of its ventilated cavity"), path));
        }
        let slices: f64 = layers.iter().map(|layer| (layer.resistance / SLICE).ceil().max(1.0)).sum();
        if slices > MOST_SLICES as f64 {
            let path = format!("assemblies.{id}");
            let because = format!(
                "{path} resists as no construction does: it would take {slices} slices, of at most {MOST_SLICES}"
            );
            return Err(Lack::at(because, path));
        }
        Ok(Layers { id, boundary, flow: found.flow, layers, vented: aired || found.is_ventilated() })
    }

    /// Inner and outer surface resistance.
    pub(crate) fn films(&self) -> Films {
        iso_6946(self.flow, OuterSide::beyond(self.vented, self.boundary))
    }

    /// The framing whose fill insulates most.
    pub(crate) fn insulated_framing(&self) -> Option<usize> {
        let framed = self.layers.iter().enumerate().filter(|(_, layer)| layer.is_framed && layer.insulates);
        framed
            .fold(None, |best: Option<(usize, f64)>, (place, layer)| match best {
                Some((_, most)) if most >= layer.resistance => best,
                _ => Some((place, layer.resistance)),
            })
            .map(|(place, _)| place)
    }

    /// The insulated framing, first and last place: a second row of members belongs to it where only insulation lies
    /// between the rows.
    pub(crate) fn framing_zone(&self) -> Option<(usize, usize)> {
        let place = self.insulated_framing()?;
        let reach = |places: &mut dyn Iterator<Item = usize>| {
            let touching =
                places.map_while(|at| self.layers.get(at).filter(|layer| layer.insulates).map(|found| (at, found)));
            touching.filter(|(_, layer)| layer.is_framed).last().map_or(place, |(at, _)| at)
        };
        Some((reach(&mut (0..place).rev()), reach(&mut (place + 1..self.layers.len()))))
    }

    /// The first layer that belongs to the insulation: the insulated framing, or else the first layer that insulates.
    pub(crate) fn first_insulation(&self) -> Option<usize> {
        let framed = self.framing_zone().map(|(first, _)| first);
        framed.or_else(|| self.layers.iter().position(|layer| layer.insulates))
    }

    /// The outermost layer that insulates without framing, whose thickness can be chosen.
    pub(crate) fn outermost_insulation(&self) -> Option<usize> {
        let chosen = |layer: &VapourLayer<'_>| {
            !layer.is_framed && layer.insulates && layer.thickness > 0.0 && layer.resistance > 0.0
        };
        self.layers.iter().rposition(chosen)
    }

    /// The path of one of its layers.
    pub(crate) fn path(&self, place: usize) -> String {
        self.layers.get(place).map_or_else(|| format!("assemblies.{}", self.id), |layer| layer.path.clone())
    }
}

/// Whether outdoor air passes behind a layer by itself.
fn is_air_open(layer: &Layer<'_>) -> bool {
    let material = layer.clear().and_then(|matter| matter.material);
    layer.framing().is_none() && material.is_some_and(|material| material.air_open == Some(true))
}

/// A layer as vapour meets it away from any member; none in a ventilated cavity.
fn seen<'a>(layer: &Layer<'a>) -> Result<Option<VapourLayer<'a>>, Lack> {
    let Some(matter) = layer.clear() else { return Ok(None) };
    let resistance = matter.thermal()?.resistance.si();
    let vapour = Vapour::of(matter)?;
    if !resistance.is_finite() {
        return Err(Lack::at(format!("{} leads to no finite resistance", layer.path), layer.path.as_str()));
    }
    Ok(Some(VapourLayer {
        path: layer.path.clone(),
        name: matter.name(),
        material: matter.id,
        kind: matter.kind(),
        thickness: matter.depth.map_or(0.0, Length::si),
        resistance,
        vapour,
        insulates: layer.insulates(),
        is_framed: layer.framing().is_some(),
    }))
}

/// A pointer at a layer, with a note.
pub(crate) fn noted(path: String, note: Option<String>) -> Pointer {
    match note {
        Some(note) => Pointer::noted(path, note),
        None => Pointer::new(path),
    }
}
