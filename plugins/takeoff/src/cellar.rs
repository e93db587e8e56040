//! The conditioned space below the boxes, inside its walls.

use crate::basis::area;
use crate::enclosure::Site;
use crate::facts;
use crate::floors::strip_step;
use crate::layers::Thicknesses;
use crate::parts::Part;
use mateline_boxes::coordinate::{Rect, Span, metres, nanometres, square_metres};
use mateline_boxes::region::{Edge, Region, difference};
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
    /// Area (m²) and length (m) of that outline.
    outline: (f64, f64),
    /// Whether it lies below all boxes.
    is_whole: bool,
    /// Whether its floor counts as floor area.
    pub has_floor_area: bool,
    /// Where the home describes it.
    path: String,
}

impl Cellar {
    /// The space inside the envelope below some of the boxes.
    pub fn of(site: &Site<'_, '_>, thicknesses: &Thicknesses<'_>, number: usize, part: &Part) -> Result<Cellar, Lack> {
        let height = part.height()?;
        let lack = || Lack::at("the foundation has no wall assembly", "foundation");
        let id = site.home.foundation.as_ref().and_then(|foundation| foundation.wall.as_ref()).ok_or_else(lack)?;
        let thickness = thicknesses.get(id)?.thickness;
        let t = nanometres(thickness);
        let walls = site.parts.walled(number).into_iter().map(|edge| inside_of(edge, t));
        let region = part.outline.region.minus(&Region::union_of(walls.collect()));
        let open = site.parts.open(number);
        let walled = region.outline().into_iter().map(|edge| {
            let open = open.iter().filter(|open| open.side == edge.side && open.at == edge.at);
            let mut open: Vec<Span> = open.map(|open| open.along).collect();
            open.sort_unstable();
            difference(&[edge.along], &open).into_iter().map(|span| metres(span.length())).sum::<f64>()
        });
        let perimeter = walled.sum();
        let outline = (part.outline.area, part.outline.perimeter());
        let (area, is_whole) = (square_metres(region.area()), site.parts.is_one());
        let has_floor_area = part.below.has_floor_area();
        let path = part.path.clone();
        Ok(Cellar { area, perimeter, height, wall: id.clone(), thickness, outline, is_whole, has_floor_area, path })
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
    pub fn floor_steps(&self, thicknesses: &Thicknesses<'_>) -> Vec<Step> {
        let (footprint, run) = self.outline;
        let walls = footprint - self.area;
        let standing = area("S", format!("plan area of the walls, {}", self.wall), walls);
        let floor = FloorBelow { A: Area::from_si(footprint), S: Area::from_si(walls) }.step().1;
        let floor = if self.is_whole {
            floor.fact(FloorBelow::A, &Subject::home(), facts::FOOTPRINT_AREA.name)
        } else {
            floor
                .meaning(FloorBelow::A, format!("plan of the boxes over {}", self.path))
                .given(FloorBelow::A, "modules")
        };
        let floor = floor.with(standing.clone());
        let strips = strip_step(standing, self.thickness, run);
        thicknesses.step(&self.wall).into_iter().chain(strips).chain([floor]).collect()
    }

    /// How its volume comes about.
    pub fn volume_step(&self) -> Step {
        self.air().step().1.given(AirBelow::h_b, format!("{}.height", self.path))
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
