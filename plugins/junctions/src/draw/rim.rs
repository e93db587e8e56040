//! Rims: where a box's floor meets its wall, over the foundation or over another box, and the top of the foundation wall.
//!
//! x runs inwards from the face of the boxes, y upwards from the underside of the box.

use super::sizes::{gypsum_board, usual};
use super::{Counted, Drawn, Flank, Scene, counted, flank, reach, row, some};
use crate::air_cavity;
use crate::canvas::{Air, Canvas, Matter, ROOM, outside as outdoors};
use crate::films::Film;
use crate::lack::Lack;
use crate::layers::{Layers, Span, matter};
use mateline_conduction::section::Rect;
use mateline_films::surface::Direction;
use mateline_model::home::{AssemblyKind, Boundary, FoundationKind, Home, JunctionSection};
use mateline_model::quantity::Length;

/// Plates along the bottom of a wall, where the home does not say (common practice, no source).
const BOTTOM_PLATES: u32 = 1;
/// Plates along its top (common practice, no source).
pub(super) const TOP_PLATES: u32 = 2;

/// What the box stands on in the section.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Base {
    /// The foundation as it is.
    Foundation,
    /// The wall carried on downwards, with the room behind it: what the rim alone does.
    Wall,
    /// Nothing: outdoor air below the box.
    Air,
}

/// The floor rim over the foundation; with the top of the foundation wall, unless that is a junction of its own.
pub(super) fn floor(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    if scene.home.foundation.as_ref().is_some_and(|foundation| foundation.kind == FoundationKind::Piers) {
        let mut drawn = over_foundation(scene, Base::Air)?;
        drawn.notes.push("piers and beams below the box are left out: they touch it at points".to_owned());
        return Ok(drawn);
    }
    let base = if scene.wanted.top_is_apart && below_is_inside(scene.home) { Base::Wall } else { Base::Foundation };
    let mut drawn = over_foundation(scene, base)?;
    if base == Base::Wall {
        drawn.notes.push(
            "the wall is drawn on below the rim; what the top of the foundation wall adds is a junction of its own"
                .to_owned(),
        );
    }
    Ok(drawn)
}

/// The rim of a box that overhangs.
pub(super) fn over_air(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let floor = scene.floor()?;
    let inside = scene.home.assemblies.get(floor.id).is_some_and(|assembly| {
        assembly.kind == AssemblyKind::Interior || assembly.boundary() == Boundary::Conditioned
    });
    if inside {
        let because = format!("a box overhangs, and {} is no floor over outdoor air", floor.id);
        return Err(Lack::at(because, "enclosure.exposed_floors"));
    }
    over_foundation(scene, Base::Air)
}

/// The top of the foundation wall: what it adds to the rim above it.
pub(super) fn foundation_top(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    if !below_is_inside(scene.home) {
        let because = "the foundation wall stands outside the thermal envelope, so that its top loses nothing";
        return Err(Lack::at(because, "foundation.conditioned"));
    }
    let (with, mut without) = (over_foundation(scene, Base::Foundation)?, over_foundation(scene, Base::Wall)?);
    without.flanks.iter_mut().for_each(|flank| {
        flank.name = format!("{}, carried on below", flank.name);
        flank.exterior = -flank.exterior;
        flank.interior = -flank.interior;
    });
    let mut drawn = Drawn { without: Some(without.section), ..with };
    drawn.flanks.extend(without.flanks);
    drawn.counted.clear();
    drawn.notes.push("what the rim does with the box's wall carried on below is taken off".to_owned());
    Ok(drawn)
}

fn below_is_inside(home: &Home) -> bool {
    home.foundation.as_ref().is_some_and(|foundation| foundation.is_conditioned())
}

fn over_foundation(scene: &Scene<'_>, base: Base) -> Result<Drawn, Lack> {
    let (wall, floor) = (scene.wall()?, scene.floor()?);
    let mut drawn = Drawn::default();
    let inside_below = base == Base::Wall || base == Base::Foundation && below_is_inside(scene.home);
    let (high, width) = (floor.inside() + reach(wall.thickness()), wall.inside() + reach(floor.thickness()));
    let low = -reach(wall.thickness().max(0.3));
    let mut canvas = Canvas::default();
    canvas.air(Rect::new(-wall.outside() - 0.4, low, 0.0, high), outdoors(wall.films.1));
    canvas.air(Rect::new(0.0, floor.inside(), width, high), ROOM);
    let below = if inside_below {
        ROOM
    } else if base == Base::Air {
        outdoors(floor.films.1)
    } else {
        Air { name: "crawl space", is_inside: false, film: Film::Fixed(floor.films.1) }
    };
    canvas.air(Rect::new(0.0, low, width, 0.0), below);
    let foot = if base == Base::Wall { low } else { 0.0 };
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(span.outer, foot, span.inner, high), &layer.matter);
    }
    let start = wall.framed().map_or(0.0, |(span, ..)| span.outer);
    paint_deck(&mut canvas, &floor, start, width, !inside_below);
    let rim = paint_rim(scene, &wall, floor.framed().map(|(span, ..)| span), 0.0, &mut canvas, &mut drawn.notes)?;
    drawn.counted.extend(rim);
    drawn.counted.extend(paint_plates(&wall, floor.inside(), &mut canvas, Plates::Bottom)?);
    let above = floor.inside();
    if base == Base::Wall {
        drawn.flanks.push(flank(&wall, high - low, high - low - above));
    } else {
        drawn.flanks.push(flank(&wall, high, high - above));
        let foundation = if base == Base::Air {
            None
        } else {
            paint_foundation(scene, low, inside_below, &mut canvas, &mut drawn.notes)?
        };
        if inside_below {
            drawn.flanks.extend(foundation);
        } else {
            drawn.flanks.push(flank(&floor, width, width - wall.inside()));
            if base == Base::Foundation {
                drawn.notes.push("the space below is taken to be as cold as outdoors".to_owned());
            }
        }
    }
    drawn.section = canvas.section();
    Ok(drawn)
}

/// The layers of a floor above the underside of the box; its insulation below only where it is the envelope.
fn paint_deck(canvas: &mut Canvas, floor: &Layers<'_>, start: f64, width: f64, is_envelope: bool) {
    for (span, layer) in floor.spans() {
        if span.inner > 0.0 {
            canvas.matter(Rect::new(start, span.outer, width, span.inner), &layer.matter);
        } else if is_envelope {
            canvas.matter(Rect::new(0.0, span.outer, width, span.inner), &layer.matter);
        }
    }
}

/// A rim board at the outer side of the wall's framing and insulation behind it, `at` the height of the framing's base.
pub(super) fn paint_rim(
    scene: &Scene<'_>,
    wall: &Layers<'_>,
    joists: Option<Span>,
    at: f64,
    canvas: &mut Canvas,
    notes: &mut Vec<String>,
) -> Result<Option<Counted>, Lack> {
    let (Some(joists), Some((span, framing, cavity, member))) = (joists, wall.framed()) else { return Ok(None) };
    let (low, high) = (at + joists.outer, at + joists.inner);
    let sizes = scene.sizes();
    let board = sizes.length(|given| given.rim_thickness, usual::RIM, "rim boards are", notes);
    let board = board.min(span.inner - span.outer);
    let behind = (span.inner - span.outer - board).max(0.0);
    let depth = sizes.length(|given| given.rim_insulation, behind, "the insulation behind rim boards is", notes);
    let fill = match sizes.given.and_then(|given| given.rim_fill.as_ref()) {
        Some(name) => matter(scene.home, name, depth, Direction::Level, "junctions")?,
        None => cavity.matter.clone(),
    };
    let rim = Matter { name: "rim board".to_owned(), ..member.clone() };
    canvas.matter(Rect::new(span.outer, low, span.outer + board, high), &rim);
    canvas.matter(Rect::new(span.outer + board, low, span.outer + board + depth, high), &fill);
    let solid = framing.rim_height.map_or(0.0, Length::si).min(high - low);
    Ok((solid > 0.0).then(|| counted(wall, "rims that the wall's framing holds as solid", solid)))
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Plates {
    /// Upwards from `at`.
    Bottom,
    /// Downwards from `at`.
    Top,
}

/// Plates along the edge of a wall.
pub(super) fn paint_plates(
    wall: &Layers<'_>,
    at: f64,
    canvas: &mut Canvas,
    plates: Plates,
) -> Result<Option<Counted>, Lack> {
    let Some((span, framing, _, member)) = wall.framed() else { return Ok(None) };
    let (count, one, many) = match plates {
        Plates::Bottom => (framing.bottom_plates.unwrap_or(BOTTOM_PLATES), "bottom plate", "bottom plates"),
        Plates::Top => (framing.top_plates.unwrap_or(TOP_PLATES), "top plate", "top plates"),
    };
    let height = row(count, framing.size.thickness.si(), many)?;
    let (low, high) = if plates == Plates::Bottom { (at, at + height) } else { (at - height, at) };
    canvas.matter(Rect::new(span.outer, low, span.inner, high), member);
    Ok(Some(counted(wall, some(count, one, many), height)))
}

/// The foundation wall and its sill plate, masonry flush with the face of the box.
fn paint_foundation(
    scene: &Scene<'_>,
    low: f64,
    is_envelope: bool,
    canvas: &mut Canvas,
    notes: &mut Vec<String>,
) -> Result<Option<Flank>, Lack> {
    let home = scene.home;
    let sill = scene.sizes().length(|given: &JunctionSection| given.sill_thickness, usual::SILL, "sill plate", notes);
    let wood = Matter::new("sill plate", usual::WOOD_CONDUCTIVITY);
    let described = home.foundation.as_ref().and_then(|foundation| foundation.wall.as_ref());
    let Some(id) = described else {
        if is_envelope {
            return Err(Lack::undescribed("the foundation names no wall to draw the section from", "foundation"));
        }
        let conductivity = home
            .materials
            .get("concrete")
            .and_then(|material| material.conductivity)
            .map_or(usual::CONCRETE_CONDUCTIVITY, |conductivity| conductivity.si());
        let concrete = Matter::new("concrete", conductivity);
        canvas.matter(Rect::new(0.0, low, usual::FOUNDATION_WALL, -sill), &concrete);
        canvas.matter(Rect::new(0.0, -sill, usual::FOUNDATION_WALL, 0.0), &wood);
        notes.push("the foundation wall is taken as 8 in of bare concrete".to_owned());
        return Ok(None);
    };
    let mut wall = Layers::of(home, id)?;
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(span.outer, low, span.inner, 0.0), &layer.matter);
    }
    if let Some((span, _)) = wall.masonry() {
        canvas.matter(Rect::new(span.outer, -sill, span.inner, 0.0), &wood);
    }
    notes.push("the foundation wall is taken to stand in outdoor air as far as the section goes".to_owned());
    // The section's own film outside, so that its U-factor is that of the wall as drawn.
    wall.films.1 = scene.wall()?.films.1;
    Ok(Some(flank(&wall, -low, -low)))
}

/// The rim between two stacked boxes: ceiling and rim of the lower one, floor and rim of the upper one.
pub(super) fn stacked(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let (wall, floor) = (scene.wall()?, scene.floor()?);
    let mut drawn = Drawn::default();
    let deep = scene.sizes().length(
        |given| given.ceiling_depth,
        usual::CEILING,
        "ceiling framing of the lower box",
        &mut drawn.notes,
    );
    let ceiling = deep + usual::LINING;
    let (high, low) = (floor.inside() + reach(wall.thickness()), -ceiling - reach(wall.thickness()));
    let width = wall.inside() + reach(floor.thickness());
    let mut canvas = Canvas::default();
    canvas.air(Rect::new(-wall.outside() - 0.2, low, 0.0, high), outdoors(wall.films.1));
    canvas.air(Rect::new(0.0, low, width, high), ROOM);
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(span.outer, low, span.inner, high), &layer.matter);
    }
    let start = wall.framed().map_or(0.0, |(span, ..)| span.outer);
    let hollow = air_cavity::conductivity(Length::from_si(deep), None, Direction::Level);
    canvas.matter(Rect::new(start, -deep, width, 0.0), &Matter::new("air", hollow.si()));
    canvas.matter(Rect::new(start, -ceiling, width, -deep), &gypsum_board(scene.home));
    paint_deck(&mut canvas, &floor, start, width, false);
    let joists = floor.framed().map(|(span, ..)| span);
    let upper = paint_rim(scene, &wall, joists, 0.0, &mut canvas, &mut drawn.notes)?;
    let lower = Span { outer: 0.0, inner: deep };
    let lower = paint_rim(scene, &wall, Some(lower), -deep, &mut canvas, &mut Vec::new())?;
    drawn.counted.extend(upper.into_iter().chain(lower));
    drawn.counted.extend(paint_plates(&wall, floor.inside(), &mut canvas, Plates::Bottom)?);
    drawn.counted.extend(paint_plates(&wall, -ceiling, &mut canvas, Plates::Top)?);
    drawn.notes.push("the boxes touch; the insulation outside goes on across the joint".to_owned());
    drawn.flanks.push(flank(&wall, high - low, high - low - floor.inside() - ceiling));
    drawn.section = canvas.section();
    Ok(drawn)
}
