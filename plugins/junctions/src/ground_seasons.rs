//! What the seasons drive through the ground: below slabs and basements, a month late, and through the air below suspended
//! floors, at once.
//!
//! Source: ISO 13370:2017, periodic heat transfer coefficients (from memory, med; annex A of 2007).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::facts;
use crate::ground::{Basement, EdgeInsulation, Floor};
use crate::ground_unheated::{BasementToAir, UnheatedBasement};
use crate::plot::Plot;
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Length, ThermalTransmittance, Units};
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

    /// Seasonal heat loss coefficient of a floor over a crawl space. Source: ISO 13370:2017 (from memory, med).
    pub SuspendedSeasons = "H_pe = Uf (0.37 P λ ln(δ/dt + 1) + Ux A)/(λ/δ + Ux + Uf)" {
        H_pe: Conductance "by the seasons" [Units::CONDUCTANCE],
        Uf: ThermalTransmittance "the floor" [Units::TRANSMITTANCE],
        P: Length "perimeter" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        δ: Length "how deep the seasons reach" [Units::LENGTH],
        dt: Length "equivalent thickness of the ground's cover" [Units::LENGTH],
        Ux: ThermalTransmittance "through walls and vents" [Units::TRANSMITTANCE],
        A: Area "floor" [Units::AREA],
    }

    /// Seasonal heat loss coefficient of a floor over an unheated basement. Source: ISO 13370:2017 (from memory, med).
    pub UnheatedSeasons = "H_pe = A Uf (0.37 P λ (2 − exp(−z/δ)) ln(δ/dt + 1) + Hx)/((A + z P) λ/δ + Hx + A Uf)" {
        H_pe: Conductance "by the seasons" [Units::CONDUCTANCE],
        A: Area "floor" [Units::AREA],
        Uf: ThermalTransmittance "the floor over it" [Units::TRANSMITTANCE],
        P: Length "perimeter" [Units::LENGTH],
        λ: Conductivity "soil" [Units::CONDUCTIVITY],
        z: Length "depth below grade" [Units::LENGTH],
        δ: Length "how deep the seasons reach" [Units::LENGTH],
        dt: Length "equivalent thickness of the basement's floor" [Units::LENGTH],
        Hx: Conductance "from the basement's air to outdoor air" [Units::CONDUCTANCE],
    }
}

/// Writes that of a floor of this U-factor over a crawl space that loses so much through its walls and vents.
pub(crate) fn crawl_space(
    plot: &Plot,
    floor: &Floor,
    (uf, ux): (ThermalTransmittance, ThermalTransmittance),
    is_edged: bool,
    findings: &mut Findings,
) {
    let worked = SuspendedSeasons {
        Uf: uf,
        P: floor.perimeter,
        λ: floor.ground,
        δ: Length::from_si(plot.reach),
        dt: floor.equivalent_thickness(),
        Ux: ux,
        A: floor.area,
    };
    let (loss, step) = worked.step();
    let left_out = is_edged.then_some("edge insulation is left out of what the seasons drive");
    write((loss, vec![step]), "floor over a crawl space, by the seasons", left_out, findings);
}

/// Writes that of a floor over an unheated basement.
pub(crate) fn unheated_basement(plot: &Plot, basement: &UnheatedBasement, findings: &mut Findings) {
    let floor = &basement.shell.floor;
    let (to_air, first) = basement.outdoor_air().step();
    let worked = UnheatedSeasons {
        A: floor.area,
        Uf: basement.floor,
        P: floor.perimeter,
        λ: floor.ground,
        z: basement.shell.depth,
        δ: Length::from_si(plot.reach),
        dt: floor.equivalent_thickness(),
        Hx: to_air,
    };
    let first = first.published(BasementToAir::n, "ISO 13370 (from memory)");
    let (loss, step) = worked.step();
    write((loss, vec![first, step]), "floor over an unheated basement, by the seasons", None, findings);
}

/// Writes that of a slab.
pub(crate) fn slab(plot: &Plot, floor: &Floor, edge: Option<&EdgeInsulation>, findings: &mut Findings) {
    let (P, λ, δ, dt) = (floor.perimeter, floor.ground, Length::from_si(plot.reach), floor.equivalent_thickness());
    let worked = match edge {
        Some(edge) => EdgedSlabSeasons { P, λ, D: edge.extent, δ, dt, extra: edge.extra(λ).value() }.step(),
        None => SlabSeasons { P, λ, δ, dt }.step(),
    };
    let (loss, step) = worked;
    write((loss, vec![step]), "slab on the ground, by the seasons", None, findings);
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
    let (loss, step) = worked.step();
    write((loss, vec![step]), "heated basement, by the seasons", None, findings);
}

/// The last step is that of the result.
fn write(
    (loss, mut steps): (Conductance, Vec<Step>),
    method: &'static str,
    left_out: Option<&'static str>,
    findings: &mut Findings,
) {
    let home = Subject::home();
    let Some(step) = steps.pop() else { return };
    let step = step
        .fact(SlabSeasons::P, &home, "takeoff.foundation_perimeter")
        .published(SlabSeasons::δ, "ISO 13370:2017 (from memory), by site.soil");
    let basis = Basis::new(method, "ISO 13370:2017").provenance("from memory, med");
    let mut basis = steps.into_iter().fold(basis, Basis::step).step(step);
    basis.assumptions.extend(left_out.map(str::to_owned));
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

    /// A floor of 0.2 W/(m²·K) over a crawl space (12 m x 8 m, dt 0.72, Ux 0.4031), by hand: 29.6 ln(3.2/0.72 + 1) = 50.14,
    /// Ux A 38.70; 0.2 x 88.84/(0.625 + 0.4031 + 0.2) = 14.47 W/K. With ever more vents the space is outdoors and the floor
    /// loses Uf A = 19.2 W/K; a closed one over ground that conducts nothing loses nothing.
    #[test]
    fn a_floor_over_a_crawl_space_between_its_ends() {
        let of = |Ux: f64, λ: f64| {
            let bare = Floor { resistance: ThermalResistance::default(), ..floor(0.0) };
            let (P, A) = (bare.perimeter, bare.area);
            let Uf = ThermalTransmittance::from_si(0.2);
            let (λ, δ, dt) = (Conductivity::from_si(λ), Length::from_si(3.2), bare.equivalent_thickness());
            SuspendedSeasons { Uf, P, λ, δ, dt, Ux: ThermalTransmittance::from_si(Ux), A }.value().si()
        };
        assert!((of(0.4031, 2.0) - 14.47).abs() < 0.01, "{}", of(0.4031, 2.0));
        assert!((of(1e9, 2.0) - 19.2).abs() < 1e-6 && of(0.0, 1e-9) < 1e-6);
    }

    /// A floor of 0.2 W/(m²·K) over an unheated basement of 2 m (Hx 52.81 W/K: walls 30, air 22.81; dt 3.72), by hand: 29.6
    /// (2 − exp(−0.625)) ln(3.2/3.72 + 1) = 26.90; 19.2 (26.90 + 52.81)/(176 x 0.625 + 52.81 + 19.2) = 8.41 W/K. Of a basement
    /// that is open to the air it loses Uf A.
    #[test]
    fn a_floor_over_an_unheated_basement_by_hand() {
        let of = |Hx: f64| {
            let worked = UnheatedSeasons {
                A: Area::from_si(96.0),
                Uf: ThermalTransmittance::from_si(0.2),
                P: Length::from_si(40.0),
                λ: Conductivity::from_si(2.0),
                z: Length::from_si(2.0),
                δ: Length::from_si(3.2),
                dt: Length::from_si(3.72),
                Hx: Conductance::from_si(Hx),
            };
            worked.value().si()
        };
        assert!((of(52.81) - 8.41).abs() < 0.01, "{}", of(52.81));
        assert!((of(1e9) - 19.2).abs() < 1e-5);
    }
}
