//! An assembly made ready for calculation: every layer's depth, materials and resistance, and its share of framing.

use crate::combined::{CombinedError, combined};
use crate::corrections::Corrected;
use crate::framed::{Component, LayerResistance};
use crate::isothermal_planes::lower_limit;
use crate::library::library;
use crate::parallel_path::upper_limit;
use mateline_films::surface::{Direction, Films, OuterSide, handbook};
use mateline_layers::framing::{Share, lies_flat};
use mateline_layers::{How, Layer, Layers, Thermal, in_series};
use mateline_model::Subject;
use mateline_model::home::{Assembly, Boundary, Framing, Id, Material, MaterialKind};
use mateline_model::quantity::{Length, Ratio, ThermalResistance, ThermalTransmittance};
use mateline_sdk::{Lack, Request};
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

/// A material in its place, or air.
#[derive(Clone, Debug)]
pub(crate) struct Matter<'a> {
    /// Name on schedules.
    pub name: &'a str,
    /// The material and its id; `None` for air.
    pub material: Option<(&'a str, &'a Material)>,
    pub resistance: ThermalResistance,
    pub how: How,
}

impl<'a> Matter<'a> {
    fn of(found: &mateline_layers::Matter<'a>) -> Result<Matter<'a>, Lack> {
        let Thermal { resistance, how } = found.thermal()?;
        let material = found.material.map(|material| (found.id, material));
        Ok(Matter { name: found.name(), material, resistance, how })
    }
}

impl Matter<'_> {
    /// Whether its thermal value comes with mateline, and not from the home.
    pub(crate) fn is_from_library(&self) -> bool {
        self.material.is_some_and(|(id, material)| library().get(id) == Some(material))
    }

    /// Whether its thermal value was recalled and not looked up.
    fn is_from_memory(&self) -> bool {
        matches!(self.how, How::Conductivity(_) | How::Fixed | How::Labelled | How::Pressed)
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
    pub of: Layer<'a>,
    pub body: Body<'a>,
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
    pub is_ventilated: bool,
    pub layers: Vec<ResolvedLayer<'a>>,
}

impl<'a> Construction<'a> {
    /// Looks up materials, depths and shares of framing.
    pub(crate) fn resolve(request: &Request<'a>, id: &'a Id, assembly: &'a Assembly) -> Result<Construction<'a>, Lack> {
        let subject = Subject::element("assemblies", id);
        let boundary = request
            .text(&subject, "takeoff.boundary")
            .and_then(|word| serde_json::from_value(serde_json::Value::String(word.to_owned())).ok())
            .unwrap_or_else(|| assembly.boundary());
        let found = Layers::of(request.home, id, assembly)?;
        let is_ventilated = found.is_ventilated();
        let known = |subject: &Subject, quantity: &str| request.facts.get(subject, quantity).map(|fact| &fact.value);
        let mut layers = Vec::with_capacity(found.all.len());
        for layer in found.all {
            let body = match &layer.body {
                mateline_layers::Body::Plain(matter) => Body::Uniform(Matter::of(matter)?),
                mateline_layers::Body::Vented(_) => Body::Vented,
                mateline_layers::Body::Framed { framing, fill, member } => {
                    let share = Share::of(request.home, id, lies_flat(assembly.kind), framing, &layer.path, &known);
                    Body::Framed { framing, cavity: Matter::of(fill)?, member: Matter::of(member)?, share }
                }
            };
            layers.push(ResolvedLayer { of: layer, body });
        }
        Ok(Construction { id, assembly, subject, boundary, direction: found.flow, is_ventilated, layers })
    }

    /// The layers that add resistance.
    pub(crate) fn counting(&self) -> impl Iterator<Item = &ResolvedLayer<'a>> {
        self.layers.iter().filter(|layer| layer.of.counts)
    }

    pub(crate) fn outer_side(&self, boundary: Boundary) -> OuterSide {
        OuterSide::beyond(self.is_ventilated, boundary)
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
        let depth = |layer: &ResolvedLayer<'_>| layer.of.depth().map_or(0.0, Length::si);
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
        in_series(films.inner, self.counting().map(ResolvedLayer::clear), films.outer)
    }

    /// The U-factor towards a boundary.
    pub(crate) fn u(&self, boundary: Boundary, method: FramedMethod) -> Result<ThermalTransmittance, Lack> {
        let component = self.component(boundary)?;
        Ok(match method {
            FramedMethod::Combined => {
                let total = self.combined(&component)?;
                Corrected { R: total, ΔU: self.corrections(boundary, total.transmittance())?.added() }.value()
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
                    let because =
                        format!("{} has members of {name}, which needs a two-dimensional solution", layer.of.path);
                    return Err(Lack::at(because, layer.of.path.as_str()));
                }
            }
        }
        Ok(())
    }
}

/// A share of the face, zero where framing is unknown: for drawings.
pub(crate) fn share_or_none(share: &Result<Share, Lack>) -> Ratio {
    share.as_ref().map_or(Ratio::default(), Share::fraction)
}
