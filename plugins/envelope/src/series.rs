//! Layers one behind the other.

use mateline_model::quantity::{Conductivity, Length, ThermalResistance};

/// Resistance of a plane homogeneous layer.
///
/// `R = d/λ`, with `d` the thickness (m) and `λ` the design conductivity (W/(m·K)).
///
/// Source: ISO 6946:2017, 6.7.1.1 (from memory).
pub fn layer(thickness: Length, conductivity: Conductivity) -> ThermalResistance {
    thickness / conductivity
}

/// Resistance of layers in series, surface to surface.
///
/// `R = Rsi + Σ R_j + Rse` (m²·K/W).
///
/// Source: ISO 6946:2017, 6.7.1.2 (from memory).
pub fn in_series(
    inner: ThermalResistance,
    layers: impl IntoIterator<Item = ThermalResistance>,
    outer: ThermalResistance,
) -> ThermalResistance {
    inner + layers.into_iter().sum() + outer
}
