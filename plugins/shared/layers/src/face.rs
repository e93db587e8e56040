//! Which layers lie inside the face of a box.
//!
//! A box is measured over its framing and sheathing. What an assembly has outside that (insulation, cavity, cladding)
//! stands outside the box's size.

use crate::{Body, Layer};
use mateline_model::home::{AssemblyKind, MaterialKind, Role};

/// A layer of unknown kind next outside the framing is sheathing up to this thickness (m): 1 in. Common practice, no
/// source.
pub const SHEATHING: f64 = 0.0254;

/// How many of the layers inside of any ventilated cavity, from inside, lie inside the face of a box.
///
/// Of a foundation or mass wall: all up to the outermost masonry. Of a framed assembly: all up to the outermost framed
/// layer, and the sheathing next outside it (a board or wood that is not continuous insulation). Of any other: all.
pub fn layers_inside(kind: AssemblyKind, closed: &[Layer<'_>]) -> usize {
    let is_heavy = matches!(kind, AssemblyKind::BasementWall | AssemblyKind::CrawlWall | AssemblyKind::MassWall);
    if let Some(masonry) = closed.iter().rposition(|layer| is_heavy && is_masonry(layer)) {
        return masonry + 1;
    }
    let outside = outside_framing(closed);
    closed.len() - outside.len() + usize::from(outside.first().is_some_and(is_sheathing))
}

/// The layers outside of the outermost framing; none where nothing is framed.
pub(crate) fn outside_framing<'l, 'a>(closed: &'l [Layer<'a>]) -> &'l [Layer<'a>] {
    let framed = closed.iter().rposition(|layer| layer.framing().is_some());
    framed.and_then(|framed| closed.get(framed + 1..)).unwrap_or_default()
}

fn is_masonry(layer: &Layer<'_>) -> bool {
    matches!(&layer.body, Body::Plain(matter) if matter.kind() == Some(MaterialKind::Masonry))
}

/// Whether a layer next outside the framing is its sheathing.
fn is_sheathing(layer: &Layer<'_>) -> bool {
    match &layer.body {
        Body::Plain(matter) if !matter.is_air() && !layer.has(Role::ContinuousInsulation) => match matter.kind() {
            Some(MaterialKind::Board | MaterialKind::Wood) => true,
            Some(_) => false,
            None => matter.depth.is_some_and(|depth| depth.si() <= SHEATHING),
        },
        _ => false,
    }
}
