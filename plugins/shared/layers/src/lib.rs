//! The layers of an assembly, looked up once: what plugins for areas, weights, heat and moisture share. A library, no
//! plugin: it says what a layer is and does not add layers up.
//!
//! [`Layers`] lists an assembly from inside to outside and knows which layers lie inside the face of a box ([`face`]) and
//! which inside of a ventilated cavity. A [`Layer`] has a place in the home, a depth and a [`Body`]; a [`Matter`] has a
//! resistance, a conductivity, a density and, in [`vapour`], a resistance to vapour. [`framing`] counts members. What an assembly lacks for one of
//! these takes that one away and no other: each is a [`Lack`] of its own.

pub mod face;
pub mod framing;
mod layer;
mod matter;
mod pressed;
mod series;
pub mod vapour;

pub use layer::{Body, Layer, MeanDensity};
pub use matter::{How, Matter, Plane, RESISTANCE, Thermal, plane};
pub use series::{Series, in_series};

use mateline_films::surface::Direction;
use mateline_model::Equation;
use mateline_model::home::{Assembly, Home, Id};
use mateline_sdk::Lack;

/// Every equation of this library.
pub fn equations() -> Vec<Equation> {
    let own = [
        Plane::EQUATION,
        Series::EQUATION,
        MeanDensity::EQUATION,
        vapour::ByPermeance::EQUATION,
        vapour::ByThickness::EQUATION,
    ];
    own.into_iter().chain(framing::equations()).collect()
}

/// An assembly's layers from inside to outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Layers<'a> {
    /// Which way heat flows through them.
    pub flow: Direction,
    /// Every layer.
    pub all: Vec<Layer<'a>>,
    inward: usize,
    closed: usize,
}

impl<'a> Layers<'a> {
    /// Looks up every layer of an assembly.
    ///
    /// # Errors
    /// [`Lack`] where a layer is none of the four kinds or names no known material.
    pub fn of(home: &'a Home, id: &Id, assembly: &'a Assembly) -> Result<Layers<'a>, Lack> {
        let flow = Direction::of(assembly.kind);
        let closed = assembly.layers.iter().position(|layer| layer.vented_cavity.is_some());
        let closed = closed.unwrap_or(assembly.layers.len());
        let resolve = |(index, given)| {
            Layer::of(home, given, index, format!("assemblies.{id}.layers.{index}"), flow, index < closed)
        };
        let all = assembly.layers.iter().enumerate().map(resolve).collect::<Result<Vec<_>, _>>()?;
        let inward = face::layers_inside(assembly.kind, all.get(..closed).unwrap_or_default());
        Ok(Layers { flow, all, inward, closed })
    }

    /// The layers that resist: those inside of any ventilated cavity.
    pub fn closed(&self) -> &[Layer<'a>] {
        self.all.get(..self.closed).unwrap_or_default()
    }

    /// The layers inside the face of a box.
    pub fn inside_face(&self) -> &[Layer<'a>] {
        self.all.get(..self.inward).unwrap_or_default()
    }

    /// The layers outside of all framing that resist; none where nothing is framed.
    pub fn outside_framing(&self) -> &[Layer<'a>] {
        face::outside_framing(self.closed())
    }

    /// Whether a cavity is ventilated with outdoor air.
    pub fn is_ventilated(&self) -> bool {
        self.closed < self.all.len()
    }
}
