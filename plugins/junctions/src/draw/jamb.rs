//! Jambs: where a window or door stands in a wall, in plan, with a buck through the insulation outside the framing.
//!
//! x runs along the wall with the rough opening at 0 and beyond; y runs inwards from the face of the box.

use super::sizes::usual;
use super::{Drawn, Flank, Scene, counted, flank, reach, row, some};
use crate::canvas::{Canvas, Matter, ROOM, outside as outdoors};
use crate::films::{WIND, still};
use crate::lack::Lack;
use mateline_conduction::section::Rect;
use mateline_films::surface::Direction;
use mateline_model::home::{JunctionSection, OpeningKind};
use mateline_model::quantity::Length;

/// Jack studs at each side of an opening, where the home does not say (common practice, no source).
const JACKS: u32 = 1;
/// How much of the opening is in the section (m).
const OPENING: f64 = 0.4;

pub(super) fn window(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    jamb(scene, "window", |kind| matches!(kind, OpeningKind::Window | OpeningKind::GlazedDoor))
}

pub(super) fn door(scene: &Scene<'_>) -> Result<Drawn, Lack> {
    jamb(scene, "door", |kind| kind == OpeningKind::OpaqueDoor)
}

fn jamb(scene: &Scene<'_>, word: &str, is_meant: impl Fn(OpeningKind) -> bool) -> Result<Drawn, Lack> {
    let wall = scene.wall()?;
    let u = mean_u(scene, word, is_meant)?;
    let mut drawn = Drawn::default();
    let sizes = scene.sizes();
    let notes = &mut drawn.notes;
    let buck = sizes.length(|given: &JunctionSection| given.buck_thickness, usual::BUCK, "buck of", notes);
    let frame = sizes.length(|given| given.frame_depth, usual::FRAME, "frame depth", notes);
    let inset = sizes.given.and_then(|given| given.frame_inset).map_or(0.0, Length::si);
    if inset == 0.0 {
        notes.push("the frame's outer face is flush with the outer face of the wall's insulation".to_owned());
    }
    let (inside, out) = (wall.inside(), wall.outside());
    if inset + frame > inside + out {
        let because = format!("the frame is {:.0} mm deep and leaves the wall on its inner side", frame * 1e3);
        return Err(Lack::at(because, "junctions"));
    }
    let block = 1.0 / u - still(Direction::Level) - WIND;
    if block < frame / 60.0 {
        let because = format!("the {word}s' U-factor of {u:.2} W/(m²·K) leaves no resistance beside the films");
        return Err(Lack::at(because, "openings"));
    }
    let end = reach(wall.thickness());
    let mut canvas = Canvas::plan();
    canvas.air(Rect::new(-end, -out - 0.2, 0.0, -out), outdoors(wall.films.1));
    canvas.air(Rect::new(0.0, -out - 0.2, OPENING, inside), outdoors(WIND));
    canvas.air(Rect::new(-end, inside, OPENING, inside + 0.2), ROOM);
    for (span, layer) in wall.spans() {
        canvas.matter(Rect::new(-end, span.outer, 0.0, span.inner), &layer.matter);
    }
    let wood = wall.framed().map_or_else(|| Matter::new("wood", usual::WOOD_CONDUCTIVITY), |(_, _, _, m)| m.clone());
    if let Some((span, framing, _, member)) = wall.framed() {
        let width = framing.size.thickness.si();
        let usual = framing.jacks.unwrap_or(JACKS) + 1;
        let studs = sizes.studs().unwrap_or(usual);
        let wide = row(studs, width, "studs beside the opening")?;
        canvas.matter(Rect::new(-buck - wide, span.outer, -buck, span.inner), member);
        let known = if framing.fraction.is_some() { studs } else { studs.min(usual) };
        drawn.counted.push(counted(
            &wall,
            some(known, "stud beside the opening", "studs beside the opening"),
            f64::from(known) * width,
        ));
        drawn.notes.push(format!("{} beside the opening", some(studs, "stud stands", "studs stand")));
    }
    canvas.matter(Rect::new(-buck, -out, 0.0, inside), &Matter { name: "buck".to_owned(), ..wood });
    let outer = -out + inset;
    let panel = Matter { watched: false, ..Matter::new(format!("{word}, as a block"), frame / block) };
    canvas.matter(Rect::new(0.0, outer, OPENING, outer + frame), &panel);
    canvas.air(Rect::new(0.0, outer + frame, OPENING, inside + 0.2), ROOM);
    drawn.notes.push(format!("the {word} is a block of its U-factor; its own surface temperature is not looked at"));
    drawn.notes.push("sill and head are taken like the jambs".to_owned());
    let opening = Flank { name: format!("the {word}s, on average"), u, exterior: OPENING, interior: OPENING };
    drawn.flanks = vec![flank(&wall, end, end), opening];
    drawn.section = canvas.section();
    Ok(drawn)
}

/// Mean U-factor of the openings meant, by area (W/(m²·K)).
fn mean_u(scene: &Scene<'_>, word: &str, is_meant: impl Fn(OpeningKind) -> bool) -> Result<f64, Lack> {
    let (mut sum, mut area) = (0.0, 0.0);
    for (id, opening) in scene.home.openings.iter().filter(|(_, opening)| is_meant(opening.kind)) {
        let path = format!("openings.{id}");
        let u = opening.u_factor.ok_or_else(|| Lack::at(format!("{path} has no u_factor"), path.as_str()))?;
        let own = opening.width.si() * opening.height.si() * f64::from(opening.count);
        sum += own * u.si();
        area += own;
    }
    if area > 0.0 && sum > 0.0 {
        Ok(sum / area)
    } else {
        Err(Lack::undescribed(format!("the home has no {word}s to draw the section from"), "openings"))
    }
}
