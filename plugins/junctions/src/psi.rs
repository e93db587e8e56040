//! ψ-values: what a section loses beyond its plane parts.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::draw::{Counted, Drawn, Flank};
use crate::facts::PSI_UNITS;
use crate::lack::Lack;
use crate::solved::{Difference, HeatFlow, Surfaces};
use mateline_equation::equation;
use mateline_model::quantity::{Conductivity, Length, ThermalTransmittance, Units};
use mateline_model::{Step, Term};
use std::sync::Arc;

equation! {
    /// Linear thermal transmittance: what a section loses beyond its plane parts, and beyond what members at the junction
    /// add over their width, where the assembly's share of framing holds them already.
    /// Source: ISO 10211:2017, linear thermal transmittance (from memory); the last term avoids counting members twice.
    pub(crate) Psi = "ψ = L2D − Σ U_i l_i − Σ ΔU_k w_k" {
        ψ: Conductivity "linear thermal transmittance" [PSI_UNITS],
        L2D: Conductivity "coupling coefficient of the section" [PSI_UNITS],
        U_i: [ThermalTransmittance] "U-factor of a plane part" [Units::TRANSMITTANCE],
        l_i: [Length] "its length" [Units::LENGTH],
        ΔU_k: [ThermalTransmittance] "what members add" [Units::TRANSMITTANCE],
        w_k: [Length] "their width" [Units::THICKNESS],
    }

    /// The same as the difference to the section without the junction. Source: ISO 10211:2017 (from memory).
    pub(crate) PsiDifference = "ψ = L2D − L2D0 − Σ U_i l_i − Σ ΔU_k w_k" {
        ψ: Conductivity "linear thermal transmittance" [PSI_UNITS],
        L2D: Conductivity "coupling coefficient of the section" [PSI_UNITS],
        L2D0: Conductivity "coupling coefficient without the junction" [PSI_UNITS],
        U_i: [ThermalTransmittance] "U-factor of a plane part" [Units::TRANSMITTANCE],
        l_i: [Length] "its length" [Units::LENGTH],
        ΔU_k: [ThermalTransmittance] "what members add" [Units::TRANSMITTANCE],
        w_k: [Length] "their width" [Units::THICKNESS],
    }
}

/// A junction whose section was to be solved.
#[derive(Clone, Debug)]
pub(crate) struct SolvedJunction {
    pub drawn: Drawn,
    /// The heat flow, or why there is none.
    pub flow: Result<Flow, Lack>,
    /// Its surfaces, or why there are none.
    pub surfaces: Result<Arc<Surfaces>, Lack>,
    /// An earlier junction with the same section.
    pub like: Option<String>,
}

/// What ψ comes from.
#[derive(Clone, Debug)]
pub(crate) enum Flow {
    /// The section.
    Alone(Arc<HeatFlow>),
    /// The section beside the same without the junction, of which ψ is the difference.
    Beside(Arc<Difference>),
}

impl Flow {
    pub(crate) fn section(&self) -> &HeatFlow {
        match self {
            Flow::Alone(flow) => flow,
            Flow::Beside(both) => &both.section,
        }
    }

    pub(crate) fn without(&self) -> Option<&HeatFlow> {
        match self {
            Flow::Alone(_) => None,
            Flow::Beside(both) => Some(&both.without),
        }
    }

    fn all(&self) -> impl Iterator<Item = &HeatFlow> {
        std::iter::once(self.section()).chain(self.without())
    }

    /// The worst last step of the sections, as a share.
    pub(crate) fn refinement_change(&self) -> f64 {
        self.all().map(|flow| flow.refinement_change).fold(0.0, f64::max)
    }

    /// The worst balance of the sections, as a share.
    pub(crate) fn balance_error(&self) -> f64 {
        self.all().map(|flow| flow.balance_error).fold(0.0, f64::max)
    }
}

/// ψ from coupling coefficients (W/(m·K)), for lengths of one kind, with its step.
pub(crate) fn psi(
    l2d: f64,
    without: Option<f64>,
    flanks: &[Flank],
    counted: &[Counted],
    length: fn(&Flank) -> f64,
) -> (Conductivity, Step) {
    let u_factors: Vec<_> = flanks.iter().map(|flank| ThermalTransmittance::from_si(flank.u)).collect();
    let lengths: Vec<_> = flanks.iter().map(|flank| Length::from_si(length(flank))).collect();
    let extra: Vec<_> = counted.iter().map(|members| ThermalTransmittance::from_si(members.extra)).collect();
    let widths: Vec<_> = counted.iter().map(|members| Length::from_si(members.width)).collect();
    let (L2D, U_i, l_i, ΔU_k, w_k) = (Conductivity::from_si(l2d), &*u_factors, &*lengths, &*extra, &*widths);
    let (psi, step) = match without.map(Conductivity::from_si) {
        Some(L2D0) => PsiDifference { L2D, L2D0, U_i, l_i, ΔU_k, w_k }.step(),
        None => Psi { L2D, U_i, l_i, ΔU_k, w_k }.step(),
    };
    let named = |term, meaning: String| Term { meaning, ..term };
    let step = step
        .each(Psi::U_i, flanks.iter().map(|flank| flank.name.clone()), named)
        .each(Psi::l_i, flanks.iter().map(|flank| format!("length of {}", flank.name)), named)
        .each(
            Psi::ΔU_k,
            counted.iter().map(|members| format!("{}, above the same part between members", members.what)),
            named,
        )
        .each(Psi::w_k, counted.iter().map(|members| format!("width of {}", members.what)), named);
    (psi, step)
}

impl SolvedJunction {
    /// ψ for exterior dimensions, with its step.
    pub(crate) fn psi(&self, flow: &Flow) -> (Conductivity, Step) {
        self.psi_by(flow, |flank| flank.exterior)
    }

    /// ψ for interior dimensions, with its step.
    pub(crate) fn psi_interior(&self, flow: &Flow) -> (Conductivity, Step) {
        self.psi_by(flow, |flank| flank.interior)
    }

    fn psi_by(&self, flow: &Flow, length: fn(&Flank) -> f64) -> (Conductivity, Step) {
        let without = flow.without().map(|without| without.l2d);
        psi(flow.section().l2d, without, &self.drawn.flanks, &self.drawn.counted, length)
    }
}
