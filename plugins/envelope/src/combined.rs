//! The combined method: the mean of the two limits, and how far off it can be.

use crate::framed::{Component, TooManyFramedLayers};
use crate::isothermal_planes::lower_limit;
use crate::parallel_path::upper_limit;
use mateline_model::quantity::{Ratio, ThermalResistance};
use std::fmt;

/// The method holds for `R'/R''` up to this. Source: ISO 6946:2017, 6.7.2.1 (from memory).
pub const GREATEST_RATIO: f64 = 1.5;

/// The two limits, their mean, and its greatest relative error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// `R'`, by parallel paths.
    pub upper: ThermalResistance,
    /// `R''`, by isothermal planes.
    pub lower: ThermalResistance,
    /// `R`.
    pub total: ThermalResistance,
    /// `e`.
    pub error: Ratio,
}

/// Why the combined method gives no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CombinedError {
    /// Too many framed layers to list the sections.
    TooMany(TooManyFramedLayers),
    /// The two limits are too far apart.
    OutOfRange {
        /// `R'/R''`.
        ratio: f64,
    },
}

impl fmt::Display for CombinedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CombinedError::TooMany(error) => error.fmt(f),
            CombinedError::OutOfRange { ratio } => write!(
                f,
                "R'/R'' is {ratio:.2} and the combined method holds up to {GREATEST_RATIO}; \
                 it needs a two-dimensional solution"
            ),
        }
    }
}

/// Total resistance of a component with framed layers.
///
/// `R = (R' + R'')/2`, `e = (R' − R'')/(2 R)`, with `R'` and `R''` (m²·K/W) the upper and lower limits and `e` the
/// greatest relative error (-). Valid for `R'/R'' ≤ 1.5` and where no metal bridges the insulation.
///
/// Source: ISO 6946:2017, 6.7.2.2 and 6.7.2.5 (from memory).
///
/// # Errors
/// [`CombinedError`].
pub fn combined(component: &Component) -> Result<Combined, CombinedError> {
    let upper = upper_limit(&component.sections().map_err(CombinedError::TooMany)?);
    let lower = lower_limit(component);
    let ratio = upper / lower;
    if ratio > GREATEST_RATIO {
        return Err(CombinedError::OutOfRange { ratio });
    }
    let total = (upper + lower) / 2.0;
    Ok(Combined { upper, lower, total, error: Ratio::from_si((upper - lower) / (total * 2.0)) })
}
