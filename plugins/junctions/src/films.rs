//! Surface resistances of drawn sections: the handbook's air films, as the envelope's U-factors have them, so that a
//! ψ-value completes those U-factors.

use mateline_films::surface::{Direction, OuterSide, handbook};

/// On any surface inside, for the lowest surface temperature that mould is judged by (m²·K/W).
///
/// Source: ISO 13788:2012, 4.4.1 (from memory).
pub(crate) const MOULD: f64 = 0.25;

/// Where the films come from.
pub(crate) const SOURCE: &str =
    "ASHRAE Fundamentals, ch. 26, surface films (0.68 and 0.17 looked up, else from memory)";

/// Still air, for heat flowing in a direction (m²·K/W).
pub(crate) const fn still(flow: Direction) -> f64 {
    handbook(flow, OuterSide::StillAir).inner.si()
}

/// Winter wind (m²·K/W), the same for every direction.
pub(crate) const WIND: f64 = handbook(Direction::Level, OuterSide::Wind).outer.si();

/// The film on a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Film {
    /// The same on every surface (m²·K/W).
    Fixed(f64),
    /// Still air, by how the surface lies: upright level, under a ceiling up, over a floor down.
    Room,
}

/// Which way a surface looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Looks {
    Sideways,
    Down,
    Up,
}

impl Film {
    /// Resistance on a surface (m²·K/W).
    pub(crate) fn on(self, looks: Looks) -> f64 {
        match (self, looks) {
            (Film::Fixed(resistance), _) => resistance,
            (Film::Room, Looks::Sideways) => still(Direction::Level),
            (Film::Room, Looks::Down) => still(Direction::Up),
            (Film::Room, Looks::Up) => still(Direction::Down),
        }
    }
}
