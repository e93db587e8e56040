//! Hazard index: what all compounds that concern one organ come to together.

use crate::compound::Compound;
use crate::facts::{self, CONCENTRATION_UNITS};
use indexmap::IndexMap;
use mateline_equation::equation;
use mateline_model::quantity::{Density, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Hazard index of one organ: yearly mean concentrations over their chronic reference levels.
    ///
    /// Source: additive risk assessment as the OEHHA guidance describes it (from memory, high).
    pub HazardIndex = "HI = Σ C_i/L_i" {
        HI: f64 "hazard index" [Units::plain(3)],
        C_i: [Density] "yearly mean concentration" [CONCENTRATION_UNITS],
        L_i: [Density] "chronic reference level" [CONCENTRATION_UNITS],
    }
}

/// The yearly mean of one compound in one volume of air, for the hazard index.
pub(crate) struct Mean {
    pub subject: Subject,
    pub compound: Compound,
    pub one_year: Result<Density, Lack>,
    /// The source that gives off most.
    pub at: Option<Pointer>,
}

fn basis() -> Basis {
    Basis::new("additive hazard index by organ", "OEHHA guidance on hazard indices")
        .provenance("from memory, high; organs from memory, med")
        .assuming("chronic reference levels are toxicological values and no limits of a code")
}

/// The hazard index of the organ most concerned; nought, and no organ, where no compound has a level and organs in the
/// list.
pub(crate) fn report(subject: &Subject, means: &[Mean], findings: &mut Findings) {
    let mut organs: IndexMap<&str, Vec<(&Mean, Density)>> = IndexMap::new();
    for mean in means {
        let Some(level) = mean.compound.chronic_level.filter(|level| level.si() > 0.0) else { continue };
        for organ in &mean.compound.organs {
            organs.entry(organ).or_default().push((mean, level));
        }
    }
    if organs.is_empty() {
        let why = "no compound in it has both a chronic level and an organ in the list";
        let none = Term::new("HI", "hazard index of no compound", 0.0, facts::HAZARD_INDEX.units);
        let step = Step::procedure("HI = 0").term(none);
        findings.fact(subject, &facts::HAZARD_INDEX, 0.0, basis().assuming(why).step(step));
        return Lack::new(why).write(subject, &[&facts::HAZARD_ORGAN], findings);
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
            lack.write(subject, &[&facts::HAZARD_INDEX], findings);
            lack.write(subject, &[&facts::HAZARD_ORGAN], findings);
        }
    }
}

fn worst<'o>(organs: &IndexMap<&'o str, Vec<(&Mean, Density)>>) -> Result<(&'o str, f64, Basis), Lack> {
    let mut best: Option<(&str, f64)> = None;
    let mut basis = basis();
    for (organ, parts) in organs {
        let found: Vec<Density> = parts.iter().map(|(mean, _)| mean.one_year.clone()).collect::<Result<_, _>>()?;
        let levels: Vec<Density> = parts.iter().map(|(_, level)| *level).collect();
        let (index, step) = HazardIndex { C_i: &found, L_i: &levels }.step();
        let named = |quantity: &QuantityDef| {
            let name = quantity.name.clone();
            move |term: Term, (mean, _): &(&Mean, Density)| {
                Term { meaning: mean.compound.name.clone(), ..term }.fact(&mean.subject, name.clone())
            }
        };
        let step = step.each(HazardIndex::C_i, parts, named(&facts::CONCENTRATION_ONE_YEAR));
        let step = step.each(HazardIndex::L_i, parts, named(&facts::CHRONIC_REFERENCE_LEVEL));
        if !index.is_finite() {
            return Err(Lack::new("the hazard index is no finite number"));
        }
        basis = basis.step(step.meaning(HazardIndex::HI, *organ));
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
        let (found, levels) = ([level(4.5), level(70.0)], [level(9.0), level(140.0)]);
        let index = HazardIndex { C_i: &found, L_i: &levels }.value();
        assert!((index - 1.0).abs() < 1e-12);
    }
}
