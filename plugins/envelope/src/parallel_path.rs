//! Upper limit of the resistance: heat flows straight through, each section for itself.

use crate::framed::Section;
use mateline_equation::equation;
use mateline_layers::RESISTANCE;
use mateline_layers::framing::SHARE;
use mateline_model::quantity::{Ratio, ThermalResistance};

equation! {
    /// Upper limit of the thermal resistance of a component made of parallel sections, surface to surface including both
    /// surface resistances; the handbook's parallel-path method. Valid for plane layers normal to the heat flow.
    ///
    /// Source: ISO 6946:2017, 6.7.2.3 (from memory); ASHRAE Fundamentals, ch. 27 (from memory).
    pub UpperLimit = "1/R' = Σ f_k/R_k" {
        upper "R'": ThermalResistance "upper limit, each way for itself" [RESISTANCE],
        f_k: [Ratio] "share of a way" [SHARE],
        R_k: [ThermalResistance] "resistance of a way" [RESISTANCE],
    }
}

/// Upper limit of a component, by [`UpperLimit`].
pub fn upper_limit(sections: &[Section]) -> ThermalResistance {
    let (shares, resistances) = ways(sections);
    UpperLimit { f_k: &shares, R_k: &resistances }.value()
}

/// Shares and resistances of the sections.
pub(crate) fn ways(sections: &[Section]) -> (Vec<Ratio>, Vec<ThermalResistance>) {
    sections.iter().map(|section| (section.fraction, section.resistance)).unzip()
}
