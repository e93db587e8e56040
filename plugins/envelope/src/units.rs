//! How values are shown within calculations, with more digits than the facts they lead to.

use mateline_model::quantity::Units;

/// A U-factor in a calculation.
pub(crate) const TRANSMITTANCE: Units = Units::new("W/(m²·K)", 4, "Btu/(h·ft²·°F)", 5);
