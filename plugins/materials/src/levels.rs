//! Published levels of compounds as facts, for rules to compare with.

use crate::compound::Compound;
use crate::facts::{self, CONCENTRATION_UNITS};
use mateline_model::{Basis, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

/// Both levels of a compound, and whether each is sure.
pub(crate) fn levels(compound: &Compound, subject: &Subject, findings: &mut Findings) {
    let both = [
        (&facts::CHRONIC_REFERENCE_LEVEL, &facts::CHRONIC_LEVEL_SURE, compound.chronic_level),
        (&facts::CDPH_ALLOWABLE, &facts::CDPH_LEVEL_SURE, compound.allowable),
    ];
    let sources = [
        (compound.chronic_source(), compound.chronic_mark()),
        (compound.allowable_source(), compound.allowable_mark()),
    ];
    for ((definition, sure, level), (from, mark)) in both.into_iter().zip(sources) {
        match level {
            Some(level) => {
                let term = Term::new("C", compound.name.clone(), level, CONCENTRATION_UNITS).published(from.clone());
                let basis = Basis::new("published level", from).provenance(mark.to_owned());
                let basis = basis.step(Step::procedure("C").term(term));
                findings.fact(subject, definition, level, basis.clone());
                findings.flag(subject, sure, is_sure(mark), basis);
            }
            None => {
                let lack = Lack::new(format!("{} has no such level in the list", compound.name));
                lack.write(subject, &[definition], findings);
                lack.write(subject, &[sure], findings);
            }
        }
    }
}

/// Whether a mark lets a rule fail a run.
fn is_sure(mark: &str) -> bool {
    !matches!(mark, "from memory, med" | "from memory, low")
}
