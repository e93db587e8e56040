//! The conditioned space below the boxes, inside its walls.

use crate::basis::area;
use crate::enclosure::Site;
use crate::facts;
use crate::floors::strip_step;
use crate::foundation::{Below, height};
use crate::layers::Thicknesses;
use mateline_boxes::coordinate::{Rect, Span, metres, nanometres, square_metres};
use mateline_boxes::outline::Outline;
use mateline_boxes::region::{Edge, Region};
use mateline_equation::equation;
use mateline_model::home::{Id, Side};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Step, Subject, Term};
use mateline_sdk::Lack;

equation! {
    /// Floor below the boxes, inside the walls that stand on the footprint. Source: geometry.
    pub(crate) FloorBelow = "F_b = A − S" {
        F_b: Area "floor below the boxes" [Units::AREA],
        A: Area "footprint" [Units::AREA],
        S: Area "plan area of the walls" [Units::AREA],
    }

    /// Air below the boxes. Source: geometry.
    pub(crate) AirBelow = "V_b = F_b·h_b" {
        V_b: Volume "air below the boxes" [Units::VOLUME],
        F_b: Area "floor below the boxes" [Units::AREA],
        h_b: Length "height below the boxes" [Units::LENGTH],
    }
}

/// The space below the boxes, inside its walls.
#[derive(Clone, Debug)]
pub struct Cellar {
    /// Floor area (m²).
    pub area: f64,
    /// Length of the walls' inner faces (m).
    pub perimeter: f64,
    /// Height (m).
    pub height: f64,
    /// The assembly of its walls.
    pub wall: Id,
    /// How thick they are inside the outline of the boxes (m).
    pub thickness: f64,
}

impl Cellar {
    /// The space below the boxes of a home; `None` where there is none inside the envelope.
    pub fn of(site: &Site<'_, '_>, thicknesses: &Thicknesses<'_>, footprint: &Outline) -> Result<Option<Cellar>, Lack> {
        match site.below {
            Below::Unknown(lack) => return Err(lack.clone()),
            Below::Outside(_) => return Ok(None),
            Below::Inside(_) => {}
        }
        let Some(foundation) = &site.home.foundation else { return Ok(None) };
        let height = height(foundation)?;
        let lack = || Lack::at("the foundation has no wall assembly", "foundation");
        let id = foundation.wall.as_ref().ok_or_else(lack)?;
        let thickness = thicknesses.get(id)?.thickness;
        let t = nanometres(thickness);
        let walls = footprint.region.outline().into_iter().map(|edge| inside_of(edge, t));
        let region = footprint.region.minus(&Region::union_of(walls.collect()));
        let perimeter = region.outline().iter().map(|edge| metres(edge.along.length())).sum();
        Ok(Some(Cellar { area: square_metres(region.area()), perimeter, height, wall: id.clone(), thickness }))
    }

    /// Volume (m³).
    pub fn volume(&self) -> f64 {
        self.air().value().si()
    }

    fn air(&self) -> AirBelow {
        AirBelow { F_b: Area::from_si(self.area), h_b: Length::from_si(self.height) }
    }

    /// Floor and walls from inside (m²).
    pub fn envelope(&self) -> f64 {
        self.area + self.perimeter * self.height
    }

    /// How its floor area comes about.
    pub fn floor_steps(&self, thicknesses: &Thicknesses<'_>, footprint: &Outline) -> Vec<Step> {
        let walls = footprint.area - self.area;
        let standing = area("S", format!("plan area of the walls, {}", self.wall), walls);
        let floor = FloorBelow { A: Area::from_si(footprint.area), S: Area::from_si(walls) }.step().1;
        let floor = floor.fact(FloorBelow::A, &Subject::home(), facts::FOOTPRINT_AREA.name);
        let floor = floor.with(standing.clone());
        let strips = strip_step(standing, self.thickness, footprint.perimeter());
        thicknesses.step(&self.wall).into_iter().chain(strips).chain([floor]).collect()
    }

    /// How its volume comes about.
    pub fn volume_step(&self) -> Step {
        self.air().step().1.given(AirBelow::h_b, "foundation.height")
    }

    /// Floor and walls from inside, as a term.
    pub fn envelope_term(&self) -> Term {
        let value = Area::from_si(self.envelope());
        Term::new("A_b", "floor and walls of the space below the boxes", value, Units::AREA)
    }
}

/// A wall of thickness `t` along the inside of an edge of the outline, longer by `t` at both ends.
fn inside_of(edge: Edge, t: i64) -> Rect {
    let (run, at) = (edge.along.grown(t), edge.at);
    match edge.side {
        Side::West => Rect::new(Span::new(at, at + t), run),
        Side::East => Rect::new(Span::new(at - t, at), run),
        Side::South => Rect::new(run, Span::new(at, at + t)),
        Side::North => Rect::new(run, Span::new(at - t, at)),
    }
}
