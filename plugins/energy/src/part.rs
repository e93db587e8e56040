//! What a part of the home uses through the year, hour by hour.

use mateline_model::home::Fuel;
use mateline_model::quantity::Energy;
use mateline_model::{Basis, QuantityDef};
use mateline_sdk::Lack;

/// What a reader of any machine's figures has to bear in mind.
pub(crate) const CAUTION: &str = "sizing, refrigerants, combustion and electrical work belong to licensed people";

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

/// What is added to the load of heating while it heats.
#[derive(Default)]
pub(crate) struct Added {
    /// By the hot water's heat pump from the rooms, month by month (W).
    pub water: [f64; 12],
    /// By air that a vented dryer draws in (W/K).
    pub dryer: f64,
    pub said: Vec<String>,
}

/// A lack where a field of a section is not given.
pub(crate) fn ungiven(path: &str) -> Lack {
    Lack::at(format!("{path} is not given"), path.rsplit_once('.').map_or(path, |(section, _)| section))
}
