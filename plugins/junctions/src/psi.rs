//! ψ-values: what a section loses beyond its plane parts.

use crate::arrangement::SectionError;
use crate::draw::{Counted, Drawn, Flank};
use crate::films::MOULD;
use crate::solution::{Accuracy, Coldest, Solution, Solver};
use std::sync::Arc;

/// A junction whose section is solved.
#[derive(Clone, Debug)]
pub(crate) struct SolvedJunction {
    pub drawn: Drawn,
    pub solutions: Arc<Solutions>,
    /// An earlier junction with the same section.
    pub like: Option<String>,
}

/// All that is solved for a junction.
#[derive(Clone, Debug)]
pub(crate) struct Solutions {
    pub section: Solution,
    /// The section without the junction, where ψ is a difference.
    pub without: Option<Solution>,
    /// The same section with 0.25 m²·K/W on inner surfaces.
    pub sharp: Solution,
    pub lowest: Coldest,
}

impl Solutions {
    /// Solves all that a junction needs.
    pub(crate) fn of(drawn: &Drawn, solver: &dyn Solver) -> Result<Solutions, SectionError> {
        let accuracy = if drawn.in_ground { Accuracy::GROUND } else { Accuracy::FINE };
        let section = solver.solve(&drawn.section, &accuracy)?;
        let without = drawn.without.as_ref().map(|section| solver.solve(section, &accuracy)).transpose()?;
        let sharp = solver.solve(&drawn.section.with_inner_resistance(MOULD), &Accuracy::STANDARD)?;
        let lowest = sharp.lowest().ok_or(SectionError::OneEnvironment)?;
        Ok(Solutions { section, without, sharp, lowest })
    }
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
        let without = self.solutions.without.as_ref().map_or(0.0, Solution::l2d);
        psi(self.solutions.section.l2d(), without, &self.drawn.flanks, &self.drawn.counted, length)
    }

    /// The worst balance of all sections solved, as a share.
    pub(crate) fn balance_error(&self) -> f64 {
        let Solutions { section, without, sharp, .. } = self.solutions.as_ref();
        let errors = [Some(section), without.as_ref(), Some(sharp)];
        errors.into_iter().flatten().map(|solution| solution.response.balance_error).fold(0.0, f64::max)
    }

    /// The worst last step of the sections that ψ comes from, as a share.
    pub(crate) fn refinement_change(&self) -> f64 {
        let changes = [Some(&self.solutions.section), self.solutions.without.as_ref()];
        changes.into_iter().flatten().map(|solution| solution.refinement_change).fold(0.0, f64::max)
    }
}
