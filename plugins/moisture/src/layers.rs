//! An assembly as moisture sees it: from inside to outside the layers up to a ventilated cavity, each with its resistance
//! and its vapour-diffusion-equivalent air layer thickness. Framed layers are followed through what fills them.

use crate::diagram::{MOST_SLICES, SLICE};
use crate::lack::Lack;
use mateline_films::air_layer::unventilated;
use mateline_films::surface::{Direction, Films, OuterSide, iso_6946};
use mateline_model::Pointer;
use mateline_model::home::{Assembly, Boundary, Framing, Home, Id, Layer, LayerKind, MaterialKind, Role};
use mateline_model::quantity::{Length, Permeance};

/// Vapour permeability of air δ0 (kg/(m·s·Pa)): ISO 13788:2012, 6.1 (from memory).
pub const AIR_PERMEABILITY: f64 = 2e-10;
/// Diffusion-equivalent thickness of an air layer of any depth (m): ISO 13788:2012, 6.1 (from memory).
const AIR_SPACE: f64 = 0.01;

/// A layer on the way of the vapour.
#[derive(Clone, Debug)]
pub(crate) struct VapourLayer<'a> {
    /// Place in the assembly's list.
    pub index: usize,
    /// What it is made of.
    pub name: String,
    /// The material's id; `air` for air.
    pub material: &'a str,
    pub kind: Option<MaterialKind>,
    /// m; 0 for a sheet without a thickness.
    pub thickness: f64,
    /// R (m²·K/W).
    pub resistance: f64,
    /// s_d (m).
    pub sd: f64,
    /// Where `s_d` comes from, in words.
    pub sd_from: String,
    /// Permeance (kg/(Pa·s·m²)), by the dry cup.
    pub permeance: f64,
    /// Permeance by the wet cup, where it is known.
    pub wet_permeance: Option<f64>,
    /// Whether `s_d` grows with the thickness; that of a facing does not.
    pub sd_by_thickness: bool,
    pub framing: Option<&'a Framing>,
    pub layer: &'a Layer,
}

impl VapourLayer<'_> {
    /// Whether humid air opens it.
    pub(crate) fn opens(&self) -> bool {
        self.wet_permeance.is_some_and(|wet| wet > self.permeance)
    }

    /// Whether it insulates: foam, fibre, or framing with either.
    pub(crate) fn insulates(&self) -> bool {
        matches!(self.kind, Some(MaterialKind::FoamInsulation | MaterialKind::FibreInsulation))
            || self.layer.role.iter().any(|role| *role == Role::ContinuousInsulation)
    }

    /// Whether water does it harm: wood, boards, and fibres that hold water.
    pub(crate) fn can_get_wet(&self) -> bool {
        self.framing.is_some()
            || matches!(self.kind, Some(MaterialKind::Wood | MaterialKind::Board | MaterialKind::FibreInsulation))
    }
}

/// An assembly's layers with what lies on both sides.
#[derive(Clone, Debug)]
pub(crate) struct Layers<'a> {
    pub id: &'a Id,
    pub assembly: &'a Assembly,
    pub boundary: Boundary,
    pub flow: Direction,
    pub layers: Vec<VapourLayer<'a>>,
    /// Whether a ventilated cavity ends them.
    pub vented: bool,
}

impl<'a> Layers<'a> {
    /// Looks everything up.
    pub(crate) fn of(home: &'a Home, id: &'a Id, assembly: &'a Assembly, boundary: Boundary) -> Result<Self, Lack> {
        let flow = Direction::of(assembly.kind);
        let mut layers = Vec::with_capacity(assembly.layers.len());
        let mut vented = false;
        for (index, layer) in assembly.layers.iter().enumerate() {
            let path = format!("assemblies.{id}.layers.{index}");
            let look = Look { home, layer, index, path: &path, flow };
            match layer.kind().map_err(|message| Lack::at(message, path.as_str()))? {
                LayerKind::Material(name, depth) => layers.push(look.up(name.as_ref(), depth)?),
                LayerKind::AirSpace(depth) => layers.push(look.air(depth)),
                LayerKind::Framed(framing) => {
                    let filled = look.up(framing.fill.as_ref(), Some(framing.size.depth))?;
                    layers.push(VapourLayer { framing: Some(framing), ..filled });
                }
                LayerKind::VentedCavity(_) => {
                    vented = true;
                    break;
                }
            }
        }
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
        Ok(Layers { id, assembly, boundary, flow, layers, vented })
    }

    /// Inner and outer surface resistance.
    pub(crate) fn films(&self) -> Films {
        let outer = if self.vented { OuterSide::StillAir } else { OuterSide::of(self.boundary) };
        iso_6946(self.flow, outer)
    }

    /// The framing whose fill insulates most.
    pub(crate) fn insulated_framing(&self) -> Option<usize> {
        let framed = self.layers.iter().enumerate().filter(|(_, layer)| layer.framing.is_some() && layer.insulates());
        framed
            .fold(None, |best: Option<(usize, f64)>, (place, layer)| match best {
                Some((_, most)) if most >= layer.resistance => best,
                _ => Some((place, layer.resistance)),
            })
            .map(|(place, _)| place)
    }

    /// The first layer that belongs to the insulation: the insulated framing, or else the first layer that insulates.
    pub(crate) fn first_insulation(&self) -> Option<usize> {
        self.insulated_framing().or_else(|| self.layers.iter().position(VapourLayer::insulates))
    }

    /// The outermost layer that insulates without framing, whose thickness can be chosen.
    pub(crate) fn outermost_insulation(&self) -> Option<usize> {
        let chosen = |layer: &VapourLayer<'_>| {
            layer.framing.is_none() && layer.insulates() && layer.thickness > 0.0 && layer.resistance > 0.0
        };
        self.layers.iter().rposition(chosen)
    }

    /// The path of one of its layers.
    pub(crate) fn path(&self, place: usize) -> String {
        let index = self.layers.get(place).map_or(0, |layer| layer.index);
        format!("assemblies.{}.layers.{index}", self.id)
    }
}

struct Look<'a, 'b> {
    home: &'a Home,
    layer: &'a Layer,
    index: usize,
    path: &'b str,
    flow: Direction,
}

impl<'a> Look<'a, '_> {
    fn up(&self, id: &'a str, depth: Option<Length>) -> Result<VapourLayer<'a>, Lack> {
        let Some(material) = self.home.materials.get(id) else {
            return match depth {
                Some(depth) if id == "air" => Ok(self.air(depth)),
                _ => Err(Lack::at(format!("{} names {id}, which is no known material", self.path), self.path)),
            };
        };
        let name = material.name.as_ref().map_or(id, |name| name.as_ref()).to_owned();
        let sheet = matches!(material.kind, Some(MaterialKind::Membrane | MaterialKind::Finish));
        let resistance = match (material.resistance, material.conductivity, depth) {
            (Some(resistance), ..) => resistance.si(),
            (None, Some(conductivity), Some(depth)) => depth.si() / conductivity.si(),
            (None, Some(_), None) => {
                return Err(Lack::at(format!("{} has no thickness for {id}", self.path), self.path));
            }
            (None, None, _) if sheet => 0.0,
            (None, None, _) => {
                let because = format!("materials.{id} has neither conductivity nor resistance");
                return Err(Lack::at(because, format!("{}.material", self.path)));
            }
        };
        let (sd, sd_from) = match (material.permeance, material.vapour_resistance, depth) {
            (Some(permeance), ..) => (AIR_PERMEABILITY / permeance.si(), "δ0 over its permeance".to_owned()),
            (None, Some(mu), Some(depth)) => (mu.si() * depth.si(), format!("µ {} times its thickness", mu.si())),
            (None, Some(_), None) => {
                return Err(Lack::at(format!("{} has no thickness for {id}", self.path), self.path));
            }
            (None, None, _) => {
                let because = format!("{id} has neither vapour_resistance nor permeance, in {}", self.path);
                return Err(Lack::at(because, format!("{}.material", self.path)));
            }
        };
        if !(sd > 0.0 && sd.is_finite() && resistance.is_finite()) {
            return Err(Lack::at(format!("{} leads to no finite resistance to vapour", self.path), self.path));
        }
        let thickness = depth.map_or(0.0, Length::si);
        Ok(VapourLayer {
            index: self.index,
            name,
            material: id,
            kind: material.kind,
            thickness,
            resistance,
            sd,
            sd_from,
            permeance: material.permeance.map_or(AIR_PERMEABILITY / sd, Permeance::si),
            wet_permeance: material.wet_cup_permeance.map(Permeance::si),
            sd_by_thickness: material.permeance.is_none(),
            framing: None,
            layer: self.layer,
        })
    }

    fn air(&self, depth: Length) -> VapourLayer<'a> {
        VapourLayer {
            index: self.index,
            name: "air".to_owned(),
            material: "air",
            kind: None,
            thickness: depth.si(),
            resistance: unventilated(depth, self.flow).si(),
            sd: AIR_SPACE,
            sd_from: "an air layer of any depth".to_owned(),
            permeance: AIR_PERMEABILITY / AIR_SPACE,
            wet_permeance: None,
            sd_by_thickness: false,
            framing: None,
            layer: self.layer,
        }
    }
}

/// A pointer at a layer, with a note.
pub(crate) fn noted(path: String, note: Option<String>) -> Pointer {
    match note {
        Some(note) => Pointer::noted(path, note),
        None => Pointer::new(path),
    }
}
