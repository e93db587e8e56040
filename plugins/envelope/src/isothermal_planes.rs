//! Lower limit of the resistance: every plane between layers has one temperature, so heat spreads freely along it.

use crate::framed::{Component, LayerResistance};
use crate::series::in_series;
use mateline_model::quantity::{Ratio, ThermalResistance};

/// Lower limit of the thermal resistance of a component with framed layers; the handbook's isothermal-planes method.
///
/// `R'' = Rsi + Σ R_j + Rse` (m²·K/W), with `R_j` the mean resistance of layer `j` by [`layer_mean`]. Valid for plane
/// layers normal to the heat flow.
///
/// Source: ISO 6946:2017, 6.7.2.4 (from memory); ASHRAE Fundamentals, ch. 27 (from memory).
pub fn lower_limit(component: &Component) -> ThermalResistance {
    in_series(component.inner, component.layers.iter().map(mean_of), component.outer)
}

/// Mean resistance of a framed layer between two planes of even temperature.
///
/// `1/R_j = (1 − f)/R_c + f/R_m`, with `f` the share of framing (-), `R_c` and `R_m` (m²·K/W) the resistances through
/// the cavity and through the member.
///
/// Source: ISO 6946:2017, 6.7.2.4 (from memory).
pub fn layer_mean(cavity: ThermalResistance, member: ThermalResistance, fraction: Ratio) -> ThermalResistance {
    let f = fraction.si();
    let conductance: f64 = [(1.0 - f, cavity), (f, member)]
        .iter()
        .filter(|(share, _)| *share > 0.0)
        .map(|(share, r)| share / r.si())
        .sum();
    ThermalResistance::from_si(1.0 / conductance)
}

/// The mean resistance of any layer.
pub fn mean_of(layer: &LayerResistance) -> ThermalResistance {
    match *layer {
        LayerResistance::Uniform(resistance) => resistance,
        LayerResistance::Framed { cavity, member, fraction } => layer_mean(cavity, member, fraction),
    }
}
