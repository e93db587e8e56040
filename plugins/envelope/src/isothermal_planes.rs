//! Lower limit of the resistance: every plane between layers has one temperature, so heat spreads freely along it.

use crate::framed::{Component, LayerResistance};
use mateline_equation::equation;
use mateline_layers::framing::SHARE;
use mateline_layers::{RESISTANCE, in_series};
use mateline_model::quantity::{Ratio, ThermalResistance};

equation! {
    /// Mean resistance of a framed layer between two planes of even temperature.
    /// Source: ISO 6946:2017, 6.7.2.4 (from memory).
    pub LayerMean = "R = 1/((1 − f)/R_c + f/R_m)" {
        R: ThermalResistance "mean of the layer" [RESISTANCE],
        f: Ratio "share of framing" [SHARE],
        R_c: ThermalResistance "through the cavity" [RESISTANCE],
        R_m: ThermalResistance "through the member" [RESISTANCE],
    }
}

/// Lower limit of the thermal resistance of a component with framed layers; the handbook's isothermal-planes method.
///
/// Layers in series, of which the framed ones have their mean resistance by [`layer_mean`]. Valid for plane layers normal
/// to the heat flow.
///
/// Source: ISO 6946:2017, 6.7.2.4 (from memory); ASHRAE Fundamentals, ch. 27 (from memory).
pub fn lower_limit(component: &Component) -> ThermalResistance {
    in_series(component.inner, component.layers.iter().map(mean_of), component.outer)
}

/// Mean resistance of a framed layer, by [`LayerMean`]; of one that is all cavity or all member, its own.
pub fn layer_mean(cavity: ThermalResistance, member: ThermalResistance, fraction: Ratio) -> ThermalResistance {
    match fraction.si() {
        0.0 => cavity,
        1.0 => member,
        _ => LayerMean { f: fraction, R_c: cavity, R_m: member }.value(),
    }
}

/// The mean resistance of any layer.
pub fn mean_of(layer: &LayerResistance) -> ThermalResistance {
    match *layer {
        LayerResistance::Uniform(resistance) => resistance,
        LayerResistance::Framed { cavity, member, fraction } => layer_mean(cavity, member, fraction),
    }
}
