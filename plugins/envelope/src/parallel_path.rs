//! Upper limit of the resistance: heat flows straight through, each section for itself.

use crate::framed::Section;
use mateline_model::quantity::ThermalResistance;

/// Upper limit of the thermal resistance of a component made of parallel sections; the handbook's parallel-path method.
///
/// `1/R' = Σ f_k / R_k`, with `f_k` the area fraction (-) and `R_k` (m²·K/W) the resistance of section `k`, surface to
/// surface including both surface resistances. Valid for plane layers normal to the heat flow.
///
/// Source: ISO 6946:2017, 6.7.2.3 (from memory); ASHRAE Fundamentals, ch. 27 (from memory).
pub fn upper_limit(sections: &[Section]) -> ThermalResistance {
    let transmittance: f64 = sections
        .iter()
        .filter(|section| section.fraction.si() > 0.0)
        .map(|section| section.fraction.si() / section.resistance.si())
        .sum();
    ThermalResistance::from_si(1.0 / transmittance)
}
