//! What the seasons drive through the ground below slabs and heated basements, a month late.
//!
//! Source: ISO 13370:2017, periodic heat transfer coefficients (from memory, med; annex A of 2007).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::facts;
use crate::ground::{Basement, EdgeInsulation, Floor};
use crate::plot::Plot;
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Length, Units};
use mateline_model::{Basis, Step, Subject};
use mateline_sdk::Findings;

equation! {
    /// Seasonal heat loss coefficient of a slab on the ground. Source: ISO 13370:2017 (from memory, med).
    pub SlabSeasons = "H_pe = 0.37 P λ ln(δ/dt + 1)" {
        H_pe: Conductance "by the seasons" [Units::CONDUCTANCE],
        P: Length "perimeter" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        δ: Length "how deep the seasons reach" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
    }

    /// The same with upright insulation along its edge. Source: ISO 13370:2017 (from memory, med).
    pub EdgedSlabSeasons = "H_pe = 0.37 P λ ((1 − exp(−2 D/δ)) ln(δ/(dt + d') + 1) + exp(−2 D/δ) ln(δ/dt + 1))" {
        H_pe: Conductance "by the seasons" [Units::CONDUCTANCE],
        P: Length "perimeter" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        D: Length "depth of the edge insulation" [Units::LENGTH],
        δ: Length "how deep the seasons reach" [Units::LENGTH],
        dt: Length "equivalent thickness" [Units::LENGTH],
        extra "d'": Length "extra equivalent thickness" [Units::LENGTH],
    }

    /// Seasonal heat loss coefficient of a heated basement. Source: ISO 13370:2017 (from memory, med).
    pub BasementSeasons = "H_pe = 0.37 P λ (2 (1 − exp(−z/δ)) ln(δ/dw + 1) + exp(−z/δ) ln(δ/dt + 1))" {
        H_pe: Conductance "by the seasons" [Units::CONDUCTANCE],
        P: Length "perimeter" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        z: Length "depth below grade" [Units::LENGTH],
        δ: Length "how deep the seasons reach" [Units::LENGTH],
        dw: Length "equivalent thickness of the walls" [Units::LENGTH],
        dt: Length "equivalent thickness of the floor" [Units::LENGTH],
    }
}

/// Writes that of a slab.
pub(crate) fn slab(plot: &Plot, floor: &Floor, edge: Option<&EdgeInsulation>, findings: &mut Findings) {
    let (P, λ, δ, dt) = (floor.perimeter, floor.ground, Length::from_si(plot.reach), floor.equivalent_thickness());
    let worked = match edge {
        Some(edge) => EdgedSlabSeasons { P, λ, D: edge.extent, δ, dt, extra: edge.extra(λ).value() }.step(),
        None => SlabSeasons { P, λ, δ, dt }.step(),
    };
    write(worked, "slab on the ground, by the seasons", findings);
}

/// Writes that of a heated basement.
pub(crate) fn basement(plot: &Plot, basement: &Basement, findings: &mut Findings) {
    let worked = BasementSeasons {
        P: basement.floor.perimeter,
        λ: basement.floor.ground,
        z: basement.depth,
        δ: Length::from_si(plot.reach),
        dw: basement.wall_equivalent().value(),
        dt: basement.floor.equivalent_thickness(),
    };
    write(worked.step(), "heated basement, by the seasons", findings);
}

fn write((loss, step): (Conductance, Step), method: &'static str, findings: &mut Findings) {
    let home = Subject::home();
    let step = step
        .fact(SlabSeasons::P, &home, "takeoff.foundation_perimeter")
        .published(SlabSeasons::δ, "ISO 13370:2017 (from memory), by site.soil");
    let basis = Basis::new(method, "ISO 13370:2017").provenance("from memory, med").step(step);
    findings.fact(&home, &facts::GROUND_SEASONAL, loss, basis);
}

#[cfg(test)]
mod tests {
    use super::*;
    use mateline_model::quantity::{Area, Conductivity, ThermalResistance};

    fn floor(resistance: f64) -> Floor {
        Floor {
            area: Area::from_si(96.0),
            perimeter: Length::from_si(40.0),
            wall_thickness: Length::from_si(0.3),
            resistance: ThermalResistance::from_si(resistance),
            ground: Conductivity::from_si(2.0),
        }
    }

    /// By hand for a slab of 12 m x 8 m with Rf 2.5 (dt 5.72): 0.37 x 40 x 2.0 x ln(3.2/5.72 + 1) = 13.15 W/K, and with
    /// insulation of no depth along its edge the same.
    #[test]
    fn a_slab_by_hand() {
        let (P, λ, δ, dt) = (
            Length::from_si(40.0),
            Conductivity::from_si(2.0),
            Length::from_si(3.2),
            floor(2.5).equivalent_thickness(),
        );
        let bare = SlabSeasons { P, λ, δ, dt }.value();
        assert!((bare.si() - 13.15).abs() < 0.005, "{bare}");
        let edged =
            |D: f64| EdgedSlabSeasons { P, λ, D: Length::from_si(D), δ, dt, extra: Length::from_si(4.9) }.value().si();
        assert!((edged(0.0) - bare.si()).abs() < 1e-9 && edged(0.6) < bare.si());
    }

    /// A basement of no depth is a slab, and a deep one loses by its walls: twice `0.37 P λ ln(δ/dw + 1)`.
    #[test]
    fn a_basement_between_its_ends() {
        let of = |depth: f64| {
            let (P, λ, δ) = (Length::from_si(40.0), Conductivity::from_si(2.0), Length::from_si(3.2));
            let (dw, dt) = (Length::from_si(6.34), Length::from_si(3.72));
            BasementSeasons { P, λ, z: Length::from_si(depth), δ, dw, dt }.value().si()
        };
        let slab = 0.37 * 40.0 * 2.0 * (3.2_f64 / 3.72 + 1.0).ln();
        let walls = 2.0 * 0.37 * 40.0 * 2.0 * (3.2_f64 / 6.34 + 1.0).ln();
        assert!((of(0.0) - slab).abs() < 1e-9 && (of(1e3) - walls).abs() < 1e-9);
    }
}
