//! The eave: where a wall meets the ceiling under an attic, and the insulation thins out towards the roof's edge.
//!
//! x runs inwards from the face of the box, y upwards from its top.

use super::rim::{Plates, paint_plates, paint_rim};
use super::{Drawn, Scene, flank, reach};
use crate::canvas::{Air, Canvas, ROOM, outside as outdoors};
use crate::films::Film;
use crate::lack::Lack;
use crate::layers::Span;
use mateline_conduction::section::Rect;
use mateline_model::quantity::Length;

/// Steps in which insulation follows the slope of the roof.
const STEPS: u32 = 12;
/// Slope of a roof that gives none: 5/12 (common practice, no source).
const SLOPE: f64 = 5.0 / 12.0;

pub(super) fn wall_to_attic(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let (wall, ceiling) = (scene.wall()?, scene.ceiling()?);
    let mut drawn = Drawn::default();
    let (thick, above) = (ceiling.inside(), ceiling.outside());
    let low = -thick - reach(wall.thickness());
    let mut width = wall.inside() + reach(ceiling.thickness());
    let full = scene.sizes().given.and_then(|given| given.eave_depth).map(Length::si);
    let slope = scene.home.roof.slope.map_or(SLOPE, |slope| slope.ratio).max(0.05);
    if let Some(depth) = full {
        // The ceiling is one-dimensional again only where its insulation has its full depth.
        width = width.max((above - depth) / slope + 1.0);
    }
    let mut canvas = Canvas::default();
    let out = wall.outside();
    canvas.air(Rect::new(-out - 0.3, low, -out, above + 0.3), outdoors(wall.films.1));
    let attic = Air { name: "attic", is_inside: false, film: Film::Fixed(ceiling.films.1) };
    canvas.air(Rect::new(-out, 0.0, width, above + 0.3), attic.clone());
    canvas.air(Rect::new(0.0, low, width, -thick), ROOM);
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(span.outer, low, span.inner, 0.0), &layer.matter);
    }
    let start = wall.framed().map_or(0.0, |(span, ..)| span.outer);
    for (span, layer) in ceiling.spans() {
        let left = if span.inner > 0.0 { start } else { -out };
        canvas.matter(Rect::new(left, -span.inner, width, -span.outer), &layer.matter);
    }
    match full {
        Some(depth) if depth < above => {
            let reach = (above - depth) / slope;
            for step in 0..STEPS {
                let at = |step: u32| reach * f64::from(step) / f64::from(STEPS);
                let left = if step == 0 { -out } else { at(step) };
                let height = depth + slope * (at(step) + at(step + 1)) / 2.0;
                canvas.air(Rect::new(left, height, at(step + 1), above), attic.clone());
            }
            drawn.notes.push(format!("the insulation follows the roof's slope in {STEPS} steps"));
        }
        Some(_) => {}
        None => drawn.notes.push("the attic insulation keeps its full depth to the outside of the wall".to_owned()),
    }
    let joists = ceiling.framed().map(|(span, ..)| Span { outer: -span.inner, inner: -span.outer });
    drawn.counted.extend(paint_rim(scene, &wall, joists, 0.0, &mut canvas, &mut drawn.notes)?);
    drawn.counted.extend(paint_plates(&wall, -thick, &mut canvas, Plates::Top)?);
    drawn.notes.push("the attic is taken to be as cold as outdoors".to_owned());
    drawn.flanks = vec![flank(&wall, -low, -low - thick), flank(&ceiling, width, width - wall.inside())];
    drawn.section = canvas.section();
    Ok(drawn)
}
