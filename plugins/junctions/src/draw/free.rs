//! Sections that a home gives as rectangles of its own.

use super::{Drawn, Flank};
use crate::lack::Lack;
use crate::layers::matter;
use mateline_conduction::arrangement::{Arrangement, SectionError};
use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_films::surface::Direction;
use mateline_model::home::{Home, Junction, SectionSide};
use mateline_model::quantity::Length;
use mateline_model::{Pointer, Problem};

/// Surface resistances where a boundary gives none (m²·K/W): ISO 6946, heat flowing level (from memory).
const FILMS: (f64, f64) = (0.13, 0.04);

/// The section of a junction's own rectangles; `None` where it gives none.
pub(crate) fn own_section(home: &Home, junction: &Junction, path: &str) -> Option<Result<Drawn, Lack>> {
    (!junction.rectangles.is_empty()).then(|| drawn(home, junction, path))
}

fn drawn(home: &Home, junction: &Junction, path: &str) -> Result<Drawn, Lack> {
    let section = section(home, junction, path)?;
    let flank = |(number, given): (usize, &mateline_model::home::SectionFlank)| Flank {
        name: format!("{path}.flanks.{number}"),
        u: given.u_factor.si(),
        exterior: given.exterior.si(),
        interior: given.interior.unwrap_or(given.exterior).si(),
    };
    let flanks: Vec<Flank> = junction.flanks.iter().enumerate().map(flank).collect();
    let no_flanks = flanks.is_empty().then(|| {
        let because = format!("{path} gives rectangles but no flanks, so that ψ cannot be told from the plane parts");
        Lack::at(because, path)
    });
    let notes = vec!["air cavities carry heat as layers of their smaller size, flowing level".to_owned()];
    Ok(Drawn { section, flanks, notes, no_flanks, ..Drawn::default() })
}

fn section(home: &Home, junction: &Junction, path: &str) -> Result<Section, Lack> {
    let mut section = Section {
        environments: vec![
            Environment { name: "inside".to_owned(), is_inside: true },
            Environment { name: "outside".to_owned(), is_inside: false },
        ],
        ..Section::default()
    };
    for (number, given) in junction.rectangles.iter().enumerate() {
        let path = format!("{path}.rectangles.{number}");
        let (x, y) = (given.x.si(), given.y.si());
        let rect = Rect::new(x, y, x + given.width.si(), y + given.height.si());
        let material = matter(home, &given.material, rect.width().min(rect.height()), Direction::Level, &path)?;
        section.parts.push(Part { rect, conductivity: material.conductivity, name: material.name });
    }
    for given in &junction.boundaries {
        let inside = given.touches == SectionSide::Inside;
        let (x, y) = (given.x.si(), given.y.si());
        let size = |length: Option<Length>| length.map_or(0.0, Length::si);
        section.surfaces.push(Surface {
            rect: Rect::new(x, y, x + size(given.width), y + size(given.height)),
            environment: usize::from(!inside),
            resistance: given.resistance.map_or(if inside { FILMS.0 } else { FILMS.1 }, |resistance| resistance.si()),
            watched: true,
        });
    }
    Ok(section)
}

/// What cannot be in the rectangles of a home's junctions.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut found = Vec::new();
    for (id, junction) in &home.junctions {
        let path = format!("junctions.{id}");
        if junction.rectangles.is_empty() {
            if !junction.boundaries.is_empty() || !junction.flanks.is_empty() {
                found.push(problem(path, "boundaries and flanks belong to rectangles, of which there are none".into()));
            }
            continue;
        }
        let Ok(section) = section(home, junction, &path) else { continue };
        if let Err(error) = Arrangement::of(&section) {
            found.push(problem(place(&path, &error), format!("{path}: {error}")));
        }
    }
    found
}

/// The place in the home that an error is about.
fn place(path: &str, error: &SectionError) -> String {
    match error {
        SectionError::Size(part)
        | SectionError::Thin(part, _)
        | SectionError::Conductivity(part, _)
        | SectionError::Overlap(_, part)
        | SectionError::Gap(part, _)
        | SectionError::Unconnected(_, part) => format!("{path}.rectangles.{part}"),
        SectionError::Resistance(surface) | SectionError::Environment(surface) | SectionError::Astray(surface) => {
            format!("{path}.boundaries.{surface}")
        }
        _ => path.to_owned(),
    }
}

fn problem(at: String, message: String) -> Problem {
    Problem { at: Pointer::new(at), also: Vec::new(), message, help: None }
}
