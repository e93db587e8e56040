//! Surface resistances of drawn sections: the handbook's air films, as the envelope's U-factors have them, so that a
//! ψ-value completes those U-factors.

use crate::air_cavity::Flow;

/// m²·K/W in one h·ft²·°F/Btu, from the foot and the international table Btu.
const INCH_POUND: f64 = 0.3048 * 0.3048 * 3_600.0 * (5.0 / 9.0) / 1_055.055_852_62;

/// On any surface inside, for the lowest surface temperature that mould is judged by (m²·K/W).
///
/// Source: ISO 13788:2012, 4.4.1 (from memory).
pub(crate) const MOULD: f64 = 0.25;

/// Where the films come from.
pub(crate) const SOURCE: &str =
    "ASHRAE Fundamentals, ch. 26, surface films (0.68 and 0.17 looked up, else from memory)";

/// Still air, for heat flowing in a direction (m²·K/W): 0.61, 0.68, 0.92 h·ft²·°F/Btu up, level, down.
pub(crate) const fn still(flow: Flow) -> f64 {
    INCH_POUND
        * match flow {
            Flow::Up => 0.61,
            Flow::Level => 0.68,
            Flow::Down => 0.92,
        }
}

/// Winter wind of 15 mph (m²·K/W): 0.17 h·ft²·°F/Btu.
pub(crate) const WIND: f64 = INCH_POUND * 0.17;

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
            (Film::Room, Looks::Sideways) => still(Flow::Level),
            (Film::Room, Looks::Down) => still(Flow::Up),
            (Film::Room, Looks::Up) => still(Flow::Down),
        }
    }
}
