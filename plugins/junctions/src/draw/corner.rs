//! Corners of the outside walls, in plan.

use super::{Drawn, Scene, counted, flank, reach, row, some};
use crate::canvas::{Canvas, Matter, ROOM, outside as outdoors};
use crate::lack::Lack;
use crate::layers::Layers;
use mateline_conduction::section::Rect;

/// Studs of a corner beside the regular ones, where the home does not say (common practice, no source).
const CORNER_STUDS: u32 = 2;

/// An outside corner. The faces of the box meet at the origin, the room lies to the upper right.
pub(super) fn outside(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let wall = scene.wall()?;
    let (inside, out) = (wall.inside(), wall.outside());
    let end = inside + reach(wall.thickness());
    let mut canvas = Canvas::plan();
    canvas.air(Rect::new(-out - 0.2, -out - 0.2, end, end), outdoors(wall.films.1));
    for (span, layer) in wall.spans().into_iter().rev() {
        canvas.matter(Rect::new(span.outer, span.outer, end, end), &layer.matter);
    }
    canvas.air(Rect::new(inside, inside, end, end), ROOM);
    let mut drawn = Drawn { flanks: vec![flank(&wall, end, end - inside); 2], ..Drawn::default() };
    if let Some((span, framing, _, member)) = wall.framed() {
        let width = framing.size.thickness.si();
        let usual = framing.corner_studs.unwrap_or(CORNER_STUDS) + 1;
        let studs = scene.sizes().studs().unwrap_or(usual);
        row(studs, width, "studs of the corner")?;
        for stud in 0..studs {
            canvas.matter(place(stud, width, span.outer, span.inner), member);
        }
        let known = if framing.fraction.is_some() { studs } else { studs.min(usual) };
        drawn.counted.push(counted(
            &wall,
            some(known, "stud of the corner", "studs of the corner"),
            f64::from(known) * width,
        ));
        drawn.notes.push(format!(
            "{} at the corner, the end stud of the wall among them",
            some(studs, "stud stands", "studs stand")
        ));
    }
    drawn.section = canvas.section();
    Ok(drawn)
}

/// The studs of a corner: the end stud of one wall, that of the other against it, then more beside the first.
fn place(stud: u32, width: f64, outer: f64, inner: f64) -> Rect {
    match stud {
        0 => Rect::new(outer, outer, outer + width, inner),
        1 => Rect::new(outer, inner, inner, inner + width),
        more => {
            let left = outer + f64::from(more - 1) * width;
            Rect::new(left, outer, left + width, inner)
        }
    }
}

/// An inside corner. The faces of the boxes meet at the origin, outdoors lies to the upper right.
pub(super) fn inside(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    let wall = scene.wall()?;
    let inner = wall.inside();
    let end = wall.outside() + reach(wall.thickness());
    let mut canvas = Canvas::plan();
    canvas.air(Rect::new(-inner - 0.2, -inner - 0.2, end, end), ROOM);
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(-span.inner, -span.inner, end, end), &layer.matter);
    }
    let out = wall.outside();
    canvas.air(Rect::new(out, out, end, end), outdoors(wall.films.1));
    let mut drawn = Drawn { flanks: vec![flank(&wall, end, end + inner); 2], ..Drawn::default() };
    paint_studs(scene, &wall, &mut canvas, &mut drawn)?;
    drawn.section = canvas.section();
    Ok(drawn)
}

/// One end stud for each wall, or as many as given, side by side from the corner of the framing.
fn paint_studs(scene: &Scene<'_>, wall: &Layers<'_>, canvas: &mut Canvas, drawn: &mut Drawn) -> Result<(), Lack> {
    let Some((span, framing, _, member)) = wall.framed() else { return Ok(()) };
    let member: &Matter = member;
    let (width, studs) = (framing.size.thickness.si(), scene.sizes().studs().unwrap_or(2));
    row(studs, width, "studs in the inside corner")?;
    for stud in 0..studs {
        let along = f64::from(stud / 2) * width - span.inner;
        let upright = Rect::new(along, -span.inner, along + width, -span.outer);
        canvas.matter(if stud % 2 == 0 { upright } else { upright.transposed() }, member);
    }
    let stand = some(studs, "stud stands", "studs stand");
    drawn.notes.push(format!("{stand} in the inside corner, which no share of framing holds"));
    Ok(())
}
