//! ψ-values: what a section loses beyond its plane parts.

use crate::draw::{Counted, Drawn, Flank};
use crate::solved::{HeatFlow, Surfaces};
use std::sync::Arc;

/// A junction whose section is solved.
#[derive(Clone, Debug)]
pub(crate) struct SolvedJunction {
    pub drawn: Drawn,
    pub section: Arc<HeatFlow>,
    /// The section without the junction, where ψ is a difference.
    pub without: Option<Arc<HeatFlow>>,
    pub surfaces: Arc<Surfaces>,
    /// An earlier junction with the same section.
    pub like: Option<String>,
}

/// Linear thermal transmittance (W/(m·K)).
///
/// `ψ = L2D − L2D₀ − Σ U l − Σ ΔU w`, with `L2D` the coupling coefficient of the section and `L2D₀` that of the section
/// without the junction where ψ is such a difference (W/(m·K)), `U` the U-factor (W/(m²·K)) and `l` the length (m) of each
/// plane part, and `ΔU` and `w` what members at the junction add over their width, where the assembly's share of framing
/// holds them already.
///
/// Source: ISO 10211:2017, linear thermal transmittance (from memory); the last term avoids counting members twice.
pub(crate) fn psi(l2d: f64, without: f64, flanks: &[Flank], counted: &[Counted], length: fn(&Flank) -> f64) -> f64 {
    let plane: f64 = flanks.iter().map(|flank| flank.u * length(flank)).sum();
    let held: f64 = counted.iter().map(|members| members.extra * members.width).sum();
    l2d - without - plane - held
}

impl SolvedJunction {
    pub(crate) fn psi(&self) -> f64 {
        self.psi_by(|flank| flank.exterior)
    }

    pub(crate) fn psi_interior(&self) -> f64 {
        self.psi_by(|flank| flank.interior)
    }

    fn psi_by(&self, length: fn(&Flank) -> f64) -> f64 {
        let without = self.without.as_ref().map_or(0.0, |without| without.l2d);
        psi(self.section.l2d, without, &self.drawn.flanks, &self.drawn.counted, length)
    }

    /// The worst balance of all sections solved, as a share.
    pub(crate) fn balance_error(&self) -> f64 {
        self.flows().map(|flow| flow.balance_error).fold(self.surfaces.balance_error, f64::max)
    }

    /// The worst last step of the sections that ψ comes from, as a share.
    pub(crate) fn refinement_change(&self) -> f64 {
        self.flows().map(|flow| flow.refinement_change).fold(0.0, f64::max)
    }

    fn flows(&self) -> impl Iterator<Item = &HeatFlow> {
        std::iter::once(&self.section).chain(&self.without).map(Arc::as_ref)
    }
}
