//! Layers one behind the other.

use crate::RESISTANCE;
use mateline_equation::equation;
use mateline_model::quantity::ThermalResistance;

equation! {
    /// Resistance of layers in series, surface to surface. Source: ISO 6946:2017, 6.7.1.2 (from memory).
    pub Series = "R = Rsi + Σ R_j + Rse" {
        R: ThermalResistance "from air to air" [RESISTANCE],
        Rsi: ThermalResistance "air film inside" [RESISTANCE],
        R_j: [ThermalResistance] "a layer" [RESISTANCE],
        Rse: ThermalResistance "air film outside" [RESISTANCE],
    }
}

/// Resistance of layers in series, by [`Series`].
pub fn in_series(
    inner: ThermalResistance,
    layers: impl IntoIterator<Item = ThermalResistance>,
    outer: ThermalResistance,
) -> ThermalResistance {
    let layers: Vec<ThermalResistance> = layers.into_iter().collect();
    Series { Rsi: inner, R_j: &layers, Rse: outer }.value()
}
