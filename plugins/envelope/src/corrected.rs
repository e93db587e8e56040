//! The corrections of one assembly: gaps and fasteners in its layers.

use crate::construction::Construction;
use crate::corrections::{self, AirGaps, AllCorrections, CARBON_STEEL, FastenerField, Fasteners, NEGLIGIBLE_SHARE};
use mateline_model::home::Boundary;
use mateline_model::quantity::ThermalTransmittance;
use mateline_sdk::Lack;

/// One layer's correction.
#[derive(Clone, Debug)]
pub(crate) struct Correction {
    /// Place in the assembly's list.
    pub index: usize,
    pub cause: Cause,
    pub value: ThermalTransmittance,
}

#[derive(Clone, Debug)]
pub(crate) enum Cause {
    Gaps(AirGaps),
    Fasteners(FastenerField, Fasteners),
}

/// Every correction of an assembly.
#[derive(Clone, Debug)]
pub(crate) struct Corrections {
    pub list: Vec<Correction>,
    /// The U-factor that they correct.
    plain: ThermalTransmittance,
}

impl Corrections {
    pub(crate) fn sum(&self) -> ThermalTransmittance {
        AllCorrections { ΔU_i: &self.values() }.value()
    }

    pub(crate) fn values(&self) -> Vec<ThermalTransmittance> {
        self.list.iter().map(|correction| correction.value).collect()
    }

    /// Whether they come to enough to be added.
    pub(crate) fn count(&self) -> bool {
        self.sum() / self.plain >= NEGLIGIBLE_SHARE
    }

    /// What is added to U.
    pub(crate) fn added(&self) -> ThermalTransmittance {
        if self.count() { self.sum() } else { ThermalTransmittance::default() }
    }
}

impl Construction<'_> {
    /// The corrections to a U-factor towards a boundary.
    pub(crate) fn corrections(&self, boundary: Boundary, plain: ThermalTransmittance) -> Result<Corrections, Lack> {
        let total = self.clear(boundary);
        let mut list = Vec::new();
        for layer in self.counting() {
            let (index, r1) = (layer.of.index, layer.clear());
            if let Some(coefficient) =
                layer.of.given.gap_level.filter(|level| *level > 0).and_then(corrections::gap_level)
            {
                let gaps = AirGaps { coefficient, R1: r1, Rtot: total };
                list.push(Correction { index, cause: Cause::Gaps(gaps), value: gaps.value() });
            }
            if let Some(given) = &layer.of.given.fasteners {
                let path = &layer.of.path;
                let thickness = layer
                    .of
                    .depth()
                    .ok_or_else(|| Lack::at(format!("{path} has fasteners but no thickness"), path.as_str()))?;
                let field = FastenerField {
                    conductivity: given.conductivity.unwrap_or(CARBON_STEEL),
                    diameter: given.diameter,
                    per_square_metre: given.per_square_metre,
                    thickness,
                    penetration: given.penetration.unwrap_or(thickness),
                };
                let correction = field.correction(r1, total);
                list.push(Correction { index, cause: Cause::Fasteners(field, correction), value: correction.value() });
            }
        }
        Ok(Corrections { list, plain })
    }
}
