//! How values of the home that are no facts are shown.

use mateline_model::quantity::Units;

/// Outdoor and indoor temperature.
pub(crate) const TEMPERATURE: Units = Units::new("°C", 1, "°F", 0);
/// Heating degree-days.
pub(crate) const DEGREE_DAYS: Units = Units::new("K·d", 0, "°F·d", 0);
/// A small dimension: holes, ducts, rough openings.
pub(crate) const SMALL: Units = Units::new("mm", 0, "in", 2);
/// What a machine gives off as heat.
pub(crate) const HEAT_OUTPUT: Units = Units::new("W", 0, "Btu/h", 0);
