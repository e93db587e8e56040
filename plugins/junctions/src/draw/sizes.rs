//! Sizes of what a section is drawn from: given in the home, or the usual ones of the trade.

use crate::canvas::Matter;
use mateline_model::home::{Home, JunctionSection};
use mateline_model::quantity::Length;

/// An inch (m).
pub(super) const INCH: f64 = 0.0254;

/// Usual sizes (m; common practice, no source).
pub(super) mod usual {
    use super::INCH;
    /// Gap between two boxes when they are set: 1/2 in.
    pub(in crate::draw) const GAP: f64 = 0.5 * INCH;
    /// Depth of the gasket in it: 1 in.
    pub(in crate::draw) const GASKET: f64 = INCH;
    /// Conductivity of a foam gasket (W/(m·K)).
    pub(in crate::draw) const GASKET_CONDUCTIVITY: f64 = 0.05;
    /// Rim boards: 1 1/2 in.
    pub(in crate::draw) const RIM: f64 = 1.5 * INCH;
    /// Framing depth of a lower box's ceiling: a nominal 2x6.
    pub(in crate::draw) const CEILING: f64 = 5.5 * INCH;
    /// Lining of a lower box's ceiling and of marriage walls: 1/2 in.
    pub(in crate::draw) const LINING: f64 = 0.5 * INCH;
    /// Depth of the framing of marriage walls: a nominal 2x4.
    pub(in crate::draw) const MARRIAGE_WALL: f64 = 3.5 * INCH;
    /// Buck of plywood: 3/4 in.
    pub(in crate::draw) const BUCK: f64 = 0.75 * INCH;
    /// Depth of a window's or door's frame: 3 1/4 in.
    pub(in crate::draw) const FRAME: f64 = 3.25 * INCH;
    /// Sill plate: 1 1/2 in.
    pub(in crate::draw) const SILL: f64 = 1.5 * INCH;
    /// Thickness of a foundation wall that the home does not describe: 8 in.
    pub(in crate::draw) const FOUNDATION_WALL: f64 = 8.0 * INCH;
    /// Height of a slab above grade: 8 in.
    pub(in crate::draw) const SLAB_ABOVE_GRADE: f64 = 8.0 * INCH;
    /// A member's face: 1 1/2 in.
    pub(in crate::draw) const MEMBER: f64 = 1.5 * INCH;
    /// Conductivity of softwood where no assembly names one (W/(m·K)): ISO 10456, timber 450 (from memory).
    pub(in crate::draw) const WOOD_CONDUCTIVITY: f64 = 0.12;
    /// Conductivity of concrete where the library has none (W/(m·K)): ISO 10456, concrete 2200 (from memory).
    pub(in crate::draw) const CONCRETE_CONDUCTIVITY: f64 = 1.65;
    /// Conductivity of gypsum board where the library has none (W/(m·K)): ISO 10456 (from memory).
    pub(in crate::draw) const GYPSUM_CONDUCTIVITY: f64 = 0.25;
}

/// Gypsum board as the home has it, else the usual one.
pub(super) fn gypsum_board(home: &Home) -> Matter {
    let found = home.materials.get("gypsum-board");
    let name = found.and_then(|material| material.name.as_ref()).map_or("Gypsum board", |name| name.as_ref());
    let conductivity = found.and_then(|material| material.conductivity);
    Matter::new(name, conductivity.map_or(usual::GYPSUM_CONDUCTIVITY, |conductivity| conductivity.si()))
}

/// The sizes a junction gives.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sizes<'a> {
    pub given: Option<&'a JunctionSection>,
}

impl Sizes<'_> {
    /// A length, and a note where it is the usual one (m).
    pub(super) fn length(
        &self,
        field: impl Fn(&JunctionSection) -> Option<Length>,
        usual: f64,
        what: &str,
        notes: &mut Vec<String>,
    ) -> f64 {
        match self.given.and_then(field) {
            Some(length) => length.si(),
            None => {
                notes.push(format!("{what} {:.0} mm (common practice, no source)", usual * 1e3));
                usual
            }
        }
    }

    /// How many members stand at the junction.
    pub(super) fn studs(&self) -> Option<u32> {
        self.given.and_then(|given| given.studs)
    }
}
