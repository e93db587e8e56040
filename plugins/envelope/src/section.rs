//! The drawing of an assembly: its layers to scale, each with its share of the resistance.

use crate::construction::{Body, Construction, Matter, ResolvedLayer, share_or_none};
use crate::isothermal_planes::layer_mean;
use mateline_films::surface::Direction;
use mateline_model::home::{AssemblyKind, Boundary, EnclosureException, Face, Home, MaterialKind, Role};
use mateline_model::quantity::{Length, ThermalResistance, UnitSystem};
use mateline_model::{Drawing, Figure, Hatch, SectionLayer};

/// The section of one assembly. Shares are those of the isothermal-planes method, in which layers add up; where framing
/// is not known they are those away from it.
pub(crate) fn figure(home: &Home, construction: &Construction<'_>) -> Figure {
    let films = construction.films(construction.boundary);
    let resistances: Vec<ThermalResistance> = construction.layers.iter().map(mean).collect();
    let total = films.inner + resistances.iter().copied().sum() + films.outer;
    let layers: Vec<SectionLayer> =
        construction.layers.iter().zip(&resistances).map(|(layer, r)| drawn(layer, *r / total, home.units)).collect();
    let words: Vec<String> = layers.iter().map(in_words).collect();
    let upright = construction.direction == Direction::Level && !is_floor(home, construction);
    let from = match (construction.boundary, upright) {
        (Boundary::Conditioned, true) => "From one room to the other",
        (Boundary::Conditioned, false) => "From the room above to the room below",
        _ => "From inside to outside",
    };
    Figure {
        subject: construction.subject.clone(),
        key: "envelope.section".into(),
        title: format!("Section through {}", construction.id),
        alternative: format!("{from}: {}.", words.join("; ")),
        drawing: Drawing::Section { layers, upright },
    }
}

/// Whether an assembly inside the home is named as a floor of boxes: its kind does not say which way it lies.
fn is_floor(home: &Home, construction: &Construction<'_>) -> bool {
    construction.assembly.kind == AssemblyKind::Interior
        && home.enclosure.as_ref().is_some_and(|enclosure| {
            let mut floors = std::iter::once(&enclosure.floors).chain(&enclosure.exposed_floors);
            let excepted =
                |except: &EnclosureException| except.face == Face::Bottom && except.assembly == *construction.id;
            floors.any(|id| id == construction.id) || enclosure.except.iter().any(excepted)
        })
}

fn mean(layer: &ResolvedLayer<'_>) -> ThermalResistance {
    match &layer.body {
        _ if !layer.of.counts => ThermalResistance::default(),
        Body::Framed { cavity, member, share, .. } => {
            layer_mean(cavity.resistance, member.resistance, share_or_none(share))
        }
        Body::Uniform(_) | Body::Vented => layer.clear(),
    }
}

fn drawn(layer: &ResolvedLayer<'_>, share: f64, units: UnitSystem) -> SectionLayer {
    let (label, hatch, members) = match &layer.body {
        Body::Uniform(matter) if matter.material.is_none() => ("air space".to_owned(), Hatch::Air, None),
        Body::Uniform(matter) => (matter.name.to_owned(), hatch(matter), None),
        Body::Vented => ("ventilated cavity".to_owned(), Hatch::Air, None),
        Body::Framed { framing, cavity, member, .. } => (
            format!("{} between {} {}", cavity.name, framing.size.called(units), member.name),
            hatch(cavity),
            Some((framing.size.thickness.si(), framing.spacing.si())),
        ),
    };
    let roles = layer.of.given.role.iter().map(|role| role_words(*role).to_owned()).collect();
    SectionLayer { label, thickness: layer.of.depth().map_or(0.0, Length::si), share, hatch, members, roles }
}

fn in_words(layer: &SectionLayer) -> String {
    let mut words = layer.label.clone();
    if layer.thickness > 0.0 {
        words += &format!(", {:.0} mm", layer.thickness * 1e3);
    }
    if layer.share > 0.0 {
        words += &format!(", {:.0} % of the resistance", layer.share * 100.0);
    }
    if !layer.roles.is_empty() {
        words += &format!(" ({})", layer.roles.join(", "));
    }
    words
}

fn hatch(matter: &Matter<'_>) -> Hatch {
    match matter.material.and_then(|(_, material)| material.kind) {
        None if matter.material.is_none() => Hatch::Air,
        Some(MaterialKind::Board | MaterialKind::Cladding) => Hatch::Board,
        Some(MaterialKind::Wood) => Hatch::Wood,
        Some(MaterialKind::FoamInsulation) => Hatch::Foam,
        Some(MaterialKind::FibreInsulation) => Hatch::Fibre,
        Some(MaterialKind::Masonry) => Hatch::Masonry,
        Some(MaterialKind::Ground) => Hatch::Gravel,
        Some(MaterialKind::Metal) => Hatch::Metal,
        Some(MaterialKind::Membrane) => Hatch::Membrane,
        Some(MaterialKind::Finish | MaterialKind::Other) | None => Hatch::Plain,
    }
}

fn role_words(role: Role) -> &'static str {
    match role {
        Role::AirBarrier => "air barrier",
        Role::AirControl => "air control",
        Role::VapourRetarder => "vapour retarder",
        Role::ContinuousInsulation => "continuous insulation",
        Role::WaterBarrier => "water barrier",
        Role::Waterproofing => "waterproofing",
        Role::CapillaryBreak => "capillary break",
        Role::Structure => "structure",
        Role::Finish => "finish",
    }
}
