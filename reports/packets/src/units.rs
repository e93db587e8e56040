//! How values of the home that are no facts are shown.

use mateline_model::quantity::Units;

/// Pressure of snow and soil.
pub(crate) const LOAD: Units = Units::new("kPa", 2, "psf", 0);
/// Outdoor and indoor temperature.
pub(crate) const TEMPERATURE: Units = Units::new("°C", 1, "°F", 0);
/// Heating degree-days.
pub(crate) const DEGREE_DAYS: Units = Units::new("K·d", 0, "°F·d", 0);
/// Air flow of a fan or terminal.
pub(crate) const FLOW: Units = Units::new("L/s", 1, "cfm", 1);
/// Electrical power.
pub(crate) const POWER: Units = Units::new("W", 0, "W", 0);
/// Loudness.
pub(crate) const LOUDNESS: Units = Units::new("sone", 1, "sone", 1);
/// A small dimension: holes, ducts, rough openings.
pub(crate) const SMALL: Units = Units::new("mm", 0, "in", 2);
/// The size of a hole that is not round.
pub(crate) const HOLE: Units = Units::new("cm²", 1, "in²", 1);
