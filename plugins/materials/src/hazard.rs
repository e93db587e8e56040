//! Hazard index: what all compounds that concern one organ come to together.

use crate::compound::Compound;
use crate::facts::{self, CONCENTRATION_UNITS};
use crate::lack::Lack;
use indexmap::IndexMap;
use mateline_model::quantity::{Density, Units};
use mateline_model::{Basis, Pointer, Step, Subject, Term};
use mateline_sdk::Findings;

/// The yearly mean of one compound in one volume of air, for the hazard index.
pub(crate) struct Mean {
    pub subject: Subject,
    pub compound: Compound,
    pub one_year: Result<Density, Lack>,
    /// The source that gives off most.
    pub at: Option<Pointer>,
}

/// The hazard index of one organ.
///
/// `HI = Σ C_i/L_i`, with yearly mean concentration `C` (kg/m³) and chronic reference level `L` (kg/m³).
///
/// Source: additive risk assessment as the OEHHA guidance describes it (from memory, high).
pub fn hazard_index(pairs: impl IntoIterator<Item = (Density, Density)>) -> f64 {
    pairs.into_iter().map(|(concentration, level)| concentration / level).sum()
}

/// The hazard index of the organ most concerned. Nothing where no compound has a level and organs in the list.
pub(crate) fn report(subject: &Subject, means: &[Mean], findings: &mut Findings) {
    let mut organs: IndexMap<&str, Vec<(&Mean, Density)>> = IndexMap::new();
    for mean in means {
        let Some(level) = mean.compound.chronic_level.filter(|level| level.si() > 0.0) else { continue };
        for organ in &mean.compound.organs {
            organs.entry(organ).or_default().push((mean, level));
        }
    }
    if organs.is_empty() {
        return;
    }
    match worst(&organs) {
        Ok((organ, index, basis)) => {
            let share = |(mean, level): &&(&Mean, Density)| mean.one_year.as_ref().map_or(0.0, |found| *found / *level);
            let parts = organs.get(organ).into_iter().flatten();
            let most = parts.max_by(|a, b| share(a).total_cmp(&share(b))).and_then(|(mean, _)| mean.at.clone());
            let at = most.unwrap_or_else(|| Pointer::new("finishes"));
            findings.fact_at(subject, &facts::HAZARD_INDEX, index, basis.clone(), at);
            findings.text(subject, &facts::HAZARD_ORGAN, organ, basis);
        }
        Err(lack) => {
            lack.report(subject, &facts::HAZARD_INDEX, findings);
            lack.report(subject, &facts::HAZARD_ORGAN, findings);
        }
    }
}

fn worst<'o>(organs: &IndexMap<&'o str, Vec<(&Mean, Density)>>) -> Result<(&'o str, f64, Basis), Lack> {
    let mut best: Option<(&str, f64)> = None;
    let mut basis = Basis::new("additive hazard index by organ", "OEHHA guidance on hazard indices")
        .provenance("from memory, high; organs from memory, med")
        .assuming("chronic reference levels are toxicological values and no limits of a code");
    for (organ, parts) in organs {
        let mut step = Step::new("HI = Σ C/L");
        let mut pairs = Vec::new();
        for (mean, level) in parts {
            let concentration = mean.one_year.clone()?;
            pairs.push((concentration, *level));
            step = step
                .term(
                    Term::new("C", mean.compound.name.clone(), concentration, CONCENTRATION_UNITS)
                        .fact(&mean.subject, facts::CONCENTRATION_ONE_YEAR.name),
                )
                .term(
                    Term::new("L", mean.compound.name.clone(), *level, CONCENTRATION_UNITS)
                        .fact(&mean.subject, facts::CHRONIC_REFERENCE_LEVEL.name),
                );
        }
        let index = hazard_index(pairs);
        if !index.is_finite() {
            return Err(Lack::new("the hazard index is no finite number"));
        }
        basis = basis.step(step.result(Term::new("HI", (*organ).to_owned(), index, Units::plain(3))));
        if best.is_none_or(|(_, most)| index > most) {
            best = Some((organ, index));
        }
    }
    best.map(|(organ, index)| (organ, index, basis)).ok_or_else(|| Lack::new("no compound concerns an organ"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 4.5 of 9 and 70 of 140 make one half and one half.
    #[test]
    fn shares_of_levels_add() {
        let level = |number: f64| Density::from_si(number * 1e-9);
        let index = hazard_index([(level(4.5), level(9.0)), (level(70.0), level(140.0))]);
        assert!((index - 1.0).abs() < 1e-12);
    }
}
