//! Why a section is not solved, and how far it got.

use crate::section::Rect;
use std::fmt;

/// Different edges in one direction at most.
pub(crate) const MOST_LINES: usize = 600;
/// Rectangles and boundaries at most.
pub(crate) const MOST_PARTS: usize = 3_000;
/// Largest size (m).
pub(crate) const LARGEST: f64 = 500.0;
/// Thinnest part (m): thinner foils and films carry no heat that counts, or belong to the layer they lie on.
pub const THINNEST: f64 = 1e-4;
/// Range of conductivities (W/(m·K)), from below evacuated panels to above copper.
pub const CONDUCTIVITIES: (f64, f64) = (1e-3, 500.0);

/// Why a section cannot be solved. Parts and surfaces are named by their place in the section, from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum SectionError {
    /// It has no parts.
    Empty,
    /// A number that is not finite, or a size out of reason.
    Size(usize),
    /// A part of no width or height, or thinner than a grid can carry.
    Thin(usize, f64),
    /// A conductivity that no material has.
    Conductivity(usize, f64),
    /// Two parts claim the same place.
    Overlap(usize, usize),
    /// Parts leave a hole or slit that belongs to no surface, beside this part.
    Gap(usize, Rect),
    /// Parts that touch at no edge.
    Unconnected(usize, usize),
    /// A surface resistance below zero or not finite.
    Resistance(usize),
    /// A surface of an environment that is not there.
    Environment(usize),
    /// A surface that lies along no open edge.
    Astray(usize),
    /// Fewer than two environments touch the section.
    OneEnvironment,
    /// More edges than a person draws.
    TooManyLines(usize),
    /// More rectangles or boundaries than a person draws.
    TooManyParts(usize),
    /// A grid of more cells than can be solved.
    TooLarge(usize),
    /// The equations could not be solved.
    Numbers,
    /// Grids of as many cells as can be solved leave the result unsettled.
    Unsettled(Unsettled),
}

/// How far a section got that does not settle.
#[derive(Clone, Debug, PartialEq)]
pub struct Unsettled {
    /// Cells of the last grid.
    pub cells: usize,
    /// How much its heat flow differed from that of the grid before, as a share; none where there was no other.
    pub change: Option<f64>,
    /// How much more finer grids would add, as a share, by the way in which the changes fall; none where they do not tell.
    pub left: Option<f64>,
    /// How much the lowest surface temperature factor differed.
    pub factor_change: Option<f64>,
    /// The last coupling coefficient (W/(m·K)).
    pub l2d: f64,
    /// The last of the lowest surface temperature factor.
    pub factor: Option<f64>,
}

impl fmt::Display for Unsettled {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Unsettled { cells, l2d, .. } = self;
        write!(f, "it does not settle on grids of up to {cells} cells: L2D is {l2d:.4} W/(m·K) on the last")?;
        match self.change {
            Some(change) => write!(f, ", {:.2} % off the one before", change * 1e2)?,
            None => f.write_str(", with none before it")?,
        }
        if let Some(left) = self.left {
            write!(f, ", and finer ones would add about {:.2} %", left * 1e2)?;
        }
        if let (Some(factor), Some(change)) = (self.factor, self.factor_change) {
            write!(f, "; fRsi is {factor:.4}, {change:.4} off the one before")?;
        }
        Ok(())
    }
}

impl fmt::Display for SectionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SectionError::Empty => f.write_str("the section has no rectangles"),
            SectionError::Size(part) => {
                write!(f, "rectangle {part} has an edge that is no number, or is farther than {LARGEST} m")
            }
            SectionError::Thin(part, size) => write!(
                f,
                "rectangle {part} is {:.3} mm thin; the grid carries {:.1} mm and more",
                size * 1e3,
                THINNEST * 1e3
            ),
            SectionError::Conductivity(part, value) => write!(
                f,
                "rectangle {part} conducts {value} W/(m·K); materials lie between {} and {}",
                CONDUCTIVITIES.0, CONDUCTIVITIES.1
            ),
            SectionError::Overlap(a, b) => write!(f, "rectangles {a} and {b} overlap"),
            SectionError::Gap(part, gap) => write!(
                f,
                "rectangle {part} leaves a gap from ({:.4}, {:.4}) m to ({:.4}, {:.4}) m that touches no environment",
                gap.left, gap.low, gap.right, gap.high
            ),
            SectionError::Unconnected(a, b) => write!(f, "rectangles {a} and {b} do not touch, nor does any chain"),
            SectionError::Resistance(surface) => {
                write!(f, "boundary {surface} has a resistance that is negative or no number")
            }
            SectionError::Environment(surface) => write!(f, "boundary {surface} names no environment of the section"),
            SectionError::Astray(surface) => write!(f, "boundary {surface} lies along no open edge"),
            SectionError::OneEnvironment => f.write_str("the section touches fewer than two environments"),
            SectionError::TooManyLines(lines) => {
                write!(f, "the section has {lines} different edges in one direction, more than {MOST_LINES}")
            }
            SectionError::TooManyParts(parts) => {
                write!(f, "the section has {parts} rectangles and boundaries, more than {MOST_PARTS}")
            }
            SectionError::TooLarge(cells) => write!(f, "the section needs a grid of {cells} cells, which is too many"),
            SectionError::Numbers => f.write_str("the equations of the section could not be solved"),
            SectionError::Unsettled(unsettled) => unsettled.fmt(f),
        }
    }
}

impl std::error::Error for SectionError {}
