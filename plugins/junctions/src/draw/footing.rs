//! Footings and slab edges: what the footing and the break of insulation at the foot of the wall add to the heat through
//! the ground, as the difference of two sections in soil.
//!
//! x runs inwards from the face of the boxes, y upwards from grade.

use super::sizes::usual;
use super::{Drawn, Scene, reach};
use crate::canvas::{Canvas, Matter, ROOM, outside as outdoors};
use crate::lack::Lack;
use crate::layers::{DrawnLayer, Layers, Span, matter};
use crate::plot::Plot;
use mateline_conduction::section::Rect;
use mateline_films::surface::Direction;
use mateline_model::home::{Footing, Foundation, Home};
use mateline_model::quantity::Length;

/// Outer surface resistance of the ground (m²·K/W): ISO 6946 (from memory).
const GROUND_FILM: f64 = 0.04;

/// The foot of a heated basement's wall.
pub(super) fn footing(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let foundation = conditioned(scene.home)?;
    let (wall, floor) = assemblies(scene.home, foundation)?;
    let depth = foundation
        .depth_below_grade
        .map(Length::si)
        .filter(|depth| *depth > 0.0)
        .ok_or_else(|| Lack::at("foundation.depth_below_grade is not given", "foundation"))?;
    let plot = Plot::of(scene.request)?;
    let size = foundation.footing.as_ref().ok_or_else(|| Lack::at("foundation.footing is not given", "foundation"))?;
    let paint = |as_built: bool| {
        let mut canvas = ground(&plot, depth + floor.thickness());
        let foot = -depth - floor.thickness();
        if as_built {
            paint_footing(&mut canvas, scene.home, &wall, size, foot);
        }
        for (span, layer) in wall.spans() {
            canvas.matter(Rect::new(span.outer, foot, span.inner, 0.0), &layer.matter);
        }
        for (span, layer) in floor_spans(&floor) {
            let carried_on = !as_built && layer.insulates;
            let left = if carried_on { -wall.outside() } else { wall.inside() };
            canvas.matter(Rect::new(left, -depth + span.outer, plot.half, -depth + span.inner), &layer.matter);
        }
        canvas.air(Rect::new(wall.inside(), -depth, plot.half, 0.0), ROOM);
        canvas.section()
    };
    let notes = vec![
        format!("soil conducts {} W/(m·K), {}", plot.soil.0, plot.soil.1),
        "ψ is the difference to the same section with no footing and the floor's insulation carried under the wall"
            .to_owned(),
        "the section is cut at grade; outdoors and room keep one temperature each".to_owned(),
    ];
    Ok(Drawn { section: paint(true), without: Some(paint(false)), notes, in_ground: true, ..Drawn::default() })
}

/// The edge of a slab on grade, with the wall on it.
pub(super) fn slab_edge(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let home = scene.home;
    let foundation = home
        .foundation
        .as_ref()
        .ok_or_else(|| Lack::undescribed("the home has no foundation to draw the section from", "foundation"))?;
    let id = foundation
        .floor
        .as_ref()
        .ok_or_else(|| Lack::undescribed("the foundation names no floor to draw the section from", "foundation"))?;
    let (wall, floor) = (scene.wall()?, Layers::of(home, id)?);
    let plot = Plot::of(scene.request)?;
    let mut notes = vec![
        format!("soil conducts {} W/(m·K), {}", plot.soil.0, plot.soil.1),
        "ψ is the difference to the same section with no stem wall and the floor's insulation carried round its edge"
            .to_owned(),
    ];
    let sizes = scene.sizes();
    let top = usual::SLAB_ABOVE_GRADE;
    notes.push(format!("the slab lies {:.0} mm above grade (common practice, no source)", top * 1e3));
    let stem = foundation.footing.as_ref().map_or(usual::FOUNDATION_WALL, |footing| footing.width.si());
    let foot = -foundation.footing.as_ref().and_then(|footing| footing.depth).map_or(0.5, |depth| depth.si().max(0.1));
    let edge = sizes.given.and_then(|given| given.edge_insulation).map_or(0.0, Length::si);
    let edge_matter = match sizes.given.and_then(|given| given.edge_material.as_ref()) {
        Some(name) => Some(matter(home, name, edge, Direction::Level, "junctions")?),
        None if edge > 0.0 => return Err(Lack::at("edge_insulation is given, but no edge_material", "junctions")),
        None => None,
    };
    let edge_depth = sizes.given.and_then(|given| given.edge_depth).map_or(-foot, Length::si);
    let high = top + reach(wall.thickness());
    let insulation = floor.layers.iter().find(|layer| layer.insulates);
    let insulation = insulation.map(|layer| (layer.matter.clone(), layer.thickness));
    let concrete = concrete(home);
    let paint = |as_built: bool| {
        let mut canvas = ground(&plot, foot.abs().max(floor.thickness()));
        canvas.air(Rect::new(-wall.outside() - 0.5, top, 0.0, high), outdoors(wall.films.1));
        canvas.air(Rect::new(0.0, top, plot.half, high), ROOM);
        for (span, layer) in wall.spans() {
            canvas.matter(Rect::new(span.outer, top, span.inner, high), &layer.matter);
        }
        if as_built {
            canvas.matter(Rect::new(0.0, foot, stem.min(plot.half / 2.0), top), &concrete);
            if let Some(matter) = &edge_matter {
                canvas.matter(Rect::new(-edge, -edge_depth, 0.0, top), matter);
            }
        }
        let soil = soil_matter(&plot);
        canvas.matter(Rect::new(if as_built { stem.min(plot.half / 2.0) } else { 0.0 }, foot, plot.half, top), &soil);
        for (span, layer) in floor_spans(&floor) {
            let left = if layer.insulates && as_built { stem.min(plot.half / 2.0) } else { 0.0 };
            canvas.matter(Rect::new(left, top + span.outer, plot.half, top + span.inner), &layer.matter);
        }
        if let Some((matter, thickness)) = insulation.as_ref().filter(|_| !as_built) {
            canvas.matter(Rect::new(-thickness, top - floor.thickness(), 0.0, top), matter);
        }
        canvas.section()
    };
    Ok(Drawn { section: paint(true), without: Some(paint(false)), notes, in_ground: true, ..Drawn::default() })
}

/// Soil below grade and air above it, as wide and deep as ISO 10211 asks for: 2.5 times the floor's width.
fn ground(plot: &Plot, depth: f64) -> Canvas {
    let far = 2.5 * 2.0 * plot.half;
    let mut canvas = Canvas::default();
    canvas.air(Rect::new(-far, 0.0, 0.0, 0.2), outdoors(GROUND_FILM));
    canvas.matter(Rect::new(-far, -depth - far, plot.half, 0.0), &soil_matter(plot));
    canvas
}

fn soil_matter(plot: &Plot) -> Matter {
    Matter::new("soil", plot.soil.0)
}

/// A floor's layers by height below its upper face.
fn floor_spans<'b, 'a>(floor: &'b Layers<'a>) -> Vec<(Span, &'b DrawnLayer<'a>)> {
    let mut inner = 0.0;
    let place = |layer: &'b DrawnLayer<'a>| {
        let span = Span { outer: inner - layer.thickness, inner };
        inner = span.outer;
        (span, layer)
    };
    floor.layers.iter().map(place).collect()
}

fn paint_footing(canvas: &mut Canvas, home: &Home, wall: &Layers<'_>, size: &Footing, foot: f64) {
    let span = wall.masonry().map_or(Span { outer: 0.0, inner: wall.inside() }, |(span, _)| span);
    let (middle, half) = ((span.outer + span.inner) / 2.0, size.width.si() / 2.0);
    canvas.matter(Rect::new(middle - half, foot - size.thickness.si(), middle + half, foot), &concrete(home));
}

fn concrete(home: &Home) -> Matter {
    let known = home.materials.get("concrete").and_then(|material| material.conductivity);
    Matter::new("concrete", known.map_or(usual::CONCRETE_CONDUCTIVITY, |conductivity| conductivity.si()))
}

fn conditioned(home: &Home) -> Result<&Foundation, Lack> {
    let foundation = home
        .foundation
        .as_ref()
        .ok_or_else(|| Lack::undescribed("the home has no foundation to draw the section from", "foundation"))?;
    if foundation.is_conditioned() {
        Ok(foundation)
    } else {
        Err(Lack::at("the footing stands outside the thermal envelope and loses nothing", "foundation.conditioned"))
    }
}

fn assemblies<'a>(home: &'a Home, foundation: &'a Foundation) -> Result<(Layers<'a>, Layers<'a>), Lack> {
    let named = |id: &'a Option<mateline_model::home::Id>, what: &str| {
        id.as_ref().ok_or_else(|| {
            Lack::undescribed(format!("the foundation names no {what} to draw the section from"), "foundation")
        })
    };
    Ok((Layers::of(home, named(&foundation.wall, "wall")?)?, Layers::of(home, named(&foundation.floor, "floor")?)?))
}
