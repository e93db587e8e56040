//! The combined method: the mean of the two limits, and how far off it can be.

use crate::framed::{Component, TooManyFramedLayers};
use crate::isothermal_planes::lower_limit;
use crate::parallel_path::upper_limit;
use mateline_equation::equation;
use mateline_layers::RESISTANCE;
use mateline_model::quantity::{Ratio, ThermalResistance, Units};
use std::fmt;

equation! {
    /// Total resistance of a component with framed layers. Valid for `R'/R'' ≤ 1.5` and where no metal bridges the
    /// insulation. Source: ISO 6946:2017, 6.7.2.2 (from memory).
    pub MeanOfLimits = "R = (R' + R'')/2" {
        R: ThermalResistance "resistance from air to air" [RESISTANCE],
        upper "R'": ThermalResistance "upper limit" [RESISTANCE],
        lower "R''": ThermalResistance "lower limit" [RESISTANCE],
    }

    /// Greatest relative error of the combined method. Source: ISO 6946:2017, 6.7.2.5 (from memory).
    pub GreatestError = "e = (R' − R'')/(2 R)" {
        e: Ratio "greatest relative error" [Units::PERCENT],
        upper "R'": ThermalResistance "upper limit" [RESISTANCE],
        lower "R''": ThermalResistance "lower limit" [RESISTANCE],
        R: ThermalResistance "resistance from air to air" [RESISTANCE],
    }
}

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

/// Total resistance of a component with framed layers, by [`MeanOfLimits`].
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
    let total = MeanOfLimits { upper, lower }.value();
    Ok(Combined { upper, lower, total, error: GreatestError { upper, lower, R: total }.value() })
}
