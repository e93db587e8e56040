//! What a part of the home uses through the year, hour by hour.

use mateline_model::home::Fuel;
use mateline_model::quantity::Energy;
use mateline_model::{Basis, QuantityDef};

/// What a part uses through the year (W).
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Course {
    Even(f64),
    Months([f64; 12]),
    Hours(Vec<f64>),
}

impl Course {
    /// In an hour of a month.
    pub(crate) fn at(&self, hour: usize, month: usize) -> f64 {
        match self {
            Course::Even(power) => *power,
            Course::Months(months) => months.get(month).copied().unwrap_or_default(),
            Course::Hours(hours) => hours.get(hour).copied().unwrap_or_default(),
        }
    }
}

/// What a part of the home uses.
pub(crate) struct Part {
    pub fact: QuantityDef,
    /// None where it is electricity.
    pub fuel: Option<Fuel>,
    pub course: Course,
    pub energy: Energy,
    pub basis: Basis,
}
