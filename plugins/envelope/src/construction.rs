//! An assembly made ready for calculation: every layer's depth, materials and resistance, and its share of framing.

use crate::combined::{CombinedError, combined};
use crate::framed::{Component, LayerResistance};
use crate::framing_share::{Share, share_of};
use crate::isothermal_planes::lower_limit;
use crate::library::library;
use crate::parallel_path::upper_limit;
use crate::series;
use mateline_films::air_layer;
use mateline_films::surface::{Direction, Films, OuterSide, handbook};
use mateline_model::home::{Assembly, Boundary, Framing, Home, Id, Layer, LayerKind, Material, MaterialKind};
use mateline_model::quantity::{Conductivity, Length, Ratio, ThermalResistance, ThermalTransmittance};
use mateline_model::{Pointer, Subject};
use mateline_sdk::Request;
use serde::Deserialize;

/// A member that conducts better than this bridges the insulation like metal (W/(m·K)).
const METALLIC: f64 = 10.0;

/// How framing enters a U-factor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FramedMethod {
    /// The mean of both limits, with corrections.
    #[default]
    Combined,
    /// The upper limit of the resistance.
    ParallelPath,
    /// The lower limit of the resistance.
    IsothermalPlanes,
}

impl FramedMethod {
    /// As a pack writes it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            FramedMethod::Combined => "combined",
            FramedMethod::ParallelPath => "parallel-path",
            FramedMethod::IsothermalPlanes => "isothermal-planes",
        }
    }
}

/// What is missing, and where it could be given.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lack {
    pub because: String,
    pub at: Option<Pointer>,
}

impl Lack {
    pub(crate) fn new(because: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: None }
    }

    pub(crate) fn at(because: impl Into<String>, path: impl Into<String>) -> Lack {
        Lack { because: because.into(), at: Some(Pointer::new(path)) }
    }
}

/// A material in its place, or air.
#[derive(Clone, Debug)]
pub(crate) struct Matter<'a> {
    /// Name on schedules.
    pub name: String,
    /// The material and its id; `None` for air.
    pub material: Option<(&'a str, &'a Material)>,
    pub resistance: ThermalResistance,
    pub how: How,
}

/// How a resistance follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum How {
    /// `R = d/λ`.
    Conductivity(Conductivity),
    /// The resistance of a layer of fixed thickness.
    Fixed,
    /// The table of air layers.
    AirLayer,
    /// A membrane or coating has none.
    Nothing,
    /// It lies outside a ventilated cavity.
    Outside,
}

impl Matter<'_> {
    /// Whether its thermal value comes with mateline, and not from the home.
    pub(crate) fn is_from_library(&self) -> bool {
        self.material.is_some_and(|(id, material)| library().get(id) == Some(material))
    }

    /// Whether its thermal value was recalled and not looked up.
    fn is_from_memory(&self) -> bool {
        matches!(self.how, How::Conductivity(_) | How::Fixed)
            && self
                .material
                .is_some_and(|(_, m)| m.provenance.as_ref().is_some_and(|mark| mark.contains("from memory")))
            || self.how == How::AirLayer
    }
}

#[derive(Clone, Debug)]
pub(crate) enum Body<'a> {
    Uniform(Matter<'a>),
    Framed { framing: &'a Framing, cavity: Matter<'a>, member: Matter<'a>, share: Result<Share, Lack> },
    Vented,
}

#[derive(Clone, Debug)]
pub(crate) struct ResolvedLayer<'a> {
    /// Place in the assembly's list.
    pub index: usize,
    pub layer: &'a Layer,
    pub depth: Option<Length>,
    pub body: Body<'a>,
    /// Whether it adds resistance: it lies inside of any ventilated cavity.
    pub counts: bool,
}

impl ResolvedLayer<'_> {
    /// The layer as the framed methods see it.
    fn resistance(&self) -> Result<LayerResistance, Lack> {
        Ok(match &self.body {
            Body::Uniform(matter) => LayerResistance::Uniform(matter.resistance),
            Body::Framed { cavity, member, share, .. } => LayerResistance::Framed {
                cavity: cavity.resistance,
                member: member.resistance,
                fraction: share.as_ref().map_err(Lack::clone)?.fraction(),
            },
            Body::Vented => LayerResistance::Uniform(ThermalResistance::default()),
        })
    }

    /// Resistance away from any framing.
    pub(crate) fn clear(&self) -> ThermalResistance {
        match &self.body {
            Body::Uniform(matter) => matter.resistance,
            Body::Framed { cavity, .. } => cavity.resistance,
            Body::Vented => ThermalResistance::default(),
        }
    }

    /// Everything it is made of.
    pub(crate) fn matter(&self) -> Vec<&Matter<'_>> {
        match &self.body {
            Body::Uniform(matter) => vec![matter],
            Body::Framed { cavity, member, .. } => vec![cavity, member],
            Body::Vented => Vec::new(),
        }
    }
}

/// An assembly ready for calculation.
#[derive(Clone, Debug)]
pub(crate) struct Construction<'a> {
    pub id: &'a Id,
    pub assembly: &'a Assembly,
    pub subject: Subject,
    /// What lies behind most of it.
    pub boundary: Boundary,
    pub direction: Direction,
    pub layers: Vec<ResolvedLayer<'a>>,
}

impl<'a> Construction<'a> {
    /// Looks up materials, depths and shares of framing.
    pub(crate) fn resolve(request: &Request<'a>, id: &'a Id, assembly: &'a Assembly) -> Result<Construction<'a>, Lack> {
        let subject = Subject::element("assemblies", id);
        let direction = Direction::of(assembly.kind);
        let boundary = request
            .text(&subject, "takeoff.boundary")
            .and_then(|word| serde_json::from_value(serde_json::Value::String(word.to_owned())).ok())
            .unwrap_or_else(|| assembly.boundary());
        let mut layers = Vec::with_capacity(assembly.layers.len());
        let mut counts = true;
        for (index, layer) in assembly.layers.iter().enumerate() {
            let path = format!("assemblies.{id}.layers.{index}");
            let look = Look { home: request.home, path: &path, direction, counts };
            let (depth, body) = match layer.kind().map_err(|message| Lack::at(message, path.as_str()))? {
                LayerKind::Material(name, depth) => (depth, Body::Uniform(look.up(name, depth)?)),
                LayerKind::AirSpace(depth) => (Some(depth), Body::Uniform(look.air(depth))),
                LayerKind::VentedCavity(depth) => {
                    counts = false;
                    (Some(depth), Body::Vented)
                }
                LayerKind::Framed(framing) => {
                    let depth = Some(framing.size.depth);
                    let share = share_of(request, &subject, assembly, framing, &path);
                    let (cavity, member) = (look.up(&framing.fill, depth)?, look.up(&framing.member, depth)?);
                    (depth, Body::Framed { framing, cavity, member, share })
                }
            };
            layers.push(ResolvedLayer { index, layer, depth, body, counts });
        }
        Ok(Construction { id, assembly, subject, boundary, direction, layers })
    }

    /// The layers that add resistance.
    pub(crate) fn counting(&self) -> impl Iterator<Item = &ResolvedLayer<'a>> {
        self.layers.iter().filter(|layer| layer.counts)
    }

    pub(crate) fn is_ventilated(&self) -> bool {
        self.layers.iter().any(|layer| !layer.counts)
    }

    pub(crate) fn outer_side(&self, boundary: Boundary) -> OuterSide {
        if self.is_ventilated() { OuterSide::StillAir } else { OuterSide::of(boundary) }
    }

    pub(crate) fn films(&self, boundary: Boundary) -> Films {
        handbook(self.direction, self.outer_side(boundary))
    }

    pub(crate) fn is_from_memory(&self) -> bool {
        self.counting().any(|layer| layer.matter().iter().any(|matter| matter.is_from_memory()))
    }

    pub(crate) fn is_framed(&self) -> bool {
        self.counting().any(|layer| matches!(layer.body, Body::Framed { .. }))
    }

    /// The deepest framed layer, which names the assembly's framing fraction.
    pub(crate) fn main_framing(&self) -> Option<&ResolvedLayer<'a>> {
        let depth = |layer: &ResolvedLayer<'_>| layer.depth.map_or(0.0, Length::si);
        self.counting().filter(|layer| matches!(layer.body, Body::Framed { .. })).fold(None, |deepest, layer| {
            match deepest {
                Some(found) if depth(found) >= depth(layer) => Some(found),
                _ => Some(layer),
            }
        })
    }

    /// Layers and films for the framed methods.
    pub(crate) fn component(&self, boundary: Boundary) -> Result<Component, Lack> {
        self.refuse_metal()?;
        let films = self.films(boundary);
        let layers = self.counting().map(ResolvedLayer::resistance).collect::<Result<_, _>>()?;
        Ok(Component { inner: films.inner, layers, outer: films.outer })
    }

    /// Resistance from air to air through the cavities.
    pub(crate) fn clear(&self, boundary: Boundary) -> ThermalResistance {
        let films = self.films(boundary);
        series::in_series(films.inner, self.counting().map(ResolvedLayer::clear), films.outer)
    }

    /// The U-factor towards a boundary.
    pub(crate) fn u(&self, boundary: Boundary, method: FramedMethod) -> Result<ThermalTransmittance, Lack> {
        let component = self.component(boundary)?;
        Ok(match method {
            FramedMethod::Combined => {
                let plain = self.combined(&component)?.transmittance();
                plain + self.corrections(boundary, plain)?.added()
            }
            FramedMethod::ParallelPath => {
                let sections = component.sections().map_err(|error| self.lack(error.to_string()))?;
                upper_limit(&sections).transmittance()
            }
            FramedMethod::IsothermalPlanes => lower_limit(&component).transmittance(),
        })
    }

    /// Resistance by the combined method, without corrections.
    fn combined(&self, component: &Component) -> Result<ThermalResistance, Lack> {
        combined(component).map(|found| found.total).map_err(|error: CombinedError| self.lack(error.to_string()))
    }

    /// A lack that has to do with the assembly as a whole.
    pub(crate) fn lack(&self, because: impl std::fmt::Display) -> Lack {
        Lack::at(format!("{}: {because}", self.subject), self.subject.as_str())
    }

    fn refuse_metal(&self) -> Result<(), Lack> {
        for layer in self.counting() {
            if let Body::Framed { member, .. } = &layer.body
                && let Some((name, material)) = member.material
            {
                let conducts = material.conductivity.is_some_and(|value| value.si() >= METALLIC);
                if conducts || material.kind == Some(MaterialKind::Metal) {
                    let path = format!("assemblies.{}.layers.{}", self.id, layer.index);
                    return Err(Lack::at(
                        format!("{path} has members of {name}, which needs a two-dimensional solution"),
                        path,
                    ));
                }
            }
        }
        Ok(())
    }
}

/// Where a material is looked up and what for.
struct Look<'a, 'b> {
    home: &'a Home,
    path: &'b str,
    direction: Direction,
    counts: bool,
}

impl<'a> Look<'a, '_> {
    fn up(&self, id: &'a str, depth: Option<Length>) -> Result<Matter<'a>, Lack> {
        let Some(material) = self.home.materials.get(id) else {
            return match depth {
                Some(depth) if id == "air" => Ok(self.air(depth)),
                _ => Err(Lack::at(format!("{} names {id}, which is no known material", self.path), self.path)),
            };
        };
        let name = material.name.as_ref().map_or(id, |name| name.as_ref()).to_owned();
        let sheet = matches!(material.kind, Some(MaterialKind::Membrane | MaterialKind::Finish));
        let (resistance, how) = match (material.resistance, material.conductivity, depth) {
            _ if !self.counts => (ThermalResistance::default(), How::Outside),
            (Some(resistance), ..) => (resistance, How::Fixed),
            (None, Some(conductivity), Some(depth)) => {
                (series::layer(depth, conductivity), How::Conductivity(conductivity))
            }
            (None, Some(_), None) => {
                return Err(Lack::at(format!("{} has no thickness for {id}", self.path), self.path));
            }
            (None, None, _) if sheet => (ThermalResistance::default(), How::Nothing),
            (None, None, _) => {
                return Err(Lack::at(
                    format!("materials.{id} has neither conductivity nor resistance"),
                    format!("{}.material", self.path),
                ));
            }
        };
        Ok(Matter { name, material: Some((id, material)), resistance, how })
    }

    fn air(&self, depth: Length) -> Matter<'a> {
        let (resistance, how) = if self.counts {
            (air_layer::unventilated(depth, self.direction), How::AirLayer)
        } else {
            (ThermalResistance::default(), How::Outside)
        };
        Matter { name: "air".to_owned(), material: None, resistance, how }
    }
}

/// A share of the face, zero where framing is unknown: for drawings.
pub(crate) fn share_or_none(share: &Result<Share, Lack>) -> Ratio {
    share.as_ref().map_or(Ratio::default(), Share::fraction)
}
