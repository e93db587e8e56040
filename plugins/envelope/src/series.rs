//! Layers one behind the other.

use mateline_model::quantity::ThermalResistance;

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
