//! How values are shown within calculations, with more digits than the facts they lead to.

use mateline_model::quantity::Units;

/// A U-factor in a calculation.
pub(crate) const TRANSMITTANCE: Units = Units::new("W/(m²·K)", 4, "Btu/(h·ft²·°F)", 5);
/// A share in a calculation.
pub(crate) const SHARE: Units = Units::plain(4);
/// An area of members, fine enough to follow.
pub(crate) const AREA: Units = Units::new("m²", 4, "ft²", 3);
/// A length of members, fine enough to follow.
pub(crate) const LENGTH: Units = Units::new("m", 3, "ft", 3);
